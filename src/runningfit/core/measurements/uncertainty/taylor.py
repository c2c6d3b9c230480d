"""Numbers that carry their first three derivatives along a line: exact, with no step to choose."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Taylor:
    """A value on a line x + t v, as the first four coefficients of its series in t.

    Parameters
    ----------
    at, first, second, third : float
        The coefficients of 1, t, t² and t³.
    """

    at: float
    first: float = 0.0
    second: float = 0.0
    third: float = 0.0

    def __add__(self, other: Taylor | float) -> Taylor:
        two = _lifted(other)
        return Taylor(
            self.at + two.at, self.first + two.first, self.second + two.second, self.third + two.third
        )

    def __radd__(self, other: float) -> Taylor:
        return self + other

    def __neg__(self) -> Taylor:
        return Taylor(-self.at, -self.first, -self.second, -self.third)

    def __sub__(self, other: Taylor | float) -> Taylor:
        return self + -_lifted(other)

    def __rsub__(self, other: float) -> Taylor:
        return -self + other

    def __mul__(self, other: Taylor | float) -> Taylor:
        two = _lifted(other)
        return Taylor(
            self.at * two.at,
            self.at * two.first + self.first * two.at,
            self.at * two.second + self.first * two.first + self.second * two.at,
            self.at * two.third + self.first * two.second + self.second * two.first + self.third * two.at,
        )

    def __rmul__(self, other: float) -> Taylor:
        return self * other

    def __truediv__(self, other: Taylor | float) -> Taylor:
        return self * _power(_lifted(other), -1.0)

    def __rtruediv__(self, other: float) -> Taylor:
        return _power(self, -1.0) * other

    def __pow__(self, other: Taylor | float) -> Taylor:
        two = _lifted(other)
        if two.first == two.second == two.third == 0.0:
            return _power(self, two.at)
        return TAYLOR_FUNCTIONS["exp"](TAYLOR_FUNCTIONS["log"](self) * two)

    def __rpow__(self, other: float) -> Taylor:
        return _lifted(other) ** self

    def through(self, derivatives: tuple[float, float, float, float]) -> Taylor:
        """Give f of this number, from f and its first three derivatives at its value.

        Parameters
        ----------
        derivatives : tuple of float
            f, f', f'' and f''' at `at`.

        Returns
        -------
        Taylor
            The series of f along the line (Faà di Bruno's formula to the third order).
        """
        f0, f1, f2, f3 = derivatives
        return Taylor(
            f0,
            f1 * self.first,
            f1 * self.second + f2 / 2 * self.first**2,
            f1 * self.third + f2 * self.first * self.second + f3 / 6 * self.first**3,
        )


def _lifted(number: Taylor | float) -> Taylor:
    return number if isinstance(number, Taylor) else Taylor(number)


def _power(base: Taylor, exponent: float) -> Taylor:
    """A number to a constant power; whole powers hold at zero too."""
    derivatives, factor = [], 1.0
    for order in range(4):
        # A factor of nought ends the series before the power of zero turns negative.
        derivatives.append(0.0 if factor == 0.0 else factor * _real_power(base.at, exponent - order))
        factor *= exponent - order
    return base.through((derivatives[0], derivatives[1], derivatives[2], derivatives[3]))


def _real_power(base: float, exponent: float) -> float:
    return math.pow(base, exponent)


def _sqrt(x: Taylor) -> Taylor:
    return _power(x, 0.5)


def _exp(x: Taylor) -> Taylor:
    e = math.exp(x.at)
    return x.through((e, e, e, e))


def _log(x: Taylor) -> Taylor:
    return x.through((math.log(x.at), 1 / x.at, -1 / x.at**2, 2 / x.at**3))


def _log10(x: Taylor) -> Taylor:
    return _log(x) * (1 / math.log(10))


def _sin(x: Taylor) -> Taylor:
    s, c = math.sin(x.at), math.cos(x.at)
    return x.through((s, c, -s, -c))


def _cos(x: Taylor) -> Taylor:
    s, c = math.sin(x.at), math.cos(x.at)
    return x.through((c, -s, -c, s))


def _tan(x: Taylor) -> Taylor:
    return _sin(x) / _cos(x)


def _atan(x: Taylor) -> Taylor:
    d = 1 / (1 + x.at**2)
    return x.through((math.atan(x.at), d, -2 * x.at * d**2, (6 * x.at**2 - 2) * d**3))


def _asin(x: Taylor) -> Taylor:
    d = 1 / math.sqrt(1 - x.at**2)
    return x.through((math.asin(x.at), d, x.at * d**3, (1 + 2 * x.at**2) * d**5))


def _acos(x: Taylor) -> Taylor:
    return -_asin(x) + math.pi / 2


TAYLOR_FUNCTIONS: Mapping[str, Callable[[Taylor], Taylor]] = {
    "sqrt": _sqrt, "exp": _exp, "log": _log, "log10": _log10, "sin": _sin, "cos": _cos, "tan": _tan,
    "asin": _asin, "acos": _acos, "atan": _atan,
}  # fmt: skip
