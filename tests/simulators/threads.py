"""Threads as a workshop finds them: made to a class, worn, plated, and read with imperfect instruments.

Nothing here comes from the identification it is held against: the tables are read as printed, the tolerances
are worked out anew, and wear, plating and gauges follow other laws than the ones assumed there.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

DATA = Path(__file__).parents[2] / "src" / "runningfit" / "core" / "standards" / "data"
INCH = 25.4
FAMILIES = ("UNC", "UNF", "UNEF", "BSW", "BSF", "BA", "CEI", "coarse", "fine", "G", "R", "NPT")
INCH_LEAVES = (
    4, 4.5, 5, 6, 7, 8, 9, 10, 11, 11.5, 12, 13, 14, 16, 18, 19, 20, 22, 24, 26, 27, 28, 30, 32, 36, 40, 44,
    48, 50, 56, 60, 64, 72, 80,
)  # fmt: skip
METRIC_LEAVES = (
    0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 4.5, 5,
    5.5, 6,
)  # fmt: skip


@dataclass(frozen=True)
class Standard:
    """One line of a table: what the thread would be if it were perfect [mm]."""

    name: str
    family: str
    size: str
    major: float
    pitch: float
    flank: float
    inner: float
    angle: float
    inch: bool
    taper: bool = False


@dataclass(frozen=True)
class Habits:
    """How the pieces of a shop came to be as they are [mm where a length].

    worn: share with rubbed crests, whose loss is a half-normal of `rub`; flattened: share that lost up to
    `flat` of the pitch, evenly; plated: share that grew by 4 to 13 µm a side. one_gauge: share of the people
    who have the leaves of one system only. special, odd: shares of UN and UNS threads, and of no standard.
    """

    worn: float = 0.6
    rub: float = 0.025
    flattened: float = 0.08
    flat: float = 0.12
    plated: float = 0.35
    shared: float = 0.008
    one_gauge: float = 0.1
    special: float = 0.0
    odd: float = 0.0


USUAL = Habits()
ROUGH = Habits(worn=0.85, rub=0.045, flattened=0.15, flat=0.18, plated=0.5, shared=0.012)
CLEAN = Habits(worn=0.2, rub=0.01, flattened=0.0, flat=0.0, plated=0.1, shared=0.004)
OPEN = Habits(special=0.015, odd=0.02)
NO_STANDARD = "none"


@dataclass(frozen=True)
class Piece:
    """A bolt, or a nut, as it lies on the bench [mm]."""

    standard: Standard
    internal: bool
    major: float
    flank: float
    minor: float
    pitch: float
    across_flats: float | None


def _rows(folder: str) -> Iterator[dict[str, str]]:
    with (DATA / folder / "table.csv").open(newline="", encoding="utf-8") as table:
        yield from csv.DictReader(table)


def _unified(folder: str) -> Iterator[Standard]:
    for row in _rows(folder):
        d, tpi = float(row["d_major_in"]), float(row["tpi"])
        name = f"{row['size']}-{tpi:g} {row['series']}"
        size = row["size"] if d > 0.22 else f"number {row['size']}"
        flank, inner = d - 0.6495191 / tpi, d - 1.0825318 / tpi
        yield Standard(
            name, row["series"], size, d * INCH, INCH / tpi, flank * INCH, inner * INCH, 60, inch=True
        )


@cache
def standards() -> tuple[Standard, ...]:
    """Every thread of the tables, but those that nobody made in numbers."""
    found = list(_unified("asme_b1_1_2019"))
    rounded = (
        ("bs_84_2007", 0.640327, 55.0),
        ("bs_811_1950", 0.5327, 60.0),
        ("bs_811_1950_20_tpi", 0.640327, 55.0),
    )
    for folder, height, angle in rounded:
        for row in _rows(folder):
            d, tpi, series = float(row["d_in"]), float(row["tpi"]), row.get("series", "CEI")
            found.append(
                Standard(
                    f"{row['size']}-{tpi:g} {series}", series, row["size"], d * INCH, INCH / tpi,
                    (d - height / tpi) * INCH, (d - 2 * height / tpi) * INCH, angle, inch=True,
                )
            )  # fmt: skip
    for row in _rows("bs_93_1951"):
        d, p = float(row["d_mm"]), float(row["P_mm"])
        if int(row["no"]) <= 16:
            found.append(
                Standard(f"{row['no']}BA", "BA", row["no"], d, p, d - 0.6 * p, d - 1.2 * p, 47.5, inch=False)
            )
    for row in _rows("iso_724_1993"):
        d, p = float(row["d_mm"]), float(row["P_mm"])
        found.append(
            Standard(
                row["designation"], row["series"], f"M{d:g}", d, p, d - 0.6495191 * p, d - 1.0825318 * p, 60,
                inch=False,
            )
        )  # fmt: skip
    for folder in ("iso_228_1_2000", "iso_7_1_1994"):
        for row in _rows(folder):
            name = row["designation"]
            found.append(
                Standard(
                    name, name[0], name[1:], float(row["d_mm"]), INCH / float(row["tpi"]),
                    float(row["d2_mm"]), float(row["d1_mm"]), 55, inch=True, taper=name[0] == "R",
                )
            )  # fmt: skip
    for row in _rows("asme_b1_20_1_2013"):
        d, tpi = float(row["OD_in"]) * INCH, float(row["tpi"])
        p = INCH / tpi
        found.append(
            Standard(
                f"{row['nps']}-{tpi:g} NPT", "NPT", row["nps"], d, p, d - 0.8 * p, d - 1.6 * p, 60, inch=True,
                taper=True,
            )
        )  # fmt: skip
    return tuple(found)


@cache
def specials() -> tuple[Standard, ...]:
    """The UN and UNS threads, which are in the tables but seldom on an engine."""
    return tuple(_unified("asme_b1_1_2019_special"))


def alike(one: Standard, other: Standard) -> bool:
    """Whether nothing but the profile tells two threads apart: the same diameter and pitch."""
    return abs(one.major - other.major) < 0.004 and abs(one.pitch - other.pitch) < 0.001


@cache
def twins(name: str) -> frozenset[str]:
    """The names of the threads alike to one, itself included."""
    known = (*standards(), *specials())
    own = [standard for standard in known if standard.name == name]
    return frozenset([name, *(other.name for one in own for other in known if alike(one, other))])


def _draw_row(chance: Random) -> Standard:
    return chance.choice(standards())


@cache
def _of_family(family: str) -> tuple[Standard, ...]:
    return tuple(standard for standard in standards() if standard.family == family)


def _draw_family(chance: Random, families: Sequence[str]) -> Standard:
    return chance.choice(_of_family(chance.choice(families)))


def draw(chance: Random, *, evenly: str = "families", families: Sequence[str] = FAMILIES) -> Standard:
    """Draw a thread: every family as often as any other, or every line of the tables."""
    return _draw_row(chance) if evenly == "lines" else _draw_family(chance, families)


def draw_for(
    habits: Habits, chance: Random, *, evenly: str = "families", families: Sequence[str] = FAMILIES
) -> Standard:
    """Draw a thread as the shop has them: now and then one of a rare series, or of no standard."""
    which = chance.random()
    if which < habits.odd:
        return _odd(chance)
    if which < habits.odd + habits.special:
        return chance.choice(specials())
    return draw(chance, evenly=evenly, families=families)


def _odd(chance: Random) -> Standard:
    """A thread of no standard: an oversize stud, a size with the pitch of another, a maker's own."""
    while True:
        one, other = chance.choice(standards()), chance.choice(standards())
        major, pitch, inch = one.major, one.pitch, one.inch
        kind = chance.choice(("oversize", "mixed", "own"))
        if kind == "oversize":
            major += chance.choice((0.1, 0.15, 0.25, 0.4, 0.5))
        elif kind == "mixed":
            pitch, inch = other.pitch, other.inch
        else:
            major = 3 * 12 ** chance.random()
            pitch, inch = chance.uniform(0.07, 0.2) * major, False
        known = any(
            abs(major - same.major) < 0.06 and abs(pitch - same.pitch) * 8 < 0.03
            for same in (*standards(), *specials())
        )
        if 0.06 < pitch / major < 0.25 and not known:
            return Standard(
                NO_STANDARD, NO_STANDARD, NO_STANDARD, major, pitch, major - 0.65 * pitch,
                major - 1.08 * pitch, chance.choice((55.0, 60.0)), inch=inch,
            )  # fmt: skip


def _external_band(standard: Standard, chance: Random) -> tuple[float, float, float, float]:
    """Highest and lowest major and pitch diameter of a class drawn at random [mm]."""
    d, p = standard.major, standard.pitch
    if standard.taper:
        # The outside of the pipe is NPT's largest; R's size lies some turns from the end, and it goes on.
        back = chance.uniform(*((-2.5, 4.5) if standard.family == "R" else (0.5, 6))) * p / 16
        return d - back, d - back - 0.02 * p, standard.flank - back, standard.flank - back - 0.02 * p
    if standard.family in ("UNC", "UNF", "UNEF", "UN", "UNS"):
        d_in, p_in = d / INCH, p / INCH
        engaged = d_in if standard.family in ("UNC", "UNF") else 9 * p_in
        td2 = 0.0015 * d_in ** (1 / 3) + 0.0015 * engaged**0.5 + 0.015 * p_in ** (2 / 3)
        grade = chance.choices(("2A", "3A", "1A"), (0.75, 0.15, 0.1))[0]
        allowance = 0.0 if grade == "3A" else 0.3 * td2
        major = (0.09 if grade == "1A" else 0.06) * p_in ** (2 / 3)
        flank = td2 * {"2A": 1.0, "3A": 0.75, "1A": 1.5}[grade]
        top, middle = d - allowance * INCH, standard.flank - allowance * INCH
        return top, top - major * INCH, middle, middle - flank * INCH
    if standard.family in ("BSW", "BSF", "CEI"):
        d_in, p_in = d / INCH, p / INCH
        t = 0.002 * d_in ** (1 / 3) + 0.003 * d_in**0.5 + 0.005 * p_in**0.5
        factor = chance.choices((1.0, 2 / 3, 1.5), (0.7, 0.15, 0.15))[0]
        # From memory: medium and free bolts up to 3/4 inch have an allowance.
        drop = 0.3 * t * INCH if factor >= 1 and d_in <= 0.75 else 0.0
        low = (factor * t + 0.01 * p_in**0.5) * INCH
        middle = standard.flank - drop
        return d - drop, d - drop - low, middle, middle - factor * t * INCH
    if standard.family == "BA":
        drop, part = (0.025, 0.2) if int(standard.size) <= 10 else (0.0, 0.25)
        return d - drop, d - drop - part * p, standard.flank - drop, standard.flank - drop - 0.1 * p - 0.025
    if standard.family == "G":
        room = 0.36 if p > 2 else 0.284 if p > 1.5 else 0.25 if p > 1 else 0.214
        return d, d - room, standard.flank, standard.flank - room / 2
    # Bolts up to M1.4 have no allowance as a rule, larger ones seldom.
    fine = d < 1.5 or chance.random() < 0.1
    drop = 0.0 if fine else (15 + 11 * p) / 1000
    major = (180 * p ** (2 / 3) - 3.15 / p**0.5) / 1000
    flank = 90 * p**0.4 * d**0.1 / 1000
    return d - drop, d - drop - major, standard.flank - drop, standard.flank - drop - flank


def make(standard: Standard, chance: Random, habits: Habits, *, internal: bool = False) -> Piece:
    """Make a piece, use it for some decades, and perhaps plate it."""
    p = standard.pitch
    plate = chance.uniform(0.004, 0.013) if chance.random() < habits.plated else 0.0
    if internal:
        low, room = standard.inner, (0.21 * p + 0.05 if p < 1 else 0.18 * p + 0.08)
        drilled = chance.uniform(0, 0.15) * p if chance.random() < 0.2 else 0.0
        rub = abs(chance.gauss(0, habits.rub)) if chance.random() < habits.worn else 0.0
        minor = low + room * chance.random() + drilled + rub - 2 * plate
        flank = standard.flank + chance.uniform(0, 0.13) * p**0.6 - 4 * plate
        major = standard.major + chance.uniform(0, 0.1) * p
    else:
        high, low, flank_high, flank_low = _external_band(standard, chance)
        loss = 0.0
        if chance.random() < habits.worn:
            loss += min(abs(chance.gauss(0, habits.rub)), 0.25 * p)
        if chance.random() < habits.flattened:
            loss += chance.uniform(0, habits.flat) * p
        major = chance.uniform(low, high) - loss + 2 * plate
        flank = chance.uniform(flank_low, flank_high) - 0.3 * min(loss, 0.1 * p) + 4 * plate
        minor = flank - (standard.flank - standard.inner) - chance.uniform(0, 0.15) * p
    pitch = p * (1 + chance.gauss(0, 0.0005))
    return Piece(standard, internal, major, flank, minor, pitch, _hexagon(standard, chance))


@cache
def _hexagons() -> dict[tuple[str, str], float]:
    widths: dict[tuple[str, str], float] = {}
    tables = (
        ("asme_b18_2_1_2012", ("UNC", "UNF", "UNEF"), INCH),
        ("bs_1083_1965", ("BSW", "BSF", "CEI"), INCH),
        ("bs_57_1951", ("BA",), 1.0),
        ("iso_272_1982", ("coarse", "fine"), 1.0),
    )
    for folder, families, unit in tables:
        for row in _rows(folder):
            for family in families:
                widths[family, row["size"]] = float(row["AF_max_or_nominal"]) * unit
    return widths


def _hexagon(standard: Standard, chance: Random) -> float | None:
    width = _hexagons().get((standard.family, standard.size))
    if width is None or chance.random() < 0.12:
        width = standard.major * chance.uniform(1.3, 2.1)
    worn = chance.expovariate(1 / 0.15) if chance.random() < 0.2 else 0.0
    return width * (1 - chance.uniform(0, 0.015)) - worn


class Bench:
    """A person at a bench for one session: gauges that are off by the same amount for every piece."""

    def __init__(self, chance: Random, habits: Habits) -> None:
        self.chance = chance
        self.caliper_off = chance.gauss(0, habits.shared)
        self.micrometer_off = chance.gauss(0, 0.2 * habits.shared)
        self.eye = chance.uniform(0.03, 0.09)
        self.light = chance.uniform(0.01, 0.025)
        one_gauge = chance.random() < habits.one_gauge
        self.gauges = chance.choice((("tpi",), ("mm",))) if one_gauge else ("tpi", "mm")

    def caliper(self, value: float, u: float) -> float:
        """Read a diameter with the caliper."""
        return max(value + self.caliper_off + self.chance.gauss(0, u), 0.05)

    def micrometer(self, value: float, u: float) -> float:
        """Read a diameter with the micrometer."""
        return max(value + self.micrometer_off + self.chance.gauss(0, u), 0.05)

    def pitch(self, piece: Piece, u: float) -> float:
        """Measure the pitch over several turns."""
        return max(piece.pitch + self.chance.gauss(0, u), 0.05)

    def leaf(self, piece: Piece) -> tuple[str, float] | None:
        """Try the leaves of an inch and a metric gauge, or of the only one; none where none seems to fit."""
        teeth = self.chance.randint(5, 9)
        tried = [("tpi", float(tpi), INCH / tpi) for tpi in INCH_LEAVES]
        tried += [("mm", float(mm), float(mm)) for mm in METRIC_LEAVES]
        fitting = []
        for unit, mark, pitch in tried:
            if unit not in self.gauges:
                continue
            length = min(teeth, 25 / pitch)
            gap = abs(pitch - piece.pitch) * length + abs(self.chance.gauss(0, 0.01))
            if gap < self.eye:
                fitting.append((gap, unit, mark))
        if not fitting:
            return None
        _, unit, mark = min(fitting)
        if self.chance.random() < 0.003:
            marks = [float(leaf) for leaf in (INCH_LEAVES if unit == "tpi" else METRIC_LEAVES)]
            beside = marks.index(mark) + self.chance.choice((-1, 1))
            mark = marks[min(max(beside, 0), len(marks) - 1)]
        return unit, mark

    def angle(self, piece: Piece, gauge: float) -> bool:
        """Hold an angle gauge against the light: does it seem to fit?"""
        off = abs(math.tan(math.radians(gauge / 2)) - math.tan(math.radians(piece.standard.angle / 2)))
        gap = 0.55 * piece.pitch * off + abs(self.chance.gauss(0, 0.006))
        return gap < self.light

    def tapers(self, piece: Piece) -> bool:
        """Measure the diameter at both ends: is it a taper?"""
        return piece.standard.taper is (self.chance.random() < 0.97)

    def ring(self, piece: Piece, standard: Standard) -> bool:
        """Turn a GO ring, or a good nut, of a standard thread on for some threads."""
        along = abs(piece.pitch - standard.pitch) * min(8, 25 / standard.pitch)
        room = standard.flank + 0.02 * standard.pitch - piece.flank
        crest = standard.major + 0.05 * standard.pitch - piece.major
        return room - along > -0.01 and crest > 0 and self.chance.random() < 0.97
