"""Inspections: wanted, failed, passed only when tested anew, and what waits for them."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.build.queries import areas_to_build, kit_of
from runningfit.workshop.build.services import Fitting, fit_pieces
from runningfit.workshop.measurements.inspecting import (
    SaidOfInspection,
    SaidResult,
    change_inspection,
    gates_open,
    give_result,
    inspections_of,
    want_inspection,
    withdraw_inspection,
)
from runningfit.workshop.measurements.models import Inspection
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.models import Area, Place
from runningfit.workshop.pieces.places import add_area
from runningfit.workshop.plan.services import allot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import history
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
REPLACED = Hand(who="Ann", why="the rod was replaced")


def wanted(job: Job, **values: Any) -> Inspection:
    usual: dict[str, Any] = {"kind": "crack_test", "what": "connecting rods", "gates": "machining"}
    return want_inspection(job=job, said=SaidOfInspection(**{**usual, **values}), hand=ANN)


def result(*, passed: bool, days_ago: int = 0, **values: Any) -> SaidResult:
    day = timezone.localdate() - dt.timedelta(days=days_ago)
    return SaidResult(**{"passed": passed, "done_on": day, "done_by": "the machine shop", **values})


def test_machining_waits_until_it_passed(job: Job) -> None:
    one = wanted(job)
    wanted(job, what="valve springs", gates="")
    assert gates_open(job) == [one]
    give_result(inspection=one, said=result(passed=True, certificate="MT 4"), hand=ANN)
    assert gates_open(job) == []
    assert [row.result for row in inspections_of(job)] == ["wanted", "passed"]


def test_a_failed_test_passes_only_by_a_new_one_with_a_reason(job: Job) -> None:
    one = wanted(job)
    failed = result(passed=False, days_ago=3, measured="crack at the fillet of No. 2")
    one = give_result(inspection=one, said=failed, hand=ANN)
    assert gates_open(job) == [one]
    same = result(passed=True, days_ago=3, measured="crack at the fillet of No. 2")
    with pytest.raises(InvalidInput, match="a new test, since the last one failed"):
        give_result(inspection=one, said=same, hand=REPLACED)
    with pytest.raises(InvalidInput, match="a new test, since the last one failed"):
        give_result(inspection=one, said=result(passed=True, days_ago=9), hand=REPLACED)
    with pytest.raises(InvalidInput, match="why needs what was done since it failed; nothing came"):
        give_result(inspection=one, said=result(passed=True), hand=ANN)
    give_result(inspection=one, said=result(passed=True), hand=REPLACED)
    assert gates_open(job) == []
    acts = history(most=9, model="Inspection", object_id=one.pk)
    assert [(act.summary, act.why) for act in acts] == [
        ("passed: crack test: connecting rods", "the rod was replaced"),
        ("failed: crack test: connecting rods", ""),
        ("wants a test: crack test: connecting rods", ""),
    ]


def test_oilways_pass_only_when_every_one_is_clear(job: Job) -> None:
    one = wanted(job, kind="oilways", what="crankcase", count_all=None)
    with pytest.raises(InvalidInput, match="the number of all oilways, counted; nothing came"):
        give_result(inspection=one, said=result(passed=True), hand=ANN)
    for done, came in ((None, "nothing"), (13, "13")):
        with pytest.raises(
            InvalidInput, match=f"all 14 oilways opened, cleaned and found clear; {came} came"
        ):
            give_result(inspection=one, said=result(passed=True, count_all=14, count_done=done), hand=ANN)
    with pytest.raises(InvalidInput, match="how many done needs at most 14"):
        give_result(inspection=one, said=result(passed=False, count_all=14, count_done=15), hand=ANN)
    give_result(inspection=one, said=result(passed=True, count_all=14, count_done=14), hand=ANN)
    assert gates_open(job) == []
    more = SaidOfInspection("oilways", "crankcase", "machining", count_all=15)
    with pytest.raises(Conflict, match="It passed with another count of oilways"):
        change_inspection(inspection=one, said=more, hand=ANN)


def test_a_result_says_who_and_is_not_of_tomorrow(job: Job) -> None:
    one = wanted(job)
    with pytest.raises(InvalidInput, match="tested by needs who tested it"):
        give_result(inspection=one, said=result(passed=True, done_by=" "), hand=ANN)
    with pytest.raises(InvalidInput, match="tested on needs a day that has been"):
        give_result(inspection=one, said=result(passed=True, days_ago=-2), hand=ANN)


@pytest.mark.parametrize(
    ("values", "match"),
    [
        ({"kind": "taste"}, "kind needs one of crack test"),
        ({"what": " "}, "what needs what is tested"),
        ({"gates": "build"}, "area needs the area whose building waits"),
        ({"count_all": 0}, "how many needs one or more; 0 came"),
    ],
)
def test_what_no_test_is_is_refused(job: Job, values: dict[str, Any], match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        wanted(job, **values)
    assert not Inspection.objects.exists()


def test_a_test_stays_in_its_job(job: Job) -> None:
    other = open_job(name="Another", engine_name="Pellworth Tern", hand=ANN)
    foreign = add_area(job=other, name="Head", hand=ANN)
    with pytest.raises(Conflict, match="belong to one job"):
        wanted(job, area=foreign)


def test_a_failed_test_is_taken_back_only_with_a_reason(job: Job) -> None:
    one = give_result(inspection=wanted(job), said=result(passed=False), hand=ANN)
    with pytest.raises(InvalidInput, match="why a test that failed does not count"):
        withdraw_inspection(inspection=one, hand=ANN)
    withdraw_inspection(inspection=one, hand=Hand(who="Ann", why="the rods went to scrap"))
    assert gates_open(job) == []
    with pytest.raises(Conflict, match="was taken back meanwhile"):
        give_result(inspection=one, said=result(passed=True), hand=REPLACED)


def test_an_area_waits_for_its_test_by_name(job: Job, area: Area, place: Place) -> None:
    lot = keep_lot(
        job=job,
        facts=LotFacts(count=9, kind="hex_bolt", end_a=("5/16-24 UNF",), length_mm=34.925),
        hand=ANN,
    )
    allot(lot=lot, place=place, count=9, hand=ANN)
    one = wanted(job, kind="pressure_test", what="gear case", gates="build", area=area)

    def reasons() -> list[str]:
        (row,) = areas_to_build(job)
        assert row.state.reasons == kit_of(area).state.reasons
        return [reason.text for reason in row.state.reasons]

    assert reasons() == ["Waits for pressure test: gear case: still to be done"]
    lot.refresh_from_db()
    with pytest.raises(Conflict, match=r"pressure test: gear case is still to be done\. Test first"):
        fit_pieces(job=job, fittings=[Fitting(lot, 4)], hand=ANN)
    give_result(inspection=one, said=result(passed=False), hand=ANN)
    assert reasons() == ["Waits for pressure test: gear case: failed"]
    assert kit_of(area).in_doubt
    fit_pieces(job=job, fittings=[Fitting(lot, 9)], hand=Hand(who="Ann", why="only to try it"))
    # All is fitted, and the test is as open as before.
    assert kit_of(area).state.finished
    assert reasons() == ["Waits for pressure test: gear case: failed"]
    give_result(inspection=one, said=result(passed=True, measured="4 bar"), hand=REPLACED)
    assert areas_to_build(job)[0].state.ready
