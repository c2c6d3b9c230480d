"""What a set of readings comes to, in words: answers, figures with what they may be off by, limits kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor, log10

from runningfit.core.measurements.conformity.decision import USUAL_WANTED, percent
from runningfit.core.measurements.sheets.features import FeatureKind, Quantity
from runningfit.core.measurements.sheets.shown_values import UNITS_OF, shown_value
from runningfit.core.verdicts import Outcome
from runningfit.web.measurements.values_said import limit_quantity, limit_words
from runningfit.workshop.measurements.held_limits import NEW, Allowed, Held, LimitGroup, Proof
from runningfit.workshop.measurements.judged_kinds import Figure
from runningfit.workshop.measurements.judged_together import Together
from runningfit.workshop.measurements.judging import Answer
from runningfit.workshop.measurements.models import LIMITED, FeatureSet

ANSWER_WORDS: Mapping[Answer, str] = {
    Answer.SOUND: "sound",
    Answer.NOT_SOUND: "not sound",
    Answer.NOT_PROVEN: "not proven",
    Answer.CANNOT_TELL: "cannot tell yet",
    Answer.NOTHING_TO_COMPARE: "nothing to compare with",
    Answer.NOT_READ: "not read",
}
ANSWER_STAMPS: Mapping[Answer, str] = {
    Answer.SOUND: "good",
    Answer.NOT_SOUND: "bad",
    Answer.NOT_PROVEN: "open",
    Answer.CANNOT_TELL: "open",
    Answer.NOTHING_TO_COMPARE: "open",
    Answer.NOT_READ: "open",
}
# Nineteen of twenty: the factor of a normal distribution.
SURE = 1.96
_USUAL = "wear limits"
_FINEST_MM = 0.001
_FIGURES = {
    "largest": "largest",
    "smallest": "smallest",
    "read": "read",
    "flatness": "flatness, narrowest pair of planes",
    "flatness_least_squares": "flatness, about the plane of least squares",
    "run_out": "run-out, total reading",
    "bend": "bent off its line by",
    "bend_towards": "bent towards",
    "rate": "rate",
    "free_length": "free length, by the line",
}


@dataclass(frozen=True, slots=True)
class FigureSaid:
    """A figure in words: its name, its value with its doubt, the same in the other unit."""

    name: str
    said: str
    sure: str
    other: str


@dataclass(frozen=True, slots=True)
class HeldSaid:
    """Limits of one state: their name, the limits, what was found, and the stamp of it."""

    name: str
    limits: tuple[str, ...]
    word: str
    stamp: str
    chance: str
    held: Held


def unit_of(feature_set: FeatureSet, shop_unit: str) -> str:
    """Return the unit in which a set is shown: that of its gauge, or the shop's."""
    units = UNITS_OF[FeatureKind(feature_set.kind).quantity]
    gauge = feature_set.instrument.unit if feature_set.instrument else ""
    return next((one for one in (gauge, shop_unit) if one in units), units[0])


def figure_said(figure: Figure, kind: FeatureKind, unit: str, length_unit: str) -> FigureSaid:
    """Say a figure in the unit of its set; form is said with its direction, or that none is shown."""
    if figure.unit == "°":
        return FigureSaid(_FIGURES[figure.name], f"{round(figure.value) % 360}°", "", "")
    quantity, shown_in = _quantity_of(figure, kind, unit, length_unit)
    if quantity is None:
        sure = f"± {figure.u * SURE:.2g}" if figure.u else ""
        return FigureSaid(_FIGURES[figure.name], f"{figure.value:.4g} {figure.unit}", sure, "")
    size = abs(figure.value) if figure.name in ("taper", "barrel") else figure.value
    # A length as fine as the finest gauge reads; all else as fine as it is known.
    sure_to = figure.u * SURE if figure.u else 0.0
    step = 10.0 ** max(-4, floor(log10(sure_to))) if sure_to else None
    if quantity is Quantity.LENGTH:
        step = _FINEST_MM
    shown = shown_value(size, quantity, unit=shown_in, step=step)
    sure = f"± {shown_value(sure_to, quantity, unit=shown_in, step=step).said}" if sure_to else ""
    return FigureSaid(_name_of(figure, kind), shown.said, sure, shown.other)


def _quantity_of(
    figure: Figure, kind: FeatureKind, unit: str, length_unit: str
) -> tuple[Quantity | None, str]:
    if figure.unit == "mm":
        return Quantity.LENGTH, unit if kind.quantity is Quantity.LENGTH else length_unit
    return (kind.quantity, unit) if figure.unit == kind.quantity.unit else (None, "")


def _name_of(figure: Figure, kind: FeatureKind) -> str:
    shown = figure.u is None or abs(figure.value) > SURE * figure.u
    if figure.name == "out_of_round":
        return "out of round by" if shown else "out of round, not shown"
    wide = "wider" if kind is FeatureKind.BORE else "thicker"
    if figure.name == "taper":
        if not shown:
            return "taper, not shown"
        where = "at the least depth" if figure.value > 0 else "at the greatest depth"
        return f"tapered, {wide} {where} by"
    if figure.name == "barrel":
        if not shown:
            return "barrel, not shown"
        return f"barrelled, {wide} in the middle by" if figure.value > 0 else "waisted in the middle by"
    return _FIGURES.get(figure.name, figure.name)


def group_words(group: LimitGroup) -> str:
    """Say which limits they are, and whose."""
    words = "limits for new parts" if group.state == NEW else _USUAL
    return f"{words}, not this engine's" if group.borrowed else words


def allowed_words(one: Allowed, feature_set: FeatureSet, unit: str, length_unit: str) -> str:
    """Say a limit: of what, how much, and where it stands."""
    what = "" if one.what == "size" else f"{dict(LIMITED)[one.what]} "
    at = f"at {one.at_mm:g} mm " if one.at_mm is not None else ""
    if one.limit is not None:
        allowed = limit_words(one.limit, feature_set, unit)
    else:
        quantity = limit_quantity(one.what, FeatureKind(feature_set.kind))
        shown_in = unit if quantity is not Quantity.LENGTH or unit in ("mm", "in") else length_unit
        ends = [
            f"{word} {shown_value(end, quantity, unit=shown_in).said}"
            for word, end in (("at least", one.bounds.lower), ("at most", one.bounds.upper))
            if end is not None
        ]
        allowed = ", ".join(ends)
    return f"{what}{at}{allowed} ({one.source})"


def held_said(
    held: Held, feature_set: FeatureSet, unit: str, length_unit: str, *, decides: bool = True
) -> HeldSaid:
    """Say what limits come to: kept, broken, not proven; borrowed ones only say which way it looks.

    Parameters
    ----------
    decides : bool
        Whether these limits decide; others that are broken are said, and not as an alarm.
    """
    outcome = held.verdict.outcome
    word, stamp = {
        Outcome.SOUND: ("kept", "good"),
        Outcome.NOT_SOUND: ("broken", "bad"),
    }.get(outcome, ("not proven", "open"))
    if held.group.borrowed:
        word = "looks kept" if held.within >= USUAL_WANTED else "not shown"
        if 1 - held.within >= USUAL_WANTED:
            word = "looks broken"
    if not decides and (word, stamp) == ("broken", "bad"):
        word, stamp = "not kept", "open"
    chance = f"kept with {percent(held.within)}"
    if len(held.broken_with) > 1:
        told = [f"{what} {percent(share)}" for what, share in held.broken_with if share >= 0.001]
        chance += f" ({', '.join(told)})" if told else ""
    limits = tuple(allowed_words(one, feature_set, unit, length_unit) for one in held.group.allowed)
    return HeldSaid(group_words(held.group), limits, word, stamp, chance, held)


def together_said(together: Together) -> str:
    """Say how probably all of a set keep the limits that decide, at once."""
    every = "Both" if together.count == 2 else f"All {together.count}"
    return f"{every} at once keep the {group_words(together.group)} with {percent(together.within)}."


def brief_of(held: Sequence[HeldSaid], figures: Sequence[FigureSaid]) -> str:
    """Say in one line what decides and the first figure; empty where nothing was held."""
    if not held:
        return figures[0].said if figures else ""
    first = held[0]
    chance = first.chance.partition(" (")[0]
    why = chance if first.stamp == "good" else f"{first.word}, {chance}"
    why = why if first.name == _USUAL else f"{first.name}: {why}"
    broken = [what for what, share in first.held.broken_with if share >= 0.5] if first.stamp == "bad" else []
    if broken:
        why = ", ".join(broken)
    return " · ".join([*(one.said for one in figures[:1]), why])


def proof_said(proof: Proof, quantity: Quantity, unit: str) -> str:
    """Say what would prove it, how good a gauge must be in the unit of the set."""
    where = f"{proof.where}: " if proof.where else ""
    if proof.gauge_u is None or proof.readings is not None:
        return f"{where}{proof.advice}"
    shown = shown_value(proof.gauge_u, quantity, unit=unit, step=_FINEST_MM)
    sure = shown.said + (f" ({shown.other})" if shown.other else "")
    return (
        f"{where}No number of readings with this gauge shows it. Measure with one whose standard "
        f"uncertainty, setting and all, is at most {sure}."
    )
