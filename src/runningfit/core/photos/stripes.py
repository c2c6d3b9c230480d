"""The stripes that a thread draws on a shank: which pitches fit them, how well, and where they lie."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.photos.pitch_likelihood import LEAST_MM, MOST_MM
from runningfit.core.photos.straightening import Unrolled

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Pitches that are looked for, as shares of the diameter (common practice, no source: standard threads have
# 0.04 to 0.27), and the fewest pixels that can show one.
_LEAST_SHARE, _MOST_SHARE = 0.045, 0.33
_FEWEST_PX = 3.3
# Steps of the first search, and how far each place looks around itself: a standard deviation, in pitches.
_COARSE_STEP = 0.015
_AROUND_PITCHES = 2.2
# Every other line is enough to find them, and what is about a place changes little from pitch to pitch.
_EVERY_LINE, _EVERY_PITCH = 2, 6
# What is wider than this changes the light slowly: shares of the diameter.
_SLOW_DIAMETERS, _LOUDNESS_DIAMETERS = 0.35, 0.5
_QUIET_SHARE = 0.25
# A place is of the thread where stripes make so much of what is seen there, of the best place and at all.
_OF_BEST, _AT_LEAST = 0.4, 0.10
_SHORTEST_TURNS = 2.5
# Harmonics of a thread that are looked at, as far as so many pixels show one; slow changes as a polynomial.
_HARMONICS, _HARMONIC_PX = 2, 2.6
_SLOW_TERMS = 3
# The fine search about a pitch goes so far, and no further than so many turns more or fewer.
_FINE_REACH, _FINE_TURNS = 0.06, 1.6
_FINE_STEPS = 81
# Neighbouring pixels tell nearly the same: so many pixels count as one along a line, and across.
_ALIKE_ALONG_PX, _ALIKE_ACROSS_PX = 1.6, 2.5


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of a shank that is threaded: from and to along the axis [mm]."""

    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True)
class Fit:
    """How well a pitch explains what is seen, with those near to it.

    Parameters
    ----------
    zones : tuple of Zone
        Where its stripes lie.
    pitches_mm : array, pitch
        Pitches about it [mm].
    gains : array, pitch
        Logarithm of how much better each explains the light in the zones than no stripes do.
    first_gains : array, pitch
        The same of stripes without overtones: what twice the pitch of a thread lacks.
    """

    zones: tuple[Zone, ...]
    pitches_mm: Array
    gains: Array
    first_gains: Array

    @property
    def best(self) -> int:
        """Which of the pitches fits best."""
        return int(self.gains.argmax())


def _smoothed(values: Array, sigma: float) -> Array:
    """Smooth along the last axis by a bell of a width in samples."""
    import cv2
    import numpy

    rows = numpy.atleast_2d(values)
    done = cv2.GaussianBlur(rows, (0, 0), sigmaX=sigma, sigmaY=1e-3, borderType=cv2.BORDER_REFLECT)
    return numpy.asarray(done, dtype=float).reshape(values.shape)


@dataclass(frozen=True, slots=True)
class Search:
    """What the first look found at every pitch and place.

    Parameters
    ----------
    pitches_mm : array, pitch
        Pitches looked at [mm].
    shares : array, pitch x sample
        Which share of what is seen about each place is stripes of that pitch, 0 to about 1.
    strength : array, pitch
        Mean strength of the stripes.
    """

    pitches_mm: Array
    shares: Array
    strength: Array

    def peaks(self) -> list[int]:
        """Which pitches are stronger than their neighbours, the strongest first."""
        middle = self.strength[1:-1]
        (at,) = ((middle > self.strength[:-2]) & (middle >= self.strength[2:])).nonzero()
        return sorted((at + 1).tolist(), key=lambda place: -self.strength[place])


def search(seen: Unrolled, major_mm: float) -> Search | None:
    """Look for stripes of every pitch at every place of a shank.

    Parameters
    ----------
    seen : Unrolled
        The shank.
    major_mm : float
        Its diameter [mm].

    Returns
    -------
    Search or None
        None where the photo is so coarse that it could show no thread of this diameter.
    """
    import numpy

    low = max(_LEAST_SHARE * major_mm, _FEWEST_PX / seen.px_per_mm, LEAST_MM)
    high = min(_MOST_SHARE * major_mm, MOST_MM)
    if high < 1.1 * low:
        return None
    step = seen.step_mm
    lines = seen.light[::_EVERY_LINE]
    quick = lines - _smoothed(lines, _SLOW_DIAMETERS * major_mm / step)
    power = (quick**2).mean(axis=0)
    loud = numpy.sqrt(_smoothed(power, _LOUDNESS_DIAMETERS * major_mm / step))
    even = quick / (loud + _QUIET_SHARE * numpy.sqrt(power.mean()) + 1e-9)
    pitches = numpy.exp(numpy.arange(numpy.log(low), numpy.log(high), _COARSE_STEP))
    count = even.shape[1]
    padded = 1 << int(numpy.ceil(numpy.log2(1.3 * count)))
    waves = numpy.fft.fft(even, padded, axis=1)[:, : padded // 2]
    frequency = numpy.fft.fftfreq(padded, step)[: padded // 2]
    whole = (even**2).mean(axis=0)
    about = whole
    shares = numpy.empty((len(pitches), count))
    strength = numpy.empty(len(pitches))
    for place, pitch in enumerate(pitches):
        wide = _AROUND_PITCHES * pitch
        window = numpy.exp(-0.5 * (2 * numpy.pi * wide * (frequency - 1 / pitch)) ** 2)
        passed = numpy.fft.ifft(waves * window, padded, axis=1)[:, :count]
        stripes = (passed.real**2 + passed.imag**2).mean(axis=0)
        strength[place] = stripes.mean()
        if place % _EVERY_PITCH == 0:
            about = _smoothed(whole, wide / step) + 1e-12
        shares[place] = 2 * stripes / about
    return Search(pitches, shares, strength)


def zones(seen: Unrolled, shares: Array, pitch_mm: float) -> tuple[Zone, ...]:
    """Where stripes of a pitch lie.

    Parameters
    ----------
    seen : Unrolled
        The shank.
    shares : array, sample
        Which share of what is seen is stripes of that pitch.
    pitch_mm : float
        The pitch [mm].
    """
    import numpy

    least = max(_OF_BEST * float(numpy.percentile(shares, 95)), _AT_LEAST)
    inside = numpy.concatenate([[False], shares > least, [False]])
    (turns,) = numpy.diff(inside.astype(int)).nonzero()
    found = []
    for first, last in zip(turns[::2], turns[1::2] - 1, strict=True):
        zone = Zone(float(seen.along_mm[first]), float(seen.along_mm[last]))
        if zone.to_mm - zone.from_mm >= _SHORTEST_TURNS * pitch_mm:
            found.append(zone)
    return tuple(found)


def fit(seen: Unrolled, where: tuple[Zone, ...], pitch_mm: float) -> Fit:
    """Weigh the pitches about one by how well their harmonics explain every line of the zones.

    Parameters
    ----------
    seen : Unrolled
        The shank.
    where : tuple of Zone
        Where the stripes lie; each part has stripes of its own beginning.
    pitch_mm : float
        About which pitch [mm].

    Notes
    -----
    Along each line the light is a slow polynomial and the first harmonics of the pitch, each of any size and
    beginning, and noise of unknown size: the logarithm of the likelihood is then -n/2 log of what is left,
    less half of log n for each free number (Schwarz, from memory).
    """
    import numpy

    longest = max(zone.to_mm - zone.from_mm for zone in where)
    reach = min(_FINE_REACH, _FINE_TURNS * pitch_mm / longest)
    pitches = pitch_mm * numpy.exp(numpy.linspace(-reach, reach, _FINE_STEPS))
    across = min(1.0, 2 * seen.radius_px / _ALIKE_ACROSS_PX / len(seen.around_rad))
    gains = across * numpy.sum([_gains(seen, zone, pitches) for zone in where], axis=0)
    return Fit(where, pitches, gains[0], gains[1])


def _gains(seen: Unrolled, zone: Zone, pitches: Array) -> Array:
    """The gains with and without overtones: 2 x pitch."""
    import numpy

    inside = (seen.along_mm >= zone.from_mm) & (seen.along_mm <= zone.to_mm)
    along = seen.along_mm[inside]
    light = seen.light[:, inside]
    length = zone.to_mm - zone.from_mm
    free = max(length * seen.px_per_mm / _ALIKE_ALONG_PX, 3.0)
    harmonics = min(_HARMONICS, max(int(pitches.mean() * seen.px_per_mm / _HARMONIC_PX), 1))
    even = 2 * (along - along.mean()) / length
    slow, _ = numpy.linalg.qr(numpy.stack([even**power for power in range(_SLOW_TERMS)], axis=1))
    rest = light - (light @ slow) @ slow.T
    before = (rest**2).sum(axis=1) + 1e-9
    turn = 2 * numpy.pi * along[None, :] / pitches[:, None]
    waves = numpy.concatenate(
        [
            numpy.stack([numpy.cos(order * turn), numpy.sin(order * turn)], axis=2)
            for order in range(1, harmonics + 1)
        ],
        axis=2,
    )
    waves -= slow @ (slow.T @ waves)
    waves, _ = numpy.linalg.qr(waves)
    told = (rest[None] @ waves) ** 2 / before[:, None]
    answers = []
    for order in (harmonics, 1):
        left = numpy.maximum(1 - told[..., : 2 * order].sum(axis=2), 1e-4)
        each = -0.5 * free * numpy.log(left) - order * numpy.log(max(free, 2.0))
        answers.append(each.sum(axis=1))
    return numpy.stack(answers)
