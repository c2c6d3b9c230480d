"""Zones lie where the rules of the standard put them, and what it does not have is refused."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.limits_and_fits import (
    FitKind,
    read_fit,
    read_zone,
    standard_tolerance_um,
    zone_limits,
)
from runningfit.core.standards.tables import rows

SIZES = st.floats(min_value=0.5, max_value=500)
EVERYWHERE = [
    "c",
    "d",
    "e",
    "f",
    "g",
    "h",
    "js",
    "k",
    "m",
    "n",
    "p",
    "r",
    "s",
    "u",
    "x",
    "z",
    "za",
    "zb",
    "zc",
]
# ISO 286-1:1988, annex A: deviations by formula of D, the geometric mean of the range, with their signs.
FORMULAS: dict[str, Callable[[float, Callable[[int], float]], float]] = {
    "a": lambda d, _it: -(265 + 1.3 * d if d <= 120 else 3.5 * d),
    "b": lambda d, _it: -(140 + 0.85 * d if d <= 160 else 1.8 * d),
    "c": lambda d, _it: -(95 + 0.8 * d),
    "d": lambda d, _it: -16 * d**0.44,
    "e": lambda d, _it: -11 * d**0.41,
    "f": lambda d, _it: -5.5 * d**0.41,
    "g": lambda d, _it: -2.5 * d**0.34,
    "m": lambda _d, it: it(7) - it(6),
    "n": lambda d, _it: 5 * d**0.34,
    "s": lambda d, it: it(7) + 0.4 * d,
    "t": lambda d, it: it(7) + 0.63 * d,
    "u": lambda d, it: it(7) + d,
    "v": lambda d, it: it(7) + 1.25 * d,
    "x": lambda d, it: it(7) + 1.6 * d,
    "y": lambda d, it: it(7) + 2 * d,
    "z": lambda d, it: it(7) + 2.5 * d,
    "za": lambda d, it: it(8) + 3.15 * d,
    "zb": lambda d, it: it(9) + 4 * d,
    "zc": lambda d, it: it(10) + 5 * d,
}
MAIN = (50, 80, 120, 180, 250, 315, 400, 500)


@pytest.mark.parametrize("letter", FORMULAS)
def test_the_table_rounds_the_formula_of_the_annex_over_50_mm(letter: str) -> None:
    found = [row for row in rows("iso_286_1_2010_deviations") if row["letter"] == letter]
    checked = 0
    for row in found:
        over, to = float(row["over_mm"]), float(row["to_mm"])
        if over < 50:
            continue
        if letter in {"d", "e", "f", "g", "n", "m"}:
            # These take the mean of the whole range, not of its parts.
            to = next(edge for edge in MAIN if edge >= to)
            over = MAIN[MAIN.index(int(to)) - 1]
        ours = FORMULAS[letter](sqrt(over * to), partial(standard_tolerance_um, to))
        # The standard rounds to coarser steps as the value grows.
        assert float(row["deviation_um"]) == pytest.approx(ours, abs=1.6, rel=0.05), (letter, over, to)
        checked += 1
    assert checked == 16


@given(SIZES, st.sampled_from(EVERYWHERE), st.integers(5, 11))
def test_every_zone_is_as_wide_as_its_grade(nominal_mm: float, letter: str, grade: int) -> None:
    width = standard_tolerance_um(nominal_mm, grade)
    shaft = zone_limits(nominal_mm, read_zone(f"{letter}{grade}"))
    assert shaft.upper_um - shaft.lower_um == pytest.approx(width)
    if letter != "k" or grade <= 8 or nominal_mm <= 3:
        if letter == "n" and grade > 8 and nominal_mm <= 1:
            return
        hole = zone_limits(nominal_mm, read_zone(f"{letter.upper()}{grade}"))
        assert hole.upper_um - hole.lower_um == pytest.approx(width)


@given(SIZES, st.sampled_from("cdefgh"), st.integers(5, 11), st.integers(5, 11))
def test_hole_basis_and_shaft_basis_give_the_same_clearance(
    nominal_mm: float, letter: str, hole: int, shaft: int
) -> None:
    by_hole = read_fit(f"{nominal_mm:.3f} H{hole}/{letter}{shaft}")
    by_shaft = read_fit(f"{nominal_mm:.3f} {letter.upper()}{hole}/h{shaft}")
    assert by_hole.clearance_min_um == pytest.approx(by_shaft.clearance_min_um)
    assert by_hole.clearance_max_um == pytest.approx(by_shaft.clearance_max_um)


@given(
    st.floats(min_value=3.01, max_value=500), st.sampled_from(["p", "r", "s", "u"]), st.sampled_from([6, 7])
)
def test_the_delta_makes_press_fits_alike_with_the_hole_one_grade_coarser(
    nominal_mm: float, letter: str, grade: int
) -> None:
    by_hole = read_fit(f"{nominal_mm:.3f} H{grade}/{letter}{grade - 1}")
    by_shaft = read_fit(f"{nominal_mm:.3f} {letter.upper()}{grade}/h{grade - 1}")
    assert by_hole.clearance_min_um == pytest.approx(by_shaft.clearance_min_um)
    assert by_hole.clearance_max_um == pytest.approx(by_shaft.clearance_max_um)


def test_grades_from_6_on_grow_by_the_fifth_root_of_ten() -> None:
    for row in rows("iso_286_1_2010_grades"):
        for grade in range(6, 14):
            ratio = float(row[f"IT{grade + 5}_um"]) / float(row[f"IT{grade}_um"])
            assert ratio == pytest.approx(10, rel=0.09), (row["to_mm"], grade)


@pytest.mark.parametrize(
    ("zone", "nominal_mm", "limits"),
    [
        ("k8", 50, (39, 0)),
        ("k3", 50, (4, 0)),
        ("N9", 50, (0, -62)),
        ("M6", 300, (-9, -41)),
        ("M7", 300, (0, -52)),
        ("K7", 3, (0, -10)),
        ("P8", 50, (-26, -65)),
        ("JS7", 25, (10.5, -10.5)),
        ("H7", 3150, (210, 0)),
        ("j7", 25, (13, -8)),
    ],
)
def test_the_exceptions_of_the_standard(zone: str, nominal_mm: float, limits: tuple[float, float]) -> None:
    ours = zone_limits(nominal_mm, read_zone(zone))
    assert (ours.upper_um, ours.lower_um) == limits


def test_a_size_on_an_edge_belongs_below_it() -> None:
    assert standard_tolerance_um(30, 7) == 21
    assert standard_tolerance_um(30.001, 7) == 25
    assert read_fit("1.19 in RC4").hole.upper_um == pytest.approx(1.2 * 25.4)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("25 H7/g6", FitKind.CLEARANCE),
        ("25 H7/h6", FitKind.CLEARANCE),
        ("Ø25 mm k6 / H7", FitKind.TRANSITION),
        ("25H7-p6", FitKind.INTERFERENCE),
        ("1 in RC 4", FitKind.CLEARANCE),
        ('1" H7/s6', FitKind.INTERFERENCE),
    ],
)
def test_fits_are_read_as_they_are_written(text: str, kind: FitKind) -> None:
    assert read_fit(text).kind is kind


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("H7/g6", "size and both zones"),
        ("25 H7", "size and both zones"),
        ("25 h7/g6", "one hole with capitals"),
        ("25 Hg7/g6", "capitals for a hole, small letters for a shaft"),
        ("25 H7/q6", "one of the letters"),
        ("25 H19/g6", "grade needs 1 to 18"),
        ("0.8 H14/g6", "13 or finer"),
        ("600 H7/p6", "ends at 500 mm"),
        ("4000 H7/h6", "at most 3150 mm"),
        ("20 H7/t6", "used over 24 mm"),
        ("12 CD7/h6", "up to 10 mm"),
        ("25 J9/h6", "J6, J7 and J8"),
        ("25 H7/j8", "up to 3 mm"),
        ("0.9 A9/h6", "not used up to 1 mm"),
        ("25 K9/h6", "not used over 3 mm"),
        ("25 P2/h6", "begins at grade 3"),
        ("1 in RC9", "one of the inch fits RC3, RC4"),
        ("0.2 in RC3", "one of the ranges of RC3"),
        ("abc H7/g6", "size and both zones"),
    ],
)
def test_what_is_no_fit_is_refused(text: str, match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        read_fit(text)


def test_the_clearance_of_an_inch_fit_follows_from_its_limits() -> None:
    for row in rows("asme_b4_1_1967"):
        least = float(row["hole_lower_thou"]) - float(row["shaft_upper_thou"])
        most = float(row["hole_upper_thou"]) - float(row["shaft_lower_thou"])
        assert (least, most) == pytest.approx(
            (float(row["clearance_min_thou"]), float(row["clearance_max_thou"])), abs=0.051
        )
