"""Hardness: read with its scale, refused on the wrong one, converted never further than its table."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.embrittlement import HardnessScale, read_hardness
from runningfit.core.treatments.embrittlement.hardness import converted, tensile_of_hardness_mpa

SCALES = st.sampled_from(list(HardnessScale))


@pytest.mark.parametrize(
    ("text", "low", "high", "scale"),
    [
        ("42 HRC", 42, 42, HardnessScale.HRC),
        ("42hrc", 42, 42, HardnessScale.HRC),
        ("HRC 42", 42, 42, HardnessScale.HRC),
        ("C42", 42, 42, HardnessScale.HRC),
        ("Rockwell C 38 to 41", 38, 41, HardnessScale.HRC),
        ("38..41 HRC", 38, 41, HardnessScale.HRC),
        ("38.5 HRC", 38.5, 38.5, HardnessScale.HRC),
        ("390 HV10", 390, 390, HardnessScale.HV),
        ("320-335 HB", 320, 335, HardnessScale.HB),
        ("95 HRB", 95, 95, HardnessScale.HRB),
    ],
)
def test_a_hardness_is_read_with_its_scale(text: str, low: float, high: float, scale: HardnessScale) -> None:
    read = read_hardness(text)
    assert (read.low, read.high, read.scale) == (low, high, scale)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("42", r"needs a number and its scale.*A number alone says nothing"),
        ("420 HRC", r"needs 20 to 68 on the scale HRC; '420 HRC' came. 420 could be HV or HB"),
        ("42 HV", r"needs 80 to 950 on the scale HV.*42 could be HRC or HRB"),
        ("15 HRC", r"needs 20 to 68 on the scale HRC.*Measure again"),
        ("120 HRB", r"needs 40 to 100 on the scale HRB.*could be HV or HB"),
        ("42 HRX", r"Scales known here are HRC, HRB, HV and HB"),
        ("60 Shore", r"Scales known here are"),
        ("41..38 HRC", r"The smaller number goes first"),
        ("hard", r"Type what the tester reads"),
        ("-42 HRC", r"Type what the tester reads"),
        ("", r"Type what the tester reads"),
    ],
)
def test_what_is_no_hardness_is_refused(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        read_hardness(text)


@given(value=st.floats(21, 64), wanted=SCALES)
def test_a_conversion_there_and_back_is_where_it_was(value: float, wanted: HardnessScale) -> None:
    there = converted(value, HardnessScale.HRC, wanted)
    back = None if there is None else converted(there, wanted, HardnessScale.HRC)
    assert back is None or back == pytest.approx(value, abs=0.5)


@given(one=st.floats(20, 68), other=st.floats(20, 68))
def test_what_is_harder_is_harder_on_every_scale(one: float, other: float) -> None:
    low, high = sorted((one, other))
    for wanted in (HardnessScale.HV, HardnessScale.HB):
        soft, hard = (converted(value, HardnessScale.HRC, wanted) for value in (low, high))
        assert soft is None or hard is None or soft <= hard


def test_no_table_is_extended() -> None:
    assert converted(66, HardnessScale.HRC, HardnessScale.HV) is None
    assert converted(70, HardnessScale.HRB, HardnessScale.HRC) is None
    assert tensile_of_hardness_mpa(60, HardnessScale.HRC) is None
