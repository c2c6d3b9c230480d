"""What can be told of a loose piece at the bench, and which pieces are alike."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.pieces.kinds import Kind, label

# Two measured lengths this near are one length: half the shortest step of inch lengths (common practice, no
# source).
SAME_LENGTH_MM = 0.8


@dataclass(frozen=True, slots=True)
class Sort:
    """Pieces that nobody can tell apart once they lie in one bucket.

    Parameters
    ----------
    kind : Kind
        What it is.
    end_a, end_b : tuple of str
        The threads it can have at each end; an open question holds every candidate.
    size_said : str
        The size as said, where there is no thread.
    length_mm : float or None
        Its length [mm].
    length_said : str
        Its length as the trade says it.
    kind_said : str
        What people call it, where it is of no listed kind.
    """

    kind: Kind
    end_a: tuple[str, ...] = ()
    end_b: tuple[str, ...] = ()
    size_said: str = ""
    length_mm: float | None = None
    length_said: str = ""
    kind_said: str = ""

    @property
    def identity(self) -> tuple[object, ...]:
        """Return what makes two pieces the same sort; a length in words wins over its digits."""
        length = self.length_said or (None if self.length_mm is None else round(self.length_mm, 1))
        ends = tuple(sorted((self.end_a, self.end_b)))
        size = "" if self.end_a or self.end_b else self.size_said
        return (self.kind, ends, size, length, self.kind_said.casefold() if self.kind is Kind.OTHER else "")

    def said(self, count: int) -> str:
        """Return so many pieces of the sort in words, as ``2 hex bolts 5/16-24 UNF x 1 3/8 in``."""
        word = (
            f"{count} {self.kind_said}"
            if self.kind is Kind.OTHER and self.kind_said
            else label(self.kind, count)
        )
        if not word.startswith(str(count)):
            word = f"{count} {word}"
        thread = " and ".join(" or ".join(end) for end in (self.end_a, self.end_b) if end) or self.size_said
        length = self.length_said or (f"{self.length_mm:g} mm" if self.length_mm is not None else "")
        return f"{word} {thread}".rstrip() + (f" x {length}" if length else "")


def alike(one: Sort, other: Sort) -> bool:
    """Return whether a piece of one sort may be one of the other: nothing that is known of both differs.

    Parameters
    ----------
    one, other : Sort
        What was counted and what was sent, in either order.

    Returns
    -------
    bool
    """
    if one.identity == other.identity:
        return True
    if one.kind is not other.kind or not _same_length(one, other, unknown=True):
        return False
    if one.kind is Kind.OTHER and one.kind_said.casefold() != other.kind_said.casefold():
        return False
    return _same_threads(one, other, unknown=True)


def nearness(over: Sort, short: Sort) -> tuple[int, float] | None:
    """Return how near a piece too many is to a missing one, or None where the one is no swap for the other.

    Parameters
    ----------
    over, short : Sort
        The piece that came too many, and the one that did not come.

    Returns
    -------
    tuple of (int, float) or None
        Smaller is nearer: 0 for the same thread with another length, 1 for the same length with another
        thread; then the difference in length [mm].
    """
    if over.kind is not short.kind or (over.kind is Kind.OTHER and over.kind_said != short.kind_said):
        return None
    apart_mm = abs((over.length_mm or 0.0) - (short.length_mm or 0.0))
    if _same_threads(over, short, unknown=False):
        return (0, apart_mm)
    if _same_length(over, short, unknown=False):
        return (1, apart_mm)
    return None


def _same_length(one: Sort, other: Sort, *, unknown: bool) -> bool:
    if one.length_mm is None and other.length_mm is None:
        return True
    if one.length_mm is None or other.length_mm is None:
        return unknown
    return abs(one.length_mm - other.length_mm) <= SAME_LENGTH_MM


def _same_threads(one: Sort, other: Sort, *, unknown: bool) -> bool:
    straight = _same_end(one, other, (one.end_a, other.end_a), (one.end_b, other.end_b), unknown=unknown)
    if not one.end_b and not other.end_b:
        # Turned round, a bolt would show an end that it has not, which would go with any thread.
        return straight
    crossed = _same_end(one, other, (one.end_a, other.end_b), (one.end_b, other.end_a), unknown=unknown)
    return straight or crossed


def _same_end(one: Sort, other: Sort, *pairs: tuple[tuple[str, ...], tuple[str, ...]], unknown: bool) -> bool:
    if not any(end for pair in pairs for end in pair):
        return one.size_said == other.size_said or (unknown and not (one.size_said and other.size_said))
    known = [(first, second) for first, second in pairs if first and second]
    if any(not set(first) & set(second) for first, second in known):
        return False
    return len(known) == sum(1 for pair in pairs if any(pair)) or unknown
