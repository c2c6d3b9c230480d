"""Lengths are read as the trade writes and says them, and asked about where there are two readings."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.units import (
    Length,
    LengthQuestion,
    LengthUnit,
    format_length,
    read_length,
    read_offset,
)

INCH, MM = LengthUnit.INCH, LengthUnit.MM


def read(text: str, default_unit: LengthUnit | None = INCH) -> Length:
    length = read_length(text, default_unit=default_unit)
    assert isinstance(length, Length), length
    return length


@pytest.mark.parametrize(
    ("text", "mm", "said"),
    [
        ("1 3/8", 34.925, "1 3/8 in"),
        ('1-3/8"', 34.925, "1 3/8 in"),
        ("1-3/8 in", 34.925, "1 3/8 in"),
        ("1 3/8″", 34.925, "1 3/8 in"),
        ("1⅜", 34.925, "1 3/8 in"),
        ("1 3⁄8", 34.925, "1 3/8 in"),
        ("1 ³⁄₈ in", 34.925, "1 3/8 in"),
        ("1 - 3 / 8", 34.925, "1 3/8 in"),
        ("inch and three eighths", 34.925, "1 3/8 in"),
        ("Inch and three-eighths", 34.925, "1 3/8 in"),
        ("one and three eighths", 34.925, "1 3/8 in"),
        ("one three eighths", 34.925, "1 3/8 in"),
        ("an inch and a half", 38.1, "1 1/2 in"),
        ("two and a quarter", 57.15, "2 1/4 in"),
        ("three quarters", 19.05, "3/4 in"),
        ("five eighths of an inch", 15.875, "5/8 in"),
        ("half an inch", 12.7, "1/2 in"),
        ("quarter inch", 6.35, "1/4 in"),
        ("five thirty seconds", 3.96875, "5/32 in"),
        ("one sixty fourth", 0.396875, "1/64 in"),
        ("an inch", 25.4, "1 in"),
        ("two inches", 50.8, "2 in"),
        ('2" 1/4', 57.15, "2 1/4 in"),
        ("2 1/4 in", 57.15, "2 1/4 in"),
        ("2¼", 57.15, "2 1/4 in"),
        ("1 4/8", 38.1, "1 1/2 in"),
        ("1''", 25.4, "1 in"),
        ('7/8" long', 22.225, "7/8 in"),
        ("9/8", 28.575, "1 1/8 in"),
        (".250", 6.35, "0.250 in"),
        ("0,250", 6.35, "0.250 in"),
        ("1,250", 31.75, "1.250 in"),
        ("two point one two five inches", 53.975, "2.125 in"),
        ("10 thou", 0.254, "0.010 in"),
        ("forty thou", 1.016, "0.040 in"),
        ("34,9mm", 34.9, "34.9 mm"),
        ("34.9 mm", 34.9, "34.9 mm"),
        ("thirty four point nine mill", 34.9, "34.9 mm"),
        ("one hundred and twenty eight mm", 128.0, "128 mm"),
        ("3.49 cm", 34.9, "34.9 mm"),
    ],
)
def test_a_length_is_read(text: str, mm: float, said: str) -> None:
    length = read(text)
    assert length.mm == pytest.approx(mm, abs=1e-9)
    assert length.said == said
    assert length.typed == text


def test_the_default_unit_is_for_bare_numbers_only() -> None:
    assert read("34.9", MM).mm == 34.9
    assert read("34.9", INCH).mm == pytest.approx(886.46)
    assert read("1 3/8", MM).said == "1 3/8 in"
    assert read("1 in", MM).unit is INCH


@pytest.mark.parametrize(
    ("text", "default_unit", "readings"),
    [
        ("1.3/8", INCH, ("1 3/8 in", "1.3/8 in")),
        ("1,3/8", MM, ("1 3/8 in", "1.3/8 in")),
        ("13/8", INCH, ("1 3/8 in", "1 5/8 in")),
        ("21/4", INCH, ("2 1/4 in", "5 1/4 in")),
        ("10 mil", INCH, ("10 mm", "0.010 in")),
        ("1,250", MM, ("1.250 mm", "1250 mm")),
        ("1.375", None, ("1.375 in", "1.375 mm")),
    ],
)
def test_text_with_two_readings_is_asked_about(
    text: str, default_unit: LengthUnit | None, readings: tuple[str, ...]
) -> None:
    question = read_length(text, default_unit=default_unit)
    assert isinstance(question, LengthQuestion)
    assert tuple(reading.said for reading in question.readings) == readings
    assert all(said in question.question for said in readings)
    assert question.question.startswith(f"'{text}' can be ")


def test_both_readings_of_a_point_for_a_space_have_their_length() -> None:
    question = read_length("1.3/8", default_unit=INCH)
    assert isinstance(question, LengthQuestion)
    assert [reading.mm for reading in question.readings] == pytest.approx([34.925, 4.1275])


def test_a_number_that_only_fits_one_unit_is_not_asked_about() -> None:
    length = read_length("1250", default_unit=None)
    assert isinstance(length, Length)
    assert length.said == "1250 mm"


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("1 5/0", "5/0 is no fraction of an inch"),
        ("1 5/17 ", "5/17 is no fraction of an inch"),
        ("1 9/8", "9/8 cannot follow a whole number"),
        ("3/128", "3/128 is no fraction of an inch"),
        ("", "Type the length, or leave it out"),
        ("   ", "Type the length, or leave it out"),
        ("some", "Type a number with in or mm"),
        ("nan", "Type a number with in or mm"),
        ("inf", "Type a number with in or mm"),
        ("1e3", "Type a number with in or mm"),
        ("١", "Type a number with in or mm"),
        ("-3", "A length has no sign"),
        ("−3 mm", "A length has no sign"),
        ("+10 thou", "A length has no sign"),
        ("0", "a length is more than nothing"),
        ("0.0 mm", "a length is more than nothing"),
        ("6000 mm", "that would be 6 m"),
        ("300 in", "that would be 7.62 m"),
        ("3 1/2 mm", "Fractions are of an inch"),
        ("1.3/8 mm", "Fractions are of an inch"),
        ("9" * 100, "Type the length alone"),
    ],
)
def test_what_is_no_length_says_what_to_do(text: str, remedy: str) -> None:
    with pytest.raises(InvalidInput, match=remedy) as refused:
        read_length(text, default_unit=INCH)
    assert refused.value.argument == "length"


def answer(text: str, default_unit: LengthUnit | None) -> Length | LengthQuestion | str:
    """Read text as a length; give back the length, the question, or what to do."""
    try:
        return read_length(text, default_unit=default_unit)
    except InvalidInput as refused:
        return refused.remedy


@given(st.text(max_size=90), st.sampled_from([INCH, MM, None]))
def test_any_text_is_read_asked_about_or_refused(text: str, default_unit: LengthUnit | None) -> None:
    given_back = answer(text, default_unit)
    assert given_back
    assert isinstance(given_back, str) or given_back.typed == text


@given(st.integers(1, 12000), st.sampled_from(LengthUnit))
def test_what_is_shown_is_read_back(thousandths: int, unit: LengthUnit) -> None:
    mm = thousandths / 64 * 25.4 if unit is INCH else thousandths / 8
    shown = format_length(mm, unit)
    assert read(shown).mm == pytest.approx(mm, abs=1e-6)


@given(st.floats(0.05, 4999.0))
def test_any_length_shown_is_read_back_within_what_is_shown(mm: float) -> None:
    assert read(format_length(mm, MM)).mm == pytest.approx(mm, abs=0.0005001)
    assert read(format_length(mm, INCH)).mm == pytest.approx(mm, abs=0.0005001 * 25.4)


@given(st.integers(0, 9), st.integers(1, 63), st.sampled_from([" ", "-", " and ", " inch and "]))
def test_every_mixed_number_is_read_however_it_is_joined(whole: int, over: int, join: str) -> None:
    fraction = Fraction(over, 64)
    written = f"{whole}{join}{fraction}" if whole else str(fraction)
    assert read(written).mm == pytest.approx(float((whole + fraction) * Fraction(127, 5)))


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("+10 thou", 0.254),
        ("10 thou", 0.254),
        ("-0.25 mm", -0.25),
        ("− 5 thou", -0.127),
        ("ten thou oversize", 0.254),
        (".010 under", -0.254),
        ("plus 1/64", 0.396875),
        ("minus five thou", -0.127),
        ("0", 0.0),
        ("-0.00 mm", 0.0),
    ],
)
def test_an_addition_to_a_size_is_read(text: str, mm: float) -> None:
    assert read_offset(text, default_unit=INCH) == pytest.approx(mm)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [("", "Type the length"), ("some", "Type a number"), ("10 mil", "Write the unit"), ("--5", "no sign")],
)
def test_what_is_no_addition_says_what_to_do(text: str, remedy: str) -> None:
    with pytest.raises(InvalidInput, match=f"offset needs an addition.*{remedy}"):
        read_offset(text, default_unit=INCH)


def test_an_addition_without_a_unit_is_refused_where_none_is_given() -> None:
    with pytest.raises(InvalidInput, match="reads one way"):
        read_offset("+.010", default_unit=None)
