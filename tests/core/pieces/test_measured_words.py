"""Sizes and pitches of a thread as they are typed at the bench, and as a caliper sends them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.measured_words import read_leaf, read_measured
from runningfit.core.units import LengthUnit

INCH, MM = LengthUnit.INCH, LengthUnit.MM


@pytest.mark.parametrize(
    ("typed", "unit", "mm"),
    [
        ("7.87", INCH, 7.87),
        ("7,87", INCH, 7.87),
        (".3098", MM, 0.3098 * 25.4),
        ("0.3098", INCH, 0.3098 * 25.4),
        ("5/16", MM, 7.9375),
        ("7.87mm", INCH, 7.87),
        ("0.3098 in", MM, 0.3098 * 25.4),
        ("1.25", INCH, 31.75),
        ("1.25", MM, 1.25),
        ("8", INCH, 8.0),
        ("2", INCH, 2.0),
        ("60 mm", INCH, 60.0),
        ("2 1/4 in", MM, 57.15),
    ],
)
def test_a_size_is_read_in_the_unit_in_which_it_can_be_one(typed: str, unit: LengthUnit, mm: float) -> None:
    assert read_measured(typed, default_unit=unit).mm == pytest.approx(mm)


@pytest.mark.parametrize("typed", ["60", "0.01"])
def test_a_bare_number_that_can_be_no_thread_asks_for_its_unit(typed: str) -> None:
    with pytest.raises(InvalidInput, match=r"Write in or mm behind it"):
        read_measured(typed, default_unit=INCH)


@pytest.mark.parametrize("typed", ["1.3/8", "13/8"])
def test_a_size_that_reads_two_ways_is_asked_about(typed: str) -> None:
    with pytest.raises(InvalidInput, match="a size that reads one way"):
        read_measured(typed, default_unit=INCH)


@pytest.mark.parametrize(
    ("typed", "pitch_mm", "said"),
    [
        ("24", 25.4 / 24, "24 tpi"),
        ("24 TPI", 25.4 / 24, "24 tpi"),
        ("20 threads per inch", 1.27, "20 tpi"),
        ("11 1/2", 25.4 / 11.5, "11.5 tpi"),
        ("11.5", 25.4 / 11.5, "11.5 tpi"),
        ("11½ tpi", 25.4 / 11.5, "11.5 tpi"),
        ("6 tpi", 25.4 / 6, "6 tpi"),
        ("6 mm", 6.0, "6 mm"),
        ("1.25", 1.25, "1.25 mm"),
        ("1,25 mm", 1.25, "1.25 mm"),
        (".8", 0.8, "0.8 mm"),
        ("1", 1.0, "1 mm"),
        ("1mm", 1.0, "1 mm"),
    ],
)
def test_a_leaf_is_read_as_it_is_stamped(typed: str, pitch_mm: float, said: str) -> None:
    leaf = read_leaf(typed)
    assert leaf.pitch_mm == pytest.approx(pitch_mm)
    assert leaf.said == said


@pytest.mark.parametrize("typed", ["5", "6"])
def test_a_whole_number_that_can_be_either_is_asked_about(typed: str) -> None:
    with pytest.raises(InvalidInput, match=f"Write {typed} tpi or {typed} mm"):
        read_leaf(typed)


@pytest.mark.parametrize("typed", ["", "0", "0 tpi", "999", "24 mm", "fine", "-24", "24 24", "0.0"])
def test_what_is_no_leaf_is_refused(typed: str) -> None:
    with pytest.raises(InvalidInput, match="leaf needs a leaf such as 24"):
        read_leaf(typed)


@given(st.text(max_size=12))
def test_anything_typed_is_a_leaf_or_refused(typed: str) -> None:
    try:
        leaf = read_leaf(typed)
    except InvalidInput:
        return
    assert 0.1 < leaf.pitch_mm < 9
