"""A piece as the network reads it, its sizes measured anew by its body in space."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from runningfit.core.photos.checking import Plane
from runningfit.core.photos.cutting import Frame
from runningfit.core.photos.items import Estimate, Look
from runningfit.core.photos.lying import lying_piece
from runningfit.core.photos.networks import pitches_mm
from runningfit.core.photos.seeking import Found
from runningfit.core.photos.silhouettes import Viewpoint
from runningfit.core.photos.sizing import PieceRead
from runningfit.core.photos.upright import standing_bolt, standing_spacer
from runningfit.core.pieces.kinds import Kind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_BOLTS = frozenset({Kind.HEX_BOLT, Kind.SETSCREW})
_LYING = _BOLTS | {Kind.STUD, Kind.GRUB_SCREW}
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
    stand = plane.pose.camera.stand_mm()
    view = Viewpoint(stand[:2], -float(stand[2]))
    points = frame.to_mat_mm(piece.points_mm.astype(float))
    if piece.standing and piece.kind in _BOLTS:
        return _as_high(piece, standing_bolt(one.outline_mm, view, piece.sizes, points))
    if piece.kind is Kind.SPACER:
        return _as_high(piece, standing_spacer(one.outline_mm, view, piece.sizes))
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


def _as_high(piece: PieceRead, height: Estimate | None) -> PieceRead:
    """With its height, where the outline tells it better than the network did."""
    read = piece.sizes.length
    if height is None or (read is not None and read.u_mm < height.u_mm):
        return piece
    return replace(piece, sizes=replace(piece.sizes, length=height))


def _pitch_mm(piece: PieceRead) -> float:
    """The pitch that the network expects, each by its probability [mm]."""
    import numpy

    shares = numpy.asarray(piece.pitches)
    return float((shares * pitches_mm()).sum() / shares.sum())


def _stacked(*points: Array) -> Array:
    import numpy

    return numpy.stack(points)
