"""Every standard length is found from a measured one within tolerance; between two nobody guesses."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.lot_lengths import read_lot_length
from runningfit.core.units import LengthUnit, nominal_length
from runningfit.core.units.nominal import neighbours

# Lengths as bolts are stocked, in inches: common practice, no source.
INCH = tuple(
    Fraction(at, 16) for at in [*range(2, 9), *range(10, 65, 2), *range(68, 97, 4), *range(104, 321, 8)]
)
# ISO 888, nominal lengths up to 200 mm, those in brackets too; from memory.
METRIC = (
    2, 2.5, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85,
    90, 95, 100, 105, 110, 115, 120, 125, 130, 140, 150, 160, 170, 180, 190, 200,
)  # fmt: skip


def inch_name(length: Fraction) -> str:
    whole, part = divmod(length, 1)
    return f"{int(whole)} {part} in" if whole and part else f"{part or int(whole)} in"


@pytest.mark.parametrize("length", INCH, ids=inch_name)
@pytest.mark.parametrize("off_in", [0.0, -0.015, 0.015, -0.029])
def test_an_inch_length_is_found_within_its_tolerance(length: Fraction, off_in: float) -> None:
    # ASME B18.2.1 allows short bolts of 1/4 to 3/8 in to be 0.03 in short, from memory; longer ones more.
    found = nominal_length((float(length) + off_in) * 25.4, series=LengthUnit.INCH)
    assert found is not None
    assert found.said == inch_name(length)
    assert found.mm == pytest.approx(float(length) * 25.4)
    assert found.deviation_mm == pytest.approx(off_in * 25.4)


@pytest.mark.parametrize("length", METRIC)
@pytest.mark.parametrize("off_mm", [0.0, -0.19, 0.19])
def test_a_metric_length_is_found_within_its_tolerance(length: float, off_mm: float) -> None:
    # The narrowest band of ISO 4759-1 grade A, js15 up to 3 mm, is 0.20 mm either way; from memory.
    found = nominal_length(length + off_mm, series=LengthUnit.MM)
    assert found is not None
    assert found.said == f"{length:g} mm"


@pytest.mark.parametrize(("below", "above"), list(pairwise(INCH)), ids=inch_name)
def test_between_two_inch_lengths_nobody_guesses(below: Fraction, above: Fraction) -> None:
    middle_mm = float(below + above) / 2 * 25.4
    found = nominal_length(middle_mm, series=LengthUnit.INCH)
    between = neighbours(middle_mm, LengthUnit.INCH)
    assert between.below is not None
    assert between.above is not None
    assert (between.below.said, between.above.said) == (inch_name(below), inch_name(above))
    assert found is None


@pytest.mark.parametrize(("below", "above"), list(pairwise(METRIC)))
def test_between_two_metric_lengths_nobody_guesses(below: float, above: float) -> None:
    middle_mm = (below + above) / 2
    between = neighbours(middle_mm, LengthUnit.MM)
    assert nominal_length(middle_mm, series=LengthUnit.MM) is None
    assert between.below is not None
    assert between.above is not None
    assert (between.below.mm, between.above.mm) == (below, above)


@pytest.mark.parametrize(
    ("typed", "series", "nominal", "mm"),
    [
        ("34.9", LengthUnit.INCH, "1 3/8 in", 34.9),
        ("34.9", LengthUnit.MM, "35 mm", 34.9),
        ("1.37", LengthUnit.INCH, "1 3/8 in", 34.798),
        ("1.3/8", LengthUnit.INCH, None, None),
        ("1 3/8in", LengthUnit.INCH, "1 3/8 in", 34.925),
        ('1-3/8"', LengthUnit.INCH, "1 3/8 in", 34.925),
        ("1,375", LengthUnit.INCH, "1 3/8 in", 34.925),
        (".875", LengthUnit.INCH, "7/8 in", 22.225),
        ("inch and a half", LengthUnit.INCH, "1 1/2 in", 38.1),
        ('2"', LengthUnit.INCH, "2 in", 50.8),
        ("2 in overall", LengthUnit.INCH, "2 in", 50.8),
        ("35", LengthUnit.INCH, "1 3/8 in", 35.0),
        ("35mm", LengthUnit.INCH, "1 3/8 in", 35.0),
        ("6", LengthUnit.INCH, "6 in", 152.4),
        ("8", LengthUnit.INCH, None, None),
        ("1 5/0", LengthUnit.INCH, None, None),
        ("-4", LengthUnit.INCH, None, None),
        ("some", LengthUnit.INCH, None, None),
    ],
)
def test_a_typed_length_means_its_standard_length(
    typed: str, series: LengthUnit, nominal: str | None, mm: float | None
) -> None:
    length = read_lot_length(typed, kind=Kind.HEX_BOLT, column_unit=None, thread_unit=series)
    assert (length.nominal, bool(length.problems)) == (nominal, nominal is None)
    assert length.mm == (None if mm is None else pytest.approx(mm))
