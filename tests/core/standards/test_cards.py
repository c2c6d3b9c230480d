"""The card of a thread has every figure with its source, and says why where it has none."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadSeries, all_threads, thread
from runningfit.core.standards.cards import thread_card
from runningfit.core.standards.spanners import hexagons
from runningfit.core.standards.strength_figures import heights, helix_angle, printed_stress_area, stress_area
from runningfit.core.standards.tapping import tapping_drills


def check_card(one: Thread) -> None:
    card = thread_card(one)
    figures = [*card.basics, *card.gauge_lengths, card.stress_area, card.stress_area_printed]
    assert all(figure.status and figure.source for figure in figures if figure is not None)
    assert all(figure.value > 0 for figure in figures if figure is not None)
    assert (card.external == ()) == ("external" in card.missing)
    assert (card.internal == ()) == ("internal" in card.missing)
    assert (card.tapping is None) == ("tapping" in card.missing)
    assert (card.stress_area is None) == ("stress_area" in card.missing)
    assert (card.hexagons == ()) == ("hexagons" in card.missing)
    assert bool(card.gauge_lengths) == one.taper
    if card.tapping is not None:
        for drill in (card.tapping.metric, card.tapping.inch):
            assert drill is None or 0.4 <= drill.engagement <= 1.05
            assert drill is None or drill.status


@pytest.mark.parametrize("series", list(ThreadSeries))
def test_every_card_is_complete_or_says_why_not(series: ThreadSeries) -> None:
    for one in all_threads():
        if one.series is series:
            check_card(one)


@pytest.mark.parametrize(
    ("designation", "printed_mm2"),
    # ISO 898-1 as quoted in the text of ISO/TR 16224, to three figures.
    [("M8x1.25", 36.6), ("M10x1.5", 58.0), ("M12x1.75", 84.3), ("M16x2", 157), ("M20x2.5", 245)],
)
def test_metric_stress_areas(designation: str, printed_mm2: float) -> None:
    area = stress_area(thread(designation))
    assert area is not None
    assert area.value == pytest.approx(printed_mm2, rel=0.0025)
    assert "ISO 898-1" in area.source


def test_unified_stress_areas_agree_with_the_printed_ones() -> None:
    """Machinery's Handbook prints three figures, and reckons some from rounded diameters: within 0.6 %."""
    checked = 0
    for one in all_threads():
        printed = printed_stress_area(one)
        if printed is not None:
            by_formula = stress_area(one)
            assert by_formula is not None
            assert by_formula.value == pytest.approx(printed.value, rel=0.006), one.designation
            checked += 1
    assert checked > 50


def test_a_numbered_size_finds_its_own_printed_area() -> None:
    """1-64 UNC is number 1, not one inch."""
    area = printed_stress_area(thread("1-64 UNC"))
    assert area is not None
    assert area.value == pytest.approx(0.00263 * 25.4**2)


def test_a_pipe_thread_has_no_stress_area() -> None:
    assert stress_area(thread("G1/4")) is None
    assert "hollow" in thread_card(thread("G1/4")).missing["stress_area"]


def test_helix_and_heights() -> None:
    # 1/4-20: tan = 0.05 / (π × 0.2175), by hand 4.19 degrees.
    assert helix_angle(thread("1/4-20 UNC")).value == pytest.approx(4.185, abs=0.001)
    bolt, nut = heights(thread("M10x1.5"))
    assert bolt.value == pytest.approx(0.92, abs=0.001)
    assert nut.value == pytest.approx(0.812, abs=0.001)
    (alike,) = heights(thread("1/4-20 BSW"))
    assert alike.value == pytest.approx(0.0320 * 25.4, abs=0.001)
    (taper,) = heights(thread("1/4-18 NPT"))
    assert taper.value == pytest.approx(0.04444 * 25.4, abs=0.001)


@pytest.mark.parametrize(
    ("designation", "metric", "inch", "engagement"),
    # Tapping drills of workshop tables (common practice, no source); the percentages by hand.
    [
        ("1/4-20 UNC", "5.1 mm", "No. 7", 0.754),
        ("5/16-24 UNF", "6.9 mm", "I", 0.748),
        ("3/8-16 UNC", "8 mm", "5/16 in", 0.770),
        ("M8x1.25", "6.8 mm", "H", 0.766),
        ("M6x1", "5 mm", "No. 8", 0.728),
    ],
)
def test_tapping_drills(designation: str, metric: str, inch: str, engagement: float) -> None:
    drills = tapping_drills(thread(designation))
    assert drills.metric is not None
    assert drills.inch is not None
    assert (drills.metric.name, drills.inch.name) == (metric, inch)
    assert drills.inch.engagement == pytest.approx(engagement, abs=0.001)
    assert "common practice, no source" in drills.source


def test_no_drill_is_named_where_none_is_near() -> None:
    assert tapping_drills(thread("25BA")).inch is None
    assert tapping_drills(thread("G6")).metric is None


def test_less_engagement_takes_a_larger_drill() -> None:
    assert (
        tapping_drills(thread("1/4-20 UNC"), 0.6).diameter_mm
        > tapping_drills(thread("1/4-20 UNC")).diameter_mm
    )
    with pytest.raises(
        InvalidInput, match=r"engagement needs a part of the full height from 0.4 to 1; 75 came"
    ):
        tapping_drills(thread("1/4-20 UNC"), 75)
    with pytest.raises(InvalidInput, match=r"thread needs a parallel one.*'R1/4' came"):
        tapping_drills(thread("R1/4"))


@pytest.mark.parametrize(
    ("designation", "spanners"),
    [
        ("1/4-20 BSW", [(0.445, "1/4 BS = 3/16 W"), (0.525, "5/16 BS = 1/4 W")]),
        ("1/4-26 BSF", [(0.445, "1/4 BS = 3/16 W")]),
        ("5/8-11 BSW", [(1.010, "5/8 BS = 9/16 W"), (1.100, "11/16 BS = 5/8 W")]),
        ("1-8 BSW", [(1.480, "1 BS = 7/8 W"), (1.670, "1 1/8 BS = 1 W")]),
        ("5/16-24 UNF", [(0.5, "1/2 in A/F")]),
        ("1/4-20 UNC", [(0.4375, "7/16 in A/F")]),
    ],
)
def test_spanners_old_and_new(designation: str, spanners: list[tuple[float, str]]) -> None:
    found = hexagons(thread(designation))
    assert [(round(one.max_mm / 25.4, 4), one.spanner) for one in found] == spanners
    assert all("mm (" in one.bridge for one in found)


def test_metric_and_association_hexagons() -> None:
    assert [one.spanner for one in hexagons(thread("M10x1.5"))] == ["16 mm", "17 mm"]
    assert hexagons(thread("M10x1.5"))[0].bridge == ""
    assert hexagons(thread("2BA"))[0].spanner == "2 BA"


def test_a_bridge_says_whether_it_is_too_loose() -> None:
    assert hexagons(thread("5/16-24 UNF"))[0].bridge == "13 mm (0.30 mm loose: good)"
    assert "too loose for a tight one" in hexagons(thread("1/4-20 UNC"))[0].bridge


def test_cautions_of_a_card() -> None:
    assert "GO gauge of class 3A" in " ".join(thread_card(thread("1/4-20 UNC")).cautions)
    assert "55° by one source" in " ".join(thread_card(thread("1/2-20 CEI")).cautions)
    stamps = {
        name: next(one.status for one in thread_card(thread(name)).basics if one.name == "included angle")
        for name in ("1/2-20 CEI", "1/2-26 CEI")
    }
    assert stamps == {"1/2-20 CEI": "SECONDARY", "1/2-26 CEI": "VERIFIED"}
    assert "measure the hexagon" in " ".join(thread_card(thread("1/4-26 CEI")).cautions)


def test_a_taper_card_has_gauge_lengths() -> None:
    r_lengths = {figure.name: figure.value for figure in thread_card(thread("R1/2")).gauge_lengths}
    assert r_lengths["gauge length"] == pytest.approx(8.2)
    npt = {figure.name: figure.value for figure in thread_card(thread("1/2-14 NPT")).gauge_lengths}
    assert npt["hand-tight engagement (L1)"] == pytest.approx(0.320 * 25.4)
    assert npt["effective thread (L2)"] == pytest.approx(0.5337 * 25.4)
