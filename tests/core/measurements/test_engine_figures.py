"""Engine figures agree with volumes added up by slices, with draws, and with cams whose timing is known."""

from __future__ import annotations

from dataclasses import replace

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.engine_figures.against_maker import MakersFigure, against_maker
from runningfit.core.measurements.engine_figures.compression import (
    Cylinder,
    compression_ratio,
    for_ratio,
    with_changes,
)
from runningfit.core.measurements.engine_figures.even_ratio import even_ratio
from runningfit.core.measurements.engine_figures.swept import mean_piston_speed_m_s, swept_volume_ml
from runningfit.core.measurements.engine_figures.timing import (
    ValveEvent,
    top_dead_centre_deg,
    valve_lift_mm,
    valve_timing,
)
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.verdicts import Outcome

CYLINDER = Cylinder(
    "1",
    Measured(79.41, 0.01),
    Measured(90.0, 0.05),
    Measured(42.3, 0.3),
    Measured(1.2, 0.05),
    Measured(81.0, 0.2),
    Measured(0.4, 0.03),
    Measured(6.0, 0.2),
    Measured(78.8, 0.05),
    Measured(7.5, 0.1),
)
PLAIN = replace(
    CYLINDER, land_diameter_mm=None, land_mm=Measured(0.0, 0.0), gasket_bore_mm=Measured(79.41, 0.01)
)
TOP = Measured(0.0, 0.3)


def ratio_by_slices(bore: float, stroke: float, above: dict[str, float]) -> float:
    """The ratio from stacked discs, without the formula."""

    def disc(d: float, h: float) -> float:
        return sum(numpy.pi * (d / 20) ** 2 * (h / 10) / 50 for _ in range(50))

    top = (
        above["chamber"]
        + above["dish"]
        + disc(above["gasket_bore"], above["gasket"])
        + disc(bore, above["deck"])
    )
    top += disc(bore, above["land_depth"]) - disc(above["land"], above["land_depth"])
    return (top + disc(bore, stroke)) / top


def test_the_ratio_is_that_of_its_volumes_stacked_up() -> None:
    above = {
        "chamber": 42.3,
        "dish": 6.0,
        "gasket_bore": 81.0,
        "gasket": 1.2,
        "deck": 0.4,
        "land": 78.8,
        "land_depth": 7.5,
    }
    by_slices = ratio_by_slices(79.41, 90.0, above)
    assert compression_ratio(CYLINDER).measured.value == pytest.approx(by_slices, rel=1e-9)
    assert CYLINDER.ratio == pytest.approx(by_slices, rel=1e-9)


def test_its_uncertainty_is_that_of_draws_and_the_chamber_adds_most() -> None:
    draws = numpy.random.default_rng(6)

    def of(one: Measured) -> numpy.ndarray[tuple[int], numpy.dtype[numpy.float64]]:
        return draws.normal(one.value, one.u, 200_000) if one.u else numpy.full(200_000, one.value)

    area = numpy.pi / 4000 * (bore := of(CYLINDER.bore_mm)) ** 2
    land = CYLINDER.land_diameter_mm
    assert land is not None
    above = of(CYLINDER.chamber_ml) + of(CYLINDER.dish_ml) + area * of(CYLINDER.deck_mm)
    above += numpy.pi / 4000 * of(CYLINDER.gasket_bore_mm) ** 2 * of(CYLINDER.gasket_mm)
    above += numpy.pi / 4000 * (bore**2 - of(land) ** 2) * of(CYLINDER.land_mm)
    drawn = 1 + area * of(CYLINDER.stroke_mm) / above
    found = compression_ratio(CYLINDER)
    assert found.measured.u == pytest.approx(drawn.std(), rel=0.01)
    assert found.measured.value == pytest.approx(drawn.mean(), abs=0.003)
    assert found.contributions[0].name == "chamber"


@given(st.floats(6, 14))
def test_each_way_to_a_wanted_ratio_reaches_it(wanted: float) -> None:
    ways = for_ratio(PLAIN, wanted)
    assert with_changes(PLAIN, head_skim_mm=ways.head_skim_mm).ratio == pytest.approx(wanted)
    assert with_changes(PLAIN, deck_skim_mm=ways.deck_skim_mm).ratio == pytest.approx(wanted)
    if ways.gasket_mm is not None and ways.gasket_mm <= 10:
        assert with_changes(PLAIN, gasket_mm=ways.gasket_mm).ratio == pytest.approx(wanted)
    assert (ways.remove_ml > 0) == (wanted > PLAIN.ratio)


def test_a_skim_of_a_smaller_chamber_takes_less_than_one_of_the_bore() -> None:
    small = replace(PLAIN, face_mm2=3500.0)
    by_face = with_changes(small, head_skim_mm=0.5)
    assert by_face.chamber_ml.value == pytest.approx(42.3 - 1.75)
    assert by_face.ratio < with_changes(PLAIN, head_skim_mm=0.5).ratio
    assert for_ratio(small, 9.0).head_skim_mm > for_ratio(PLAIN, 9.0).head_skim_mm


def test_a_rebore_raises_the_ratio_by_what_it_adds_to_the_stroke() -> None:
    bored = with_changes(CYLINDER, bore_mm=80.41)
    assert bored.ratio > CYLINDER.ratio
    assert bored.land_diameter_mm is not None
    assert bored.land_diameter_mm.value == pytest.approx(79.8)
    assert bored.gasket_bore_mm.value == 81.0
    assert with_changes(PLAIN, bore_mm=80.41).gasket_bore_mm.value == 80.41
    assert bored.chamber_ml == CYLINDER.chamber_ml


def test_a_proud_piston_and_a_dome_are_negative() -> None:
    proud = replace(PLAIN, deck_mm=Measured(-0.4, 0.03), dish_ml=Measured(-6.0, 0.2))
    assert proud.ratio > PLAIN.ratio
    assert for_ratio(proud, proud.ratio).piston_clearance_mm == pytest.approx(0.8)


@given(st.lists(st.floats(38, 46), min_size=2, max_size=6, unique=True))
def test_chambers_that_grow_as_told_are_all_at_the_ratio_of_the_largest(chambers: list[float]) -> None:
    cylinders = [
        replace(CYLINDER, name=str(number), chamber_ml=Measured(volume, 0.1))
        for number, volume in enumerate(chambers)
    ]
    plan = even_ratio(cylinders)
    after = [
        replace(one, chamber_ml=Measured(one.chamber_ml.value + change.grow_ml, 0.1)).ratio
        for one, change in zip(cylinders, plan.changes, strict=True)
    ]
    assert after == pytest.approx([plan.ratio] * len(after))
    assert min(change.grow_ml for change in plan.changes) == pytest.approx(0.0, abs=1e-9)
    assert max(change.grow_ml for change in plan.changes) == pytest.approx(max(chambers) - min(chambers))


def test_a_difference_within_the_readings_does_not_show() -> None:
    two = [CYLINDER, replace(CYLINDER, name="2", chamber_ml=Measured(42.6, 0.3))]
    assert not even_ratio(two).shows
    two[1] = replace(two[1], chamber_ml=Measured(44.5, 0.3))
    assert even_ratio(two, 8.0).shows


def test_swept_volume_counts_the_error_of_the_bore_twice_and_in_each_cylinder() -> None:
    one = swept_volume_ml(Measured(80.0, 0.08), Measured(90.0, 0.0))
    four = swept_volume_ml(Measured(80.0, 0.08), Measured(90.0, 0.0), cylinders=4)
    assert one.measured.u / one.measured.value == pytest.approx(2 * 0.08 / 80)
    assert four.measured.u == pytest.approx(4 * one.measured.u)


def test_top_dead_centre_is_the_middle_of_the_shorter_way() -> None:
    for before, after, top in ((345.5, 14.9, 0.2), (14.9, 345.5, 0.2), (170, 200, 185), (350, 340, 345)):
        found = top_dead_centre_deg(before, after, 0.4)
        assert found.value == pytest.approx(top)
        assert found.u == pytest.approx(0.4 / 2**0.5)


@given(st.floats(0, 359.9), st.floats(-5, 45), st.floats(30, 90), st.floats(30, 90), st.floats(-5, 45))
def test_timing_does_not_depend_on_where_the_wheel_was_bolted(
    top: float, ivo: float, ivc: float, evo: float, evc: float
) -> None:
    true = {
        ValveEvent.INLET_OPENS: -ivo,
        ValveEvent.INLET_CLOSES: 180 + ivc,
        ValveEvent.EXHAUST_OPENS: 180 - evo,
        ValveEvent.EXHAUST_CLOSES: evc,
    }
    readings = {event: (top + angle) % 360 for event, angle in true.items()}
    found = valve_timing(Measured(top, 0.3), readings, 0.5)
    assert [one.angle_deg.value for one in found.events] == pytest.approx([ivo, ivc, evo, evc], abs=1e-6)
    spans = (found.inlet_open_deg, found.exhaust_open_deg, found.overlap_deg, found.lobe_separation_deg)
    # The lobes' middles lie half an opening from each event.
    middles = ((ivc + 180 - ivo) / 2, (evo + 180 - evc) / 2)
    wanted = (ivo + 180 + ivc, evo + 180 + evc, ivo + evc, sum(middles) / 2)
    for span, value in zip(spans, wanted, strict=True):
        assert span is not None
        assert span.value == pytest.approx(value, abs=1e-6)


def test_top_dead_centre_cancels_in_openings_and_overlap_but_not_in_events() -> None:
    draws = numpy.random.default_rng(9)
    tops = draws.normal(0, 0.8, 4_000)
    read = {event: draws.normal(angle, 0.5, 4_000) for event, angle in
            zip(ValveEvent, (350.0, 230.0, 130.0, 10.0), strict=True)}  # fmt: skip
    sample = [
        valve_timing(
            Measured(float(top % 360), 0.8), {event: float(all_[i]) for event, all_ in read.items()}, 0.5
        )
        for i, top in enumerate(tops)
    ]
    one = sample[0]
    for name in (
        "overlap_deg",
        "inlet_open_deg",
        "exhaust_centre_deg",
        "inlet_centre_deg",
        "lobe_separation_deg",
    ):
        values = [getattr(each, name).value for each in sample]
        assert getattr(one, name).u == pytest.approx(numpy.std(values), rel=0.05)
    assert one.events[0].angle_deg.u == pytest.approx(
        numpy.std([each.events[0].angle_deg.value for each in sample]), rel=0.05
    )


def test_what_was_not_read_is_not_told() -> None:
    found = valve_timing(TOP, {ValveEvent.INLET_OPENS: 348.0}, 0.5)
    assert found.inlet_open_deg is found.overlap_deg is found.lobe_separation_deg is None
    assert found.events[0].said == "before top dead centre"


def test_lift_at_the_valve() -> None:
    lift = valve_lift_mm(Measured(6.0, 0.02), Measured(1.4, 0.01), Measured(0.3, 0.02))
    assert lift.value == pytest.approx(8.1)
    assert lift.u == pytest.approx(numpy.sqrt(0.028**2 + 0.06**2 + 0.02**2))


def test_a_figure_is_held_against_the_makers_with_its_page() -> None:
    figure = MakersFigure(Bounds(8.5, 9.2), "manual, p. 3")
    ratio = compression_ratio(CYLINDER).measured
    verdict = against_maker(ratio, figure)
    assert verdict.outcome is Outcome.SOUND
    assert verdict.reasons[-1].source == "manual, p. 3"
    assert against_maker(ratio, MakersFigure(Bounds(7.0, 8.0), "")).outcome is Outcome.NOT_SOUND
    assert against_maker(Measured(9.2, 0.1), figure).outcome is Outcome.NOT_PROVEN


@pytest.mark.parametrize(
    ("build", "why"),
    [
        (lambda: replace(CYLINDER, bore_mm=Measured(3.125, 0.001)), "may be inches"),
        (lambda: replace(CYLINDER, gasket_bore_mm=Measured(60.0, 0.1)), "about the bore"),
        (lambda: replace(CYLINDER, gasket_mm=Measured(12.0, 0.1)), "0 to 10 mm"),
        (lambda: replace(CYLINDER, dish_ml=Measured(-60.0, 0.1)), "a dome and a proud piston negative"),
        (lambda: replace(CYLINDER, land_diameter_mm=Measured(80.0, 0.1)), "below the bore"),
        (lambda: replace(CYLINDER, face_mm2=-5.0), "area in mm"),
        (lambda: for_ratio(CYLINDER, 85), "8.5 for 8.5:1"),
        (lambda: even_ratio([CYLINDER]), "two or more"),
        (lambda: even_ratio([CYLINDER, CYLINDER]), "own name"),
        (lambda: even_ratio([CYLINDER, replace(CYLINDER, name="2")], 1.0), "2 to 30"),
        (lambda: swept_volume_ml(Measured(80, 0.1), Measured(90, 0.1), cylinders=0), "1 to 48"),
        (lambda: mean_piston_speed_m_s(0, 100), "more than nothing"),
        (lambda: top_dead_centre_deg(10, 10.5, 0.4), "2 to 170"),
        (lambda: top_dead_centre_deg(10, 190, 0.4), "below the top"),
        (lambda: top_dead_centre_deg(350, 10, 0), "more than 0"),
        (lambda: valve_timing(TOP, {}, 0.5), "at least one event"),
        (lambda: valve_timing(TOP, {ValveEvent.INLET_OPENS: 180.0}, 0.5), "turned the other way"),
        (lambda: valve_lift_mm(Measured(6, 0.1), Measured(14, 0.1), Measured(0.3, 0.1)), "0.5 to 3"),
        (lambda: valve_lift_mm(Measured(6, 0.1), Measured(1, 0.1), Measured(7, 0.1)), "less than the lift"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_do(build: object, why: str) -> None:
    assert callable(build)
    with pytest.raises(InvalidInput, match=why):
        build()
