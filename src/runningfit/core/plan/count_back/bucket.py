"""What went out, what was counted coming back, and the proposal that brings the two together."""

from __future__ import annotations

from dataclasses import dataclass, field

from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.plan.count_back.sorts import Sort


@dataclass(frozen=True, slots=True)
class Expected:
    """One lot that is still outside.

    Parameters
    ----------
    line : int
        By which the caller knows it; unique.
    name : str
        As the bench knows it, such as ``lot 12``.
    bag : str
        The bag it went in.
    origin : str
        The engine it came from, as people know it; empty when nobody said.
    sort : Sort
        What it is.
    count : int
        Pieces still outside, at least 1.
    finish : FinishLook or None
        The look it should come back with; None when nobody can say.
    defect : str
        The defect it was sent with.
    waiting : bool
        True when it was counted before and found short: it is filled only by what is left over, and is never
        said to be short again.
    """

    line: int
    name: str
    bag: str
    origin: str
    sort: Sort
    count: int
    finish: FinishLook | None = None
    defect: str = ""
    waiting: bool = False


@dataclass(frozen=True, slots=True)
class Counted:
    """One group of pieces as counted: so many of a sort with one look, some of them damaged.

    Parameters
    ----------
    key : int
        By which the caller knows it; unique.
    sort : Sort
        What they are.
    count : int
        How many, the damaged ones among them.
    damaged : int
        How many of these are damaged.
    look : FinishLook
        The look they came back with.
    process : str
        The process, where the shop that did it said so.
    """

    key: int
    sort: Sort
    count: int
    damaged: int = 0
    look: FinishLook = FinishLook.UNKNOWN
    process: str = ""


@dataclass(frozen=True, slots=True)
class Back:
    """Pieces of a counted group that go back to a line's bag; the damaged ones are among the count."""

    line: int
    key: int
    count: int
    damaged: int = 0
    among: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Short:
    """Pieces of a line that did not come; ``among`` names the lines alike, when it may as well be theirs."""

    line: int
    count: int
    among: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Over:
    """Pieces of a counted group that no line sent; the damaged ones are among the count."""

    key: int
    count: int
    damaged: int = 0


@dataclass(frozen=True, slots=True)
class Swap:
    """Pieces too many that stand where others, near to them, are missing."""

    line: int
    key: int
    count: int
    damaged: int = 0
    among: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Twins:
    """Lines whose pieces can no longer be told apart; more than one origin: the engine is lost."""

    lines: tuple[int, ...]
    origins: tuple[str, ...]

    @property
    def engine_lost(self) -> bool:
        """Return whether it can no longer be said which engine a piece came from."""
        return len(self.origins) > 1


@dataclass(frozen=True, slots=True)
class Unproven:
    """Pieces sent with a defect that were not found again as defective: they lie among the good ones."""

    lines: tuple[int, ...]
    count: int
    defect: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """Pieces that came back to a line with another look than was asked."""

    line: int
    count: int
    asked: FinishLook
    received: FinishLook


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a count-back comes to, before anybody keeps it.

    Every counted piece is in exactly one of ``back``, ``over`` and ``swapped``; every expected piece is in
    exactly one of ``back``, ``short``, ``swapped`` and ``still_out``.
    """

    back: tuple[Back, ...] = ()
    short: tuple[Short, ...] = ()
    over: tuple[Over, ...] = ()
    swapped: tuple[Swap, ...] = ()
    still_out: tuple[Short, ...] = ()
    twins: tuple[Twins, ...] = ()
    unproven: tuple[Unproven, ...] = ()
    wrong_finish: tuple[Wrong, ...] = ()
    questions: tuple[str, ...] = field(default=())

    @property
    def agrees(self) -> bool:
        """Return whether everything came back as it went, so that there is nothing to ask."""
        return not (
            self.short
            or self.over
            or self.swapped
            or self.unproven
            or self.wrong_finish
            or self.questions
            or any(one.damaged for one in self.back)
            or any(twins.engine_lost for twins in self.twins)
        )
