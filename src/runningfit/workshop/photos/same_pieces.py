"""Whether pieces in a photo may be in the books already: by an earlier photo, or in the bag they were in."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from math import log
from operator import itemgetter
from typing import TYPE_CHECKING, Any, NamedTuple

from django.db.models import TextField
from django.db.models.functions import Cast

from runningfit.core.photos.items import PhotoItem
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.proposed import Proposed, as_proposed
from runningfit.workshop.pieces.bags import bag_lines

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from runningfit.core.photos.comparing.alike import Pairs, Pieces

# Nobody lays thirty bolts out twice within so little; a mat shoved under the camera moves with its pieces.
SAME_SPOT_MM, SAME_SIZE_MM = 4.0, 1.5
LOOKED_BACK = 40
# Of the smaller photo: so many at the same spots, or so many alike wherever they lie.
_FEWEST, _AT_ONE_SPOT, _ALIKE = 2, 0.5, 0.7
# A part of a larger photo says something only where it is of so many sorts.
_SORTS = 3
# Two pieces are alike where being one piece is so much likelier than being any two [logarithm], beyond what
# the best of so many sorts comes to by chance.
_LIKELIER = 1.0
_SIZES = ("length", "outside", "head_across_flats", "width")


@dataclass(frozen=True, slots=True)
class SeenBefore:
    """An earlier photo whose pieces are in the books, and how many of these may be among them.

    Parameters
    ----------
    run : PhotoRun
        The earlier photo.
    alike : int
        How many pieces have one like them there.
    of, there : int
        How many pieces this photo and the earlier one show.
    at_one_spot : bool
        Whether they lie at the same spots of the mat too.
    """

    run: PhotoRun
    alike: int
    of: int
    there: int
    at_one_spot: bool

    @property
    def sentence(self) -> str:
        """What is noticed, for the person who is asked."""
        earlier = f"hardware photo {self.run.pk} of {self.run.job}, which is in the books already."
        if self.at_one_spot:
            verb = "lies" if self.alike == 1 else "lie"
            return (
                f"{self.alike} of these {self.of} pieces {verb} on the mat where pieces of the same size lay "
                f"in {earlier}"
            )
        return (
            f"{self.alike} of these {self.of} pieces {'is' if self.alike == 1 else 'are'} like the "
            f"{self.there} of {earlier} If somebody only laid them out anew, they are counted."
        )


def seen_before(run: PhotoRun, pieces: Sequence[PhotoPiece]) -> list[SeenBefore]:
    """Return the accepted photos of the shop that may show the same pieces, the likeliest first.

    Parameters
    ----------
    run : PhotoRun
        The photo that is to be accepted.
    pieces : sequence of PhotoPiece
        Its pieces.
    """
    counted = [piece for piece in pieces if not piece.fate]
    if not counted:
        return []
    there = _accepted_last(beside=run)
    if not there:
        return []
    here, photos = _Photo.of(counted), list(there.values())
    still, anew = _at_one_spot(here, photos), _laid_anew(here, photos)
    alike = {pk: counts for pk, *counts in zip(there, still, anew, strict=True) if any(counts)}
    if not alike:
        return []
    runs = PhotoRun.objects.select_related("job").in_bulk(list(alike))
    found = [
        SeenBefore(runs[pk], stayed or moved, len(counted), len(there[pk].spots), at_one_spot=bool(stayed))
        for pk, (stayed, moved) in alike.items()
    ]
    return sorted(found, key=lambda one: (not one.at_one_spot, -one.alike))


def look_the_same(pieces: Sequence[PhotoPiece], others: Sequence[PhotoPiece]) -> bool:
    """Return whether two photos may show the same pieces, wherever they lie.

    Parameters
    ----------
    pieces, others : sequence of PhotoPiece
        Those of each photo.
    """
    counted = [[one for one in side if not one.fate] for side in (pieces, others)]
    if not all(counted):
        return False
    here, there = (_Photo.of(side) for side in counted)
    return any(_at_one_spot(here, [there])) or any(_laid_anew(here, [there]))


def in_its_bag(run: PhotoRun) -> int:
    """Return how many pieces the books hold already in the bag that the pieces of a photo came out of."""
    return bag_lines([run.bag])[0].pieces if run.bag else 0


class _Row(NamedTuple):
    """What a piece's row says of how it was measured."""

    number: int
    x_mm: float
    y_mm: float
    split_off_id: int | None
    in_one: str

    @property
    def proposed(self) -> dict[str, Any]:
        proposed: dict[str, Any] = json.loads(self.in_one)
        return proposed


@dataclass(frozen=True, slots=True, eq=False)
class _Photo:
    """Pieces as they were measured, whatever was said of them: another photo would measure them so again.

    ``sorts`` and ``measured`` leave out those that nobody could measure.
    """

    spots: NDArray[Any]
    sorts: tuple[tuple[object, ...], ...]
    measured: Pieces

    @classmethod
    def of(cls, pieces: Sequence[Proposed]) -> _Photo:
        # Only this needs arrays; a page without an earlier photo shall not wait for them.
        import numpy

        from runningfit.core.photos.comparing.alike import Pieces

        items = [as_proposed(piece) for piece in pieces]
        sizes = [_size(piece) for piece in pieces]
        measured = [at for at, item in enumerate(items) if item.could_not is None]
        return cls(
            numpy.array([(one.x_mm, one.y_mm, size) for one, size in zip(pieces, sizes, strict=True)]),
            tuple(_sort(items[at], sizes[at]) for at in measured),
            Pieces.of([items[at] for at in measured]),
        )


def _accepted_last(*, beside: PhotoRun) -> dict[int, _Photo]:
    """Return what was measured in the photos that were accepted last; one that shows nothing is left out."""
    runs = PhotoRun.objects.filter(withdrawn=False, accepted_by__isnull=False).exclude(pk=beside.pk)
    last = runs.order_by("-pk").values("pk")[:LOOKED_BACK]
    rows = PhotoPiece.objects.filter(run__in=last, withdrawn=False, fate="").order_by("-run_id", "number")
    told = rows.values_list("run_id", "number", "x_mm", "y_mm", "split_off_id", Cast("proposed", TextField()))
    return {pk: _photo(tuple(_Row(*one[1:]) for one in of)) for pk, of in groupby(told, itemgetter(0))}


# A photo in the books hardly ever changes, and each new one is held against it. What was read of its rows is
# what it is kept by, so that no change is missed.
@lru_cache(maxsize=4 * LOOKED_BACK)
def _photo(rows: tuple[_Row, ...]) -> _Photo:
    return _Photo.of(rows)


def _size(piece: Proposed) -> float:
    sizes = piece.proposed["sizes"]
    return next((float(sizes[name][0]) for name in _SIZES if name in sizes), 0.0)


def _sort(item: PhotoItem, size: float) -> tuple[object, ...]:
    thread = item.threads[0].designation if item.threads else ""
    return item.kind, thread, round(size / (2 * SAME_SIZE_MM))


def _is_many(count: int, here: int, there: int, share: float) -> bool:
    fewer = min(here, there)
    return bool(count) and count >= max(min(_FEWEST, fewer), share * fewer)


def _at_one_spot(here: _Photo, photos: Sequence[_Photo]) -> list[int]:
    """Return for each photo how many pieces lie where pieces of their size lay there; 0 where few do."""
    import numpy

    found = []
    for one in photos:
        x, y, size = (here.spots[:, axis, None] - one.spots[:, axis] for axis in range(3))
        stayed = (x**2 + y**2 <= SAME_SPOT_MM**2) & (numpy.abs(size) <= SAME_SIZE_MM)
        count = _paired(stayed) if stayed.any() else 0
        found.append(count if _is_many(count, len(here.spots), len(one.spots), _AT_ONE_SPOT) else 0)
    return found


def _paired(stayed: NDArray[Any]) -> int:
    """Pair each piece with the first of the other photo that is left."""
    taken: set[int] = set()
    for row in stayed[stayed.any(axis=1)]:
        to = next((int(to) for to in row.nonzero()[0] if int(to) not in taken), None)
        if to is not None:
            taken.add(to)
    return len(taken)


def _laid_anew(here: _Photo, photos: Sequence[_Photo]) -> list[int]:
    """Return for each photo how many pieces may be those that lay elsewhere there; 0 where it says nothing.

    Pieces that nobody could measure are left out on both sides.
    """
    from runningfit.core.photos.comparing.alike import alike

    least = [log(max(1, len(set(here.sorts)), len(set(one.sorts)))) + _LIKELIER for one in photos]
    return [
        _count_anew(here, len(one.sorts), found)
        for one, found in zip(
            photos, alike(here.measured, [one.measured for one in photos], least), strict=True
        )
    ]


def _count_anew(here: _Photo, there: int, pairs: Pairs) -> int:
    taken: set[int] = set()
    paired: set[int] = set()
    for at, to in zip(pairs.here.tolist(), pairs.there.tolist(), strict=True):
        if at not in paired and to not in taken:
            paired.add(at)
            taken.add(to)
    ours = len(here.sorts)
    if not _is_many(len(paired), ours, there, _ALIKE):
        return 0
    whole = len(paired) >= _ALIKE * max(ours, there)
    return len(paired) if whole or len({here.sorts[at] for at in paired}) >= _SORTS else 0
