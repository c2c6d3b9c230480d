"""The score itself: sizes, kinds, threads and looks of the pieces found, over all, by kind and by finish."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.photos.items import Estimate, Look, MeasuredPhoto, PhotoItem
from runningfit.core.photos.scoring.finding import Found, found_pieces
from runningfit.core.photos.scoring.scores import Bin, Errors, PhotoCounts, Row, Score, Share
from runningfit.core.photos.truths import KINDS, TruePiece, Truth, thread_named
from runningfit.core.pieces.identification.identities import geometric_twins
from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import Thread

_PITCH_SHARE = 0.02
_BINS = ((0.0, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.0))
_NUTS = frozenset({Kind.NUT, Kind.DOMED_NUT})

Pair = tuple[TruePiece, PhotoItem]


def score(photos: Sequence[tuple[MeasuredPhoto | CouldNotMeasure, Truth]]) -> Score:
    """Hold measured photos against what lies on their mats.

    Parameters
    ----------
    photos : sequence of (MeasuredPhoto or CouldNotMeasure, Truth)
        Each photo as it was measured, with its truth; all are pooled. Of a photo that could not be measured
        every piece is missed.

    Returns
    -------
    Score
        Found by position on the mat, in millimetres as designed, one to one: within 4 mm and a quarter of
        the piece's extent, or under the outline. Sizes are held against the true ones in true millimetres.
    """
    found = [_found(measured, truth) for measured, truth in photos]
    pieces = [piece for _, truth in photos for piece in truth.pieces]
    pairs = [pair for one in found for pair in one.pairs]
    counts = tuple(
        _counts(measured, truth, one) for (measured, truth), one in zip(photos, found, strict=True)
    )

    def rows(called: Callable[[TruePiece], str], names: Iterable[str]) -> dict[str, Row]:
        return {
            name: _row(
                [one for one in pieces if called(one) == name],
                [one for one in pairs if called(one[0]) == name],
            )
            for name in names
            if any(called(one) == name for one in pieces)
        }

    return Score(
        counts,
        _row(pieces, pairs),
        rows(lambda one: one.drawn_as, KINDS),
        rows(lambda one: str(one.look), Look),
        *_reliability([one for one in pairs if one[0].kind.is_externally_threaded and one[0].threads]),
    )


def _found(measured: MeasuredPhoto | CouldNotMeasure, truth: Truth) -> Found:
    return found_pieces(truth.pieces, measured.items if isinstance(measured, MeasuredPhoto) else ())


def _counts(measured: MeasuredPhoto | CouldNotMeasure, truth: Truth, found: Found) -> PhotoCounts:
    return PhotoCounts(
        truth.image,
        len(truth.pieces),
        0 if isinstance(measured, CouldNotMeasure) else len(measured.items),
        tuple(one.number for one in found.missed),
        tuple(one.number for one in found.extra),
        tuple(one.number for one in found.split),
        tuple(one.number for one in found.merged),
        str(measured.fault) if isinstance(measured, CouldNotMeasure) else "",
    )


def _row(pieces: Sequence[TruePiece], pairs: Sequence[Pair]) -> Row:
    outside = [pair for pair in pairs if pair[0].kind.is_externally_threaded]
    named = [pair for pair in outside if pair[0].threads]
    nuts = [pair for pair in pairs if pair[0].threads and pair[0].kind in _NUTS]
    lengths = [
        (piece.length_mm, item.sizes.length) for piece, item in pairs if piece.kind.length_basis is not None
    ]
    majors = [(piece.major_mm, item.sizes.major) for piece, item in outside]
    widths = [(piece.outside_mm, item.sizes.outside) for piece, item in pairs]
    return Row(
        len(pieces),
        Share(len(pairs), len(pieces)),
        Share.among(item.could_not is None for _, item in pairs),
        Share.among(item.kind in piece.kinds for piece, item in pairs),
        _errors(lengths),
        _errors(majors),
        _errors((piece.nominal_major_mm, item.sizes.major) for piece, item in outside),
        _errors((piece.head_across_flats_mm, item.sizes.head_across_flats) for piece, item in pairs),
        _errors(widths),
        _errors((piece.inside_mm, item.sizes.inside) for piece, item in pairs),
        _errors((piece.thickness_mm, item.sizes.thickness) for piece, item in pairs),
        Share.among(_pitch_right(piece, item) for piece, item in outside if piece.pitches_mm),
        Share.among(_thread_right(piece, item, 1, twins=False) for piece, item in named),
        Share.among(_thread_right(piece, item, 1, twins=True) for piece, item in named),
        Share.among(_thread_right(piece, item, 1, twins=True) for piece, item in nuts),
        Share.among(_thread_right(piece, item, 3, twins=True) for piece, item in named),
        Share.among(_look_right(piece, item) for piece, item in pairs),
        _covered(lengths),
        _covered((*majors, *widths)),
    )


def _errors(sizes: Iterable[tuple[float | None, Estimate | None]]) -> Errors:
    told = [(true_mm, read) for true_mm, read in sizes if true_mm is not None]
    return Errors.among([read.value_mm - true_mm for true_mm, read in told if read is not None], len(told))


def _covered(sizes: Iterable[tuple[float | None, Estimate | None]]) -> Share:
    return Share.among(
        read.interval_95_mm[0] <= true_mm <= read.interval_95_mm[1]
        for true_mm, read in sizes
        if true_mm is not None and read is not None
    )


def _pitch_right(piece: TruePiece, item: PhotoItem) -> bool:
    read = item.sizes.pitch
    return read is not None and any(
        abs(read.value_mm / pitch_mm - 1) <= _PITCH_SHARE for pitch_mm in piece.pitches_mm
    )


def _named_right(piece: TruePiece, designation: str, *, twins: bool) -> bool:
    named = thread_named(designation)
    return named is not None and any(
        named.designation == one.designation or (twins and geometric_twins(named, one))
        for one in piece.threads
    )


def _thread_right(piece: TruePiece, item: PhotoItem, among: int, *, twins: bool) -> bool:
    return any(_named_right(piece, one.designation, twins=twins) for one in item.threads[:among])


def _look_right(piece: TruePiece, item: PhotoItem) -> bool:
    return bool(item.looks) and max(item.looks, key=lambda look: item.looks[look]) is piece.look


def _reliability(pairs: Sequence[Pair]) -> tuple[tuple[Bin, ...], tuple[Bin, ...]]:
    """Of first guesses by their probability; and with the probabilities of twins together."""
    alone, together = [], []
    for piece, item in pairs:
        if not item.threads:
            continue
        first = item.threads[0]
        alone.append((first.probability, _named_right(piece, first.designation, twins=False)))
        thread = thread_named(first.designation)
        of_twins = sum(one.probability for one in item.threads if _are_twins(thread, one.designation))
        together.append((of_twins, _named_right(piece, first.designation, twins=True)))
    return _bins(alone), _bins(together)


def _are_twins(thread: Thread | None, designation: str) -> bool:
    other = thread_named(designation)
    return thread is not None and other is not None and geometric_twins(thread, other)


def _bins(guesses: Sequence[tuple[float, bool]]) -> tuple[Bin, ...]:
    found = []
    for low, high in _BINS:
        # Rounded probabilities of twins may come to a hair over 1.
        inside = [(p, right) for p, right in guesses if low <= p < high or (high == 1 and p >= 1)]
        mean = sum(p for p, _ in inside) / len(inside) if inside else None
        found.append(Bin(low, high, mean, Share.among(right for _, right in inside)))
    return tuple(found)
