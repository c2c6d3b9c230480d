"""A measured length means a standard one within its tolerance, and lies between two elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.units import LengthUnit, neighbours, nominal_length

INCH, MM = LengthUnit.INCH, LengthUnit.MM


@pytest.mark.parametrize(
    ("mm", "series", "said"),
    [
        (34.9, INCH, "1 3/8 in"),
        (34.9, MM, "35 mm"),
        (34.2, INCH, "1 3/8 in"),
        (35.5, INCH, "1 3/8 in"),
        (9.5, INCH, "3/8 in"),
        (57.0, INCH, "2 1/4 in"),
        (85.0, INCH, "3 3/8 in"),
        (150.0, INCH, "6 in"),
        (28.0, MM, "28 mm"),
        (12.3, MM, "12 mm"),
        (119.4, MM, "120 mm"),
    ],
)
def test_a_length_within_tolerance_is_the_standard_one(mm: float, series: LengthUnit, said: str) -> None:
    nominal = nominal_length(mm, series=series)
    assert nominal is not None
    assert nominal.said == said
    assert nominal.typed_mm == mm
    assert nominal.deviation_mm == pytest.approx(mm - nominal.mm)


@pytest.mark.parametrize(
    ("mm", "series"),
    [(36.5, INCH), (128.0, INCH), (49.2, INCH), (37.5, MM), (34.0, MM), (1.0, MM), (600.0, MM), (1.0, INCH)],
)
def test_a_length_between_two_or_outside_is_none(mm: float, series: LengthUnit) -> None:
    assert nominal_length(mm, series=series) is None


def test_neighbours_are_the_two_standard_lengths_around() -> None:
    found = neighbours(36.5, INCH)
    assert found.below is not None
    assert found.above is not None
    assert (found.below.said, found.above.said) == ("1 3/8 in", "1 1/2 in")
    assert found.below.deviation_mm == pytest.approx(1.575)
    on_it = neighbours(35.0, MM)
    assert on_it.below == on_it.above
    assert neighbours(1.0, MM).below is None
    assert neighbours(900.0, INCH).above is None


@pytest.mark.parametrize("mm", [0.0, -3.0, float("nan"), float("inf")])
def test_what_is_no_length_is_refused(mm: float) -> None:
    with pytest.raises(InvalidInput, match="length needs a length of more than nothing"):
        nominal_length(mm, series=INCH)
    with pytest.raises(InvalidInput, match="length needs a length of more than nothing"):
        neighbours(mm, MM)


@given(st.floats(3.2, 499.0), st.sampled_from(LengthUnit))
def test_the_standard_length_is_the_nearer_neighbour(mm: float, series: LengthUnit) -> None:
    around = neighbours(mm, series)
    assert around.below is not None
    assert around.above is not None
    assert around.below.mm <= mm + 1e-9
    assert around.above.mm >= mm - 1e-9
    nominal = nominal_length(mm, series=series)
    if nominal is not None:
        nearer = min((around.below, around.above), key=lambda one: abs(one.deviation_mm))
        assert nominal.mm == nearer.mm


@given(st.floats(3.2, 499.0), st.sampled_from(LengthUnit))
def test_the_standard_length_of_a_standard_length_is_itself(mm: float, series: LengthUnit) -> None:
    for one in (neighbours(mm, series).below, neighbours(mm, series).above):
        assert one is not None
        again = nominal_length(one.mm, series=series)
        assert again is not None
        assert again.said == one.said
