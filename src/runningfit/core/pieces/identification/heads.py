"""Which widths across flats the hexagon on a thread may have: new and old standards, and any other head."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification.densities import Band, Growth, Wear, band
from runningfit.core.standards import Thread, ThreadSeries, across_flats, all_threads
from runningfit.core.units import MM_PER_INCH

_S = ThreadSeries
# Hexagons of these series are those of another one: common practice, no source.
_LIKE: Mapping[ThreadSeries, ThreadSeries] = {
    _S.UNEF: _S.UNF, _S.UN: _S.UNC, _S.UNS: _S.UNC, _S.CEI: _S.BSF,
}  # fmt: skip
# ASME B18.2.2, from memory: nuts of these sizes are wider than the heads of their bolts [in].
_WIDER_NUTS_IN: Mapping[str, float] = {"7/16": 11 / 16, "9/16": 7 / 8}
_UNIFIED = frozenset({_S.UNC, _S.UNF, _S.UNEF, _S.UN, _S.UNS})
_WHITWORTH = frozenset({_S.BSW, _S.BSF, _S.CEI})
# Common practice, no source: where no smallest width was read, it is up to 2.5 % below the name.
_SMALLEST_OF_NAME = 0.975
# Common practice, no source: most heads are of the usual standard, some of another, the rest of none.
_USUAL_SHARE, _OTHER_SHARE = 0.65, 0.15
_ANY_FROM_DIAMETERS, _ANY_TO_DIAMETERS = 1.2, 2.3
_FLATS_WEAR = (Wear(0.02, 0.75), Wear(0.15, 0.25))
_BARE = (Growth(0.0, 0.0, 1.0),)


def any_head_density(size_mm: float) -> float:
    """Give the density of the width of a hexagon of no standard on a thread of a size.

    Parameters
    ----------
    size_mm : float
        Diameter of the thread [mm].

    Returns
    -------
    float
        Density [1/mm]: anything from 1.2 to 2.3 diameters is as probable.
    """
    low, high = any_head_range_mm(size_mm)
    return 1 / (high - low)


def any_head_range_mm(size_mm: float) -> tuple[float, float]:
    """Give the range of the width of a hexagon of no standard on a thread of a size.

    Parameters
    ----------
    size_mm : float
        Diameter of the thread [mm].

    Returns
    -------
    tuple of (float, float)
        Smallest and largest width [mm].
    """
    return _ANY_FROM_DIAMETERS * size_mm, _ANY_TO_DIAMETERS * size_mm


def _tabled(thread: Thread) -> Iterator[tuple[float, float]]:
    """Yield smallest and largest width of each standard that gives one, the usual first."""
    series = _LIKE.get(thread.series, thread.series)
    try:
        found = across_flats(series, thread.size)
    except InvalidInput:
        return
    for width in found:
        yield width.min_mm or _SMALLEST_OF_NAME * width.max_mm, width.max_mm


def _older_and_wider(thread: Thread) -> Iterator[tuple[float, float]]:
    """Yield the width of the next larger Whitworth size: before 1940 hexagons were that much larger."""
    if thread.series in _WHITWORTH:
        larger = sorted(
            (
                other.major_mm, other.designation) for other in all_threads()
            if other.series is _S.BSW and other.major_mm > thread.major_mm + 0.1
        )  # fmt: skip
        by_name = {other.designation: other for other in all_threads()}
        for _, name in larger[:3]:
            if found := list(_tabled(by_name[name])):
                yield found[0]
                return


@cache
def hexagon(thread: Thread, *, internal: bool) -> Band:
    """Give the band of the width across flats of a bolt's head or of a nut.

    Parameters
    ----------
    thread : Thread
        The thread.
    internal : bool
        Whether it is a nut.

    Returns
    -------
    Band
        The usual standard has most of it, older ones some, and any head of 1.2 to 2.3 diameters the rest.
    """
    widths = list(_tabled(thread))
    if internal and thread.series in _UNIFIED and thread.size in _WIDER_NUTS_IN:
        wider = _WIDER_NUTS_IN[thread.size] * MM_PER_INCH
        widths.insert(0, (_SMALLEST_OF_NAME * wider, wider))
    widths.extend(_older_and_wider(thread))
    major = thread.major_mm
    limits = [(_ANY_FROM_DIAMETERS * major, _ANY_TO_DIAMETERS * major, 1.0)]
    if widths:
        others = len(widths) - 1
        of_none = 1 - _USUAL_SHARE - (_OTHER_SHARE if others else 0.0)
        limits[0] = (*limits[0][:2], of_none)
        limits.append((*widths[0], _USUAL_SHARE))
        limits.extend((*width, _OTHER_SHARE / others) for width in widths[1:])
    return band(tuple(limits), wears_down=True, wear=_FLATS_WEAR, growth=_BARE)
