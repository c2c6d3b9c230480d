"""Whether a piece fits a place: by kind, thread, size and length, with what is still to find out."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from runningfit.core.pieces.kinds import Kind
from runningfit.core.units import LengthUnit, format_length, nominal_length


class FitVerdict(StrEnum):
    """What the look at a piece and a place comes to."""

    FITS = "fits"
    MAY_FIT = "may_fit"
    NOT = "not"


@dataclass(frozen=True, slots=True)
class PlaceNeed:
    """What a place needs of a piece.

    Parameters
    ----------
    kind : Kind
        The kind of piece.
    end_a, end_b : tuple of str
        Candidate threads of each end, as designations; none where nothing is known.
    length_mm : float or None
        The length it needs [mm].
    length_basis : str
        under_head, overall, or nothing where it was not said.
    size_said : str
        The size alone, such as `5/16` for a washer.
    """

    kind: Kind
    end_a: tuple[str, ...] = ()
    end_b: tuple[str, ...] = ()
    length_mm: float | None = None
    length_basis: str = ""
    size_said: str = ""


@dataclass(frozen=True, slots=True)
class PieceSpec:
    """What a piece is, as far as fitting goes; the fields are those of a place's need.

    Parameters
    ----------
    thread_defective : bool
        Its thread is known to be defective, so that it fits nowhere as it is.
    """

    kind: Kind
    end_a: tuple[str, ...] = ()
    end_b: tuple[str, ...] = ()
    length_mm: float | None = None
    length_basis: str = ""
    size_said: str = ""
    thread_defective: bool = False


@dataclass(frozen=True, slots=True)
class Fit:
    """The answer for one piece and one place.

    Parameters
    ----------
    verdict : FitVerdict
        Fits, may fit, or not.
    reasons : tuple of str
        Why it does not fit, or what to mind where it does.
    asks : tuple of str
        What to find out before it can be told.
    """

    verdict: FitVerdict
    reasons: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()

    @property
    def fits(self) -> bool:
        """Return whether it fits without a question."""
        return self.verdict is FitVerdict.FITS


@dataclass(frozen=True, slots=True)
class StandIn:
    """One kind used where another belongs; common practice, no source.

    Parameters
    ----------
    mind : str
        What to mind where it fits all the same.
    ask : str
        What to look at first; empty where nothing speaks against it.
    """

    mind: str = ""
    ask: str = ""


# (needed, piece): common practice, no source.
STAND_INS: dict[tuple[Kind, Kind], StandIn] = {
    (Kind.HEX_BOLT, Kind.SETSCREW): StandIn(
        mind="a setscrew stands in for a bolt: its thread, not a plain shank, lies in the clearance hole"
    ),
    (Kind.SETSCREW, Kind.HEX_BOLT): StandIn(
        ask="whether the bolt's thread is long enough: its plain shank must not reach the tapped hole"
    ),
    (Kind.NUT, Kind.DOMED_NUT): StandIn(
        mind="a domed nut stands in for a nut", ask="whether the thread bottoms in the dome"
    ),
    (Kind.DOMED_NUT, Kind.NUT): StandIn(
        mind="a plain nut stands in for a domed one",
        ask="whether the closed end is there to keep oil in, or for looks",
    ),
}

LENGTH_COUNTS = frozenset(
    {Kind.HEX_BOLT, Kind.SETSCREW, Kind.STUD, Kind.SLOTTED_SCREW, Kind.GRUB_SCREW, Kind.PIN, Kind.SPACER}
)
SIZE_ONLY = frozenset(
    {
        Kind.PLAIN_WASHER,
        Kind.SPRING_WASHER,
        Kind.TAB_WASHER,
        Kind.FIBRE_WASHER,
        Kind.PIN,
        Kind.SPACER,
        Kind.CLIP,
    }
)
# Lengths that are no standard ones are alike within this (1/32 in; common practice, no source).
ALIKE_MM = 0.8


@cache
def kinds_for(kind: Kind) -> tuple[Kind, ...]:
    """Return the kinds that can fill a place of this kind, its own first, then those that stand in.

    Parameters
    ----------
    kind : Kind
        The kind that the place needs.

    Returns
    -------
    tuple of Kind
        At least the kind itself.
    """
    return (kind, *(piece for need, piece in STAND_INS if need is kind))


def fit(need: PlaceNeed, piece: PieceSpec) -> Fit:
    """Say whether a piece fits a place.

    Parameters
    ----------
    need : PlaceNeed
        What the place needs.
    piece : PieceSpec
        What the piece is.

    Returns
    -------
    Fit
        FITS; MAY_FIT with what to find out (an open thread, an unknown length, a kind that stands in); or NOT
        with the reason. Lengths are alike when both mean the same standard length, or lie within 0.8 mm.
    """
    stand_in = None
    if need.kind is not piece.kind:
        stand_in = STAND_INS.get((need.kind, piece.kind))
        if stand_in is None:
            return _not(f"it is a {kind_said(piece.kind)}, the place needs a {kind_said(need.kind)}")
    if piece.thread_defective:
        return _not("its thread is defective")
    reasons = [stand_in.mind] if stand_in and stand_in.mind else []
    asks = [stand_in.ask] if stand_in and stand_in.ask else []
    for wrong, ask in (_size_or_thread(need, piece), _length(need, piece)):
        if wrong:
            return _not(wrong)
        if ask:
            asks.append(ask)
    if need.kind is Kind.OTHER:
        asks.append("whether it is the same sort of thing: both are kept as 'other'")
    return Fit(FitVerdict.MAY_FIT if asks else FitVerdict.FITS, tuple(reasons), tuple(asks))


def _not(reason: str) -> Fit:
    return Fit(FitVerdict.NOT, (reason,))


def kind_said(kind: Kind) -> str:
    """Say a kind in the words of a sentence.

    Parameters
    ----------
    kind : Kind
        The kind.

    Returns
    -------
    str
        Such as `hex bolt`.
    """
    return "piece of another sort" if kind is Kind.OTHER else kind.value.replace("_", " ")


def _said(candidates: tuple[str, ...]) -> str:
    return " or ".join(candidates)


def _size_or_thread(need: PlaceNeed, piece: PieceSpec) -> tuple[str, str]:
    """Return (why it does not fit, what to find out); both empty where it fits."""
    if need.kind in SIZE_ONLY:
        return _sizes(size_key(need.size_said, need.end_a), size_key(piece.size_said, piece.end_a))
    if not need.end_a or not piece.end_a:
        wrong, _ask = _sizes(size_key(need.size_said, need.end_a), size_key(piece.size_said, piece.end_a))
        if wrong:
            return wrong, ""
        if need.kind is Kind.OTHER:
            return "", ""
        return "", "the thread of the piece" if need.end_a else "the thread that the place needs"
    wanted = _ends(need.end_a, need.end_b)
    came = _ends(piece.end_a, piece.end_b)
    straight = [_threads(a, b) for a, b in zip(wanted, came, strict=True)]
    turned = [_threads(a, b) for a, b in zip(wanted, reversed(came), strict=True)]
    best = min(straight, turned, key=lambda pair: (any(wrong for wrong, _ in pair), len(_asked(pair))))
    return next((wrong for wrong, _ in best if wrong), ""), next(iter(_asked(best)), "")


def _asked(pair: list[tuple[str, str]]) -> list[str]:
    return [ask for _, ask in pair if ask]


def _ends(end_a: tuple[str, ...], end_b: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    # One thread said means both ends alike, where there are two.
    return end_a, end_b or end_a


def _threads(wanted: tuple[str, ...], came: tuple[str, ...]) -> tuple[str, str]:
    if not set(wanted) & set(came):
        return f"its thread is {_said(came)}, the place needs {_said(wanted)}", ""
    if len(came) > 1:
        return "", f"whether its thread is {_said(came)}"
    if len(wanted) > 1:
        return "", f"whether the place's thread is {_said(wanted)}"
    return "", ""


def _sizes(wanted: frozenset[str], came: frozenset[str]) -> tuple[str, str]:
    if not wanted:
        return "", "the size that the place needs"
    if not came:
        return "", "the size of the piece"
    if not wanted & came:
        return f"its size is {_said(tuple(sorted(came)))}, the place needs {_said(tuple(sorted(wanted)))}", ""
    if len(came) > 1 or len(wanted) > 1:
        return "", f"which size it is: {_said(tuple(sorted(came | wanted)))}"
    return "", ""


@cache
def size_key(size_said: str, end_a: tuple[str, ...]) -> frozenset[str]:
    """Return the bare sizes a piece can have, from its said size or else its threads.

    Parameters
    ----------
    size_said : str
        The size as kept, such as `5/16 in` or `M8`.
    end_a : tuple of str
        Candidate threads, as designations.

    Returns
    -------
    frozenset of str
        Such as `5/16`, `M10`, `2BA`, `G1/4`; empty where nothing is known.
    """
    if size_said.strip():
        return frozenset({_bare(size_said)})
    return frozenset(_bare(re.split(r"-|(?<=\d)x", designation)[0]) for designation in end_a)


@cache
def _bare(size: str) -> str:
    text = re.sub(r"[\"″]|\b(in|inch|inches|mm)\b\.?", "", size.strip(), flags=re.IGNORECASE).strip()
    return re.sub(r"\s+", " ", text).upper()


def _length(need: PlaceNeed, piece: PieceSpec) -> tuple[str, str]:
    if need.kind not in LENGTH_COUNTS and (need.length_mm is None or piece.length_mm is None):
        return "", ""
    if need.length_mm is None:
        return "", "what length the place needs"
    if piece.length_mm is None:
        return "", "how long it is"
    if lengths_differ(need, piece):
        unit = series_of(need.end_a or piece.end_a)
        longer = "longer" if piece.length_mm > need.length_mm else "shorter"
        return (
            f"it is {longer}: {format_length(piece.length_mm, unit)}, "
            f"the place needs {format_length(need.length_mm, unit)}",
            "",
        )
    if need.length_basis and piece.length_basis and need.length_basis != piece.length_basis:
        return "", "whether both lengths are measured the same way (under the head, or overall)"
    return "", ""


def lengths_differ(need: PlaceNeed, piece: PieceSpec) -> bool:
    """Say whether both lengths are known and are not alike.

    Parameters
    ----------
    need : PlaceNeed
        What the place needs.
    piece : PieceSpec
        What the piece is.

    Returns
    -------
    bool
        False where a length is unknown, where both mean the same standard length, or lie within 0.8 mm.
    """
    if need.length_mm is None or piece.length_mm is None:
        return False
    if abs(need.length_mm - piece.length_mm) <= ALIKE_MM:
        return False
    series = series_of(need.end_a or piece.end_a)
    return length_key(need.length_mm, series) != length_key(piece.length_mm, series)


@cache
def series_of(end_a: tuple[str, ...]) -> LengthUnit:
    """Return the series of lengths that goes with a thread: metric with M threads, else inch.

    Parameters
    ----------
    end_a : tuple of str
        Candidate threads, as designations.

    Returns
    -------
    LengthUnit
        MM when every candidate is metric, INCH otherwise.
    """
    metric = bool(end_a) and all(designation.startswith("M") for designation in end_a)
    return LengthUnit.MM if metric else LengthUnit.INCH


@cache
def length_key(length_mm: float, series: LengthUnit) -> float:
    """Return the standard length that a length means, or the length itself where it means none.

    Parameters
    ----------
    length_mm : float
        A length [mm].
    series : LengthUnit
        Inch or metric lengths.

    Returns
    -------
    float
        Length [mm].
    """
    nominal = nominal_length(length_mm, series=series)
    return nominal.mm if nominal else length_mm
