"""A decided step is ordered on a consignment, and what comes back is judged."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.plan.count_back import Counted
from runningfit.core.treatments.machining.clean_up import CannotTell, CleanUp
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.measurements.inspecting import SaidOfInspection, want_inspection
from runningfit.workshop.measurements.sets import SaidOfSet, add_set
from runningfit.workshop.models import (
    Consignment,
    ConsignmentLine,
    FeatureSet,
    Job,
    Lot,
    MachiningOperation,
    Reading,
)
from runningfit.workshop.outside_work import count_back
from runningfit.workshop.outside_work.expecting import Scope, sort_of
from runningfit.workshop.outside_work.queries import lines_of
from runningfit.workshop.outside_work.services import send
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.writing import Hand
from runningfit.workshop.treatments.machining import (
    make_order,
    say_back,
    say_machining,
    waiting_tests,
)
from runningfit.workshop.treatments.machining_choice import machining_choice
from runningfit.workshop.treatments.machining_orders import Came, orders_of_consignment, orders_of_job
from workshop.treatments.worn_engine import (
    ANN,
    JOURNALS_SAID,
    NOMINAL_MM,
    decided,
    journals_of,
    number,
    plan,
    read,
    worn,
)

pytestmark = pytest.mark.django_db
BECAUSE = Hand(who="Ann", why="the pistons are in the drawer")


@pytest.fixture
def bores(job: Job) -> FeatureSet:
    return worn(job)


def ordered(bores: FeatureSet, **other: object) -> Consignment:
    plan(bores)
    decided(bores)
    options: dict[str, object] = {"shop_name": "Hillside Machine Shop", "piece": "cylinder block"}
    return make_order(feature_set=bores, hand=ANN, **{**options, **other})  # type: ignore[arg-type]


def back(bores: FeatureSet, off: Mapping[int, float] | None = None, spread: float = 0.001) -> list[Came]:
    """Read the bores after machining, some of them off their target, and judge them."""
    rows = MachiningOperation.objects.order_by("feature__position")
    sizes = [
        [row.target_mm + (off or {}).get(place, 0.0) + spread * sign for sign in (0, 1, 0, -1, 1, 0)]
        for place, row in enumerate(rows)
    ]
    read(bores, sizes, round=1, token="back")
    (order,) = orders_of_job(bores.job)
    (one,) = order.sets
    return [judged.came for judged in one.operations]


def test_an_order_is_a_consignment_like_any_other(bores: FeatureSet) -> None:
    due = timezone.localdate() + dt.timedelta(days=14)
    made = ordered(bores, due_on=due, quoted=Decimal(210))
    assert (made.shop.name, made.due_on, made.quoted) == ("Hillside Machine Shop", due, Decimal(210))
    lot = Lot.objects.get()
    assert (lot.kind_said, lot.treatment) == ("cylinder block", "machine")
    assert FeatureSet.objects.get(pk=bores.pk).lot == lot
    assert [line.count for line in ConsignmentLine.objects.filter(consignment=made)] == [1]
    rows = list(MachiningOperation.objects.order_by("feature__position"))
    assert [row.target_mm for row in rows] == [79.625] * 4
    assert [(row.lower_mm, row.upper_mm) for row in rows[:1]] == [(79.615, 79.635)]
    assert rows[0].what == "bore and hone, 0.25 mm over"
    assert rows[2].found_mm == pytest.approx(NOMINAL_MM + 0.15, abs=1e-4)
    assert rows[0].based_on == "nominal 79.375 mm + 0.25 mm"
    assert rows[0].surface.startswith("60° cross-hatch")
    with pytest.raises(Conflict, match="ordered on consignment 1 already"):
        make_order(feature_set=bores, hand=ANN)
    with pytest.raises(Conflict, match="ordered on consignment 1 already"):
        decided(bores)


def test_a_bore_goes_to_its_piston_and_the_clearance_where_the_piston_is_measured(
    job: Job, bores: FeatureSet
) -> None:
    said = SaidOfSet("pistons", FeatureKind.SHAFT, ("1", "2", "3", "4"), Pattern((10.0,), (90.0,)),
                     nominal=number(79.6), material="aluminium")  # fmt: skip
    pistons = add_set(job=job, engine=None, said=said, hand=ANN)
    # The third is none of this oversize.
    read(pistons, [[79.570], [79.575], [79.320], [79.565]])
    RunningFit.objects.create(job=job, kind="piston", name="pistons", hole_set=bores, shaft_set=pistons)
    plan(bores, finished_clearance="0.050")
    decided(bores)
    make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="block")
    rows = list(MachiningOperation.objects.order_by("feature__position"))
    assert [row.target_mm for row in rows] == pytest.approx([79.62, 79.625, 79.625, 79.615])
    assert rows[0].based_on == "its piston 79.570 mm + clearance 0.050 mm"
    assert "no piston of that size is measured" in rows[2].based_on


def test_a_journal_is_ground_under_its_nominal(job: Job) -> None:
    mains = journals_of(job)
    say_machining(feature_set=mains, said=JOURNALS_SAID, hand=ANN)
    decided(mains, 0.25, BECAUSE)
    make_order(feature_set=mains, hand=ANN, shop_name="Hillside", piece="crankshaft")
    row = MachiningOperation.objects.order_by("feature__position")[0]
    assert (row.target_mm, row.lower_mm, row.upper_mm) == (49.75, 49.74, 49.76)
    assert row.what == "grind and polish, 0.25 mm under"
    assert row.found_mm == pytest.approx(49.93, abs=1e-3)


def test_two_sets_of_one_piece_go_together(job: Job) -> None:
    mains = journals_of(job)
    crank = keep_lot(job=job, facts=LotFacts(count=1, kind_said="crankshaft"), hand=ANN)
    FeatureSet.objects.filter(pk=mains.pk).update(lot=crank)
    say_machining(feature_set=mains, said=JOURNALS_SAID, hand=ANN)
    decided(mains, 0.25, BECAUSE)
    first = make_order(feature_set=FeatureSet.objects.get(pk=mains.pk), hand=ANN, shop_name="Hillside")
    rods = journals_of(job)
    FeatureSet.objects.filter(pk=rods.pk).update(lot=crank, name="rod journals")
    say_machining(feature_set=rods, said=JOURNALS_SAID, hand=ANN)
    decided(rods, 0.25, BECAUSE)
    assert make_order(feature_set=FeatureSet.objects.get(pk=rods.pk), hand=ANN) == first
    assert ConsignmentLine.objects.count() == 1
    assert [one.feature_set.name for one in orders_of_job(job)[0].sets] == ["main journals", "rod journals"]


def test_an_order_needs_a_decision_a_tolerance_a_piece_and_a_shop(bores: FeatureSet) -> None:
    plan(bores, tolerance="")
    with pytest.raises(Conflict, match="Nobody decided yet"):
        make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="block")
    decided(bores)
    with pytest.raises(InvalidInput, match="how far the finished size may be off"):
        make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="block")
    plan(bores)
    with pytest.raises(InvalidInput, match="what carries them"):
        make_order(feature_set=bores, hand=ANN, shop_name="Hillside")
    with pytest.raises(InvalidInput, match="the machine shop that it goes to"):
        make_order(feature_set=bores, hand=ANN, piece="block")
    assert not Lot.objects.exists()
    assert not Consignment.objects.exists()


def test_a_piece_that_is_outside_cannot_be_ordered_again(job: Job, bores: FeatureSet) -> None:
    send(consignment=ordered(bores), hand=ANN)
    other = worn(job)
    FeatureSet.objects.filter(pk=other.pk).update(lot=Lot.objects.get())
    plan(other)
    decided(other)
    with pytest.raises((Conflict, LedgerRefused), match=r"outside|not here"):
        make_order(feature_set=FeatureSet.objects.get(pk=other.pk), hand=ANN, shop_name="Hillside")


def test_a_test_that_machining_waits_for_stops_the_order_unless_somebody_says_why(
    job: Job, bores: FeatureSet
) -> None:
    want_inspection(job=job, said=SaidOfInspection("crack_test", "block", gates="machining"), hand=ANN)
    mains = journals_of(job)
    want_inspection(
        job=job,
        said=SaidOfInspection("crack_test", "crankshaft", gates="machining", feature_set=mains),
        hand=ANN,
    )
    assert [one.what for one in waiting_tests(bores)] == ["block"]
    assert [one.what for one in waiting_tests(mains)] == ["block", "crankshaft"]
    with pytest.raises(InvalidInput, match="crack test: block") as refused:
        ordered(bores)
    assert refused.value.argument == "why"
    made = make_order(
        feature_set=bores, hand=Hand(who="Ann", why="it is tested there first"), shop_name="Hillside",
        piece="block",
    )  # fmt: skip
    assert MachiningOperation.objects.filter(consignment=made, anyway="it is tested there first").count() == 4


def test_a_closed_job_takes_no_machining(job: Job, bores: FeatureSet) -> None:
    plan(bores)
    decided(bores)
    close_job(job=job, hand=ANN)
    with pytest.raises(Conflict, match="closed"):
        plan(bores, hone="0.1")
    with pytest.raises(Conflict, match="closed"):
        decided(bores)
    with pytest.raises(Conflict, match="closed"):
        make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="block")
    assert isinstance(machining_choice(bores).found, CleanUp)


def test_what_came_back_is_judged_by_the_readings_of_the_next_round(bores: FeatureSet) -> None:
    made = ordered(bores)
    (judged, *_rest) = orders_of_job(bores.job)[0].sets[0].operations
    assert judged.came is Came.NOT_GONE
    send(consignment=made, hand=ANN)
    order = orders_of_job(bores.job)[0]
    assert (order.outside, order.sets[0].operations[0].came) == (1, Came.OUTSIDE)
    # The second was bored too far, the third stands at its limit.
    assert back(bores, {1: 0.03, 2: 0.010}) == [Came.WITHIN, Came.OFF, Came.NOT_PROVEN, Came.WITHIN]
    says = orders_of_job(bores.job)[0].sets[0].operations[1].says
    assert "Too much was taken off" in says
    assert "79.615 to 79.635 mm" in says


def test_places_that_the_tool_did_not_reach_are_not_cleaned_up(bores: FeatureSet) -> None:
    ordered(bores)
    rows = MachiningOperation.objects.order_by("feature__position")
    sizes = [[row.target_mm] * 6 for row in rows]
    sizes[2][1] += 0.05
    sizes[3] = [row.target_mm - 0.05 for row in rows][:1] * 6
    read(bores, sizes, round=1, token="back")
    operations = orders_of_job(bores.job)[0].sets[0].operations
    assert [one.came for one in operations] == [Came.WITHIN, Came.WITHIN, Came.NOT_CLEAN, Came.OFF]
    assert "1 of 6 places are larger" in operations[2].says
    assert "Not enough was taken off" in operations[3].says


def test_marks_that_a_person_sees_count_whatever_the_diameter(bores: FeatureSet) -> None:
    made = ordered(bores)
    rows = list(MachiningOperation.objects.order_by("feature__position"))
    with pytest.raises(Conflict, match="has not gone yet"):
        say_back(operations=rows, done_on=timezone.localdate(), hand=ANN)
    send(consignment=made, hand=ANN)
    with pytest.raises(InvalidInput, match="a day that has been"):
        say_back(operations=rows, done_on=timezone.localdate() + dt.timedelta(days=1), hand=ANN)
    say_back(operations=rows, done_on=timezone.localdate(), marks_left={rows[1].pk}, came_with="2 dark",
             hand=ANN)  # fmt: skip
    assert back(bores) == [Came.WITHIN, Came.NOT_CLEAN, Came.WITHIN, Came.WITHIN]
    assert MachiningOperation.objects.filter(came_with="2 dark").count() == 4


def test_where_it_did_not_clean_up_only_larger_steps_are_left(bores: FeatureSet) -> None:
    send(consignment=ordered(bores), hand=ANN)
    assert len(machining_choice(bores).ordered) == 4
    rows = list(MachiningOperation.objects.order_by("feature__position"))
    read(bores, [[row.target_mm] * 6 for row in rows], round=1, token="back")
    within = machining_choice(bores)
    assert (within.round, within.ordered, len(within.came)) == (1, (), 4)
    assert isinstance(within.found, CannotTell)
    assert "came back within its limits" in within.found.reason
    say_back(operations=rows, done_on=timezone.localdate(), marks_left={rows[1].pk}, hand=ANN)
    choice = machining_choice(bores)
    assert isinstance(choice.found, CleanUp)
    assert [one.step_mm for one in choice.found.steps] == [0.5, 0.75, 1.0]
    # The wear is that of the bores as found, which the cut ones no longer show.
    assert choice.readings[2].points[1].diameter_mm == pytest.approx(NOMINAL_MM + 0.15, abs=1e-4)
    with pytest.raises(Conflict, match="Nobody decided yet"):
        make_order(feature_set=FeatureSet.objects.get(pk=bores.pk), hand=ANN)
    assert decided(bores, 0.5, BECAUSE).round == 1
    count_in_bucket()
    again = make_order(feature_set=FeatureSet.objects.get(pk=bores.pk), hand=ANN, shop_name="Hillside")
    assert {row.round for row in MachiningOperation.objects.filter(step_mm=0.5)} == {2}
    assert orders_of_consignment(again) is not None
    assert len(machining_choice(bores).ordered) == 4


def count_in_bucket() -> None:
    """The block is counted back from the machine shop."""
    made = Consignment.objects.get()
    counted = [Counted(line.lot_id, sort_of(line.lot), line.count) for line in lines_of(made)]
    bucket = Scope("bucket")
    proposed = count_back.propose(consignment=made, scope=bucket, counted=counted, finished=True)
    count_back.accept(
        consignment=made, scope=bucket, counted=counted, finished=True, state=proposed.state, hand=ANN
    )


def test_an_order_of_many_is_asked_of_the_database_in_few_questions(job: Job, bores: FeatureSet) -> None:
    ordered(bores)
    with CaptureQueriesContext(connection) as few:
        orders_of_job(job)
    mains = journals_of(job)
    say_machining(feature_set=mains, said=JOURNALS_SAID, hand=ANN)
    decided(mains, 0.25, BECAUSE)
    make_order(feature_set=mains, hand=ANN, shop_name="Hillside", piece="crankshaft")
    with CaptureQueriesContext(connection) as more:
        orders_of_job(job)
    assert len(more) <= len(few) <= 10
    assert Reading.objects.count() > 24
