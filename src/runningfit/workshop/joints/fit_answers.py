"""What the judgement of a fit answers, pair by pair: a verdict with its numbers, or that nobody can tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.joints.press_fits.judging import PressAnswer
from runningfit.core.joints.running_fits.clearance import ClearanceAt
from runningfit.core.joints.running_fits.fit_limits import FitLimits
from runningfit.core.joints.running_fits.oil_film import FilmAnswer
from runningfit.core.joints.running_fits.shells import ShellChoice
from runningfit.core.joints.running_fits.throughout import Throughout
from runningfit.core.verdicts import Caution, Outcome, Verdict
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_pairing import LastRead


@dataclass(frozen=True, slots=True)
class CannotTell:
    """No verdict yet: why, and what would bring one."""

    why: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Span:
    """A clearance where it is closest and where it is widest; alike where each part was read at one point."""

    close: ClearanceAt
    wide: ClearanceAt

    def ends_mm(self) -> tuple[float, float]:
        """The ends between which all of it lies in 19 of 20 cases at each end [mm]."""
        return self.close.interval_mm()[0], self.wide.interval_mm()[1]


@dataclass(frozen=True, slots=True)
class PairAnswer:
    """One pair, worked out and judged.

    Parameters
    ----------
    verdict : Verdict
        What it comes to, the worse of both ends; its value is the clearance at 20 °C [mm].
    as_read_mm : tuple of float
        The least and the largest clearance as the gauges said it [mm], nothing taken off.
    cold, hot : Span
        At 20 °C, and running; hot is none where no temperatures were told.
    shells : tuple of ShellChoice
        What each grade of shells would give, the best first.
    film : FilmAnswer or CannotTell or None
        The check of the oil film, where load, speed and oil were told.
    press : PressAnswer or None
        Of a press fit: pressures, grip and heat.
    kept : Throughout or None
        How probably all places that were read keep the limits, of the clearance or of the interference; none
        where there are no limits, or the uncertainty of a size was not told.
    """

    verdict: Verdict
    as_read_mm: tuple[float, float]
    cold: Span
    hot: Span | None = None
    shells: tuple[ShellChoice, ...] = ()
    film: FilmAnswer | CannotTell | None = None
    press: PressAnswer | None = None
    kept: Throughout | None = None


@dataclass(frozen=True, slots=True)
class JudgedPair:
    """A hole and a shaft of one number with the answer."""

    name: str
    hole: LastRead | None
    shaft: LastRead | None
    answer: PairAnswer | CannotTell

    @property
    def outcome(self) -> Outcome | None:
        """What it comes to; none where nobody can tell yet."""
        return self.answer.verdict.outcome if isinstance(self.answer, PairAnswer) else None

    @property
    def needs_a_person(self) -> bool:
        """Whether it must not be built as it is."""
        return self.outcome is Outcome.NOT_SOUND


@dataclass(frozen=True, slots=True)
class JudgedFit:
    """A fit of a job with its pairs.

    Parameters
    ----------
    fit : RunningFit
        The fit.
    limits : tuple of FitLimits
        What its clearance is held against; a sanity band where the maker's limits were not typed.
    pairs : tuple of JudgedPair
        Number by number, in the order of the sheet.
    cautions : tuple of Caution
        What to mind of the gauges and temperatures behind all of them.
    """

    fit: RunningFit
    limits: tuple[FitLimits, ...]
    pairs: tuple[JudgedPair, ...]
    cautions: tuple[Caution, ...]

    @property
    def is_press(self) -> bool:
        """Whether it is meant to have no clearance."""
        return self.fit.kind == "press"

    @property
    def needs_a_person(self) -> bool:
        """Whether one of its pairs must not be built as it is."""
        return any(one.needs_a_person for one in self.pairs)


@dataclass(frozen=True, slots=True)
class FitCounts:
    """How many pairs of a job stand how."""

    needs_a_person: int
    not_proven: int
    cannot_tell: int
    sound: int

    @property
    def total(self) -> int:
        """All of them."""
        return self.needs_a_person + self.not_proven + self.cannot_tell + self.sound


def counted(fits: Sequence[JudgedFit]) -> FitCounts:
    """Count the pairs of fits by what they come to."""
    outcomes = [pair.outcome for one in fits for pair in one.pairs]
    return FitCounts(
        outcomes.count(Outcome.NOT_SOUND),
        outcomes.count(Outcome.NOT_PROVEN),
        outcomes.count(None),
        outcomes.count(Outcome.SOUND),
    )
