"""Verbs of machining: say what can be had, decide on a step, order it, say what came back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.treatments.machining.clean_up import CannotTell, CleanUp
from runningfit.workshop.measurements.inspecting import gates_open, inspection_said
from runningfit.workshop.measurements.models import FeatureSet, Inspection
from runningfit.workshop.measurements.sets import held_set
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.outside_work.queries import drafts_of
from runningfit.workshop.outside_work.services import Share, add_lots, change_consignment, make_up
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.writing import Hand, write
from runningfit.workshop.treatments.machining_choice import (
    LEFT_MM,
    MACHINED,
    MachiningChoice,
    machining_choice,
)
from runningfit.workshop.treatments.machining_said import SaidOfMachining, columns_of
from runningfit.workshop.treatments.machining_targets import Target, targets
from runningfit.workshop.treatments.machining_words import against, computed_words, decided_words
from runningfit.workshop.treatments.models import MachiningDecision, MachiningOperation, MachiningPlan

MACHINE = "machine"


def say_machining(*, feature_set: FeatureSet, said: SaidOfMachining, hand: Hand) -> MachiningPlan:
    """Say which steps a set of bores or journals can be machined to, what they cost, and how it is done.

    Raises
    ------
    InvalidInput
        Named as the field is: what cannot be read, or does not go together.
    Conflict
        The set has no bores or journals.
    """
    _need_machined(feature_set)
    columns = columns_of(feature_set, said)
    there = MachiningPlan.objects.filter(feature_set=feature_set).first()
    verb = "change_machining" if there is not None and not there.withdrawn else "say_machining"
    summary = f"said how {feature_set.name} can be machined"
    with write(verb=verb, summary=summary, hand=hand, job=feature_set.job) as entry:
        held = held_set(feature_set)
        entry.refer(held)
        row = MachiningPlan.objects.select_for_update().filter(feature_set=held).first()
        if row is None:
            return entry.create(MachiningPlan(feature_set=held, **columns))
        return entry.change(row, withdrawn=False, **columns)


def decide_step(*, feature_set: FeatureSet, steps: Mapping[int, float], hand: Hand) -> MachiningDecision:
    """Decide to which step each feature of a set is machined, beside what the computation says now.

    Parameters
    ----------
    steps : mapping of int to float
        The step of each feature that was read, by its key; 0 leaves it as it is [mm].
    hand : Hand
        With the reason, which is needed where the steps go against the computation.

    Raises
    ------
    InvalidInput
        A step that is not in the plan, a feature left out, different steps where all must be alike, or no
        reason where one is needed.
    Conflict
        It is ordered already, or there is nothing to decide on.
    """
    summary = f"decided how far {feature_set.name} are machined"
    with write(verb="decide_step", summary=summary, hand=hand, job=feature_set.job) as entry:
        choice = machining_choice(held_set(feature_set))
        chosen = {str(key): step for key, step in steps.items()}
        _check_steps(choice, chosen)
        wrong = against(choice, chosen)
        if wrong and not hand.why.strip():
            raise InvalidInput("why", needs="a reason against the computation", came="",
                               remedy=" ".join(wrong)[:400])  # fmt: skip
        said = decided_words(choice, chosen)
        made = entry.create(
            MachiningDecision(
                feature_set=feature_set,
                steps=chosen,
                recommended=choice.recommended,
                said=computed_words(choice)[:300],
                probability=_probability(choice, chosen),
                why=hand.why.strip()[:300],
                round=choice.round,
                made_on=choice.marks,
                who=hand.who[:60] or "not said",
                at=entry.at,
            )
        )
        entry.say(f"decided on {feature_set.name}: {said}")
    return made


def make_order(
    *,
    feature_set: FeatureSet,
    hand: Hand,
    shop_name: str = "",
    consignment: Consignment | None = None,
    piece: str = "",
    due_on: dt.date | None = None,
    quoted: Decimal | None = None,
) -> Consignment:
    """Order what was decided for a set: its piece goes on a consignment like any other.

    Parameters
    ----------
    shop_name : str
        The machine shop, known or new; not needed where the piece is on a consignment already.
    consignment : Consignment or None
        One that is made up but not sent; none makes up another.
    piece : str
        What carries the features, such as cylinder block, where no lot does yet: it is kept as a lot of one.
    due_on : date or None
        When the shop promised it.
    quoted : Decimal or None
        What it asks for all of it.
    hand : Hand
        With the reason, which is needed while a test that machining waits for has not passed.

    Raises
    ------
    InvalidInput
        No piece carries the set, no shop or tolerance was said, a promised day that is over, or no reason
        where one is needed.
    Conflict
        Nothing was decided, readings or plan changed since, it is ordered already, or the piece is not here.
    """
    _need_machined(feature_set)
    plain = Hand(who=hand.who)
    today = timezone.localdate()
    if due_on is not None and due_on < today:
        raise InvalidInput("due on", needs="today or a day to come", came=f"{due_on:%-d %b %Y}")
    with transaction.atomic():
        choice = machining_choice(held_set(feature_set))
        decision = _need_decision(choice)
        sizes = targets(choice, decision.steps)
        waits = waiting_tests(feature_set)
        if waits and not hand.why.strip():
            named = "; ".join(inspection_said(one) for one in waits)
            raise InvalidInput("why", needs="a reason to order before the test", came="",
                               remedy=f"Machining waits for: {named}.")  # fmt: skip
        lots = lots_of(feature_set) or [_kept_piece(feature_set, piece, plain)]
        going = _on_a_consignment(lots, consignment, shop_name, plain)
        changed: dict[str, object] = {}
        if due_on is not None and due_on != going.due_on:
            changed["due_on"] = due_on
        if quoted is not None and quoted != going.quoted:
            changed["quoted"] = quoted
        if changed:
            going = change_consignment(consignment=going, hand=plain, **changed)
        with write(verb="order_machining", summary="ordered", hand=hand, job=feature_set.job) as entry:
            if feature_set.lot_id is None and len(lots) == 1:
                entry.change(held_set(feature_set), lot=lots[0])
            entry.create_many(
                MachiningOperation,
                [_operation(choice, decision, going, one, bool(waits), hand) for one in sizes],
            )
            entry.say(
                f"ordered on consignment {going.number}, {feature_set.name}: "
                f"{decided_words(choice, decision.steps)}"
            )
    return going


def say_back(
    *,
    operations: Sequence[MachiningOperation],
    done_on: dt.date,
    hand: Hand,
    marks_left: Collection[int] = (),
    came_with: str = "",
) -> list[MachiningOperation]:
    """Say that machined features came back, on which of them marks are left, and what the shop wrote.

    Parameters
    ----------
    operations : sequence of MachiningOperation
        Of one set, on one consignment.
    done_on : date
        The day.
    marks_left : collection of int
        The operations, by their keys, whose surface is not clean: a tool does not reach what it leaves dark.
    came_with : str
        The figures and words of the shop.

    Raises
    ------
    InvalidInput
        The day lies ahead.
    Conflict
        It has not gone yet, or was taken back.
    """
    if done_on > timezone.localdate():
        raise InvalidInput("done on", needs="a day that has been", came=f"{done_on:%-d %b %Y}")
    feature_set = operations[0].feature.feature_set
    summary = f"{feature_set.name} came back machined"
    with write(verb="change_machined", summary=summary, hand=hand, job=feature_set.job) as entry:
        held = list(
            MachiningOperation.objects.select_for_update(of=("self",))
            .filter(pk__in=[row.pk for row in operations], withdrawn=False)
            .select_related("consignment", "feature")
            .order_by("pk")
        )
        if len(held) != len(operations):
            raise Conflict("Some of it was taken back meanwhile. Look at what is ordered now.")
        if any(row.consignment.sent_on is None for row in held):
            raise Conflict(f"Consignment {held[0].consignment.number} has not gone yet.")
        for row in held:
            entry.change(
                row, done_on=done_on, marks_left=row.pk in marks_left, came_with=came_with.strip()[:300]
            )
    return held


def waiting_tests(feature_set: FeatureSet) -> list[Inspection]:
    """Return the tests that have not passed and that the machining of a set waits for."""

    def concerns(one: Inspection) -> bool:
        if one.feature_set_id is not None:
            return one.feature_set_id == feature_set.pk
        if one.lot_id is not None and feature_set.lot_id is not None:
            return one.lot_id == feature_set.lot_id
        return one.area_id is None or feature_set.area_id in (None, one.area_id)

    return [one for one in gates_open(feature_set.job, gates="machining") if concerns(one)]


def lots_of(feature_set: FeatureSet) -> list[Lot]:
    """Return the lots that carry the features of a set: one for all, or those of the features."""
    own = Lot.objects.filter(features__feature_set=feature_set, features__withdrawn=False, withdrawn=False)
    ids = set(own.values_list("pk", flat=True))
    if feature_set.lot_id is not None:
        ids.add(feature_set.lot_id)
    return list(Lot.objects.filter(pk__in=ids, withdrawn=False).select_related("job").order_by("number"))


def _need_machined(feature_set: FeatureSet) -> None:
    if FeatureKind(feature_set.kind) not in MACHINED:
        raise Conflict(f"{feature_set.name} are no bores or journals: they are not machined to a step.")


def _check_steps(choice: MachiningChoice, chosen: Mapping[str, float]) -> None:
    if choice.ordered:
        raise Conflict(
            f"It is ordered on consignment {choice.ordered[0].consignment.number} already. Take that order "
            "back first, where it has not gone yet."
        )
    if isinstance(choice.found, CannotTell):
        raise Conflict(f"{choice.found.reason} {choice.found.remedy}")
    assert choice.plan is not None
    known = [one.step_mm for one in choice.found.steps]
    for step in chosen.values():
        if step != LEFT_MM and not any(abs(step - one) < 1e-6 for one in known):
            raise InvalidInput(
                "step", needs=f"one of {', '.join(choice.step_words(one) for one in known)}", came=f"{step:g}"
            )
    if set(chosen) != {str(one.pk) for one in choice.features}:
        raise InvalidInput("step", needs="a step for each that was read", came=f"{len(chosen)} of them")
    if not choice.plan.own_step_each and len(set(chosen.values())) > 1:
        raise InvalidInput("step", needs="one step for all", came="different ones",
                           remedy="Say in the plan that each may have its own.")  # fmt: skip


def _probability(choice: MachiningChoice, chosen: Mapping[str, float]) -> float | None:
    """How probably all are clean at the steps chosen; where each has its own, of the least sure one."""
    if not isinstance(choice.found, CleanUp):
        return None
    chosen = {key: step for key, step in chosen.items() if step != LEFT_MM}
    by_step = {one.step_mm: one for one in choice.found.steps}
    names = {str(one.pk): one.name for one in choice.features}
    if len(set(chosen.values())) == 1:
        step = next(iter(chosen.values()))
        return next((one.together.best for size, one in by_step.items() if abs(size - step) < 1e-6), None)
    found = [
        chance.best
        for key, step in chosen.items()
        for size, one in by_step.items()
        if abs(size - step) < 1e-6
        for name, chance in one.each
        if name == names[key]
    ]
    return min(found) if found else None


def _need_decision(choice: MachiningChoice) -> MachiningDecision:
    if choice.ordered:
        raise Conflict(f"It is ordered on consignment {choice.ordered[0].consignment.number} already.")
    if choice.decision is None or choice.decision.round != choice.round:
        raise Conflict("Nobody decided yet how far it is machined. Decide first.")
    if choice.since:
        raise Conflict(
            f"The decision was made on other {' and another '.join(choice.since)}. Decide on those of now."
        )
    if choice.unread:
        raise Conflict(f"Not read yet: {', '.join(choice.unread)}. Read all of them before it is ordered.")
    if all(step == LEFT_MM for step in choice.decision.steps.values()):
        raise Conflict("All of them are left as they are: there is nothing to order.")
    return choice.decision


def _kept_piece(feature_set: FeatureSet, piece: str, hand: Hand) -> Lot:
    if not piece.strip():
        raise InvalidInput("piece", needs="what carries them, so that it can go and be counted back",
                           came="", remedy="Such as cylinder block, or crankshaft.")  # fmt: skip
    facts = LotFacts(
        count=1, kind="other", kind_said=piece.strip()[:120], area=feature_set.area, origin=feature_set.engine
    )
    return keep_lot(job=feature_set.job, facts=facts, hand=hand)


def _on_a_consignment(
    lots: Sequence[Lot], consignment: Consignment | None, shop_name: str, hand: Hand
) -> Consignment:
    """Put the pieces on a consignment that has not gone: the one they are on, the one chosen, or another."""
    drafts = drafts_of(lots)
    there = {row.consignment.pk: row.consignment for row in drafts.values()}
    if len(there) > 1:
        numbers = " and ".join(str(row.number) for row in there.values())
        raise Conflict(
            f"Its pieces are on consignments {numbers}, and a set goes as a whole on one. Put them on one "
            "first; or make a set of its own of those that go elsewhere."
        )
    if there:
        (consignment,) = there.values()
    missing = [lot for lot in lots if lot.pk not in drafts]
    other = [lot for lot in lots if lot.treatment != MACHINE]
    if other:
        say_treatment(lots=other, treatment=MACHINE, hand=hand)
    shares = [Share(lot) for lot in missing]
    if consignment is None and not shop_name.strip():
        raise InvalidInput("shop name", needs="the machine shop that it goes to", came="",
                           remedy="Type its name, or choose a consignment.")  # fmt: skip
    if consignment is None:
        return make_up(hand=hand, shop_name=shop_name, shares=shares)
    if shares:
        add_lots(consignment=consignment, shares=shares, hand=hand)
    return consignment


def _operation(
    choice: MachiningChoice,
    decision: MachiningDecision,
    consignment: Consignment,
    one: Target,
    waited: bool,
    hand: Hand,
) -> MachiningOperation:
    plan = choice.plan
    assert plan is not None
    bore = FeatureKind(choice.feature_set.kind) is FeatureKind.BORE
    sizes = [
        at.diameter_mm for each in choice.readings if each.name == one.feature.name for at in each.points
    ]
    words = choice.step_words(one.step_mm)
    return MachiningOperation(
        feature=one.feature,
        decision=decision,
        consignment=consignment,
        what=f"bore and hone, {words} over" if bore else f"grind and polish, {words} under",
        found_mm=max(sizes) if bore else min(sizes),
        step_mm=one.step_mm,
        target_mm=one.target_mm,
        lower_mm=one.lower_mm,
        upper_mm=one.upper_mm,
        based_on=one.based_on[:200],
        surface=plan.surface,
        keep=plan.keep,
        measure_after=plan.measure_after,
        anyway=hand.why.strip()[:300] if waited else "",
        round=choice.round + 1,
    )
