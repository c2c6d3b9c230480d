"""How a quantity scatters that is a torque over an arm: normal tool, friction anywhere in its range."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import atanh, hypot, log, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import SIGMAS_95, normal_below, normal_once, normal_twice

LOW, HIGH = 0.05, 0.95
# Below this many standard deviations a uniform part is told apart from a normal one by nobody.
_NARROW = 0.05
_LEAST_TOOL = 1e-6
_STRAIGHT_ENOUGH = 0.003
_MOST_PIECES = 8
_STEPS = 60


def _mean_phi(z: float, first: float, second: float) -> float:
    """The mean of Φ(z + first u + second v), u and v anywhere from -1 to 1."""
    if first < second:
        first, second = second, first
    if second < _NARROW:
        if second:
            wider = hypot(1.0, second / sqrt(3))
            z, first = z / wider, first / wider
        if first < _NARROW:
            return normal_below(z / hypot(1.0, first / sqrt(3)))
        return (normal_once(z + first) - normal_once(z - first)) / (2 * first)
    corners = normal_twice(z + first + second) - normal_twice(z + first - second)
    corners += normal_twice(z - first - second) - normal_twice(z - first + second)
    return corners / (4 * first * second)


def _mean_inverse(first: float, second: float) -> float:
    """The mean of 1 / (1 + first u + second v), u and v anywhere from -1 to 1."""
    if first < second:
        first, second = second, first
    if first < 1e-4:
        return 1 + (first**2 + second**2) / 3
    if second < 1e-3:
        return atanh(first) / first * (1 + second**2 / 3 / (1 - first**2))

    def corner(h: float) -> float:
        return h * log(h) - h

    corners = corner(1 + first + second) - corner(1 + first - second)
    corners += corner(1 - first - second) - corner(1 - first + second)
    return corners / (4 * first * second)


@dataclass(frozen=True, slots=True)
class _Piece:
    """One straight stretch of the arm: centre / (1 + first u + second v)."""

    centre: float
    first: float
    second: float


_Pieces = tuple[_Piece, ...]


def _share_below(tool: float, pieces: _Pieces, value: float) -> float:
    total = 0.0
    for piece in pieces:
        share = value / piece.centre
        per = share / tool
        total += _mean_phi((share - 1) / tool, per * piece.first, per * piece.second)
    return min(max(total / len(pieces), 0.0), 1.0)


# The joints of a job are of few kinds, and everything is proportional to the torque.
@lru_cache(maxsize=8192)
def _unit_percentile(tool: float, pieces: _Pieces, probability: float) -> float:
    far = 6 * tool
    lows = [piece.centre * max(1 - far, 1e-9) / (1 + piece.first + piece.second) for piece in pieces]
    highs = [piece.centre * (1 + far) / (1 - piece.first - piece.second) for piece in pieces]
    return _root(lambda value: _share_below(tool, pieces, value) - probability, min(lows), max(highs))


@dataclass(frozen=True, slots=True)
class Spread:
    """The distribution of amount × centre × X / (1 + first u + second v), over equally likely stretches.

    X is normal about 1 with the tool's relative standard deviation; u and v are uniform from -1 to 1, for the
    two frictions.

    Parameters
    ----------
    amount : float
        What is divided by the arm, at its mean.
    tool : float
        Relative standard deviation of the normal part [-].
    pieces : tuple
        The stretches, for an amount of 1.
    """

    amount: float
    tool: float
    pieces: _Pieces

    @property
    def mean(self) -> float:
        """The mean."""
        means = [piece.centre * _mean_inverse(piece.first, piece.second) for piece in self.pieces]
        return self.amount * sum(means) / len(means)

    def below(self, value: float) -> float:
        """The probability to lie at or below a value.

        Parameters
        ----------
        value : float
            The value, in the unit of the quantity, more than 0.

        Returns
        -------
        float
            From 0 to 1.
        """
        return _share_below(self.tool, self.pieces, value / self.amount)

    def percentile(self, probability: float) -> float:
        """The value that is not passed with a probability.

        Parameters
        ----------
        probability : float
            More than 0, less than 1.

        Returns
        -------
        float
            The value, in the unit of the quantity.
        """
        return self.amount * _unit_percentile(self.tool, self.pieces, probability)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero, by the Illinois rule."""
    at_low, at_high = function(low), function(high)
    if at_low >= 0:
        return low
    if at_high <= 0:
        return high
    side, value = 0, low
    for _ in range(_STEPS):
        value = (low * at_high - high * at_low) / (at_high - at_low)
        at = function(value)
        if abs(at) < 1e-7 or high - low < 1e-9 * high:
            break
        if at < 0:
            low, at_low = value, at
            at_high = at_high / 2 if side < 0 else at_high
            side = -1
        else:
            high, at_high = value, at
            at_low = at_low / 2 if side > 0 else at_low
            side = 1
    return value


@dataclass(frozen=True, slots=True)
class FrictionBand:
    """The friction of a joint: both ends of what it may be, in the thread and under the head.

    Parameters
    ----------
    thread_low, thread_high, bearing_low, bearing_high : float
        Coefficients of friction [-]; alike where the friction is taken as exact.
    together : bool
        Whether both go up and down together, as one finish and one lubricant make them.
    """

    thread_low: float
    thread_high: float
    bearing_low: float
    bearing_high: float
    together: bool

    @property
    def is_exact(self) -> bool:
        """Whether there is nothing between its ends."""
        return self.thread_low == self.thread_high and self.bearing_low == self.bearing_high

    def thread_at(self, share: float) -> float:
        """Friction in the thread at a share of its range, 0 to 1."""
        return self.thread_low + share * (self.thread_high - self.thread_low)

    def bearing_at(self, share: float) -> float:
        """Friction under the head at a share of its range, 0 to 1."""
        return self.bearing_low + share * (self.bearing_high - self.bearing_low)


def _pieces(arm: Callable[[float, float], float], band: FrictionBand) -> _Pieces:
    """Cut the range of the thread's friction until the arm is straight enough on each stretch."""

    def at(thread: float, bearing: float) -> float:
        return arm(band.thread_at(thread), band.bearing_at(thread if band.together else bearing))

    chord = (at(0, 0.5) + at(1, 0.5)) / 2
    bow = abs(at(0.5, 0.5) / chord - 1)
    count = 1
    while count < _MOST_PIECES and bow / count**2 > _STRAIGHT_ENOUGH:
        count *= 2
    pieces = []
    for index in range(count):
        start, end = index / count, (index + 1) / count
        low, high = (at(start, 0.0), at(start, 1.0)), (at(end, 0.0), at(end, 1.0))
        centre = (sum(low) + sum(high)) / 4
        first = (sum(high) - sum(low)) / 4 / centre
        second = (low[1] + high[1] - low[0] - high[0]) / 4 / centre
        pieces.append(_Piece(1 / centre, abs(first), abs(second)))
    return tuple(pieces)


def spread_of(tool: float, arm: Callable[[float, float], float], band: FrictionBand) -> Spread:
    """Give the distribution of an amount of 1 over an arm that depends on friction.

    Parameters
    ----------
    tool : float
        Relative standard deviation of what is divided, the small parts of geometry folded in [-].
    arm : callable
        The arm from the friction in the thread and under the head; nearly straight in the first, straight in
        the second.
    band : FrictionBand
        The friction; each coefficient anywhere in its range alike (JCGM 100:2008, 4.3.7).

    Returns
    -------
    Spread
        For an amount of 1, in units of one over the arm's.

    Raises
    ------
    InvalidInput
        The tool scatters so much that the torque may be nothing.
    """
    if not 0 <= tool < 1 / SIGMAS_95:
        raise InvalidInput(
            "scatter", needs="a half-width of less than the torque itself", came=f"{tool * SIGMAS_95:.2f}"
        )
    return Spread(1.0, max(tool, _LEAST_TOOL), _pieces(arm, band))


@lru_cache(maxsize=8192)
def ratio_percentile(over: tuple[float, float], under: tuple[float, float], probability: float) -> float:
    """Give a percentile of the ratio of two values, each anywhere in its range alike.

    Parameters
    ----------
    over, under : tuple of float
        Least and largest of the value above and below the line, more than 0.
    probability : float
        More than 0, less than 1.

    Returns
    -------
    float
        The ratio not passed with that probability.
    """
    middle, half = sum(over) / 2, (over[1] - over[0]) / 2
    steps = 24
    # The middles of equal stretches of the lower range: exact to the square of a stretch.
    dividers = [under[0] + (under[1] - under[0]) * (index + 0.5) / steps for index in range(steps)]

    def below(ratio: float) -> float:
        if half < 1e-9 * middle:
            least, most = under
            if most - least < 1e-9 * most:
                return 1.0 if ratio >= middle / most else 0.0
            return min(max((most - middle / ratio) / (most - least), 0.0), 1.0)
        total = 0.0
        for divider in dividers:
            total += min(max((ratio * divider - middle + half) / (2 * half), 0.0), 1.0)
        return total / steps

    low, high = over[0] / under[1], over[1] / under[0]
    if high - low < 1e-9 * high:
        return low
    return _root(lambda ratio: below(ratio) - probability, low, high)
