"""Numbers spoken in words are written in figures, and other words are left alone."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.units import in_figures, plain_signs

ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


@pytest.mark.parametrize(
    ("spoken", "written"),
    [
        (
            "nine hex bolts five sixteenths twenty four by inch and three eighths, clear, bag tee one",
            "9 hex bolts 5/16 24 by inch and 3/8, clear, bag tee 1",
        ),
        ("half a dozen nuts", "6 nuts"),
        ("two dozen washers", "24 washers"),
        ("a dozen", "12"),
        ("Twenty-four", "24"),
        ("seven-sixteenths twenty", "7/16 20"),
        ("two hundred and five", "205"),
        ("thirty four point nine", "34.9"),
        ("nought point oh one", "0.01"),
        ("twenty one thirty seconds", "21/32"),
        ("three eighths sixteen", "3/8 16"),
        ("one, two", "1, 2"),
        ("half nuts and lock-tab washers", "half nuts and lock-tab washers"),
        ("quarter of an inch", "1/4 of an inch"),
        ("2¼", "2 1/4"),
        ("second hand", "second hand"),
        ("", ""),
    ],
)
def test_numbers_are_written_in_figures(spoken: str, written: str) -> None:
    assert in_figures(spoken) == written


@given(st.integers(0, 99))
def test_every_number_to_ninety_nine_is_read(number: int) -> None:
    if number < 20:
        words = ONES[number]
    else:
        words = TENS[number // 10 - 2] + (f" {ONES[number % 10]}" if number % 10 else "")
    assert in_figures(words) == str(number)


@given(st.text(alphabet="0123456789.,/-+\"' ", max_size=60))
def test_what_is_in_figures_already_stays_as_it_is(text: str) -> None:
    assert in_figures(text) == " ".join(plain_signs(text).split())


@given(st.lists(st.sampled_from(["clear", "gear", "case", "bag", "T1", "5/16", "of", "an", "inch", "point"])))
def test_words_that_are_no_numbers_are_left_alone(words: list[str]) -> None:
    assert in_figures(" ".join(words)) == " ".join(words)


def test_signs_of_other_keyboards_become_plain() -> None:
    assert plain_signs("1⅜″ × 5⁄16–24") == '1 3/8" x 5/16-24'
