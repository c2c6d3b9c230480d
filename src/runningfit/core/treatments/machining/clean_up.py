"""How probably each step cleans up all wear and pits, and the smallest that is sure enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from runningfit.core.measurements.conformity.chances import check_wanted_share
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, percent
from runningfit.core.treatments.machining.barriers import (
    NO_BARRIERS,
    Barriers,
    barrier_cautions,
    forbids,
    said_size,
)
from runningfit.core.treatments.machining.cutting import Axis, Cutting
from runningfit.core.treatments.machining.needed import REST_LEAST, REST_MOST, Needed, Side, needed_steps
from runningfit.core.treatments.machining.readings import Readings
from runningfit.core.treatments.machining.surfaces import Straying
from runningfit.core.units import LengthUnit, SentencePart
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# How far both ends of a probability may lie apart before it is worth a reading to bring them together.
_WIDE = 0.05


@dataclass(frozen=True, slots=True)
class CannotTell:
    """No answer that one could act on.

    Parameters
    ----------
    why : Reason
        Why.
    remedy : str
        What would bring one.
    """

    why: Reason
    remedy: str

    @property
    def reason(self) -> str:
        """Why, as a sentence."""
        return self.why.text

    def in_unit(self, unit: LengthUnit) -> CannotTell:
        """Say it in a unit.

        Parameters
        ----------
        unit : LengthUnit
            The unit of its lengths.

        Returns
        -------
        CannotTell
            The same.
        """
        return replace(self, why=self.why.in_unit(unit))


@dataclass(frozen=True, slots=True)
class Chance:
    """How probably a bore or journal, or all of them, cleans up.

    Parameters
    ----------
    best : float
        As it is believed to be [-].
    low, high : float
        With the most, and the least, of what two-point readings cannot see [-].
    """

    best: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class StepChance:
    """How probably a step cleans up.

    Parameters
    ----------
    step_mm : float
        The oversize or undersize on diameter [mm].
    together : Chance
        All bores or journals at once; what the gauge errs by it errs by in all.
    each : tuple of (str, Chance)
        One by one, by name.
    forbidden : tuple of (str, Reason)
        Which may not be cut to it, and why.
    """

    step_mm: float
    together: Chance
    each: tuple[tuple[str, Chance], ...]
    forbidden: tuple[tuple[str, Reason], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class CleanUp:
    """What the steps would make of the worn surfaces.

    Parameters
    ----------
    steps : tuple of StepChance
        From the smallest.
    chosen : float or CannotTell
        The smallest step, allowed for all, that cleans up all with the probability wanted [mm].
    worst : str
        Which needs most.
    close_range : str
        The reading that would bring both ends of the probability together; empty where they are.
    needed : Needed
        The draws behind it.
    verdict : Verdict
        The same as a verdict: sound after treatment, or not proven.
    """

    steps: tuple[StepChance, ...]
    chosen: float | CannotTell
    worst: str
    close_range: str
    needed: Needed
    verdict: Verdict


def clean_up(
    readings: Sequence[Readings],
    cutting: Cutting,
    *,
    barriers: Barriers = NO_BARRIERS,
    wanted: float = USUAL_WANTED,
    straying: Straying | None = None,
) -> CleanUp:
    """Give how probably each step cleans up, and the smallest that is sure enough.

    Parameters
    ----------
    readings : sequence of BoreReadings or of JournalReadings
        Those of one engine that one gauge measured, of one kind.
    cutting : Cutting
        The steps, and how they would be cut.
    barriers : Barriers
        What may forbid a step.
    wanted : float
        How probably all must clean up [-].
    straying : Straying or None
        How surfaces stray from one size, before they are read; none for what is usual of such surfaces.

    Returns
    -------
    CleanUp
        The probabilities with their ends, the step chosen, and what would make it surer.

    Raises
    ------
    InvalidInput
        No readings, bores and journals mixed, two of one name, unlike shared uncertainties, or a probability
        that cannot be asked for.

    Notes
    -----
    A step cleans up in those draws that need no more (see `needed_steps`).
    """
    check_wanted_share(wanted)
    needed = needed_steps(readings, cutting, straying)
    steps = tuple(
        StepChance(
            step,
            _chance(needed, step),
            tuple((name, _chance(needed, step, index)) for index, name in enumerate(needed.names)),
            tuple(
                (name, why)
                for name in needed.names
                if (why := forbids(step, name, cutting, barriers, readings, wanted))
            ),
        )
        for step in cutting.steps_mm
    )
    worst = needed.names[int(needed.best_mm.mean(axis=1).argmax())]
    chosen = _chosen(steps, wanted)
    close = _close_range(readings, cutting, steps, worst)
    verdict = _verdict(readings, cutting, barriers, steps, chosen, worst, close, wanted)
    return CleanUp(steps, chosen, worst, close, needed, verdict)


def _chance(needed: Needed, step_mm: float, index: int | None = None) -> Chance:
    def share(side: Side) -> float:
        draws = needed.of(side)
        # A thousandth of a micron, so that a step written in inches is not missed by its last bit.
        done = (draws if index is None else draws[index : index + 1]) <= step_mm + 1e-6
        return float(done.all(axis=0).mean())

    return Chance(share(Side.BEST), share(Side.CAREFUL), share(Side.HOPEFUL))


def _chosen(steps: Sequence[StepChance], wanted: float) -> float | CannotTell:
    for one in steps:
        if one.together.best >= wanted and not one.forbidden:
            return one.step_mm
    allowed = [one for one in steps if not one.forbidden]
    if not allowed:
        return CannotTell(
            Reason.of("Every step is forbidden: ", *steps[0].forbidden[0][1].parts),
            "Have it sleeved or built up, or look for another part.",
        )
    last = allowed[-1]
    if last.together.high < wanted:
        return CannotTell(
            Reason.of(
                f"No step allowed cleans up with {percent(wanted)}: the largest, ",
                said_size(last.step_mm),
                f", does with {percent(last.together.best)}.",
            ),
            "Have those that do not clean up sleeved or built up, or look for another part.",
        )
    return CannotTell(
        Reason.of(
            "Whether the largest step allowed, ",
            said_size(last.step_mm),
            f", cleans up is not proven: {_said(last.together)}.",
        ),
        "Read what the diameters cannot see, or have it cut on the worn axis.",
    )


def _close_range(
    readings: Sequence[Readings], cutting: Cutting, steps: Sequence[StepChance], worst: str
) -> str:
    if all(one.together.high - one.together.low <= _WIDE for one in steps):
        return ""
    kind = "journal" if readings[0].outward < 0 else "bore"
    open_names = [one.name for one in readings if one.offset is None]
    which = f"{worst} first" if len(open_names) > 1 and worst in open_names else ", ".join(open_names)
    if cutting.axis is Axis.WORN:
        return f"Have the tool set on the middle where it is worn most ({kind} {worst} first)."
    if not open_names:
        return "Ask the machine shop on which axis it bores: that decides."
    told = (
        f"Read the radius to both sides of the worst place from the unworn rim or register "
        f"({kind} {which}): half their difference is the offset."
    )
    return told if cutting.axis is Axis.ORIGINAL else f"{told} Or ask on which axis it is cut."


def _verdict(
    readings: Sequence[Readings],
    cutting: Cutting,
    barriers: Barriers,
    steps: Sequence[StepChance],
    chosen: float | CannotTell,
    worst: str,
    close: str,
    wanted: float,
) -> Verdict:
    journals = readings[0].outward < 0
    what, kind = ("undersize", "journal") if journals else ("oversize", "bore")
    reasons = []
    cautions = []
    if isinstance(chosen, CannotTell):
        reasons.append(Reason.of(*chosen.why.parts, f" {chosen.remedy}"))
    else:
        found = next(one for one in steps if one.step_mm == chosen)
        reasons.append(
            Reason.of(
                said_size(chosen),
                f" is the smallest {what} that cleans up all with {percent(wanted)} or more: "
                f"{_said(found.together)}; {kind} {worst} needs most.",
            )
        )
        if found.together.low < wanted:
            cautions.append(
                Caution.of(
                    "If most of the wear is on one side and it is cut on the original axis, ",
                    said_size(chosen),
                    f" cleans up with {percent(found.together.low)} only.",
                )
            )
    reasons.extend(
        Reason.of(said_size(one.step_mm), f" cleans up all with {_said(one.together)}.")
        for one in steps
        if one.step_mm != chosen
    )
    for one in steps:
        reasons.extend(
            Reason.of(said_size(one.step_mm), " is forbidden: ", *why.parts) for _, why in one.forbidden[:1]
        )
    reasons.append(_assumed(readings, cutting))
    if close:
        reasons.append(Reason(close))
    cautions.append(
        Caution(
            f"Have {kind} {worst} cut first: if it does not clean up, the others are not yet spoilt for "
            "this size."
        )
    )
    cautions.extend(barrier_cautions(barriers, of_journals=journals))
    probability = None if isinstance(chosen, CannotTell) else found.together.best
    return Verdict(
        Outcome.NOT_PROVEN if isinstance(chosen, CannotTell) else Outcome.SOUND_AFTER_TREATMENT,
        None if isinstance(chosen, CannotTell) else chosen,
        "mm",
        None,
        probability,
        tuple(reasons),
        tuple(cautions),
    )


def _said(chance: Chance) -> str:
    if chance.high - chance.low < 0.001:
        return percent(chance.best)
    return f"{percent(chance.best)} (between {percent(chance.low)} and {percent(chance.high)})"


def _assumed(readings: Sequence[Readings], cutting: Cutting) -> Reason:
    """What the probabilities rest on, in one sentence."""
    said: list[SentencePart] = [said_size(cutting.hone_mm), " is left on diameter for finishing"]
    depths = [pit.depth_mm for one in readings for pit in one.pits]
    if depths:
        said += ["; pits up to ", said_size(max(depths)), " deep count twice, where they lie or may lie"]
    sides = f"{percent_of(cutting.one_sided.least)} to {percent_of(cutting.one_sided.most)}"
    if cutting.axis is Axis.WORN:
        left = f"{percent_of(round(REST_LEAST, 2))} to {percent_of(REST_MOST)}"
        said.append(f"; it is cut on the worn axis, where {left} of one-sided wear are left")
    else:
        axis = "the original axis"
        if cutting.axis is Axis.UNKNOWN:
            axis += f" with {percent_of(cutting.on_original)}, else on the worn one"
        about = "a third of that" if readings[0].outward > 0 else "half of that"
        if cutting.one_sided.usual is not None:
            about = f"as told {percent_of(cutting.one_sided.usual)}"
        said.append(
            f"; it is cut on {axis}; of the wear {sides} more may be on one side than on the other, about "
            f"{about} on average, and alike in one engine"
        )
        if len(readings) > 1:
            said.append(", but less where most of all is worn")
    if cutting.centring_mm == 0:
        said.append("; the tool is taken to stand on its axis exactly")
    return Reason.of(*said, ".", source="common practice, no source")


def percent_of(share: float) -> str:
    """Write a share that was chosen, not computed.

    Parameters
    ----------
    share : float
        The share [-].

    Returns
    -------
    str
        Such as `50 %`.
    """
    return f"{share * 100:g} %"
