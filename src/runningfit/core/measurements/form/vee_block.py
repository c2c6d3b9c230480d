"""Runout and bend of a shaft that turns in V-blocks, and which lobes a V-block shows or hides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, isfinite, radians, sin, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.verdicts import Caution

# Below this factor a number of lobes is as good as hidden (common practice, no source).
_HIDDEN = 0.3
_LOBES_LOOKED_AT = range(2, 10)


@dataclass(frozen=True, slots=True)
class Runout:
    """What an indicator showed while a shaft turned.

    Parameters
    ----------
    total_mm : float
        The largest reading less the smallest [mm].
    bow_mm : float
        How far the axis lies off the line between the supports at the indicator [mm].
    towards_deg : float
        In which direction it is bent: the angle at which the reading is highest [°].
    rest_mm : float
        The range of what is left once the bow is taken out: lobes, and scatter [mm].
    u_bow_mm : float
        The standard uncertainty of the bow [mm], by the scatter of one reading.
    cautions : tuple of Caution
        What the support hides.
    """

    total_mm: float
    bow_mm: float
    towards_deg: float
    rest_mm: float
    u_bow_mm: float
    cautions: tuple[Caution, ...]


def lobe_factor(lobes: int, vee_deg: float) -> float:
    """Give how strongly an indicator over a V-block shows a number of lobes.

    Parameters
    ----------
    lobes : int
        How many lobes around the piece; 1 is a centre that is off.
    vee_deg : float
        The included angle of the vee [°].

    Returns
    -------
    float
        The amplitude shown for each unit of the lobes' amplitude, by an indicator in the middle over the
        vee; less than nothing where it moves the other way.

    Raises
    ------
    InvalidInput
        No lobe, or a vee that no block has.

    Notes
    -----
    1 + (-1)ⁿ cos(n (90° - β/2)) / sin(β/2): the flanks of the vee lie 90° - β/2 to both sides of straight
    down, and the piece rides up as its radius grows there. Lobes small beside the piece (derived here; the
    tests turn a lobed piece in a vee).
    """
    if lobes < 1:
        raise InvalidInput("lobes", needs="one or more", came=f"{lobes}")
    if not 30 <= vee_deg <= 150:
        raise InvalidInput("vee", needs="an included angle of 30 to 150°", came=f"{vee_deg:g}°")
    half = radians(vee_deg / 2)
    sign = -1.0 if lobes % 2 else 1.0
    return 1 + sign * cos(lobes * (radians(90) - half)) / sin(half)


def runout(angles_deg: Sequence[float], readings_mm: Sequence[float], vee_deg: float, u_mm: float) -> Runout:
    """Give the runout and bend of a shaft from an indicator between two V-blocks.

    Parameters
    ----------
    angles_deg : sequence of float
        The angles to which the shaft was turned, spread over the whole turn [°].
    readings_mm : sequence of float
        What the indicator showed at each [mm].
    vee_deg : float
        The included angle of the V-blocks [°].
    u_mm : float
        The standard deviation of one reading [mm].

    Returns
    -------
    Runout
        The total reading, and the bow in it.

    Raises
    ------
    InvalidInput
        Fewer than four readings, a gap of more than 120°, or numbers that cannot be.

    Notes
    -----
    The bow is the first harmonic by least squares: its amplitude is how far the axis is off there, half of
    the total reading on a round shaft. The journals in the vees are taken as round.
    """
    count = len(readings_mm)
    if count != len(angles_deg) or count < 4:
        raise InvalidInput(
            "readings",
            needs="an angle to each, and four at least",
            came=f"{count} and {len(angles_deg)} angles",
            remedy="Turn the shaft by 45° at a time.",
        )
    if not all(map(isfinite, (*angles_deg, *readings_mm, u_mm))) or not u_mm > 0:
        raise InvalidInput(
            "readings", needs="finite numbers, with an uncertainty of more than nothing", came="others"
        )
    around = sorted(angle % 360 for angle in angles_deg)
    gap = max(two - one for one, two in zip(around, [*around[1:], around[0] + 360], strict=True))
    if gap > 120:
        raise InvalidInput(
            "angles",
            needs="readings all around",
            came=f"a gap of {gap:g}°",
            remedy="Read in the gap as well.",
        )
    a, b, left = _first_harmonic([radians(one) for one in angles_deg], readings_mm)
    hidden = [n for n in _LOBES_LOOKED_AT if abs(lobe_factor(n, vee_deg)) < _HIDDEN]
    cautions = [Caution("What is out of round in the vees adds to the reading: read the journals first.")]
    if hidden:
        said = ", ".join(map(str, hidden))
        cautions.append(Caution(f"Over a vee of {vee_deg:g}° an indicator all but hides {said} lobes."))
    return Runout(
        max(readings_mm) - min(readings_mm),
        hypot(a, b),
        degrees(atan2(b, a)) % 360,
        max(left) - min(left),
        _u_of_bow([radians(one) for one in angles_deg], a, b, u_mm),
        tuple(cautions),
    )


def _first_harmonic(angles: Sequence[float], readings: Sequence[float]) -> tuple[float, float, list[float]]:
    """Amplitudes of cosine and sine by least squares, and what they leave of each reading."""
    count = len(readings)
    cosines, sines = [cos(one) for one in angles], [sin(one) for one in angles]
    mean_c, mean_s, mean_r = sum(cosines) / count, sum(sines) / count, sum(readings) / count
    c = [one - mean_c for one in cosines]
    s = [one - mean_s for one in sines]
    r = [one - mean_r for one in readings]
    cc, ss = sum(x * x for x in c), sum(x * x for x in s)
    cs = sum(x * y for x, y in zip(c, s, strict=True))
    cr = sum(x * y for x, y in zip(c, r, strict=True))
    sr = sum(x * y for x, y in zip(s, r, strict=True))
    whole = cc * ss - cs * cs
    a, b = (ss * cr - cs * sr) / whole, (cc * sr - cs * cr) / whole
    return a, b, [z - a * x - b * y for x, y, z in zip(c, s, r, strict=True)]


def _u_of_bow(angles: Sequence[float], a: float, b: float, u_mm: float) -> float:
    """The standard uncertainty of the amplitude, from how the angles are spread: u √(2/n) where evenly."""
    count, bow = len(angles), hypot(a, b)
    cosines, sines = [cos(one) for one in angles], [sin(one) for one in angles]
    mean_c, mean_s = sum(cosines) / count, sum(sines) / count
    cc = sum((x - mean_c) ** 2 for x in cosines)
    ss = sum((y - mean_s) ** 2 for y in sines)
    cs = sum((x - mean_c) * (y - mean_s) for x, y in zip(cosines, sines, strict=True))
    towards_c, towards_s = (a / bow, b / bow) if bow else (1.0, 0.0)
    square = (towards_c**2 * ss - 2 * towards_c * towards_s * cs + towards_s**2 * cc) / (cc * ss - cs * cs)
    return u_mm * sqrt(square)
