"""What the pages of fits say: clearances, limits and what a pair comes to, in the shop's unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from runningfit.core.joints.running_fits.clearance import ClearanceAt
from runningfit.core.joints.running_fits.fit_limits import FitLimits, LimitsFor
from runningfit.core.measurements.conformity.decision import percent
from runningfit.core.measurements.uncertainty.measured import coverage_factor
from runningfit.core.units import MM_PER_INCH
from runningfit.core.verdicts import Outcome
from runningfit.web.joints.saying import STAMPS, WORDS
from runningfit.workshop.joints.fit_answers import CannotTell, JudgedFit, JudgedPair, PairAnswer, Span

CANNOT_TELL = "cannot tell yet"


class FitGroup(StrEnum):
    """How far a pair is, in the order in which a person must look at it."""

    NEEDS_YOU = "needs"
    NOT_PROVEN = "open"
    CANNOT_TELL = "untold"
    SOUND = "sound"


FIT_GROUPS: dict[FitGroup, tuple[str, str]] = {
    FitGroup.NEEDS_YOU: ("Needs you", "Not to be built as it is."),
    FitGroup.NOT_PROVEN: ("Not proven", "A better reading or the maker's limits may settle it."),
    FitGroup.CANNOT_TELL: ("Cannot tell yet", "What is missing is named in each line."),
    FitGroup.SOUND: ("Sound", ""),
}
_BY_OUTCOME = {
    Outcome.NOT_SOUND: FitGroup.NEEDS_YOU,
    Outcome.NOT_PROVEN: FitGroup.NOT_PROVEN,
    Outcome.SOUND: FitGroup.SOUND,
    None: FitGroup.CANNOT_TELL,
}


@dataclass(frozen=True, slots=True)
class PairLine:
    """One pair as a line of the list shows it."""

    judged: JudgedFit
    pair: JudgedPair
    clearance: str
    doubt: str
    new: str
    worn: str
    stamp: str
    word: str
    probability: str
    missing: str


@dataclass(frozen=True, slots=True)
class FitSection:
    """The pairs of one group."""

    key: FitGroup
    title: str
    hint: str
    lines: tuple[PairLine, ...]
    open: bool

    @property
    def brief(self) -> str:
        """Its pairs in one line, fit by fit: pistons in their bores 1, 2, 4."""
        return "; ".join(
            f"{name} {', '.join(line.pair.name for line in lines)}"
            for name, lines in groupby(self.lines, key=lambda line: line.judged.fit.name)
        )


def fit_sections(fits: Sequence[JudgedFit], unit: str) -> list[FitSection]:
    """Return all pairs of a job in groups, those that need a person first."""
    found: dict[FitGroup, list[PairLine]] = {group: [] for group in FitGroup}
    for one in fits:
        for pair in one.pairs:
            found[_BY_OUTCOME[pair.outcome]].append(pair_line(one, pair, unit))
    there = [group for group, lines in found.items() if lines]
    return [
        FitSection(group, *FIT_GROUPS[group], tuple(found[group]), place == 0)
        for place, group in enumerate(there)
    ]


def pair_line(judged: JudgedFit, pair: JudgedPair, unit: str) -> PairLine:
    """Say one pair in one line."""
    answer = pair.answer
    if isinstance(answer, CannotTell):
        missing = f"{answer.why} {answer.remedy}"
        return PairLine(judged, pair, "", "", "", "", "open", CANNOT_TELL, "", missing)
    verdict = answer.verdict
    return PairLine(
        judged,
        pair,
        span_words(answer.cold, unit, press=judged.is_press),
        doubt_words(answer.cold.close, unit),
        _side_words(judged.limits, LimitsFor.NEW, unit),
        _side_words(judged.limits, LimitsFor.WEAR, unit),
        STAMPS[verdict.outcome],
        WORDS[verdict.outcome],
        chance_words(answer),
        "",
    )


def chance_words(answer: PairAnswer) -> str:
    """Say how probable the verdict is; of what is not proven, how probably it keeps what it shall."""
    verdict = answer.verdict
    if verdict.probability is None:
        return ""
    said = percent(verdict.probability).replace(" %", "\u00a0%")
    return f"within with {said}" if verdict.outcome is Outcome.NOT_PROVEN else said


def number(mm: float, unit: str) -> str:
    """Write a clearance as a figure alone, as fine as gauges read."""
    return f"{mm / MM_PER_INCH:.4f}" if unit == "in" else f"{mm:.3f}"


def size(mm: float, unit: str) -> str:
    """Write a size with its unit."""
    return f"{mm / MM_PER_INCH:.5f} in" if unit == "in" else f"{mm:.4f} mm"


def span_words(span: Span, unit: str, *, press: bool = False) -> str:
    """Write a clearance from its closest to its widest; of a press fit, its interference."""
    ends = [span.close.middle_mm, span.wide.middle_mm]
    if press:
        ends = [-one for one in reversed(ends)]
    low, high = (number(one, unit) for one in ends)
    said = f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
    return f"{said} tight" if press and ends[0] > 0 else said


def hot_words(span: Span, unit: str) -> str:
    """Write a hot clearance between both ends of what metals and temperatures may do."""
    low, high = number(span.close.low_mm, unit), number(span.wide.high_mm, unit)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def doubt_words(one: ClearanceAt, unit: str) -> str:
    """Write how sure a clearance is in 19 of 20 cases; empty where nobody can say."""
    if one.u_mm is None:
        return ""
    reach = coverage_factor(0.95, max(1.0, one.dof)) * one.u_mm
    return f"± {reach / MM_PER_INCH:.5f}" if unit == "in" else f"± {reach:.4f}"


def limits_words(limits: Sequence[FitLimits], unit: str) -> str:
    """Write limits with what they are for, such as new 0.030 to 0.060."""
    return "; ".join(
        f"{'new' if one.used_for is LimitsFor.NEW else 'worn'}: {_limit_words(one, unit)}" for one in limits
    )


def _side_words(limits: Sequence[FitLimits], used_for: LimitsFor, unit: str) -> str:
    return "; ".join(_limit_words(one, unit) for one in limits if one.used_for is used_for)


def _limit_words(one: FitLimits, unit: str) -> str:
    lower, upper = one.bounds.lower, one.bounds.upper
    if lower is None:
        said = f"at most {number(upper or 0.0, unit)}"
    elif upper is None:
        said = f"at least {number(lower, unit)}"
    else:
        said = f"{number(lower, unit)} to {number(upper, unit)}"
    return f"{said} {unit}" + (" (not the maker's)" if one.is_sanity_band else "")
