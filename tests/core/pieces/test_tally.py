"""One press of a caliper's button: a standard length, or a question, never a wrong length in silence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.tally import read_caliper, read_press
from runningfit.core.units import LengthUnit

MM, INCH = LengthUnit.MM, LengthUnit.INCH


@pytest.mark.parametrize(
    ("typed", "unit"),
    [
        ("34.91", MM),
        ("34,91", MM),
        ("+034.90", MM),
        ("34.91 mm", INCH),
        ("34.9mm hold", INCH),
        ("1.3750", INCH),
        ("1.375in", MM),
        ("1 3/8", MM),
        ("01A+00034.90", MM),
    ],
)
def test_a_reading_counts_as_the_nearest_standard_length(typed: str, unit: LengthUnit) -> None:
    reading = read_press(typed, unit=unit, series=INCH)
    assert reading.length is not None
    assert reading.length.said == "1 3/8 in"
    assert reading.question == ""


def test_a_reading_on_metric_pieces_counts_as_a_metric_length() -> None:
    reading = read_press("34.91", unit=MM, series=MM)
    assert reading.length is not None
    assert reading.length.said == "35 mm"


@pytest.mark.parametrize(
    "typed", ["", "abc", "34.934.9", "1.3751.375", "nan", "1e5", "34.9 12", "..", "1 5/0"]
)
def test_what_is_no_single_reading_is_refused(typed: str) -> None:
    with pytest.raises(InvalidInput, match="came"):
        read_press(typed, unit=MM, series=INCH)


def test_a_reading_between_two_lengths_is_asked_with_both() -> None:
    reading = read_press("36.50", unit=MM, series=INCH)
    assert reading.length is None
    assert [choice.said for choice in reading.choices][:2] == ["1 3/8 in", "1 1/2 in"]
    assert "36.5 mm lies between two lengths" in reading.question


@pytest.mark.parametrize("typed", ["0", "0.00", "-0.01"])
def test_nought_is_asked_and_can_be_no_piece(typed: str) -> None:
    reading = read_press(typed, unit=MM, series=INCH)
    assert reading.length is None
    assert reading.choices == ()
    assert "Measure it again" in reading.question


@pytest.mark.parametrize("typed", ["500", "500.00", "2.10"])
def test_a_length_absurd_for_a_fastener_is_asked(typed: str) -> None:
    reading = read_press(typed, unit=MM, series=MM)
    assert reading.length is None
    assert reading.question


def test_a_caliper_left_on_the_other_unit_is_noticed() -> None:
    on_mm = read_press("34.91", unit=INCH, series=INCH)
    assert (on_mm.length, on_mm.choices[0].said) == (None, "1 3/8 in")
    on_inches = read_press("3.3750", unit=MM, series=INCH)
    assert (on_inches.length, on_inches.choices[0].said) == (None, "3 3/8 in")
    short_on_mm = read_press("9.52", unit=INCH, series=INCH)
    assert (short_on_mm.length, short_on_mm.choices[0].said) == (None, "3/8 in")


@given(st.text(max_size=40), st.sampled_from(list(LengthUnit)))
def test_any_text_is_a_reading_or_refused(text: str, unit: LengthUnit) -> None:
    try:
        reading = read_press(text, unit=unit, series=INCH)
    except InvalidInput as error:
        refused: InvalidInput | None = error
    else:
        refused = None
        assert (reading.length is None) == bool(reading.question)
    assert refused is None or refused.argument in {"reading", "length"}


@given(st.floats(min_value=3.0, max_value=300.0), st.sampled_from(list(LengthUnit)))
def test_what_counts_without_asking_is_near_what_was_measured(mm: float, series: LengthUnit) -> None:
    typed = f"{mm:.2f}"
    reading = read_press(typed, unit=MM, series=series)
    assert read_caliper(typed, unit=MM).mm == pytest.approx(mm, abs=0.006)
    assert reading.length is None or abs(reading.length.mm - mm) < 5.0
    assert reading.length is not None or reading.choices
