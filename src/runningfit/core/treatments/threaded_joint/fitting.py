"""Whether both sides of a thread go together: the coat of the hole, nut or stud asked as the bolt's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from runningfit.core.standards.limits import external_classes
from runningfit.core.treatments.plating import NO_COAT, ThreadHistory, judge_plating
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.treatments.threaded_joint.carrying import is_nut_on_stud
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate
from runningfit.core.treatments.threaded_joint.missing import severity
from runningfit.core.treatments.threaded_joint.reading import bolt_thread, finish_said
from runningfit.core.treatments.threaded_joint.work import FROM_MEMORY_UM, coat_said
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# By which treatment's thickness a finish that is worn counts, where nobody said how thick it is.
_LAID_BY: Mapping[str, str] = {
    "zinc": "zinc_clear",
    "cadmium": "cadmium",
    "phosphate": "phosphate",
    "nickel": "nickel",
    "chrome": "chrome",
    "chromium": "chrome",
    "zinc flake": "zinc_flake",
    "mechanical zinc": "mechanical_zinc",
}
_THICK_AS_ANYTHING = frozenset({"hot-dip galvanised", "tin", "copper"})
_HOW_THICK = "how thick the coat of the nut, hole or stud is"


def fit_of(check: Check | None, facts: JointFacts) -> Check | None:
    """Join the answers on the coat of the piece and on that of its mate: the worse leads.

    Parameters
    ----------
    check : Check or None
        Of the piece; none where it is not coated.
    facts : JointFacts
        The joint.

    Returns
    -------
    Check or None
        None where neither side wears a coat that takes room.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.
    """
    mate = ask_mate_plating(facts)
    if check is None or mate is None:
        return check or mate
    first, second = sorted((check, mate), key=lambda one: -severity(one.verdict.outcome))
    chances = [one.verdict.probability for one in (check, mate) if one.verdict.probability is not None]
    verdict = replace(
        first.verdict,
        probability=min(chances, default=None),
        reasons=(*first.verdict.reasons, Reason(second.says), *second.verdict.reasons),
        cautions=tuple(dict.fromkeys((*first.verdict.cautions, *second.verdict.cautions))),
    )
    needs = first.needs_a_person or second.needs_a_person
    return replace(first, verdict=verdict, missing=first.missing or second.missing, needs_a_person=needs)


def ask_mate_plating(facts: JointFacts) -> Check | None:
    """Ask whether the coated hole, nut or stud of a joint still lets its mate in.

    Parameters
    ----------
    facts : JointFacts
        The joint.

    Returns
    -------
    Check or None
        None where its finish was not said or takes no room, and in a thread insert.

    Raises
    ------
    InvalidInput
        A fact that cannot be read.

    Notes
    -----
    Each side is held against the basic size, as a GO gauge after plating is (ASME B1.1-2019 section 7), so
    that two sides which pass go together whatever both wear. Where the thread was measured as it is now, its
    coat is in the measurement; else it lies within its class, under the coat.
    """
    mate, found = facts.mate, bolt_thread(facts.piece)
    internal = not is_nut_on_stud(facts)
    if not mate.finish.strip() or found is None or not external_classes(found):
        return None
    if internal and mate.mate not in (Mate.TAPPED_HOLE, Mate.NUT):
        return None
    worn = finish_said(mate.finish)
    named = worn.finish or worn.unfigured
    if named not in _LAID_BY and named not in _THICK_AS_ANYTHING:
        return None
    side = "stud or bolt" if not internal else "nut" if mate.mate is Mate.NUT else "hole"
    if mate.pitch_diameter is None and not mate.coat.strip() and named in _THICK_AS_ANYTHING:
        says = f"The {side} wears {named}, and nobody said how thick: measure its pitch diameter."
        return Check(Question.PLATING, says, Verdict(Outcome.NOT_PROVEN, reasons=(Reason(says),)), _HOW_THICK)
    key = _LAID_BY.get(named, "zinc_clear")
    coat = NO_COAT if mate.pitch_diameter is not None else coat_said(mate.coat, key)
    judged = judge_plating(
        found,
        coat,
        mate.thread_class or None,
        internal=internal,
        history=ThreadHistory(mate.pitch_diameter),
    )
    verdict, cautions = judged.verdict, list(judged.verdict.cautions)
    if coat is not NO_COAT and not mate.coat.strip() and key in FROM_MEMORY_UM:
        cautions.insert(0, Caution(f"How thick {named} comes out is from memory ({coat.said}): measure it."))
        if verdict.outcome is Outcome.SOUND:
            verdict = replace(verdict, outcome=Outcome.NOT_PROVEN)
    chance = judged.plated.probability_go
    goes = "it goes into a nut of basic size" if not internal else "a bolt of basic size goes in"
    wears = f"{coat.said} of {named}" if coat is not NO_COAT else f"{named}, and was measured with it"
    says = f"The {side} wears {wears}: {goes} with probability {chance:.2f}."
    if judged.plated.probability_engagement <= chance and verdict.outcome is not Outcome.SOUND:
        says = f"The {side} keeps its class with probability {judged.plated.probability_engagement:.2f} only."
    missing = "" if mate.coat.strip() or mate.pitch_diameter is not None else _HOW_THICK
    return Check(
        Question.PLATING,
        says,
        replace(verdict, cautions=tuple(cautions)),
        "" if verdict.outcome is Outcome.SOUND else missing,
        needs_a_person=verdict.outcome is Outcome.NOT_SOUND,
    )
