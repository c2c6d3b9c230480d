"""A job's joints ranked from plain values are those that its rows, read one by one, come to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from runningfit.core.pieces.gauging import Measured, ThreadMeasurement
from runningfit.workshop.joints.models import KnownOfLot, KnownOfPlace
from runningfit.workshop.joints.queries import JudgedJoint, judged_joints
from runningfit.workshop.joints.ranking import judged_of, ranked_joints
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace
from runningfit.workshop.joints.services import decide, say_of_lot, say_of_place
from runningfit.workshop.joints.told import LotTold, PlaceTold, known_fields
from runningfit.workshop.models import Area, Job, Lot, Place
from runningfit.workshop.pieces.findings import record_finding
from runningfit.workshop.pieces.lots import LotFacts, keep_lot, recount, split_lot
from runningfit.workshop.pieces.thread_gauging import Gauged, keep_check
from runningfit.workshop.plan.services import allot
from runningfit.workshop.records.services import loose_stock_kept
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
THREAD = "3/8-16 UNC"


def a_lot(job: Job, **said: Any) -> Lot:
    usual: dict[str, Any] = {"count": 4, "kind": "hex_bolt", "end_a": (THREAD,), "length_mm": 38.1}
    source = said.pop("source", "found")
    return keep_lot(job=job, facts=LotFacts(**usual | said), hand=ANN, source=source)


@pytest.fixture
def place(job: Job) -> Place:
    area = Area.objects.create(job=job, name="gear case")
    return Place.objects.create(
        area=area, name="pump", count=4, basis="holes_counted", kind="hex_bolt", end_a=THREAD
    )


@pytest.fixture
def bolts(job: Job, place: Place) -> Lot:
    """A job of bolts at a place, a nut with them, loose pieces of several sorts, and places without a lot."""
    a_lot(job, kind="nut", length_mm=None, area=place.area, place=place)
    a_lot(job, kind="spring_washer", end_a=(), size_said="3/8", length_mm=None)
    a_lot(job, kind="other", kind_said="valve spring", end_a=(), length_mm=None)
    a_lot(job, kind="other", kind_said="banjo", end_a=(), length_mm=None)
    a_lot(job, kind="stud", end_a=(THREAD,), end_b=("3/8-24 UNF",), length_mm=50.8)
    a_lot(job, source="bought")
    recount(lot=a_lot(job), counted=0, hand=ANN)
    Place.objects.create(area=place.area, name="lid", count=3, basis="assumed", kind="setscrew", end_a=THREAD)
    Place.objects.create(area=place.area, name="washers", count=3, basis="assumed", kind="plain_washer")
    return a_lot(job, area=place.area, place=place)


def whole(joints: list[JudgedJoint]) -> list[tuple[object, ...]]:
    return [(one.place, one.lot, one.count, one.facts, one.judgement, one.decision) for one in joints]


def agree(job: Job) -> list[tuple[object, ...]]:
    ranked = whole(judged_of(job, ranked_joints(job)))
    assert ranked == whole(judged_joints(job))
    return ranked


def gauge(lot: Lot) -> None:
    measured = ThreadMeasurement(internal=False, pitch_diameter=Measured(8.4, 0.005), go=True, no_go=False)
    keep_check(lot=lot, end="end_a", gauged=Gauged(THREAD, None, {}, measured), hand=ANN)


def from_the_stock(lot: Lot) -> None:
    kept = a_lot(loose_stock_kept(hand=ANN), count=6)
    say_of_lot(lot=kept, said=SaidOfLot(grade="SAE J429 8"), hand=ANN)
    allot(lot=kept, place=Place.objects.get(area__job=lot.job, name="lid"), count=3, hand=ANN)


def known_of_a_part(lot: Lot) -> None:
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5"), hand=ANN)
    split_lot(lot=lot, count=1, hand=ANN)


def known_there(lot: Lot) -> None:
    assert lot.place is not None
    say_of_place(place=lot.place, said=SaidOfPlace(material="LM25-TF", torque="20 lbf ft"), hand=ANN)


def bad_nut(lot: Lot) -> None:
    Lot.objects.filter(place=lot.place, kind="nut").update(thread_state="defective")


def place_gone(lot: Lot) -> None:
    Place.objects.filter(lots=lot).update(withdrawn=True)


CHANGES: dict[str, Callable[[Lot], object]] = {
    "gauged": gauge,
    "cracked": lambda lot: record_finding(job=lot.job, what="cracked", lot=lot, hand=ANN),
    "hole found bad": lambda lot: record_finding(
        job=lot.job, what="thread_defective", place=lot.place, hand=ANN
    ),
    "from the stock": from_the_stock,
    "known of a part": known_of_a_part,
    "known of the place": known_there,
    "bad nut": bad_nut,
    "decided": lambda lot: decide(lot=lot, place=lot.place, choice="use", why="gauged", hand=ANN),
    "place gone": place_gone,
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_shows_in_the_ranking_as_it_does_in_the_rows(job: Job, bolts: Lot, change: str) -> None:
    before = agree(job)
    CHANGES[change](bolts)
    assert agree(job) != before


OTHERWISE: dict[str, object] = {
    "kind": "setscrew", "end_a": "1/2-13 UNC", "length_mm": 12.7, "thread_state": "not_proven",
    "hole_material": "cast iron", "hole_blind": "through", "hole_depth_mm": 9.0,
    "torque_nm": 31.0, "torque_typed": "31 N m",
    "kind_said": "spring", "condition": "stretched", "defect": "bent", "finish_look": "none",
    "finish_process": "zinc", "finish_received_look": "none", "finish_received_process": "cadmium",
    "treatment": "zinc_clear", "treatment_done": "zinc_flake", "ordered_steps": "bake",
    "ordered_coat": "ASTM F1941 Fe/Zn 5", "done_chain": "zinc_clear|||",
}  # fmt: skip


@pytest.mark.parametrize("name", [name for name in LotTold._fields if name != "end_b"])
def test_each_field_of_a_lot_that_tells_is_seen_at_once(job: Job, bolts: Lot, name: str) -> None:
    before = agree(job)
    Lot.objects.filter(pk=bolts.pk).update(**{name: OTHERWISE[name]})
    assert agree(job) != before


@pytest.mark.parametrize("name", PlaceTold._fields)
def test_each_field_of_a_place_that_tells_is_seen_at_once(job: Job, bolts: Lot, name: str) -> None:
    known_there(bolts)
    before = agree(job)
    Place.objects.filter(name="lid" if name in ("kind", "end_a", "length_mm") else "pump").update(
        **{name: "stud" if name == "kind" else OTHERWISE[name]}
    )
    assert agree(job) != before


def test_the_joints_of_some_places_are_those_of_the_whole_job_there(job: Job, bolts: Lot) -> None:
    bad_nut(bolts)
    for name in ("pump", "lid", "washers"):
        there = list(Place.objects.filter(area__job=job, name=name))
        expected = [one for one in judged_joints(job) if one.place in there]
        assert whole(judged_joints(job, there)) == whole(expected)
        assert bool(expected) is (name != "washers")
    assert judged_joints(job, []) == []


def test_all_that_is_known_beyond_the_rows_counts_but_notes(job: Job) -> None:
    for model in (KnownOfLot, KnownOfPlace):
        beside = {one.attname for one in model._meta.concrete_fields} - set(known_fields(model))
        assert beside <= {"id", "withdrawn", "lot_id", "place_id", "note", "typed"}


def test_the_queries_do_not_grow_with_the_job(job: Job, place: Place) -> None:
    def queries() -> int:
        judged_of(job, ranked_joints(job))
        with CaptureQueriesContext(connection) as asked:
            for one in judged_of(job, ranked_joints(job)):
                assert one.lot is not None
                str(one.lot.area) + str(one.lot.bag) + str(one.lot.job.pk)
        return len(asked)

    for _ in range(2):
        a_lot(job, area=place.area, place=place)
    few = queries()
    for _ in range(10):
        a_lot(job, area=place.area, place=place)
    assert queries() == few <= 14
