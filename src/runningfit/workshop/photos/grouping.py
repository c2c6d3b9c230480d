"""The pieces of a photo by what they are: those that cannot be told apart are one lot."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.photos.items import Sizes
from runningfit.workshop.photos.hardware_models import PhotoPiece
from runningfit.workshop.photos.proposed import sizes_of
from runningfit.workshop.pieces.lots import LotFacts

# Two lengths, or two diameters, this near in one photo are one (common practice, no source).
SAME_LENGTH_MM, SAME_DIAMETER_MM = 0.8, 0.6
_NAMES = ("kind", "end_a", "end_b", "size_said", "length_nominal", "length_basis", "finish_look", "condition")


@dataclass(frozen=True, slots=True)
class PieceGroup:
    """Pieces of a photo that become one lot.

    Parameters
    ----------
    key : str
        By which a form names it; another as soon as the pieces are others.
    pieces : tuple of PhotoPiece
        By number.
    length_mm : float or None
        The length of all of them together [mm].
    remark : str
        What tells them apart beside thread and length: the diameters of washers.
    """

    key: str
    pieces: tuple[PhotoPiece, ...]
    length_mm: float | None
    remark: str

    @property
    def first(self) -> PhotoPiece:
        """The piece that stands for all of them."""
        return self.pieces[0]

    @property
    def unsure(self) -> tuple[PhotoPiece, ...]:
        """Those at which somebody should look first."""
        return tuple(piece for piece in self.pieces if piece.unsure and not piece.settled)

    @property
    def unmeasured(self) -> bool:
        """Whether nobody, and no photo, has said yet what they are."""
        return all(is_unmeasured(piece) for piece in self.pieces)

    @property
    def questions(self) -> tuple[str, ...]:
        """What stays open of them, in sentences."""
        return tuple(dict.fromkeys(piece.ask for piece in self.unsure if piece.ask))[:4]

    def facts(self, count: int) -> LotFacts:
        """Return what is kept of so many of them as a lot."""
        one = self.first
        return LotFacts(
            count=count,
            kind=one.kind,
            end_a=_candidates(one.end_a),
            end_b=_candidates(one.end_b),
            size_said=one.size_said,
            length_mm=self.length_mm,
            length_nominal=one.length_nominal,
            length_typed=one.length_typed,
            length_basis=one.length_basis,
            finish_look=one.finish_look,
            condition=one.condition,
            remarks=f"{self.remark}, by a photo" if self.remark else "",
            questions=self.questions,
        )


def is_unmeasured(piece: PhotoPiece) -> bool:
    """Return whether a photo could not measure a piece, and nobody has said yet what it is."""
    if piece.settled:
        return False
    return piece.split_off_id is not None or bool(piece.proposed.get("could_not"))


def grouped(pieces: Sequence[PhotoPiece]) -> list[PieceGroup]:
    """Return the pieces that count, by what they are; those nobody could measure last.

    Parameters
    ----------
    pieces : sequence of PhotoPiece
        Those of one photo.
    """
    exact: dict[tuple[object, ...], list[PhotoPiece]] = {}
    for piece in pieces:
        if not piece.fate:
            key = (*(getattr(piece, name) for name in _NAMES), is_unmeasured(piece))
            exact.setdefault(key, []).append(piece)
    groups = [_group(near) for rows in exact.values() for near in _near(rows)]
    return sorted(groups, key=lambda one: (one.unmeasured, one.first.number))


def state_of(pieces: Sequence[PhotoPiece]) -> str:
    """Return a mark that changes whenever somebody corrects a piece in between."""
    told = ";".join(f"{group.key}:{len(group.pieces)}" for group in grouped(pieces))
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def _near(rows: list[PhotoPiece]) -> list[list[PhotoPiece]]:
    """Part pieces of one name by their sizes, where the name does not say these."""
    clusters: list[list[PhotoPiece]] = []
    for row in sorted(rows, key=_measures):
        near = next((one for one in clusters if _alike(_measures(one[0]), _measures(row))), None)
        if near is None:
            clusters.append([row])
        else:
            near.append(row)
    return [sorted(cluster, key=lambda row: row.number) for cluster in clusters]


def _measures(row: PhotoPiece) -> tuple[float, float, float]:
    """The length where it is no standard one, and the diameters of what has no thread or size said."""
    length = row.length_mm if row.length_mm is not None and not row.length_nominal else 0.0
    if row.end_a or row.size_said or not row.remark:
        return length, 0.0, 0.0
    sizes = sizes_of(row.proposed)
    return length, _value(sizes, "outside"), _value(sizes, "inside")


def _alike(one: tuple[float, float, float], other: tuple[float, float, float]) -> bool:
    within = (SAME_LENGTH_MM, SAME_DIAMETER_MM, SAME_DIAMETER_MM)
    return all(abs(a - b) <= most for a, b, most in zip(one, other, within, strict=True))


def _group(rows: list[PhotoPiece]) -> PieceGroup:
    lengths = [row.length_mm for row in rows if row.length_mm is not None]
    length_mm = round(sum(lengths) / len(lengths), 2) if lengths else None
    told = ",".join([*(str(getattr(rows[0], name)) for name in _NAMES), *(str(row.number) for row in rows)])
    return PieceGroup(
        key=hashlib.sha256(told.encode()).hexdigest()[:12],
        pieces=tuple(rows),
        length_mm=length_mm,
        remark=_remark(rows),
    )


def _remark(rows: Sequence[PhotoPiece]) -> str:
    if len(rows) == 1 or not rows[0].remark:
        return rows[0].remark
    sizes = [sizes_of(row.proposed) for row in rows]
    told = []
    for name in ("inside", "outside"):
        values = [value for one in sizes if (value := _value(one, name))]
        if values:
            told.append(f"{name} {sum(values) / len(values):.1f} mm")
    return ", ".join(told)


def _value(sizes: Sizes, name: str) -> float:
    size = getattr(sizes, name)
    return size.value_mm if size is not None else 0.0


def _candidates(ends: str) -> tuple[str, ...]:
    return tuple(ends.split("|")) if ends else ()
