"""Limits by class: every thread has sensible ones, and each standard's rules give what the standard says."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadSeries, all_threads, thread
from runningfit.core.standards.limits import (
    external_classes,
    external_limits,
    internal_classes,
    internal_limits,
)
from runningfit.core.standards.limits.rounding import half_up
from runningfit.core.standards.tables import rows

# Ten-thousandths of an inch are printed, so a limit may be rounded past the basic size.
ROUNDED_MM = 0.0013


def check_bolt(one: Thread, name: str) -> None:
    bolt = external_limits(one, name)
    assert bolt.major_min_mm < bolt.major_max_mm <= one.major_mm + ROUNDED_MM
    assert bolt.pitch_diameter_min_mm < bolt.pitch_diameter_max_mm <= one.pitch_diameter_mm + ROUNDED_MM
    assert bolt.pitch_diameter_max_mm < bolt.major_min_mm
    assert bolt.status
    assert bolt.source
    assert bolt.minor_max_mm is None or bolt.minor_max_mm < bolt.pitch_diameter_max_mm


def check_nut(one: Thread, name: str) -> None:
    """Any bolt of any class goes into any nut: the standards leave no interference."""
    nut = internal_limits(one, name)
    assert one.minor_internal_mm - ROUNDED_MM * 10 <= nut.minor_min_mm < nut.minor_max_mm < one.major_mm
    assert one.pitch_diameter_mm - ROUNDED_MM <= nut.pitch_diameter_min_mm < nut.pitch_diameter_max_mm
    for other in external_classes(one):
        bolt = external_limits(one, other)
        assert bolt.pitch_diameter_max_mm <= nut.pitch_diameter_min_mm + ROUNDED_MM
        assert bolt.major_max_mm <= nut.major_min_mm + ROUNDED_MM


@pytest.mark.parametrize("series", [one for one in ThreadSeries if one not in {"R", "NPT"}])
def test_every_class_of_every_thread_has_limits_that_hang_together(series: ThreadSeries) -> None:
    threads = [one for one in all_threads() if one.series is series]
    assert threads
    for one in threads:
        assert external_limits(one).thread_class == external_classes(one)[0]
        assert internal_limits(one).thread_class == internal_classes(one)[0]
        for name in external_classes(one):
            check_bolt(one, name)
        for name in internal_classes(one):
            check_nut(one, name)


@pytest.mark.parametrize("one", [one for one in all_threads() if one.taper], ids=lambda one: one.designation)
def test_a_taper_thread_has_no_limits_and_says_why(one: Thread) -> None:
    assert external_classes(one) == internal_classes(one) == ()
    standard = "ISO 7-1" if one.series is ThreadSeries.R else "ASME B1.20.1"
    with pytest.raises(InvalidInput, match=rf"needs a thread with limits of diameter; .*{standard}.*gauge"):
        internal_limits(one)
    with pytest.raises(InvalidInput, match=rf"'2A' came.*taper thread has no limits of diameter: {standard}"):
        external_limits(one, "2A")


@pytest.mark.parametrize(
    ("designation", "asked", "needs"),
    [
        ("1/4-20 UNC", "4A", "an external UNC thread has: 2A, 1A, 3A; '4A' came. 2A is the usual one"),
        ("M8x1.25", "2A", "an external metric coarse thread has: 6g, 6h"),
        ("M8x1.25", "6H", "an external metric coarse thread has: 6g, 6h"),
        ("1/4-20 BSW", "2A", "an external BSW thread has: medium, close, free"),
        ("12BA", "close", "an external BA thread has: normal; 'close' came"),
        ("G1/4", "C", "an external G thread has: A, B"),
    ],
)
def test_a_class_that_the_series_has_not_is_refused(designation: str, asked: str, needs: str) -> None:
    with pytest.raises(InvalidInput, match=needs):
        external_limits(thread(designation), asked)


def test_a_class_is_found_however_it_is_written() -> None:
    assert external_limits(thread("1/4-20 UNC"), "3a").thread_class == "3A"
    assert external_limits(thread("1/4-20 BSW"), "Close").thread_class == "close"
    assert internal_limits(thread("1/4-20 BSW"), "normal").thread_class == "free"
    # In ISO 965 small letters are bolts and capitals holes.
    with pytest.raises(InvalidInput, match="6H"):
        internal_limits(thread("M8x1.25"), "6h")


def test_the_small_metric_sizes_have_other_usual_classes() -> None:
    assert external_limits(thread("M1.2x0.25")).thread_class == "6h"
    assert internal_limits(thread("M1.2x0.25")).thread_class == "5H"


@pytest.mark.parametrize("name", ["1/4-20", "5/16-24", "1/2-13", "3/4-16", "1-8"])
def test_the_unified_classes_are_multiples_of_2a(name: str) -> None:
    """ASME B1.1: tolerances of 1A, 3A, 1B, 2B and 3B are 1.5, 0.75, 1.95, 1.3 and 0.975 times that of 2A."""
    one = next(one for one in all_threads() if one.designation.startswith(f"{name} UN"))
    allowed = external_limits(one, "2A")
    base = allowed.pitch_diameter_max_mm - allowed.pitch_diameter_min_mm
    digit = 0.0001 * 25.4
    for name_of_class, multiple in {"1A": 1.5, "3A": 0.75}.items():
        bolt = external_limits(one, name_of_class)
        spread = bolt.pitch_diameter_max_mm - bolt.pitch_diameter_min_mm
        assert spread == pytest.approx(multiple * base, abs=1.3 * digit)
    for name_of_class, multiple in {"1B": 1.95, "2B": 1.3, "3B": 0.975}.items():
        nut = internal_limits(one, name_of_class)
        spread = nut.pitch_diameter_max_mm - nut.pitch_diameter_min_mm
        assert spread == pytest.approx(multiple * base, abs=1.6 * digit)
    assert external_limits(one, "3A").major_max_mm == pytest.approx(one.major_mm)
    assert external_limits(one, "1A").major_max_mm == allowed.major_max_mm


def test_the_length_of_engagement_behind_a_tolerance_depends_on_the_series() -> None:
    """1-12 UNF is reckoned with LE = d, 1 1/16-12 UN with 9 P: the larger has the smaller tolerance."""
    fine, constant = external_limits(thread("1-12 UNF")), external_limits(thread("1 1/16-12 UN"))
    of_fine = fine.pitch_diameter_max_mm - fine.pitch_diameter_min_mm
    of_constant = constant.pitch_diameter_max_mm - constant.pitch_diameter_min_mm
    assert of_constant < of_fine


def test_the_whitworth_tolerances_follow_their_formula() -> None:
    """BS 84 annex B for 1/2 BSW, by hand: T = 0.002 d^(1/3) + 0.003 d^(1/2) + 0.005 P^(1/2) = 0.005152 in."""
    one = thread("1/2-12 BSW")
    for name, tolerance_in in {"close": 0.0034, "medium": 0.0052, "free": 0.0077}.items():
        bolt, nut = external_limits(one, name), internal_limits(one, name)
        assert bolt.pitch_diameter_max_mm - bolt.pitch_diameter_min_mm == pytest.approx(tolerance_in * 25.4)
        assert nut.pitch_diameter_max_mm - nut.pitch_diameter_min_mm == pytest.approx(tolerance_in * 25.4)
        # The minor diameter of a nut with 12 tpi: 0.2 P + 0.007 in.
        assert nut.minor_max_mm - nut.minor_min_mm == pytest.approx(0.0237 * 25.4)
    # Major: T + 0.01 P^(1/2) = 0.005152 + 0.002887; allowance 0.3 T = 0.0015 in up to 3/4 in, not for close.
    medium = external_limits(one, "medium")
    assert medium.major_max_mm == pytest.approx(0.4985 * 25.4)
    assert medium.major_max_mm - medium.major_min_mm == pytest.approx(0.0080 * 25.4)
    assert external_limits(one, "close").major_max_mm == pytest.approx(12.7)
    assert external_limits(thread("1-8 BSW"), "free").major_max_mm == pytest.approx(25.4)


def test_below_a_quarter_inch_the_whitworth_allowance_stays() -> None:
    small, quarter = external_limits(thread("3/16-24 BSW")), external_limits(thread("1/4-20 BSW"))
    assert 0.1875 * 25.4 - small.major_max_mm == pytest.approx(6.35 - quarter.major_max_mm)


@pytest.mark.parametrize(("number", "pitch"), [(0, 1.0), (2, 0.81), (6, 0.53), (10, 0.35)])
def test_the_association_tolerances_follow_the_page(number: int, pitch: float) -> None:
    """BS 93:1951 by Machinery's Handbook 31 page 2115, 0 to 10 BA."""
    one = thread(f"{number}BA")
    close, normal, nut = external_limits(one, "close"), external_limits(one, "normal"), internal_limits(one)
    assert close.major_max_mm - close.major_min_mm == pytest.approx(0.15 * pitch)
    digit = 0.00011
    assert close.pitch_diameter_max_mm - close.pitch_diameter_min_mm == pytest.approx(
        0.08 * pitch + 0.02, abs=digit
    )
    assert normal.major_max_mm == pytest.approx(one.major_mm - 0.025)
    assert normal.major_max_mm - normal.major_min_mm == pytest.approx(0.20 * pitch)
    assert normal.pitch_diameter_max_mm - normal.pitch_diameter_min_mm == pytest.approx(
        0.10 * pitch + 0.025, abs=digit
    )
    assert nut.pitch_diameter_max_mm - nut.pitch_diameter_min_mm == pytest.approx(
        0.12 * pitch + 0.03, abs=digit
    )
    assert nut.minor_max_mm - nut.minor_min_mm == pytest.approx(0.375 * pitch, abs=digit)
    row = rows("bs_93_1951")[number]
    assert close.pitch_diameter_max_mm - close.pitch_diameter_min_mm == pytest.approx(
        float(row["close_bolt_d2_tol_mm"]), abs=digit
    )


def test_the_association_numbers_from_eleven_have_a_wider_major_and_no_allowance() -> None:
    one = thread("12BA")
    assert external_classes(one) == ("normal",)
    bolt = external_limits(one)
    assert bolt.major_max_mm == pytest.approx(one.major_mm)
    assert bolt.major_max_mm - bolt.major_min_mm == pytest.approx(0.25 * one.pitch_mm)
    assert "end at 16BA" in external_limits(thread("20BA")).status


def test_the_rule_of_the_association_series_gives_every_number() -> None:
    """BS 93, from memory: P = 0.9^n and d = 6 P^1.2 with P before rounding, to two significant figures."""
    for one in all_threads():
        if one.series is ThreadSeries.BA:
            pitch = 0.9 ** int(one.size)
            assert one.pitch_mm == pytest.approx(float(f"{pitch:.2g}"))
            assert one.major_mm == pytest.approx(float(f"{6 * pitch**1.2:.2g}"))


def test_the_cycle_limits_say_that_they_stand_in() -> None:
    limits = external_limits(thread("1/4-26 CEI"))
    assert "BS 811 were not seen" in limits.status
    assert "common practice, no source" in limits.source


def test_the_pipe_classes() -> None:
    """ISO 228-1: class B has twice the tolerance of A, from memory; the rest is tabled."""
    close, wide = external_limits(thread("G1/2"), "A"), external_limits(thread("G1/2"), "B")
    assert close.pitch_diameter_max_mm - close.pitch_diameter_min_mm == pytest.approx(0.142)
    assert wide.pitch_diameter_max_mm - wide.pitch_diameter_min_mm == pytest.approx(0.284)
    assert close.minor_max_mm is None
    tolerances = {(row["tpi"], row["internal_minor_tolerance_mm"]) for row in rows("iso_228_1_2000")}
    assert len(tolerances) == 4


def test_the_metric_classes() -> None:
    one = thread("M10x1.5")
    assert external_limits(one, "6h").major_max_mm == 10.0
    assert external_limits(one, "4h").pitch_diameter_min_mm == pytest.approx(9.026 - 0.085)
    assert internal_limits(one, "5H").pitch_diameter_max_mm == pytest.approx(9.026 + 0.140)
    assert internal_limits(one, "4H").minor_max_mm == pytest.approx(8.376 + 0.190)
    # Two grades: the pitch diameter's first, then the crest's.
    mixed = external_limits(one, "5g6g")
    assert mixed.pitch_diameter_max_mm - mixed.pitch_diameter_min_mm == pytest.approx(0.106)
    assert mixed.major_max_mm - mixed.major_min_mm == pytest.approx(0.236)
    holes = internal_limits(one, "6G")
    assert holes.pitch_diameter_min_mm == pytest.approx(9.026 + 0.032)
    assert external_limits(one, "6g").status == "VERIFIED tolerances"
    assert external_limits(one, "4h").status.startswith("MEMORY")


def test_a_metric_class_whose_tolerances_are_not_tabled_is_not_offered() -> None:
    assert "8g" in external_classes(thread("M10x1.5"))
    assert "8g" not in external_classes(thread("M3x0.5"))
    with pytest.raises(InvalidInput, match=r"an external metric coarse thread has: 6g.*'8g' came"):
        external_limits(thread("M3x0.5"), "8g")


def test_halves_are_rounded_up_in_decimal() -> None:
    assert half_up(0.00675, 4) == 0.0068
    assert half_up(0.91005, 4) == 0.9101
    assert half_up(2.3800497, 4) == 2.3800
    assert half_up(1.0049999999999999, 3) == 1.005
