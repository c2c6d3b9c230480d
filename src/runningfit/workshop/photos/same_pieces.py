"""Whether pieces in a photo were counted before: of the same sizes, at the same spots of the mat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun

# Nobody lays thirty bolts out twice within so little; a mat shoved under the camera moves with its pieces.
SAME_SPOT_MM, SAME_SIZE_MM = 4.0, 1.5
LOOKED_BACK = 20
_FEWEST, _SHARE = 2, 0.5


@dataclass(frozen=True, slots=True)
class SeenBefore:
    """An earlier photo whose pieces are in the books, and how many lie where these do."""

    run: PhotoRun
    alike: int
    of: int

    @property
    def sentence(self) -> str:
        """What is noticed, for the person who is asked."""
        return (
            f"{self.alike} of these {self.of} pieces lie on the mat where pieces of the same size lay in "
            f"hardware photo {self.run.pk}, which is in the books already."
        )


def seen_before(run: PhotoRun, pieces: Sequence[PhotoPiece]) -> list[SeenBefore]:
    """Return the accepted photos of the job that may show the same pieces, the likeliest first.

    Parameters
    ----------
    run : PhotoRun
        The photo that is to be accepted.
    pieces : sequence of PhotoPiece
        Its pieces.
    """
    here = [piece for piece in pieces if not piece.fate]
    if not here:
        return []
    runs = PhotoRun.objects.filter(job=run.job_id, withdrawn=False, accepted_by__isnull=False)
    earlier = {one.pk: one for one in runs.exclude(pk=run.pk).order_by("-pk")[:LOOKED_BACK]}
    there: dict[int, list[PhotoPiece]] = {pk: [] for pk in earlier}
    rows = PhotoPiece.objects.filter(run__in=list(earlier), withdrawn=False, fate="")
    for row in rows.defer("outline_px", "outline_mm"):
        there[row.run_id].append(row)
    found = [
        SeenBefore(earlier[pk], count, len(here))
        for pk, old in there.items()
        if (count := _alike(here, old)) and _is_many(count, len(here), len(old))
    ]
    return sorted(found, key=lambda one: -one.alike)


def _is_many(count: int, here: int, there: int) -> bool:
    fewer = min(here, there)
    return count >= max(min(_FEWEST, fewer), _SHARE * fewer)


def _alike(here: Sequence[PhotoPiece], there: Sequence[PhotoPiece]) -> int:
    left = list(there)
    count = 0
    for piece in here:
        match = next((other for other in left if _same(piece, other)), None)
        if match is not None:
            left.remove(match)
            count += 1
    return count


def _same(one: PhotoPiece, other: PhotoPiece) -> bool:
    apart = ((one.x_mm - other.x_mm) ** 2 + (one.y_mm - other.y_mm) ** 2) ** 0.5
    return apart <= SAME_SPOT_MM and abs(_size(one) - _size(other)) <= SAME_SIZE_MM


def _size(piece: PhotoPiece) -> float:
    """The size by which a piece is known again, as it was measured, whatever was said of it."""
    sizes = piece.proposed["sizes"]
    for name in ("length", "outside", "head_across_flats", "width"):
        if name in sizes:
            return float(sizes[name][0])
    return 0.0
