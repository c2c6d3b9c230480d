"""One connected thing on the flattened mat told apart into pieces, or known as several that cannot be.

Three signs part it: the channel of pixels that have another piece beside them, the middles to which pixels
point, and a neck between two wide parts. A part is only measured where all of it shows: it hangs together,
its pixels point to its own middle, it has one hole at most, and it meets its neighbour over a short line.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from runningfit.core.photos.networks import FLAT_MM

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Mask = NDArray[np.bool_]
    Labels = NDArray[np.int32]

# The pixels of one piece point to one middle, within this or this share of the length of its window.
_NEAR_MM, _NEAR = 2.0, 0.08
# Middles of two pieces lie at least so far apart, by millimetres or by a share of the length, and each has
# this share of the pixels.
_APART_MM, _APART, _LEAST_SHARE = 5.0, 0.12, 0.15
# A core left by the channel counts from this size on [mm^2].
_CORE_MM2 = 5.0
# A neck is narrower than this share of the lesser of the two parts that it joins, and that one is no burr:
# of 250 single pieces in 13 rendered photos none came below 0.7, of 12 pairs that touched 8 below 0.62.
_NECK, _BURR_MM, _BURR_SHARE = 0.62, 1.0, 0.05
# Pieces that meet over a line longer than this share of how wide they are behind it, by this share of their
# width, may lie on each other, or hide an end.
_CONTACT, _BEHIND = 0.6, 0.25
# Of the pixels of a whole piece at least so many point to its own middle, and of one that hangs together
# next to none lie apart.
_POINTING, _HANGING = 0.6, 0.97
# A hexagon fills 0.83 of the circle about it, two washers that overlap by half 0.74: of what is so round,
# ways that go astray say nothing.
_ROUND = 0.8
# Hardware has one hole that shows the mat, of this size or more [mm^2]: what has two is two washers or nuts.
_HOLE_MM2, _TWO = 4.0, 2
_MOST_CUTS = 60


class Meets(StrEnum):
    """How a part stands to the other parts of its connected thing."""

    ALONE = "alone"
    TOLD_APART = "told_apart"
    TOUCHES = "touches"
    LIES_ON = "lies_on"
    UNCLEAR = "unclear"


# What can be measured.
WHOLE = frozenset({Meets.ALONE, Meets.TOLD_APART})


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of a connected thing.

    Parameters
    ----------
    mask : array of bool, height x width
        Its pixels within the window of the whole thing.
    meets : Meets
        Alone; told apart from neighbours that it touches, and whole; one of two pieces that touch too
        closely; on or under another; or several pieces that nothing tells apart.
    """

    mask: Mask
    meets: Meets


def parts_of(window: Mask, border: NDArray[np.floating], way_mm: NDArray[np.floating]) -> tuple[Part, ...]:
    """Tell a connected thing apart into pieces.

    Parameters
    ----------
    window : array of bool, height x width
        The pixels of the thing, `FLAT_MM` each.
    border : array, height x width
        The odds that another piece lies within two pixels, as a logarithm.
    way_mm : array, 2 x height x width
        From each pixel to the middle of its piece, x and y [mm].
    """
    import numpy

    ends = _ends_mm(way_mm)
    labels = window.astype(numpy.int32)
    ringed = _cut_all(labels, border, ends)
    masks = [labels == number for number in range(1, int(labels.max()) + 1)]
    if len(masks) == 1:
        home = _is_round(window) or _points_home(window, ends, _middle_of(window, ends))
        clear = home and not ringed and _holes(window) < _TWO
        return (Part(window, Meets.ALONE if clear else Meets.UNCLEAR),)
    if ringed or any(not _hangs_together(mask) for mask in masks):
        return tuple(Part(mask, Meets.LIES_ON) for mask in masks)
    whole = all(_points_home(mask, ends, _centre_of(mask)) and _holes(mask) < _TWO for mask in masks)
    apart = whole and _meet_shortly(labels, masks)
    return tuple(Part(mask, Meets.TOLD_APART if apart else Meets.TOUCHES) for mask in masks)


def _cut_all(labels: Labels, border: NDArray[np.floating], ends: NDArray[np.float64]) -> bool:
    """Cut until nothing parts further, in place; whether a channel runs through what points to one middle."""
    import numpy

    ringed = False
    waiting = [1]
    for _ in range(_MOST_CUTS):
        if not waiting:
            break
        number = waiting.pop()
        mask = labels == number
        cut, through = _cut_by_border(mask, border, ends)
        ringed |= through
        if cut is None:
            cut = _cut_by_ways(mask, ends)
        if cut is None:
            cut = _cut_at_neck(mask)
        if cut is None:
            continue
        first, count = int(labels.max()), int(cut.max())
        labels[mask] = numpy.where(cut[mask] == 1, number, cut[mask] - 1 + first)
        waiting.extend([number, *range(first + 1, first + count)])
    return ringed


def _cut_by_border(
    mask: Mask, border: NDArray[np.floating], ends: NDArray[np.float64]
) -> tuple[Labels | None, bool]:
    """Labels from 1 where the channel leaves cores with middles of their own, and whether cores share one."""
    import cv2
    import numpy

    channel = mask & (border > 0)
    if not channel.any():
        return None, False
    count, cores, stats, _ = cv2.connectedComponentsWithStats(
        (mask & ~channel).astype(numpy.uint8), connectivity=4
    )
    large = [at for at in range(1, count) if stats[at, cv2.CC_STAT_AREA] * FLAT_MM**2 >= _CORE_MM2]
    if len(large) < 2:
        return None, False
    near = _near_mm(mask)
    middles: list[NDArray[np.float64]] = []
    seeds = numpy.zeros(mask.shape, numpy.int32)
    shared = 0
    for at in sorted(large, key=lambda one: -stats[one, cv2.CC_STAT_AREA]):
        core = cores == at
        middle = _middle_of(core, ends)
        away = [float(numpy.hypot(*(middle - one))) for one in middles]
        if away and min(away) < near:
            seeds[core] = int(numpy.argmin(away)) + 1
            shared += int(stats[at, cv2.CC_STAT_AREA])
        else:
            middles.append(middle)
            seeds[core] = len(middles)
    ringed = shared >= _LEAST_SHARE * mask.sum()
    return (_spread(seeds, mask) if len(middles) > 1 else None), ringed


def _cut_by_ways(mask: Mask, ends: NDArray[np.float64]) -> Labels | None:
    """Labels from 1 where pixels point to middles far apart, each with a good share of them."""
    import numpy

    pointed = ends[mask]
    if len(pointed) < 50 or _is_round(mask):
        return None
    near = _near_mm(mask)
    if (numpy.hypot(*(pointed - numpy.median(pointed, axis=0)).T) <= near).mean() > 1 - _LEAST_SHARE:
        return None
    apart = max(_APART_MM, _APART / _NEAR * near)
    left = numpy.ones(len(pointed), dtype=bool)
    groups: list[NDArray[np.bool_]] = []
    middles: list[NDArray[np.float64]] = []
    while left.mean() >= _LEAST_SHARE:
        middle = _densest(pointed[left], near / 2)
        group = left & (numpy.hypot(*(pointed - middle).T) <= near)
        if group.mean() < _LEAST_SHARE:
            break
        left &= ~group
        if all(float(numpy.hypot(*(middle - one))) >= apart for one in middles):
            groups.append(group)
            middles.append(middle)
    if len(groups) < 2:
        return None
    seeds = numpy.zeros(mask.shape, numpy.int32)
    values = numpy.zeros(len(pointed), numpy.int32)
    for number, group in enumerate(groups, start=1):
        values[group] = number
    seeds[mask] = values
    return _spread(_without_specks(seeds), mask)


def _without_specks(seeds: Labels) -> Labels:
    """Seeds without the small ones: single pixels that point elsewhere tell of no piece."""
    import cv2
    import numpy

    kept = seeds.copy()
    for number in range(1, int(seeds.max()) + 1):
        _, parts, stats, _ = cv2.connectedComponentsWithStats(
            (seeds == number).astype(numpy.uint8), connectivity=4
        )
        kept[(stats[:, cv2.CC_STAT_AREA] * FLAT_MM**2 < _CORE_MM2)[parts]] = 0
    return kept


def _cut_at_neck(mask: Mask) -> Labels | None:
    """Labels from 1 where the thing narrows between two wide parts."""
    import cv2
    import numpy

    filled = _filled(mask)
    deep = cv2.distanceTransform(filled.astype(numpy.uint8), cv2.DIST_L2, 5)[1:-1, 1:-1]
    least, cut = _NECK, None
    for depth in numpy.arange(1.0, _NECK * float(deep.max()), 1.0):
        count, cores = cv2.connectedComponents((deep > depth).astype(numpy.uint8), connectivity=8)
        peaks = [float(deep[cores == at].max()) for at in range(1, count)]
        wide = [at for at, peak in enumerate(peaks, start=1) if peak * FLAT_MM >= _BURR_MM]
        if len(wide) < 2:
            continue
        second = sorted((peaks[at - 1] for at in wide), reverse=True)[1]
        if depth / second < least:
            least = depth / second
            cut = numpy.zeros(mask.shape, numpy.int32)
            for number, at in enumerate((at for at in wide if depth / peaks[at - 1] < _NECK), start=1):
                cut[cores == at] = number
    if cut is None:
        return None
    parts = _spread(cut, mask)
    # A shadow or a shine taken for part of a piece hangs on it by necks too, and is small.
    shares = numpy.bincount(parts[mask])[1:] / mask.sum()
    return parts if shares.min() >= _BURR_SHARE else None


def _spread(seeds: Labels, mask: Mask) -> Labels:
    """Give each pixel of a mask the label of the seed nearest to it."""
    import cv2
    import numpy

    _, nearest = cv2.distanceTransformWithLabels(
        (seeds == 0).astype(numpy.uint8), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    of_label = numpy.zeros(int(nearest.max()) + 1, numpy.int32)
    at_seed = seeds > 0
    of_label[nearest[at_seed]] = seeds[at_seed]
    return numpy.where(mask, of_label[nearest], 0).astype(numpy.int32)


def _ends_mm(way_mm: NDArray[np.floating]) -> NDArray[np.float64]:
    """Where each pixel of the window points to, height x width x 2 [mm]."""
    import numpy

    rows, columns = numpy.indices(way_mm.shape[1:])
    return numpy.stack([columns * FLAT_MM + way_mm[0], rows * FLAT_MM + way_mm[1]], axis=-1).astype(float)


def _middle_of(mask: Mask, ends: NDArray[np.float64]) -> NDArray[np.float64]:
    import numpy

    return numpy.asarray(numpy.median(ends[mask], axis=0))


def _centre_of(mask: Mask) -> NDArray[np.float64]:
    import numpy

    rows, columns = numpy.nonzero(mask)
    return numpy.array([columns.mean(), rows.mean()]) * FLAT_MM


def _near_mm(mask: Mask) -> float:
    import numpy

    rows, columns = numpy.nonzero(mask)
    return max(_NEAR_MM, _NEAR * FLAT_MM * float(numpy.hypot(numpy.ptp(rows), numpy.ptp(columns))))


def _is_round(mask: Mask) -> bool:
    """Whether it fills the least circle about it, its holes filled, as a washer or a nut does."""
    import cv2
    import numpy

    filled = _filled(mask)
    rows, columns = numpy.nonzero(filled)
    _, radius = cv2.minEnclosingCircle(numpy.stack([columns, rows], axis=1).astype(numpy.float32))
    return bool(filled.sum() >= _ROUND * numpy.pi * (radius + 0.5) ** 2)


def _points_home(mask: Mask, ends: NDArray[np.float64], middle: NDArray[np.float64]) -> bool:
    """Whether most pixels point to the middle given, and they do so on the whole."""
    import numpy

    away = numpy.hypot(*(ends[mask] - middle).T)
    return bool((away <= _near_mm(mask)).mean() >= _POINTING)


def _densest(points: NDArray[np.float64], wide_mm: float) -> NDArray[np.float64]:
    """Where points lie densest: the mean of those in and beside the fullest square."""
    import numpy

    squares = numpy.floor(points / wide_mm).astype(int)
    squares -= squares.min(axis=0)
    # Ways of pixels that belong to nothing may point anywhere: a square of the plane each would be too many.
    keys, counts = numpy.unique(squares, axis=0, return_counts=True)
    fullest = keys[int(counts.argmax())]
    beside = (numpy.abs(squares - fullest) <= 1).all(axis=1)
    return numpy.asarray(numpy.median(points[beside], axis=0))


def _filled(mask: Mask) -> Mask:
    """The mask with its holes filled, and a rim of one pixel about it."""
    import cv2
    import numpy

    rimmed = numpy.pad(mask, 1)
    _, outside = cv2.connectedComponents((~rimmed).astype(numpy.uint8), connectivity=4)
    return numpy.asarray(outside != outside[0, 0])


def _holes(mask: Mask) -> int:
    """How many holes a thing has, small ones left out."""
    import cv2
    import numpy

    _, _, stats, _ = cv2.connectedComponentsWithStats(
        (~numpy.pad(mask, 1)).astype(numpy.uint8), connectivity=4
    )
    # The first is the thing itself, and one of the others all that lies outside it.
    return int((stats[1:, cv2.CC_STAT_AREA] * FLAT_MM**2 >= _HOLE_MM2).sum()) - 1


def _hangs_together(mask: Mask) -> bool:
    import cv2
    import numpy

    count, _, stats, _ = cv2.connectedComponentsWithStats(mask.astype(numpy.uint8), connectivity=8)
    return count <= 2 or bool(stats[1:, cv2.CC_STAT_AREA].max() >= _HANGING * mask.sum())


def _meet_shortly(labels: Labels, masks: list[Mask]) -> bool:
    """Whether each two parts meet over a line that is short beside how wide they are a little behind it."""
    import cv2
    import numpy

    around = numpy.ones((3, 3), numpy.uint8)
    for mask in masks:
        beside = cv2.dilate(mask.astype(numpy.uint8), around) > 0
        for other in numpy.unique(labels[beside & (labels > 0) & ~mask]):
            line = mask & (cv2.dilate((labels == other).astype(numpy.uint8), around) > 0)
            length = max(numpy.ptp(numpy.stack(numpy.nonzero(line)), axis=1)) + 1
            away = cv2.distanceTransform((~line).astype(numpy.uint8), cv2.DIST_L2, 5)
            behind = _BEHIND * _width_mm(mask) / FLAT_MM
            wide = (_filled(mask)[1:-1, 1:-1] & (numpy.abs(away - behind) < 0.5)).sum()
            if length > _CONTACT * wide:
                return False
    return True


def _width_mm(mask: Mask) -> float:
    """The short side of the least rectangle about a part."""
    import cv2
    import numpy

    rows, columns = numpy.nonzero(mask)
    _, sides, _ = cv2.minAreaRect(numpy.stack([columns, rows], axis=1).astype(numpy.float32))
    return (min(sides) + 1) * FLAT_MM
