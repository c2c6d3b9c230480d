"""The measured engine of a large shop: twelve cylinders on the sheet, read, judged, planned and ordered."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from django.utils import timezone

from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.joints.drawer import SaidOfShim, put_in_drawer, shims_in_drawer
from runningfit.workshop.joints.fits import add_proposed, fits_of_job, proposed_fits
from runningfit.workshop.measurements.engine_sizes import SaidOfSizes, say_sizes
from runningfit.workshop.measurements.gauges import (
    SaidOfCalibration,
    SaidOfGauge,
    add_instrument,
    calibrate,
    gauges,
)
from runningfit.workshop.measurements.inspecting import SaidOfInspection, want_inspection
from runningfit.workshop.measurements.models import FeatureSet, Instrument
from runningfit.workshop.measurements.queries import set_states
from runningfit.workshop.measurements.sets import SaidLimit, add_limit, begin_sheet
from runningfit.workshop.measurements.taking import MOST_READINGS_AT_ONCE, Taken, take_readings
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Hand
from runningfit.workshop.treatments.machining import decide_step, make_order, say_machining
from runningfit.workshop.treatments.machining_choice import machining_choice
from runningfit.workshop.treatments.machining_said import SaidOfMachining

HAND = Hand(who="Bench")
GAUGES, CHECKS, SHIMS, TESTS = 30, 6, 60, 40
LAYOUT = EngineLayout(cylinders=12, main_bearings=7, valves_each=2)
# What is measured, with its size as made.
SIZES_MM = {
    "bores": 88.9,
    "pistons": 88.82,
    "main_housings": 68.0,
    "mains": 63.5,
    "big_ends": 60.0,
    "crankpins": 55.0,
    "guides": 8.75,
    "stems": 8.70,
}


def measure(job: Job, chance: Random) -> None:
    """Measure the engine of a job, judge what fits, order the bores, and want some tests."""
    cupboard = gauges() or _cupboard()
    engine = Engine.objects.filter(job=job).order_by("pk")[0]
    sets = begin_sheet(job=job, engine=engine, layout=LAYOUT, keys=list(SIZES_MM), hand=HAND)
    for one in sets:
        size = SIZES_MM[one.purpose]
        FeatureSet.objects.filter(pk=one.pk).update(nominal=size, instrument=cupboard[one.pk % GAUGES])
        one.refresh_from_db()
        _read(one, size, chance)
        for state, reach in (("new", 0.02), ("wear", 0.15)):
            least, most = (TypedNumber(end, f"{end:.3f} mm") for end in (size - reach, size + reach))
            said = SaidLimit("size", state, least, most, "manual", "page 31")
            add_limit(feature_set=one, said=said, hand=HAND)
    proposed = proposed_fits(sets, fits_of_job(job))
    if proposed:
        add_proposed(job=job, proposed=proposed, keys=[one.key for one in proposed], hand=HAND)
    stroke = TypedNumber(92.0, "92.0 mm")
    say_sizes(engine=engine, said=SaidOfSizes({"stroke": stroke}, speed_rpm=3000.0), hand=HAND)
    _order(next(one for one in sets if one.purpose == "bores"))
    for number in range(TESTS):
        want_inspection(job=job, said=SaidOfInspection("crack_test", f"piece {number}"), hand=HAND)
    if not shims_in_drawer():
        for number in range(SHIMS):
            size = 2.0 + number / 40
            put_in_drawer(said=SaidOfShim(TypedNumber(size, f"{size:.3f} mm"), 1 + number % 5), hand=HAND)


def _cupboard() -> list[Instrument]:
    made = []
    for number in range(GAUGES):
        step, u = TypedNumber(0.001, "0.001 mm"), TypedNumber(0.001, "0.001 mm")
        said = SaidOfGauge(f"gauge {number:02}", "micrometer", "mm", step, repeat_u=u, repeat_dof=9.0)
        one = add_instrument(said=said, hand=HAND)
        for _check in range(CHECKS):
            check = SaidOfCalibration(timezone.localdate(), "certificate", TypedNumber(0.0, "0 mm"), u)
            calibrate(instrument=one, said=check, hand=HAND)
        made.append(one)
    return made


def _read(one: FeatureSet, size_mm: float, chance: Random) -> None:
    (state,) = set_states([one])
    taken = [
        Taken(f"{feature.feature.pk} {point.key}", feature.feature.pk, point.key,
              f"{size_mm + chance.uniform(-0.01, 0.01):.3f}", surely="bench")
        for feature in state.features
        for point in state.points
    ]  # fmt: skip
    for first in range(0, len(taken), MOST_READINGS_AT_ONCE):
        answers = take_readings(
            feature_set=one, readings=taken[first : first + MOST_READINGS_AT_ONCE], hand=HAND, unit="mm"
        )
        assert all(answer.kept for answer in answers), answers


def _order(bores: FeatureSet) -> None:
    said = SaidOfMachining(
        unit="mm", steps="0.25, 0.50, 0.75, 1.00 mm", parts="60", hone="0.05", axis="worn",
        price_each=Decimal(45), price_visit=Decimal(30), price_last_resort=Decimal(260),
        last_resort="a liner", tolerance="0.010",
    )  # fmt: skip
    say_machining(feature_set=bores, said=said, hand=HAND)
    choice = machining_choice(bores)
    steps = {one.pk: 0.25 for one in choice.features}
    decide_step(feature_set=bores, steps=steps, hand=HAND.because("measured"))
    make_order(feature_set=bores, hand=HAND, shop_name="An invented machine shop", piece="cylinder block")
