"""What the page of one joint shows, put into words and drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.shear_by_authority import ShearAreas, shear_areas
from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import thread as standard_thread
from runningfit.core.treatments import treatment
from runningfit.core.treatments.threaded_joint.answers import (
    Check,
    ForThePlater,
    Question,
    TorqueFigure,
)
from runningfit.core.treatments.threaded_joint.holding import engagement_of, pair_of
from runningfit.core.units import LengthUnit
from runningfit.core.verdicts import Caution, Outcome
from runningfit.reports.torque_words import figures
from runningfit.web.joints.forms import DecideForm
from runningfit.web.joints.joint_drawing import Holds, JointDrawing, joint_drawing
from runningfit.web.joints.saying import (
    QUESTIONS,
    STAMPS,
    WORDS,
    Way,
    came_after,
    disagrees,
    outcome_words,
    way_to_finish,
    way_to_say,
)
from runningfit.web.pieces.naming_saying import as_number
from runningfit.web.records.views import job_page
from runningfit.workshop.joints.deciding import Changed, changed_since, not_seen, stands, verdict_shown
from runningfit.workshop.joints.models import JointDecision
from runningfit.workshop.joints.queries import JudgedJoint, decisions_of
from runningfit.workshop.records.queries import the_shop

# The worst checks come first, and their cautions with them; the rest is a tap away.
CAUTIONS_SHOWN = 4


@dataclass(frozen=True, slots=True)
class DrawnCheck:
    """The answer to one question, with the way to the fact that it misses."""

    question: str
    stamp: str
    words: str
    check: Check
    probability: str
    way: Way | None
    came_after: bool


def joint_page(one: JudgedJoint, form: DecideForm | None, *, shown: str | None = None) -> dict[str, Any]:
    """Return what the page of a joint shows.

    Parameters
    ----------
    shown : str or None
        The verdict on which somebody wanted to decide, where the form comes back: the page says what changed.
    """
    lot, place, judgement = one.lot, one.place, one.judgement
    job = place.area.job if place is not None else lot.job if lot is not None else None
    assert job is not None
    unit = LengthUnit(the_shop().unit)
    first = judgement.checks[0]
    cautions = _all_cautions(judgement.checks)
    earlier = decisions_of(lot) if lot is not None else []
    return job_page(
        job,
        here="judge",
        one=one,
        unit=unit.value,
        lot=lot,
        place=place,
        judgement=judgement,
        stamp=STAMPS[judgement.outcome],
        words=outcome_words(one),
        first_asks="" if first.verdict.outcome is judgement.outcome else QUESTIONS[first.question],
        asks=way_to_say(judgement.matters_most, one),
        drawing=_drawing(one, unit),
        areas=_areas(one),
        checks=[_drawn_check(check, one) for check in judgement.checks],
        cautions=cautions[:CAUTIONS_SHOWN],
        more_cautions=cautions[CAUTIONS_SHOWN:],
        torque=judgement.torque,
        torque_words=figures(judgement.torque, unit),
        finish_way=_finish_way(one),
        unchanged=unchanged_words(judgement.torque),
        plater=judgement.plater if _is_to_come(one) and _says_anything(judgement.plater) else None,
        treatment_words=treatment(one.facts.piece.treatment).label if one.facts.piece.treatment else "",
        decision=one.decision,
        stands=stands(one.decision, judgement),
        later=came_after(one.decision, judgement),
        seen=_seen(one.decision),
        verdict_shown=verdict_shown(judgement),
        changed=[] if shown is None else [_changed(each) for each in changed_since(shown, judgement)],
        disagrees=disagrees(one.decision, judgement),
        then=WORDS[Outcome(one.decision.outcome)] if one.decision is not None else "",
        earlier=[row for row in earlier if one.decision is None or row.pk != one.decision.pk],
        form=form,
        title=_title(one),
    )


def _finish_way(one: JudgedJoint) -> Way | None:
    """Return the way to confirm the finish, where a figure waits for it."""
    if one.lot is None or one.judgement.torque.torque_nm is not None or one.facts.piece.finish_received:
        return None
    return way_to_finish(one.lot)


def _title(one: JudgedJoint) -> str:
    if one.place is not None:
        return one.place.name
    return f"Lot {one.lot.number}" if one.lot is not None else ""


def _seen(decision: JointDecision | None) -> list[tuple[str, str]]:
    """Return what was on the screen when it was decided: each answer with its outcome in words."""
    if decision is None:
        return []
    return [(WORDS[Outcome(line["outcome"])], line["says"]) for line in decision.lines]


def _changed(one: Changed) -> tuple[str, str, str, str]:
    """Return of an answer that changed its question, how it was answered, and the answer now."""
    before = "not asked" if one.before is None else WORDS[one.before]
    if one.now is None:
        return QUESTIONS[one.question], before, "not asked", ""
    return QUESTIONS[one.question], before, WORDS[one.now.verdict.outcome], one.now.says


def _drawn_check(check: Check, one: JudgedJoint) -> DrawnCheck:
    verdict = check.verdict
    unseen = {line.question for line in not_seen(one.decision, one.judgement)}
    return DrawnCheck(
        question=QUESTIONS[check.question],
        stamp=STAMPS[verdict.outcome],
        words=WORDS[verdict.outcome],
        check=check,
        probability="" if verdict.probability is None else as_number(verdict.probability),
        way=way_to_say(check.missing, one) if check.missing else None,
        came_after=check.question in unseen,
    )


def _all_cautions(checks: tuple[Check, ...]) -> list[Caution]:
    """Return every caution once, in the order of the checks."""
    return list(dict.fromkeys(caution for check in checks for caution in check.verdict.cautions))


def _drawing(one: JudgedJoint, unit: LengthUnit) -> JointDrawing | None:
    """Draw the joint; none where there is no thread, or one that no table has."""
    facts = one.facts
    if not facts.piece.threads or facts.piece.kind is Kind.OTHER:
        return None
    try:
        thread = standard_thread(facts.piece.threads[0])
    except InvalidInput:
        return None
    return joint_drawing(facts, thread, _holds(one), unit, alone=one.place is None)


def _holds(one: JudgedJoint) -> Holds:
    """Return what the check of stripping reckoned with."""
    needed = next(
        (
            check.verdict.value
            for check in one.judgement.checks
            if check.question is Question.STRIPPING and check.verdict.unit == "mm"
        ),
        None,
    )
    try:
        real = engagement_of(one.facts) if one.place is not None else None
    except InvalidInput:
        # The check says which fact cannot be read.
        real = None
    if real is None:
        return Holds(None, needed)
    return Holds(real.engaged_mm, needed, real.bottoms_by_mm)


def _areas(one: JudgedJoint) -> tuple[ShearAreas, ...]:
    """Return the areas in which the threads shear by each authority; none where there is no such pair."""
    try:
        pair = pair_of(one.facts) if one.place is not None else None
        return () if pair is None else shear_areas(pair)
    except InvalidInput:
        # The check says which fact cannot be read.
        return ()


def unchanged_words(figure: TorqueFigure) -> str:
    """Say what the maker's figure would give on the finish and lubricant of now; empty where not known."""
    ratio = figure.ratio_if_unchanged
    if ratio is None:
        return ""
    return f"{ratio.low:.0%} to {ratio.high:.0%} of the clamp it was meant to give"


def _is_to_come(one: JudgedJoint) -> bool:
    """Whether there is work of which a shop can still be told something."""
    piece = one.facts.piece
    return not piece.is_treated and bool(piece.treatment or not piece.done_steps)


def _says_anything(plater: ForThePlater) -> bool:
    return plater != ForThePlater()
