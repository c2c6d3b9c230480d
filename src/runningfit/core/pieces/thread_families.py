"""Families of threads, and the piece whose family differs from that of its neighbours."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.standards import Thread, ThreadSeries, all_threads, thread


class ThreadFamily(StrEnum):
    """Series that one maker uses side by side."""

    UNIFIED = "unified"
    WHITWORTH = "Whitworth"
    CYCLE = "cycle"
    METRIC = "metric"


# B.A. screws and pipe threads sit in engines of every family, so they tell nothing (common practice, no
# source).
_FAMILIES: Mapping[str, ThreadFamily] = {
    **dict.fromkeys(("UNC", "UNF", "UNEF", "UN", "UNS"), ThreadFamily.UNIFIED),
    **dict.fromkeys(("BSW", "BSF"), ThreadFamily.WHITWORTH),
    ThreadSeries.CEI: ThreadFamily.CYCLE,
    ThreadSeries.METRIC_COARSE: ThreadFamily.METRIC,
    ThreadSeries.METRIC_FINE: ThreadFamily.METRIC,
}
_RARE = frozenset({"UN", "UNS", "UNEF"})
# A family never met in the area counts as half a piece, so that nothing is impossible.
_UNMET = 0.5
# Fewer neighbours, or longer odds of belonging, say nothing: a false alarm costs more than a missed one.
FEWEST_NEIGHBOURS = 6
LEAST_ODDS = 10.0
_ALIKE_MM = 0.25


@dataclass(frozen=True, slots=True)
class Stranger:
    """A piece whose family of threads differs from that of its neighbours.

    Parameters
    ----------
    family, neighbours_family : ThreadFamily
        Its own family, and that of most others.
    alike, neighbours : int
        How many neighbours share the neighbours' family, of how many whose family is known.
    odds : float
        To one, how much likelier a piece here is of the neighbours' family than of its own.
    instead : str
        The thread of the neighbours' family nearest to it; empty where none is near.
    """

    family: ThreadFamily
    neighbours_family: ThreadFamily
    alike: int
    neighbours: int
    odds: float
    instead: str

    @property
    def reason(self) -> str:
        """Return the reason as one sentence."""
        share = "All" if self.alike == self.neighbours else f"{self.alike} of the"
        said = (
            f"{share} {self.neighbours} other lots here whose thread tells are "
            f"{self.neighbours_family}; this one is {self.family}."
        )
        if self.instead:
            said += f" It may be {self.instead}, misread, or swapped for it."
        return said


def family_of(candidates: Sequence[str]) -> ThreadFamily | None:
    """Tell the family of a thread, open or settled.

    Parameters
    ----------
    candidates : sequence of str
        The designations it can be.

    Returns
    -------
    ThreadFamily or None
        None where the candidates are of several families, or of one that tells nothing (B.A., pipe).
    """
    families = {_FAMILIES.get(thread(name).series) for name in candidates}
    return families.pop() if len(families) == 1 else None


def stranger_among(candidates: Sequence[str], neighbours: Mapping[ThreadFamily, int]) -> Stranger | None:
    """Tell whether a piece's family of threads is a stranger among those beside it.

    Parameters
    ----------
    candidates : sequence of str
        The designations the piece can be.
    neighbours : Mapping of ThreadFamily to int
        How many of the other lots of the area are of each family.

    Returns
    -------
    Stranger or None
        None where fewer than 6 neighbours tell, or the odds are less than 10 to 1.

    Notes
    -----
    The odds are those of the next piece of an area by its counts so far, each family starting at half a piece
    (Jeffreys' prior for a share): with n of the neighbours' family and m of its own, (n + 0.5)/(m + 0.5).
    """
    own = family_of(candidates)
    total = sum(neighbours.values())
    if own is None or total < FEWEST_NEIGHBOURS:
        return None
    leading = max(neighbours, key=lambda family: neighbours[family])
    alike = neighbours[leading]
    odds = (alike + _UNMET) / (neighbours.get(own, 0) + _UNMET)
    if leading is own or odds < LEAST_ODDS:
        return None
    return Stranger(own, leading, alike, total, odds, _nearest(thread(candidates[0]), leading))


def _nearest(one: Thread, family: ThreadFamily) -> str:
    """Name the thread of a family nearest to one in size, then in pitch; empty where none is near."""
    near = [
        other
        for other in all_threads()
        if _FAMILIES.get(other.series) is family
        and other.series not in _RARE
        and abs(other.major_mm - one.major_mm) <= _ALIKE_MM
    ]
    best = min(near, key=lambda other: abs(other.pitch_mm - one.pitch_mm), default=None)
    return best.designation if best else ""
