"""What two photos of one bag answer: groups of pieces alike, and what is missing, added or swapped."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.photos.items import Estimate, ThreadChance
from runningfit.core.pieces.kinds import Kind


class Difference(StrEnum):
    """In what a piece differs from the one whose place it took."""

    THREAD = "thread"
    LENGTH = "length"
    SIZE = "size"


@dataclass(frozen=True, slots=True)
class Group:
    """Pieces of both photos that cannot be told apart, so that only their count says what became of them.

    Parameters
    ----------
    number : int
        From 1; the findings name groups by it.
    name : str
        Kind, thread and sizes in one phrase for one piece, such as `hex bolt 3/8-16 UNC, 25.4 mm`.
    kind : Kind
        The likeliest kind.
    threads : tuple of ThreadChance
        The likeliest first, by all pieces of the group together; empty where none can be named.
    length : Estimate or None
        The length by all pieces of the group together; None where the kind has none or none was measured.
    before, after : tuple of int
        Numbers of its pieces in the first and in the second photo.
    measured : bool
        False for pieces that a photo could not measure; they may be any piece.
    """

    number: int
    name: str
    kind: Kind
    threads: tuple[ThreadChance, ...]
    length: Estimate | None
    before: tuple[int, ...]
    after: tuple[int, ...]
    measured: bool

    @property
    def change(self) -> int:
        """How many more there are in the second photo than in the first."""
        return len(self.after) - len(self.before)


@dataclass(frozen=True, slots=True)
class Missing:
    """Pieces of a group that are not there any more.

    Parameters
    ----------
    group : int
        The number of the group.
    count : int
        How many.
    probability : float
        That so many or more went, those among them in whose place another came.
    sentence : str
        The finding as it is shown.
    """

    group: int
    count: int
    probability: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Added:
    """Pieces of a group that were not there before.

    Parameters
    ----------
    group : int
        The number of the group.
    count : int
        How many.
    probability : float
        That so many or more came, those among them that came in place of another.
    sentence : str
        The finding as it is shown.
    """

    group: int
    count: int
    probability: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Swapped:
    """Pieces that others of the same kind came in place of.

    Parameters
    ----------
    gone, came : int
        The numbers of the groups of the pieces that went and of those that came.
    count : int
        How many.
    differs : tuple of Difference
        In what they differ.
    probability : float
        That so many or more of the one group went and as many of the other came.
    sentence : str
        The finding as it is shown.
    """

    gone: int
    came: int
    count: int
    differs: tuple[Difference, ...]
    probability: float
    sentence: str


@dataclass(frozen=True, slots=True)
class CannotTell:
    """Something that the two photos leave open.

    Parameters
    ----------
    groups : tuple of int
        The numbers of the groups that it is about.
    probability : float or None
        That something of them is missing, added or swapped; None where no number can be given.
    sentence : str
        What is open, and why.
    remedy : str
        What to do.
    """

    groups: tuple[int, ...]
    probability: float | None
    sentence: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two photos of one bag, held against each other.

    Parameters
    ----------
    before, after : int
        How many pieces the first and the second photo show.
    groups : tuple of Group
        All pieces of both, each in one group.
    missing, added, swapped : tuple
        What is more likely than not; a swapped piece is in neither of the other two.
    cannot_tell : tuple of CannotTell
        What the photos leave open.
    probability_complete : float
        That nothing is missing and nothing swapped.
    scale_ratio : float or None
        Sizes of the second photo over those of the first, as a whole; None where nothing tells it.
    summary : str
        The outcome in one sentence.
    cautions : tuple of str
        What to mind, a sentence each.
    """

    before: int
    after: int
    groups: tuple[Group, ...]
    missing: tuple[Missing, ...]
    added: tuple[Added, ...]
    swapped: tuple[Swapped, ...]
    cannot_tell: tuple[CannotTell, ...]
    probability_complete: float
    scale_ratio: float | None
    summary: str
    cautions: tuple[str, ...]

    def group(self, number: int) -> Group:
        """The group of a number."""
        return self.groups[number - 1]
