"""The step of a set in words: what a person decided, and what the computation comes to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.treatments.machining.choosing import Choice
from runningfit.core.treatments.machining.clean_up import CannotTell, CleanUp
from runningfit.core.units import LengthUnit
from runningfit.workshop.measurements.judging import Answer, judged
from runningfit.workshop.treatments.machining_choice import LEFT_MM, MachiningChoice


def decided_words(choice: MachiningChoice, steps: Mapping[str, float]) -> str:
    """Say the steps of a set: one for all, or one for each."""
    over = "over" if FeatureKind(choice.feature_set.kind) is FeatureKind.BORE else "under"

    def said(step: float) -> str:
        return choice.step_words(step) + ("" if step == LEFT_MM else f" {over}")

    if len(set(steps.values())) == 1:
        return said(next(iter(steps.values())))
    names = {str(one.pk): one.name for one in choice.features}
    together: dict[float, list[str]] = {}
    for key, step in steps.items():
        together.setdefault(step, []).append(names.get(key, key))
    return "; ".join(f"{', '.join(those)}: {said(step)}" for step, those in together.items())


def unit_of_words(choice: MachiningChoice, usual: LengthUnit) -> LengthUnit:
    """Return in which unit to speak of its steps: that in which all were typed, else the usual one."""
    steps = choice.plan.typed.get("steps", "").split(", ") if choice.plan is not None else []
    metric = {"mm" in step.lower() for step in steps if step}
    if len(metric) != 1:
        return usual
    return LengthUnit.MM if True in metric else LengthUnit.INCH


def computed_words(choice: MachiningChoice) -> str:
    """Say what the computation comes to, in its first sentence."""
    if isinstance(choice.choice, Choice):
        return choice.choice.verdict.reasons[0].text
    if isinstance(choice.found, CleanUp):
        return choice.found.verdict.reasons[0].text
    return f"{choice.found.reason} {choice.found.remedy}"


def against(choice: MachiningChoice, steps: Mapping[str, float]) -> list[str]:
    """Say where steps go against the computation, in one sentence each; empty where they follow it."""
    names = {str(one.pk): one.name for one in choice.features}
    recommended = choice.recommended
    found = []
    if not recommended:
        told = choice.choice if isinstance(choice.choice, CannotTell) else None
        found.append(f"No step is recommended: {told.reason if told else ''}")
    cut = {key: step for key, step in steps.items() if step != LEFT_MM}
    other = [key for key, step in cut.items() if key in recommended and abs(recommended[key] - step) > 1e-6]
    if other:
        which = ", ".join(names[key] for key in other)
        computed = ", ".join(dict.fromkeys(choice.step_words(recommended[key]) for key in other))
        found.append(f"For {which} the computation recommends {computed}.")
    if isinstance(choice.found, CleanUp):
        for key, step in cut.items():
            forbidden = [
                why
                for one in choice.found.steps
                if abs(one.step_mm - step) < 1e-6
                for name, why in one.forbidden
                if name == names.get(key)
            ]
            found += [
                f"{choice.step_words(step)} is forbidden for {names[key]}: {why.text}" for why in forbidden
            ]
    return found + _left_unsound(choice, [key for key in steps if key not in cut])


def _left_unsound(choice: MachiningChoice, left: Sequence[str]) -> list[str]:
    """Say which of those that are left as they are neither came back within limits nor are sound as found."""
    if not left or set(left) <= choice.finished:
        return []
    (found,) = judged([choice.corrected])
    return [
        f"{one.feature.name} would be left as it is, and it is {one.answer.value.replace('_', ' ')}."
        for one in found.features
        if str(one.feature.pk) in left
        and str(one.feature.pk) not in choice.finished
        and one.answer is not Answer.SOUND
    ]
