"""A piece as the network reads it, its sizes measured anew by its body in space."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING

from runningfit.core.photos.checking import Plane
from runningfit.core.photos.cutting import Frame
from runningfit.core.photos.domed import domed_nut
from runningfit.core.photos.flat import has_round_rim, nut_width, washer_width
from runningfit.core.photos.items import Estimate, Look, Sizes
from runningfit.core.photos.lying import lying_piece
from runningfit.core.photos.networks import pitches_mm
from runningfit.core.photos.seeking import Found
from runningfit.core.photos.silhouettes import Viewpoint
from runningfit.core.photos.sizing import PieceRead
from runningfit.core.photos.tubes import tube_sizes
from runningfit.core.photos.upright import standing_bolt
from runningfit.core.pieces.kinds import Kind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_BOLTS = frozenset({Kind.HEX_BOLT, Kind.SETSCREW})
_WASHERS = frozenset({Kind.PLAIN_WASHER, Kind.SPRING_WASHER})
_LYING = _BOLTS | {Kind.STUD, Kind.GRUB_SCREW}
# An outline is known to a share of a pixel: where one covers more of the mat than this, to so much less.
_FINE_MM = 0.14
_BRIGHT = (Look.CLEAR, Look.STEEL)


def in_space(plane: Plane, one: Found, frame: Frame, piece: PieceRead) -> PieceRead:
    """Measure a piece by the body whose silhouette is its outline.

    Parameters
    ----------
    plane : Plane
        The photo, its camera and its light.
    one : Found
        The piece as it was found, whole.
    frame : Frame
        Where its cut-out lies.
    piece : PieceRead
        As the network reads it.

    Returns
    -------
    PieceRead
        With the height of a piece that stands, or the sizes and the axis of one that lies, where a body of
        its kind has this outline; else as it was.
    """
    found, coarser = _fitted(plane, one, frame, piece), max(1.0, plane.gsd_mm / _FINE_MM)
    read = {each.name: getattr(piece.sizes, each.name) for each in fields(Sizes)}
    anew = {name: size for name in read if (size := getattr(found.sizes, name)) is not read[name]}
    wider = {name: size and Estimate(size.value_mm, coarser * size.u_mm) for name, size in anew.items()}
    return replace(found, sizes=replace(found.sizes, **wider))


def _fitted(plane: Plane, one: Found, frame: Frame, piece: PieceRead) -> PieceRead:
    stand = plane.pose.camera.stand_mm()
    view = Viewpoint(stand[:2], -float(stand[2]))
    points = frame.to_mat_mm(piece.points_mm.astype(float))
    if piece.standing and piece.kind in _BOLTS:
        return _as_high(piece, standing_bolt(one.outline_mm, view, piece.sizes, points))
    if piece.kind is Kind.SPACER:
        tube = tube_sizes(one.outline_mm, view, piece.sizes, points)
        return piece if tube is None else _as_high(_with(piece, outside=tube.outside), tube.length)
    if piece.kind is Kind.TAB_WASHER and has_round_rim(one.outline_mm, view, piece.sizes):
        piece = _without_tab(piece)
    if piece.kind in _WASHERS:
        return _with(piece, outside=washer_width(one.outline_mm, view, piece.sizes))
    if piece.kind is Kind.DOMED_NUT:
        sizes = domed_nut(one.outline_mm, view, piece.sizes, points)
        return piece if sizes is None else replace(piece, sizes=sizes)
    if piece.kind is Kind.NUT:
        return _with(piece, head_across_flats=nut_width(one.outline_mm, view, piece.sizes))
    if piece.standing or piece.kind not in _LYING:
        return piece
    lain = lying_piece(
        one.outline_mm,
        view,
        piece.sizes,
        points,
        pitch_mm=_pitch_mm(piece),
        bright=sum(piece.looks.get(look, 0.0) for look in _BRIGHT),
    )
    if lain is None:
        return piece
    placed = piece.points_mm.copy()
    placed[1:] = frame.from_mat_mm(_stacked(lain.start_mm, lain.tip_mm))
    return replace(piece, sizes=lain.sizes, points_mm=placed)


def _without_tab(piece: PieceRead) -> PieceRead:
    """The same piece, a washer of another kind where that is what it else would be."""
    rest = {kind: share for kind, share in piece.kinds.items() if kind is not Kind.TAB_WASHER}
    if next(iter(rest)) not in _WASHERS:
        return piece
    total = sum(rest.values())
    return replace(piece, kinds={kind: share / total for kind, share in rest.items()})


def _as_high(piece: PieceRead, height: Estimate | None) -> PieceRead:
    """With its height, where the outline tells it better than the network did."""
    read = piece.sizes.length
    if height is None or (read is not None and read.u_mm < height.u_mm):
        return piece
    return replace(piece, sizes=replace(piece.sizes, length=height))


def _with(piece: PieceRead, **sizes: Estimate | None) -> PieceRead:
    """With these sizes, where there are any."""
    known = {name: size for name, size in sizes.items() if size is not None}
    return replace(piece, sizes=replace(piece.sizes, **known)) if known else piece


def _pitch_mm(piece: PieceRead) -> float:
    """The pitch that the network expects, each by its probability [mm]."""
    import numpy

    shares = numpy.asarray(piece.pitches)
    return float((shares * pitches_mm()).sum() / shares.sum())


def _stacked(*points: Array) -> Array:
    import numpy

    return numpy.stack(points)
