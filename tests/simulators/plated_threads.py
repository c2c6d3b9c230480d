"""Bolts and nuts as a shop plates them: made, plated once, rusted, stripped, measured and plated again.

Nothing here comes from the computation it is held against. Threads are made and plated by other laws than
the ones assumed there: makers keep to their own part of the tolerance, what a tank lays on is triangular and
what rust takes is lognormal, coats differ from place to place, and a part goes on only where each place does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

INCH = 25.4
PLACES = 10


@dataclass(frozen=True)
class Form:
    """A thread by its numbers, with a class whose bolts have an allowance [mm, degrees]."""

    name: str
    thread_class: str
    nut_class: str
    flank: float
    angle: float
    bolt_high: float
    bolt_low: float
    nut_low: float
    nut_high: float


def _unified(name: str, d: float, n: int) -> Form:
    p = 1 / n
    td2 = 0.0015 * d ** (1 / 3) + 0.0015 * d**0.5 + 0.015 * p ** (2 / 3)
    flank = d - 0.649519 * p
    low = flank - 0.3 * td2
    return Form(
        name,
        "2A",
        "2B",
        flank * INCH,
        60,
        low * INCH,
        (low - td2) * INCH,
        flank * INCH,
        (flank + 1.3 * td2) * INCH,
    )


def _ba(name: str, d: float, p: float) -> Form:
    flank = d - 0.6 * p
    return Form(
        name, "normal", "normal", flank, 47.5,
        flank - 0.025, flank - 0.025 - 0.1 * p - 0.025, flank, flank + 0.12 * p + 0.03,
    )  # fmt: skip


def _whitworth(name: str, d: float, n: int) -> Form:
    p = 1 / n
    t = 0.002 * d ** (1 / 3) + 0.003 * d**0.5 + 0.005 * p**0.5
    flank = d - 0.640327 * p
    high = flank - 0.3 * t
    return Form(
        name,
        "medium",
        "medium",
        flank * INCH,
        55,
        high * INCH,
        (high - t) * INCH,
        flank * INCH,
        (flank + t) * INCH,
    )


FORMS = (
    _unified("1/4-20 UNC", 0.25, 20),
    _unified("5/16-24 UNF", 0.3125, 24),
    _unified("3/8-16 UNC", 0.375, 16),
    _unified("1/2-13 UNC", 0.5, 13),
    Form("M8x1.25", "6g", "6H", 7.188, 60, 7.160, 7.042, 7.188, 7.348),
    Form("M10x1.5", "6g", "6H", 9.026, 60, 8.994, 8.862, 9.026, 9.206),
    _ba("2BA", 4.7, 0.81),
    _ba("0BA", 6.0, 1.0),
    _whitworth("5/16-18 BSW", 0.3125, 18),
    _whitworth("3/8-20 BSF", 0.375, 20),
)


def growth(form: Form) -> float:
    """How much the pitch diameter grows for each thickness: twice along the flank's normal, on both sides."""
    return 2 / math.sin(math.radians(form.angle / 2))


def _made(chance: Random, low: float, high: float) -> float:
    """A diameter as one of many makers cuts it: about his own aim, within the class."""
    aim, width = chance.uniform(low, high), 0.05 * (high - low)
    while True:
        cut = chance.gauss(aim, width)
        if low <= cut <= high:
            return cut


@dataclass(frozen=True)
class Known:
    """What the shop knows of a joint [mm]; percentiles are the 5th and the 95th."""

    form: Form
    measured: float | None
    u: float
    old: tuple[float, float]
    lost: tuple[float, float]
    asked: tuple[float, float]
    nut_measured: float | None


@dataclass(frozen=True)
class Joint:
    """A joint as it really is [mm]: bare bolt, nut, and what the shop knows of them."""

    known: Known
    bare: float
    nut: float


def _lognormal(chance: Random, low: float, high: float) -> float:
    """A thickness whose 5th and 95th percentile these are."""
    if high <= low:
        return low
    middle, spread = math.log(low * high) / 2, math.log(high / low) / 3.28970725
    return math.exp(chance.gauss(middle, spread))


def _tank(chance: Random, low: float, high: float) -> float:
    """A plated thickness whose 5th and 95th percentile these are: triangular, as of a watched tank."""
    reach = (high - low) / 2 / (1 - math.sqrt(0.1))
    middle = (low + high) / 2
    return chance.triangular(middle - reach, middle + reach, middle) if high > low else low


def draw(chance: Random) -> Joint:
    """Draw a joint: two in three bolts were measured, one nut in three."""
    form = chance.choice(FORMS)
    factor = growth(form)
    made = _made(chance, form.bolt_low, form.bolt_high)
    nut = _made(chance, form.nut_low, form.nut_high)
    lost_range = (0.001, 0.004) if chance.random() < 0.5 else (0.0, 0.0)
    lost = _lognormal(chance, *lost_range)
    nominal = chance.uniform(0.003, 0.012)
    asked = (0.8 * nominal, 1.25 * nominal)
    nut_measured = nut + chance.gauss(0, 0.006) if chance.random() < 1 / 3 else None
    if chance.random() < 1 / 3:
        known = Known(form, None, 0.0, (0.0, 0.0), lost_range, asked, nut_measured)
        return Joint(known, made - factor * lost, nut)
    old_range = (0.004, 0.008) if chance.random() < 0.7 else (0.0, 0.0)
    old = _tank(chance, *old_range)
    u = chance.choice((0.004, 0.006, 0.01))
    measured = made + factor * old + chance.gauss(0, u)
    known = Known(form, measured, u, old_range, lost_range, asked, nut_measured)
    return Joint(known, made - factor * lost, nut)


def assembles(chance: Random, joint: Joint, low: float, high: float, unevenness: float) -> bool:
    """Plate the bolt to a range, place by place, and try it in its nut."""
    mean = _tank(chance, low, high)
    thickest = max(mean * max(0.0, chance.gauss(1, unevenness)) for _ in range(PLACES))
    return joint.bare + growth(joint.known.form) * thickest <= joint.nut


def passes_go(chance: Random, joint: Joint, low: float, high: float, unevenness: float) -> bool:
    """Plate the bolt to a range, and try a perfect GO ring of the basic size."""
    mean = _tank(chance, low, high)
    thickest = max(mean * max(0.0, chance.gauss(1, unevenness)) for _ in range(PLACES))
    return joint.bare + growth(joint.known.form) * thickest <= joint.known.form.flank
