"""A photo measured: every piece on the mat found, read, and its thread named."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.photos.asking import asked
from runningfit.core.photos.checking import Plane
from runningfit.core.photos.cutting import HASTY_U_MM, Frame, cut_out, frame_of, framed
from runningfit.core.photos.items import Estimate, MeasuredPhoto, PhotoItem, Sizes
from runningfit.core.photos.naming import NamedThread, ThreadSeen, name_threads
from runningfit.core.photos.networks import Read, pitches_mm, read
from runningfit.core.photos.parting import WHOLE
from runningfit.core.photos.pitch import PitchRead, read_pitch
from runningfit.core.photos.pitch_likelihood import PitchEvidence, PitchGrid
from runningfit.core.photos.refusals import beside_caution, refused_mat, refused_piece
from runningfit.core.photos.seeking import Found, seek
from runningfit.core.photos.sizing import PieceRead, piece_read
from runningfit.core.photos.solid import in_space
from runningfit.core.photos.straightening import lying_shank
from runningfit.core.photos.white_border import on_white_border
from runningfit.core.pieces.kinds import Kind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.pieces.identification.prior import ThreadPrior

Progress = Callable[[str, float], None]

_BATCH = 12
# Turned farther off its axis than this, a piece is cut out and read once more.
_TURNED_DEG = 4.0
_OUTSIDE = frozenset({Kind.HEX_BOLT, Kind.SETSCREW, Kind.STUD, Kind.GRUB_SCREW, Kind.SLOTTED_SCREW})
_NUTS = frozenset({Kind.NUT, Kind.DOMED_NUT})
_HEADED = frozenset({Kind.HEX_BOLT, Kind.SETSCREW, Kind.SLOTTED_SCREW})
# A pitch told with less than this probability is left untold.
_LEAST_PITCH = 0.5
_CORNERS = 40
# More things than this are read in haste: who photographs so many wants them counted.
_IN_HASTE = 100
_HASTY = (
    "{count} things lie here: small ones are read in haste, to count them. Photograph fewer at a time "
    "where their sizes matter."
)


def measure_photo(
    plane: Plane, *, prior: ThreadPrior | None = None, progress: Progress | None = None
) -> MeasuredPhoto | CouldNotMeasure:
    """Measure the pieces on a mat.

    Parameters
    ----------
    plane : Plane
        The photo, judged good enough by `check_photo`.
    prior : ThreadPrior or None
        What is known of the threads of this job; None is the default one.
    progress : callable or None
        Is told each step and the share of the work that is done.

    Returns
    -------
    MeasuredPhoto or CouldNotMeasure
        The pieces, or why there are none to measure and what to do.
    """
    clock = _Clock(progress)
    clock.begins("finding the pieces", 0.0)
    found = seek(plane)
    refused = refused_mat(found, plane.mat, plane.pose.print_scale)
    if refused:
        return refused
    beside = beside_caution(on_white_border(plane), found, plane.mat, plane.pose.print_scale)
    clock.begins("reading each piece", 0.3)
    hasty = len(found) > _IN_HASTE
    frames = [None if one.large else frame_of(one, hasty=hasty) for one in found]
    pieces = _read_all(plane, found, frames)
    for at, (one, frame, piece) in enumerate(zip(found, frames, pieces, strict=True)):
        if piece and frame and one.meets in WHOLE:
            pieces[at] = in_space(plane, one, frame, piece)
    clock.begins("counting the threads", 0.65)
    pitches = [
        _pitch(plane, piece, frame) if piece and frame and one.meets in WHOLE else None
        for one, piece, frame in zip(found, pieces, frames, strict=True)
    ]
    clock.begins("naming the threads", 0.9)
    names = _names(pieces, pitches, prior)
    items = tuple(
        _item(plane, number, *parts)
        for number, parts in enumerate(zip(found, frames, pieces, pitches, names, strict=True), start=1)
    )
    clock.ends()
    return MeasuredPhoto(
        plane.pose.print_scale,
        plane.gsd_mm,
        plane.photo.width_px,
        plane.photo.height_px,
        items,
        (
            *([beside] if beside else []),
            *([_HASTY.format(count=len(found))] if any(one and one.hasty for one in frames) else []),
            *plane.cautions,
        ),
        clock.steps_s,
    )


class _Clock:
    """Tells each step, and keeps how long it took."""

    def __init__(self, progress: Progress | None) -> None:
        self.steps_s: dict[str, float] = {}
        self._progress = progress
        self._step, self._since = "", time.perf_counter()

    def begins(self, step: str, share: float) -> None:
        self.ends()
        self._step, self._since = step, time.perf_counter()
        if self._progress:
            self._progress(step, share)

    def ends(self) -> None:
        if self._step:
            self.steps_s[self._step] = time.perf_counter() - self._since


def _read_all(plane: Plane, found: tuple[Found, ...], frames: list[Frame | None]) -> list[PieceRead | None]:
    """Read every piece; one that lies askew in its cut-out is cut out anew, and its frame replaced."""
    pieces: list[PieceRead | None] = [None] * len(found)
    _read_some(plane, found, frames, pieces, [at for at, frame in enumerate(frames) if frame])
    again = []
    for at, piece in enumerate(pieces):
        frame = frames[at]
        turned = _turned(piece, frame) if piece and frame else None
        if turned is not None:
            better = framed(found[at].outline_mm, turned)
            if better:
                frames[at] = better
                again.append(at)
    _read_some(plane, found, frames, pieces, again)
    return pieces


def _read_some(
    plane: Plane,
    found: tuple[Found, ...],
    frames: list[Frame | None],
    pieces: list[PieceRead | None],
    which: list[int],
) -> None:
    import numpy

    by_shape: dict[tuple[int, int], list[int]] = {}
    for at in which:
        frame = frames[at]
        if frame:
            by_shape.setdefault((frame.height_px, frame.width_px), []).append(at)
    for group in by_shape.values():
        for start in range(0, len(group), _BATCH):
            batch = group[start : start + _BATCH]
            cuts = [cut_out(plane, found[at], frame) for at in batch if (frame := frames[at])]
            answer: Read = read(
                numpy.stack([layers for layers, _ in cuts]), numpy.stack([view for _, view in cuts])
            )
            for row, at in enumerate(batch):
                frame = frames[at]
                more_mm = HASTY_U_MM if frame and frame.hasty else 0.0
                pieces[at] = piece_read(answer, row, more_u_mm=more_mm)


def _turned(piece: PieceRead, frame: Frame) -> NDArray[np.float64] | None:
    """The axis of a long piece on the mat where its cut-out was not along it, else None."""
    import numpy

    if piece.kind not in _OUTSIDE or piece.standing:
        return None
    along = piece.points_mm[2] - piece.points_mm[1]
    long_mm = float(numpy.hypot(*along))
    if long_mm < 3 or abs(along[1]) < long_mm * numpy.sin(numpy.radians(_TURNED_DEG)):
        return None
    across = numpy.array([-frame.along[1], frame.along[0]])
    axis = (along[0] * frame.along + along[1] * across) / long_mm
    return numpy.asarray(axis, dtype=float)


def _pitch(plane: Plane, piece: PieceRead, frame: Frame) -> PitchRead | None:
    """The pitch by the stripes of a lying thread, where they can be read."""
    major = piece.sizes.major
    if piece.kind not in _OUTSIDE or piece.standing or major is None:
        return None
    start, tip = frame.to_mat_mm(piece.points_mm[1:].astype(float))
    if ((tip - start) ** 2).sum() < major.value_mm**2 / 4:
        return None
    rests_on = None
    u_rests_mm = 0.2
    head = piece.sizes.outside if piece.kind is Kind.SLOTTED_SCREW else piece.sizes.head_across_flats
    if piece.kind in _HEADED and head and head.value_mm > major.value_mm:
        rests_on, u_rests_mm = head.value_mm, head.u_mm
    shank = lying_shank(
        plane.pose.camera,
        (float(start[0]), float(start[1])),
        (float(tip[0]), float(tip[1])),
        major_mm=major.value_mm,
        head_across_flats_mm=rests_on,
        u_major_mm=major.u_mm,
        u_head_across_flats_mm=u_rests_mm,
    )
    answer = read_pitch(plane.photo.pixels, plane.pose, shank)
    return answer if isinstance(answer, PitchRead) else None


def _names(
    pieces: list[PieceRead | None], pitches: list[PitchRead | None], prior: ThreadPrior | None
) -> list[NamedThread | None]:
    """The thread of each piece that has one and shows enough of it."""
    grid = tuple(float(one) for one in pitches_mm())
    rows, seen = [], []
    for at, (piece, pitch) in enumerate(zip(pieces, pitches, strict=True)):
        if piece is None or piece.kind not in _OUTSIDE | _NUTS:
            continue
        evidence: list[PitchEvidence] = []
        if piece.kind in _OUTSIDE and not piece.standing:
            total = sum(piece.pitches)
            evidence.append(PitchGrid(grid, tuple(one / total for one in piece.pitches)))
            if pitch:
                evidence.append(pitch.likelihood)
        rows.append(at)
        seen.append(ThreadSeen(piece.kind in _NUTS, piece.sizes, tuple(evidence)))
    names: list[NamedThread | None] = [None] * len(pieces)
    for at, named in zip(rows, name_threads(seen, prior), strict=True):
        names[at] = named
    return names


def _item(
    plane: Plane,
    number: int,
    found: Found,
    frame: Frame | None,
    piece: PieceRead | None,
    pitch: PitchRead | None,
    named: NamedThread | None,
) -> PhotoItem:
    outline_mm = _simple(found.outline_mm)
    could_not = refused_piece(found, frame)
    kinds = dict(piece.kinds) if piece else {Kind.OTHER: 1.0}
    kind = next(iter(kinds))
    sizes = piece.sizes if piece and not could_not else Sizes()
    if not could_not and kind in _OUTSIDE and pitch and pitch.probability >= _LEAST_PITCH:
        sizes = replace(sizes, pitch=pitch.pitch)
    if not could_not and kind is Kind.OTHER:
        sizes = _of_outline(found)
    threads = named.threads if named and not could_not else ()
    return PhotoItem(
        number,
        kind,
        kinds,
        _foot(found, frame, piece, plane.pose.print_scale),
        _to_px(plane, outline_mm),
        tuple((float(x), float(y)) for x, y in outline_mm),
        sizes,
        threads,
        dict(piece.looks) if piece else {},
        could_not,
        "" if could_not else asked(kinds, sizes, named),
    )


def _foot(
    found: Found, frame: Frame | None, piece: PieceRead | None, print_scale: float
) -> tuple[float, float]:
    """Where a piece lies: the middle of its outline, or the face on which it stands."""
    import cv2
    import numpy

    if frame and piece and piece.standing and piece.kind in _HEADED:
        x, y = frame.to_mat_mm(piece.points_mm[:1].astype(float))[0]
    else:
        moments = cv2.moments(found.outline_mm.astype(numpy.float32))
        area = max(moments["m00"], 1e-6)
        x, y = moments["m10"] / area, moments["m01"] / area
    return float(x) / print_scale, float(y) / print_scale


def _of_outline(found: Found) -> Sizes:
    """Length and width of a thing of no known kind, by the least rectangle about its outline."""
    import cv2
    import numpy

    _, sides, _ = cv2.minAreaRect(found.outline_mm.astype(numpy.float32))
    long_mm, wide_mm = max(sides), min(sides)
    # Its sides stand above the mat, so that the outline is too large by about this share.
    return Sizes(
        length=Estimate(float(long_mm), 0.5 + 0.02 * float(long_mm)),
        width=Estimate(float(wide_mm), 0.5 + 0.02 * float(wide_mm)),
    )


def _simple(outline_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    import cv2
    import numpy

    line = cv2.approxPolyDP(outline_mm.astype(numpy.float32)[:, None], 0.2, closed=True)[:, 0]
    if len(line) > 4 * _CORNERS:
        line = line[:: len(line) // (2 * _CORNERS)]
    return numpy.asarray(line, dtype=float)


def _to_px(plane: Plane, outline_mm: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    import numpy

    flat = numpy.concatenate([outline_mm, numpy.zeros((len(outline_mm), 1))], axis=1)
    return tuple((float(x), float(y)) for x, y in plane.pose.camera.to_px(flat))
