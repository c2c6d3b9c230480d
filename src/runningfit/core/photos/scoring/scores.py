"""What a score holds: counts, shares, errors and tables of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many."""

    right: int
    of: int

    @property
    def share(self) -> float | None:
        """The share, 0 to 1; None of nothing."""
        return self.right / self.of if self.of else None

    @classmethod
    def among(cls, outcomes: Iterable[bool]) -> Share:
        """Count what is right among outcomes."""
        told = list(outcomes)
        return cls(sum(told), len(told))


@dataclass(frozen=True, slots=True)
class Errors:
    """Errors of a size, measured less true.

    Parameters
    ----------
    count : int
        How many pieces have this size and an answer.
    of : int
        How many found pieces have it.
    median_mm, p95_mm : float or None
        Median and 95th percentile of the errors without their sign [mm]; None of nothing.
    bias_mm : float or None
        Median of the errors with their sign [mm].
    """

    count: int
    of: int
    median_mm: float | None
    p95_mm: float | None
    bias_mm: float | None

    @classmethod
    def among(cls, errors_mm: Sequence[float], of: int) -> Errors:
        """Sum up errors of pieces of which so many have the size."""
        sizes = sorted(abs(one) for one in errors_mm)
        return cls(
            len(sizes), of, _quantile(sizes, 0.5), _quantile(sizes, 0.95), _quantile(sorted(errors_mm), 0.5)
        )


def _quantile(ordered: Sequence[float], share: float) -> float | None:
    """The value that this share does not exceed; between two of them for the median of an even count."""
    if not ordered:
        return None
    if share == 0.5 and len(ordered) % 2 == 0:
        return (ordered[len(ordered) // 2 - 1] + ordered[len(ordered) // 2]) / 2
    return ordered[ceil(share * len(ordered)) - 1]


@dataclass(frozen=True, slots=True)
class Row:
    """The score of some pieces, such as all of one kind.

    Parameters
    ----------
    pieces : int
        How many there are.
    found : Share
        Found, of all.
    measured : Share
        Measured, of those found.
    kind : Share
        Named right, of those found.
    length, major, nominal_major, head_across_flats, outside, inside, thickness : Errors
        Of the sizes; of the major diameter against the crests as drawn and against the thread's own.
    pitch : Share
        Within 2 %, of those found with an outside thread; none named is not right.
    thread, thread_or_twin : Share
        First guess right, of the same; a twin has the same diameter and pitch.
    nut_thread_or_twin : Share
        The same of nuts.
    thread_among_three : Share
        The thread or its twin among all that were named, of those with an outside thread.
    look : Share
        Likeliest look right, of those found.
    length_covered, diameter_covered : Share
        True length, and major or outside diameter, within the interval of 95 %.
    """

    pieces: int
    found: Share
    measured: Share
    kind: Share
    length: Errors
    major: Errors
    nominal_major: Errors
    head_across_flats: Errors
    outside: Errors
    inside: Errors
    thickness: Errors
    pitch: Share
    thread: Share
    thread_or_twin: Share
    nut_thread_or_twin: Share
    thread_among_three: Share
    look: Share
    length_covered: Share
    diameter_covered: Share


@dataclass(frozen=True, slots=True)
class Bin:
    """First guesses of a thread whose probability lies in one range.

    Parameters
    ----------
    low, high : float
        The range; the lower end is in it, the upper one only where it is 1.
    mean : float or None
        The mean probability.
    right : Share
        How many were right.
    """

    low: float
    high: float
    mean: float | None
    right: Share


@dataclass(frozen=True, slots=True)
class PhotoCounts:
    """What was found in one photo.

    Parameters
    ----------
    image : str
        The photo's name in the truth.
    pieces, outlines : int
        How many lie on the mat, and how many were found.
    missed : tuple of int
        Numbers of pieces, by the truth, that were not found; those merged are among them.
    extra : tuple of int
        Numbers of outlines that are no piece of their own; those split off are among them.
    split : tuple of int
        Pieces of the truth that were found in two or more outlines.
    merged : tuple of int
        Outlines that hold two or more pieces.
    refused : str
        The fault for which the photo was not measured; empty where it was.
    """

    image: str
    pieces: int
    outlines: int
    missed: tuple[int, ...]
    extra: tuple[int, ...]
    split: tuple[int, ...]
    merged: tuple[int, ...]
    refused: str

    @property
    def exact(self) -> bool:
        """Whether as many outlines were found as there are pieces, each its own."""
        return not self.missed and not self.extra


@dataclass(frozen=True, slots=True)
class Score:
    """The score of one photo, or of several together.

    Parameters
    ----------
    photos : tuple of PhotoCounts
        What was found in each.
    all : Row
        Over all pieces.
    by_kind, by_finish : mapping of str to Row
        By the kind and the finish of the truth.
    reliability : tuple of Bin
        Of the first guess of outside threads, by its probability.
    reliability_of_twins : tuple of Bin
        The same with the probabilities of twins taken together.
    """

    photos: tuple[PhotoCounts, ...]
    all: Row
    by_kind: Mapping[str, Row]
    by_finish: Mapping[str, Row]
    reliability: tuple[Bin, ...]
    reliability_of_twins: tuple[Bin, ...]

    @property
    def exact(self) -> Share:
        """Photos whose pieces were all found, each once."""
        return Share.among(one.exact for one in self.photos)
