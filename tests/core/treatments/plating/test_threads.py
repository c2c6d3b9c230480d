"""A thread after plating: room, growth, the part as measured, nuts, and what cannot be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.standards import thread
from runningfit.core.treatments.plating import (
    NO_COAT,
    Coat,
    ThreadHistory,
    coat_of_class,
    judge_plating,
    plate_thread,
    probability_assembles,
    read_coat,
)
from runningfit.core.verdicts import Outcome

QUARTER = thread("1/4-20 UNC")
FIVE = Coat(0.005, 0.005)
COATS = st.floats(0.001, 0.03)


@pytest.mark.parametrize("name", sorted(ASME_UN_2A2B_dict))
def test_the_room_of_a_new_part_agrees_with_an_independent_library(name: str) -> None:
    row = ASME_UN_2A2B_dict[name]
    plated = plate_thread(thread(f"{name} {row['series']}"), FIVE, "2A")
    allowed = (row["D2min"] - row["d2max"]) / 4 * 25.4
    assert plated.max_thickness_new_mm == pytest.approx(allowed, abs=0.00005 / 4 * 25.4)


@pytest.mark.parametrize("name", sorted(ASME_M_6g6H_dict))
def test_the_room_of_a_metric_part_agrees_too(name: str) -> None:
    row = ASME_M_6g6H_dict[name]
    plated = plate_thread(thread(name.replace("-", "x")), FIVE, "6g")
    allowed = (row["D2min"] - row["d2max"]) / 4 * 25.4
    # The library's inches are printed to 0.00001, our micrometres to one.
    assert plated.max_thickness_new_mm == pytest.approx(allowed, abs=0.0005)


def test_the_example_of_the_quarter_inch() -> None:
    plated = plate_thread(QUARTER, FIVE, "2A")
    assert plated.growth.pitch_diameter_mm == pytest.approx(0.02)
    assert plated.max_thickness_new_mm == pytest.approx(0.006985)
    assert plated.probability_go == 1.0


def test_a_coat_within_the_room_passes_for_sure_and_beyond_it_not() -> None:
    inside = plate_thread(QUARTER, Coat(0.00698, 0.00698), "2A")
    outside = plate_thread(QUARTER, Coat(0.008, 0.008), "2A")
    assert inside.probability_go == 1.0
    tolerance, beyond = 0.0037 * 25.4, 4 * 0.008 - 0.0011 * 25.4
    assert outside.probability_go == pytest.approx(1 - beyond / tolerance)


@pytest.mark.parametrize(
    ("name", "thread_class"), [("1/4-20 UNC", "3A"), ("M8x1.25", "6h"), ("1/4-20 BSW", "close")]
)
def test_a_class_without_allowance_has_no_room(name: str, thread_class: str) -> None:
    assert plate_thread(thread(name), FIVE, thread_class).max_thickness_new_mm == 0.0


def test_stripping_and_loss_make_room_and_the_reading_counts() -> None:
    over = ThreadHistory(Measured(5.51, 0.004))
    stripped = ThreadHistory(Measured(5.51, 0.004), Coat(0.008, 0.008), Coat(0.001, 0.003))
    before, after = (
        plate_thread(QUARTER, FIVE, "2A", history=over),
        plate_thread(QUARTER, FIVE, "2A", history=stripped),
    )
    assert before.probability_go < 0.2
    assert after.probability_go > 0.99
    assert after.bare.mean_mm == pytest.approx(5.51 - 4 * 0.008 - 4 * 0.002)
    assert after.max_thickness_as_is_mm > before.max_thickness_as_is_mm


def test_metal_that_is_gone_does_not_come_back_with_the_coat() -> None:
    worn = ThreadHistory(Measured(5.40, 0.004), lost=Coat(0.005, 0.005))
    judged = judge_plating(QUARTER, FIVE, "2A", history=worn)
    assert judged.plated.probability_go == pytest.approx(1.0)
    assert judged.plated.probability_engagement < 0.05
    assert judged.verdict.outcome is Outcome.NOT_SOUND


def test_a_nut_becomes_smaller_and_has_no_room_when_it_is_new() -> None:
    plated = plate_thread(QUARTER, FIVE, "2B", internal=True)
    assert plated.growth.pitch_diameter_mm == pytest.approx(-0.02)
    assert plated.growth.minor_mm == pytest.approx(-0.01)
    assert plated.max_thickness_new_mm == 0.0
    assert plated.probability_go == pytest.approx(1 - 0.02 / (0.0049 * 25.4))
    large = plate_thread(QUARTER, FIVE, "2B", internal=True, history=ThreadHistory(Measured(5.60, 0.004)))
    assert large.probability_go > 0.99
    assert large.max_thickness_as_is_mm == pytest.approx((5.60 - 5.5245) / 4, abs=0.002)


@given(coat=COATS, share=st.floats(0.5, 0.99), measured=st.floats(5.42, 5.52))
def test_the_thickest_coat_of_this_part_passes_as_probably_as_is_wanted(
    coat: float, share: float, measured: float
) -> None:
    history = ThreadHistory(Measured(measured, 0.005))
    most = plate_thread(QUARTER, Coat(coat, coat), "2A", history=history, wanted=share).max_thickness_as_is_mm
    if most > 0:
        again = plate_thread(QUARTER, Coat(most, most), "2A", history=history)
        assert again.probability_go == pytest.approx(share, abs=0.001)


@given(one=COATS, other=COATS)
def test_more_plating_never_helps(one: float, other: float) -> None:
    thin, thick = (plate_thread(QUARTER, Coat(value, value), "2A") for value in sorted((one, other)))
    assert thick.probability_go <= thin.probability_go
    nut = plate_thread(QUARTER, NO_COAT, "2B", internal=True)
    assert probability_assembles(thick, nut) <= probability_assembles(thin, nut) + 1e-9


def test_an_uneven_coat_is_thickest_somewhere() -> None:
    even, uneven = Coat(0.008, 0.008), Coat(0.008, 0.008, 0.15)
    assert (
        plate_thread(QUARTER, uneven, "2A").probability_go < plate_thread(QUARTER, even, "2A").probability_go
    )
    assert uneven.thickest_mm == pytest.approx(0.008 * (1 + 1.53875 * 0.15))


def test_limits_from_memory_never_pass() -> None:
    judged = judge_plating(thread("1/4-20 BSW"), FIVE, "medium")
    assert judged.plated.probability_go == 1.0
    assert judged.verdict.outcome is Outcome.NOT_PROVEN
    assert any("memory" in caution.text for caution in judged.verdict.cautions)
    assert judge_plating(QUARTER, FIVE, "2A").verdict.outcome is Outcome.SOUND


def test_a_class_of_plating_is_its_least_thickness_and_more() -> None:
    coat = coat_of_class("ASTM B633", "SC2")
    assert (coat.low_mm, coat.high_mm) == (0.008, 0.016)
    assert "common practice" in coat.note
    assert coat_of_class("ASTM F1941", "5").low_mm == 0.005
    with pytest.raises(InvalidInput, match=r"class of plating needs one of ASTM B633: SC1, SC2, SC3, SC4"):
        coat_of_class("ASTM B633", "SC9")
    with pytest.raises(
        InvalidInput, match=r"standard needs one of ASTM B633, ASTM B766, QQ-P-416, ASTM F1941"
    ):
        coat_of_class("ASTM B999", "1")


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("5um", 5, 5),
        ("5 µm", 5, 5),
        ("5..8um", 5, 8),
        ("5um to 8um", 5, 8),
        ("5-8 microns", 5, 8),
        (".0002in", 5.08, 5.08),
        ("0.3 thou", 7.62, 7.62),
        ("0,005 mm", 5, 5),
    ],
)
def test_a_coat_is_read_as_platers_write_it(text: str, low: float, high: float) -> None:
    coat = read_coat(text)
    assert 1000 * coat.low_mm == pytest.approx(low)
    assert 1000 * coat.high_mm == pytest.approx(high)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("5", r"Write the unit"),
        ("5 furlongs", r"Write the unit"),
        ("-5um", r"cannot be less than nothing"),
        ("8..5um", r"The thinner end goes first"),
        ("5um..8mm", r"Give both ends in one unit"),
        ("thin", r"Type a number and its unit"),
        ("", r"Type a number and its unit"),
    ],
)
def test_what_is_no_coat_is_refused(text: str, remedy: str) -> None:
    with pytest.raises(InvalidInput, match=r"thickness needs a coat such as 5um.*" + remedy):
        read_coat(text)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(
        InvalidInput, match=r"thickness needs at most 172 µm, a quarter of the height.*'2000 µm'"
    ):
        plate_thread(QUARTER, Coat(2.0, 2.0), "2A")
    with pytest.raises(InvalidInput, match=r"stripped plating needs at most 172 µm"):
        plate_thread(QUARTER, FIVE, "2A", history=ThreadHistory(stripped=Coat(0.5, 0.5)))
    with pytest.raises(InvalidInput, match=r"pitch diameter needs about 5.524 mm.*That looks like inches"):
        plate_thread(QUARTER, FIVE, "2A", history=ThreadHistory(Measured(0.2164, 0.0002)))
    with pytest.raises(InvalidInput, match=r"pitch diameter needs about 5.524 mm.*Name the thread first"):
        plate_thread(QUARTER, FIVE, "2A", history=ThreadHistory(Measured(7.1, 0.005)))
    with pytest.raises(InvalidInput, match=r"uncertainty of the pitch diameter needs more than nothing"):
        plate_thread(QUARTER, FIVE, "2A", history=ThreadHistory(Measured(5.5, 0.0)))
    with pytest.raises(InvalidInput, match=r"class needs one that an external UNC thread has: 2A"):
        plate_thread(QUARTER, FIVE, "6g")
    with pytest.raises(InvalidInput, match=r"needs a thread with limits of diameter; 1/4-18 NPT has none"):
        plate_thread(thread("1/4-18 NPT"), FIVE)
    with pytest.raises(InvalidInput, match=r"thickness needs nothing or more \[mm\]"):
        plate_thread(QUARTER, Coat(float("nan"), 0.1))
    with pytest.raises(InvalidInput, match=r"probability needs more than 0 and less than 1"):
        plate_thread(QUARTER, FIVE, wanted=1.0)
    bolt, nut = plate_thread(QUARTER, FIVE), plate_thread(thread("M6x1"), NO_COAT, internal=True)
    with pytest.raises(
        InvalidInput, match=r"joint needs one thread on both sides; '1/4-20 UNC and M6x1' came"
    ):
        probability_assembles(bolt, nut)
    with pytest.raises(InvalidInput, match=r"joint needs a bolt and a nut or hole"):
        probability_assembles(bolt, bolt)
