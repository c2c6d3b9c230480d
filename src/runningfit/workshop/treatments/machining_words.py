"""The step of a set in words: what a person decided, and what the computation comes to."""

from __future__ import annotations

from collections.abc import Mapping

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.treatments.machining.choosing import Choice
from runningfit.core.treatments.machining.clean_up import CleanUp
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


def computed_words(choice: MachiningChoice) -> str:
    """Say what the computation comes to, in its first sentence."""
    if isinstance(choice.choice, Choice):
        return choice.choice.verdict.reasons[0].text
    if isinstance(choice.found, CleanUp):
        return choice.found.verdict.reasons[0].text
    return f"{choice.found.reason} {choice.found.remedy}"
