"""The words of a judgement of hydrogen: its reasons, its cautions, and what the plater must be told."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.treatments.cautions import CRITICAL, EMBRITTLEMENT
from runningfit.core.treatments.embrittlement.baking import Bake
from runningfit.core.treatments.embrittlement.case import Case, Risk
from runningfit.core.treatments.embrittlement.process import ProcessStep
from runningfit.core.treatments.embrittlement.rules import Force, Saying, StandardSays, strictness
from runningfit.core.verdicts import Caution, Reason

ALTERNATIVES = (
    "Leave it plain and oil it, as most were supplied.",
    "Zinc flake: no electrolysis and no acid, cured in an oven (ISO 10683).",
    "Mechanically plated zinc, cleaned without acid.",
    "Black oxide and oil, cleaned without acid.",
    "A new piece, bought plain or in one of these finishes.",
)
_SPRING_REASON = Reason(
    "It is a spring by its work: hard, and always under load. It is supplied plain unless plating is "
    "ordered, and plated ones must stand 48 h compressed flat.",
    "ASME B18.21.1-1999 2.7 (VERIFIED), of spring washers; for other springs common practice, no source",
)


def reasons_of(case: Case, bake: Bake | None) -> tuple[Reason, ...]:
    """Say why, the weightiest first.

    Parameters
    ----------
    case : Case
        What was looked at.
    bake : Bake or None
        The bake, where that is what is asked.

    Returns
    -------
    tuple of Reason
        Each with its source.
    """
    reasons = [Reason(case.implied.why, f"{case.implied.source} ({case.implied.status})")]
    if not case.bringing:
        reasons.insert(
            0, Reason("No step of this chain brings hydrogen into the steel.", _sources(case.steps))
        )
        return tuple(reasons)
    named = ", ".join(dict.fromkeys(step.label for step in case.bringing))
    reasons.append(Reason(f"These steps bring hydrogen: {named}.", _sources(case.bringing)))
    if case.implied.spring:
        reasons.insert(0, _SPRING_REASON)
    if case.case_hardened:
        reasons.insert(0, Reason("Its surface is hardened, so every threshold counts as reached."))
    reached = [one for one in case.standards if one.says is not Saying.BELOW_THRESHOLD]
    reasons += [_reached(one) for one in sorted(reached, key=lambda one: -strictness(one.says))]
    below = [one for one in case.standards if one.says is Saying.BELOW_THRESHOLD]
    if below:
        shown = "; ".join(dict.fromkeys(f"{one.named} {one.threshold}" for one in below))
        reasons.append(Reason(f"Below the threshold of: {shown}.", "each standard's own source"))
    if bake is not None:
        reasons += bake.reasons
        if case.implied.from_memory and strictness(case.strictest) < strictness(Saying.BAKE_UNLESS_VERIFIED):
            reasons.insert(
                0, Reason("Its hardness is known from memory alone, which never passes: measure it.")
            )
    if not any(step.does in {"electroplate", "phosphate"} for step in case.steps):
        reasons.append(
            Reason(
                "No standard was seen that rules on acid or cathodic cleaning alone: the rules for zinc are "
                "borrowed.",
                "common practice, no source",
            )
        )
    elif case.borrowing:
        reasons.append(
            Reason(
                f"Rules that name zinc are borrowed for {' and '.join(case.borrowing)}, of which no rule was "
                "seen.",
                "common practice, no source",
            )
        )
    return tuple(reasons)


_SAYS = {
    Saying.VERIFY: "wants the process proven",
    Saying.STRESS_RELIEF: "wants stress relief before the coat",
    Saying.BAKE_UNLESS_VERIFIED: "wants baking, unless the process is proven",
    Saying.BAKE: "wants baking",
    Saying.AVOID: "says no to it",
}
_FORCES = {
    Force.REQUIRES: "",
    Force.RECOMMENDS: " (advice)",
    Force.WHERE_CALLED_UP: " (where an order names it)",
}


def _reached(one: StandardSays) -> Reason:
    note = f": {one.note}" if one.note else ""
    return Reason(
        f"{one.named}, {one.threshold}, {_SAYS[one.says]}{_FORCES[one.force]}{note}.",
        f"{one.source} ({one.status})",
    )


def _sources(steps: Sequence[ProcessStep]) -> str:
    return "; ".join(dict.fromkeys(f"{step.label}: {step.source} ({step.status})" for step in steps))


def cautions_of(case: Case, bake: Bake | None) -> tuple[Caution, ...]:
    """Say what to mind.

    Parameters
    ----------
    case : Case
        What was looked at.
    bake : Bake or None
        The bake, where that is what is asked.

    Returns
    -------
    tuple of Caution
        What is missing and what is from memory among them.
    """
    return (*_cautions_of_standards(case), *_cautions_of_knowledge(case, bake))


def _cautions_of_standards(case: Case) -> list[Caution]:
    risk = case.risk
    cautions: list[Caution] = []
    advice = [
        one.named for one in case.standards if one.says is Saying.AVOID and one.force is Force.RECOMMENDS
    ]
    if risk is Risk.BAKE and advice and case.plated:
        cautions.append(
            Caution(
                f"Better not electroplated at all at this hardness, by the advice of {', '.join(advice)}."
            )
        )
    if case.bringing and case.implied.missing:
        cautions.append(Caution(f"What matters most and is missing: {case.implied.missing}."))
    if risk is not Risk.AVOID and any(one.close for one in case.standards):
        cautions.append(
            Caution(
                "It lies so near a threshold that a tester or a conversion between scales decides: measure "
                "again on the scale of the standard."
            )
        )
    wanting = [
        one.named for one in case.standards if one.says is Saying.VERIFY and one.force is Force.REQUIRES
    ]
    if risk is not Risk.AVOID and wanting:
        cautions.append(Caution(f"Ask the plater for its process test: {' and '.join(wanting)} wants one."))
    called = [one.named for one in case.standards if one.says is Saying.BAKE and not case.binding(one)]
    if risk is Risk.BELOW_THRESHOLD and called:
        cautions.append(Caution(f"An order that names {' or '.join(called)} wants it baked all the same."))
    return cautions + _order_cautions(case)


def _cautions_of_knowledge(case: Case, bake: Bake | None) -> list[Caution]:
    cautions: list[Caution] = []
    from_memory = [
        one.named
        for one in case.standards
        if one.status == "MEMORY" and one.says is not Saying.BELOW_THRESHOLD
    ]
    if case.implied.from_memory and case.bringing:
        from_memory.insert(0, "the hardness")
    if case.phosphated and bake is not None:
        from_memory.append("the figures of the bake")
    if from_memory:
        cautions.append(Caution(f"From memory, not seen in print: {', '.join(dict.fromkeys(from_memory))}."))
    if bake is not None:
        cautions.append(
            Caution("Baking lessens the risk and is no guarantee; keep it below the temper of the piece.")
        )
    unseen = [step.label for step in case.steps if step.does == "none" and step.status != "VERIFIED"]
    if not case.bringing and unseen:
        cautions.append(
            Caution(
                f"Ask how it is cleaned before {' and '.join(dict.fromkeys(unseen))}: acid would change this."
            )
        )
    if case.safety_critical:
        cautions.append(CRITICAL)
    if case.bringing:
        cautions.append(EMBRITTLEMENT)
    return cautions


def _order_cautions(case: Case) -> list[Caution]:
    """What is wrong with the order of the chain."""
    does = [step.does for step in case.steps]
    found = []
    if "bake" in does:
        at = does.index("bake")
        bringing = [place for place, way in enumerate(does) if way in {"acid", "cathodic", "electroplate"}]
        if "passivate" in does and does.index("passivate") < at:
            found.append(
                Caution(
                    "The order is plate, bake, then passivate: heat above 66 °C spoils the chromate film."
                )
            )
        if bringing and at < max(bringing):
            found.append(
                Caution("The bake comes before a step that brings hydrogen: it must follow the last of them.")
            )
    if "cathodic" in does:
        found.append(
            Caution(
                "Cathodic cleaning is to be avoided on hard steel (ISO 9587:2007): clean it anodically or by "
                "hand."
            )
        )
    return found


def instructions_of(case: Case, bake: Bake | None) -> tuple[str, ...]:
    """Say what the plater must be told, in the order of the work.

    Parameters
    ----------
    case : Case
        What was looked at.
    bake : Bake or None
        The bake, where that is what is asked.

    Returns
    -------
    tuple of str
        Sentences for the note that goes along.
    """
    told = [f"Hardness: {case.implied.said}{'' if case.implied.measured else ', not measured'}."]
    if case.risk is Risk.AVOID:
        return (*told, "Do not dip in acid, do not clean cathodically, do not electroplate.")
    relieving = [one.named for one in case.standards if one.says is Saying.STRESS_RELIEF]
    if relieving and case.coated:
        told.append(
            "What was ground, machined, straightened or cold-formed after it was hardened: relieve its "
            f"stresses before the bath ({', '.join(relieving)})."
        )
    if bake is None:
        return tuple(told)
    told.append(
        "Clean without acid if you can, anodically rather than cathodically; as short as the scale allows."
    )
    told.append(f"Bake at {bake.said}.")
    if case.phosphated:
        told.append("Order: phosphate, bake, then oil.")
    elif case.plated:
        told.append("Order: plate, bake, then passivate.")
    else:
        told.append("Order: the acid, the bake, then the coat.")
    return tuple(told)
