"""The choice of a step in words: what each step does to each bore, what it costs, what was decided."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from runningfit.core.measurements.conformity.decision import USUAL_WANTED, percent
from runningfit.core.treatments.machining.choosing import Choice, Start
from runningfit.core.treatments.machining.clean_up import CannotTell, Chance, CleanUp, StepChance
from runningfit.core.units import LengthUnit
from runningfit.workshop.treatments.machining_choice import MachiningChoice
from runningfit.workshop.treatments.machining_orders import Came
from runningfit.workshop.treatments.machining_words import decided_words

_WIDTH = 100
STAMPS = {
    Came.NOT_GONE: "open",
    Came.OUTSIDE: "open",
    Came.TO_MEASURE: "open",
    Came.WITHIN: "good",
    Came.OFF: "bad",
    Came.NOT_PROVEN: "open",
    Came.NOT_CLEAN: "bad",
}


@dataclass(frozen=True, slots=True)
class ChanceCell:
    """How probably one bore, or all of them, is clean at a step: drawn and said."""

    name: str
    words: str
    drawing: SafeString
    stamp: str
    forbidden: str = ""


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step of the table: all together, each, the money, what follows where it does not clean up."""

    key: str
    words: str
    together: ChanceCell
    each: tuple[ChanceCell, ...]
    money: str
    mostly: str
    otherwise: str
    recommended: bool
    forbidden: str


def step_rows(choice: MachiningChoice, currency: str, unit: LengthUnit) -> list[StepRow]:
    """Return the steps from the smallest, each with its chances and its money."""
    if not isinstance(choice.found, CleanUp):
        return []
    computed = set(choice.recommended.values())
    starts = choice.choice.starts if isinstance(choice.choice, Choice) else ()
    rows = []
    for place, one in enumerate(choice.found.steps):
        larger = [other for other in choice.found.steps[place + 1 :] if not other.forbidden]
        its = [start for start in starts if abs(start.step_mm - one.step_mm) < 1e-6]
        rows.append(
            StepRow(
                f"{one.step_mm:g}",
                choice.step_words(one.step_mm),
                _cell("all", one.together),
                tuple(_cell(name, chance, _why(one, name, unit)) for name, chance in one.each),
                _expected(its, currency),
                _mostly(its, currency),
                _otherwise(choice, larger),
                any(abs(one.step_mm - step) < 1e-6 for step in computed),
                one.forbidden[0][1].in_unit(unit).text if one.forbidden else "",
            )
        )
    return rows


def recommendation(choice: MachiningChoice, currency: str) -> str:
    """Say in one sentence what to do, with its money; empty where nothing can be told."""
    if not choice.recommended or not isinstance(choice.found, CleanUp):
        return ""
    said = decided_words(choice, choice.recommended)
    if not isinstance(choice.choice, Choice):
        assert not isinstance(choice.found.chosen, CannotTell)
        step = next(one for one in choice.found.steps if one.step_mm == choice.found.chosen)
        return f"{said}: the smallest step that is sure enough. It cleans up all with {_said(step.together)}."
    sure = min(one.cleans_up for one in choice.choice.best)
    begin = f"Start at {said}:" if len(set(choice.recommended.values())) == 1 else f"Start so. {said}."
    return (
        f"{begin} {currency}{choice.choice.expected:,.0f} on average with all that may follow. "
        f"It cleans up with {percent(sure)}."
    )


def besides(choice: MachiningChoice, currency: str) -> list[str]:
    """Say the second best and by how much, which reading would close the range, and what that is worth."""
    found = choice.choice
    said = []
    if isinstance(found, Choice):
        if found.second is not None and found.dearer_by is not None:
            who = "" if len(found.best) == 1 else f" for {', '.join(found.second.names)}"
            said.append(
                f"Second best: {choice.step_words(found.second.step_mm)}{who}, dearer by "
                f"{_money(found.dearer_by, currency)}; it cleans up with {percent(found.second.cleans_up)}."
            )
        rescue = max(one.rescue for one in found.best)
        if rescue >= 0.001 and choice.plan is not None:
            said.append(f"With {percent(rescue)} no step is enough: {choice.plan.last_resort}.")
    close_range = choice.found.close_range if isinstance(choice.found, CleanUp) else ""
    if not isinstance(found, Choice):
        return [*said, close_range] if close_range else said
    worth = f"worth {_money(found.side_worth, currency)} on average"
    if found.read_side is False:
        # What is not worth doing is not advised in the sentence before.
        said.append(f"To find the old axis first is {worth}, not worth its price: cut without.")
    elif close_range:
        advice = ": do it first" if found.read_side else "; nobody said what it costs"
        said += [close_range, f"To find the old axis first is {worth}{advice}."]
    if round(found.all_worth) > 0:
        said.append(f"No reading is worth more than {currency}{found.all_worth:,.0f}.")
    return said


def _money(amount: float, currency: str) -> str:
    """Say money in whole pounds; what rounds to none is less than one."""
    return f"{currency}{amount:,.0f}" if round(amount) else f"less than {currency}1"


def decision_words(choice: MachiningChoice) -> dict[str, object] | None:
    """Say what was decided, by whom, and whether it still rests on what is known now."""
    row = choice.decision
    if row is None:
        return None
    since = [{"readings": "readings", "plan": "steps and prices"}[name] for name in choice.since]
    return {
        "said": decided_words(choice, row.steps),
        "computed": decided_words(choice, row.recommended) if row.recommended else "",
        "against": row.steps != row.recommended,
        "row": row,
        "chance": "" if row.probability is None else percent(row.probability),
        "since": " and other ".join(since) if row.round == choice.round else "",
        "earlier": row.round != choice.round,
    }


def _cell(name: str, chance: Chance, forbidden: str = "") -> ChanceCell:
    stamp = "bad" if forbidden else "good" if chance.low >= USUAL_WANTED else "open"
    return ChanceCell(name, "forbidden" if forbidden else _said(chance), chance_bar(chance), stamp, forbidden)


def _said(chance: Chance) -> str:
    if chance.high - chance.low < 0.005:
        return f"{_rounded(chance.best)} %"
    return f"{_rounded(chance.best)} % ({_rounded(chance.low)} to {_rounded(chance.high)} %)"


def _rounded(chance: float) -> str:
    """Round a chance to a hundredth, but never to none or to sure."""
    if chance < 0.01:
        return "<1"
    return ">99" if chance > 0.99 else f"{chance * 100:.0f}"


def chance_bar(chance: Chance) -> SafeString:
    """Draw a chance from none to sure: a line from its low to its high end, a dot where it is believed."""
    low, high, best = (round(4 + one * (_WIDTH - 8), 1) for one in (chance.low, chance.high, chance.best))
    wanted = round(4 + USUAL_WANTED * (_WIDTH - 8), 1)
    return SafeString(
        f'<svg class="chance" viewBox="0 0 {_WIDTH} 16" aria-hidden="true"><path class="band" d="M4 8H96"/>'
        f'<path class="wanted" d="M{wanted} 1v14"/><path class="likely" d="M{low} 8H{high}"/>'
        f'<circle cx="{best}" cy="8" r="4"/></svg>'
    )


def _why(one: StepChance, name: str, unit: LengthUnit) -> str:
    return next((why.in_unit(unit).text for who, why in one.forbidden if who == name), "")


def _expected(starts: list[Start], currency: str) -> str:
    return f"{currency}{sum(one.expected for one in starts):,.0f}" if starts else ""


def _mostly(starts: list[Start], currency: str) -> str:
    if len(starts) != 1 or round(starts[0].low) == round(starts[0].high):
        return ""
    return f"mostly {currency}{starts[0].low:,.0f} to {currency}{starts[0].high:,.0f}"


def _otherwise(choice: MachiningChoice, larger: list[StepChance]) -> str:
    if larger:
        return f"go on to {choice.step_words(larger[0].step_mm)}"
    return (choice.plan.last_resort if choice.plan else "") or "a liner or another part"
