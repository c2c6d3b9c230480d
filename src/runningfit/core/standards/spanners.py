"""Hexagons of a thread, old and new, and the spanners that go on them."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.across_flats import AcrossFlats, across_flats
from runningfit.core.standards.threads import Thread, ThreadSeries
from runningfit.core.units import MM_PER_INCH, inch_fraction

# Common practice, no source: a spanner looser than this rounds the corners of a tight nut.
_LOOSE_MM = 0.35
# The sizes of Whitworth heads in order: before the war a head was that of the next one.
_WHITWORTH_SIZES = (
    "3/16", "1/4", "5/16", "3/8", "7/16", "1/2", "9/16", "5/8", "11/16", "3/4", "7/8", "1", "1 1/8", "1 1/4",
    "1 3/8", "1 1/2", "1 3/4", "2",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Hexagon:
    """A hexagon that a bolt or nut of a thread may have, and its spanner.

    Parameters
    ----------
    when : str
        Which bolts have it: `BS 1083:1965 and after`, `before ISO 272`.
    max_mm, min_mm : float or None
        Widths across flats [mm], largest or nominal, and smallest.
    spanner : str
        The spanner by its mark: `1/4 BS = 3/16 W`, `1/2 in A/F`, `2 BA`, `13 mm`.
    bridge : str
        The metric spanner that goes over it and how loose it is; empty for metric hexagons.
    status, source : str
        How sure the width is, and where it was read.
    """

    when: str
    max_mm: float
    min_mm: float | None
    spanner: str
    bridge: str
    status: str
    source: str


def _bridge(width_mm: float) -> str:
    """Name the smallest whole-millimetre spanner that goes over a hexagon, and how loose it is."""
    spanner = ceil(round(width_mm, 4))
    slack = spanner - width_mm
    verdict = "good" if slack <= _LOOSE_MM else "too loose for a tight one"
    return f"{spanner} mm ({slack:.2f} mm loose: {verdict})"


def _whitworth_spanner(size: str) -> str:
    at = _WHITWORTH_SIZES.index(size)
    return f"{size} BS = {_WHITWORTH_SIZES[at - 1]} W"


def _next_size(size: str) -> str:
    return _WHITWORTH_SIZES[_WHITWORTH_SIZES.index(size) + 1]


def _hexagon(width: AcrossFlats, when: str, spanner: str, *, bridge: bool) -> Hexagon:
    return Hexagon(
        when=when,
        max_mm=width.max_mm,
        min_mm=width.min_mm,
        spanner=spanner,
        bridge=_bridge(width.max_mm) if bridge else "",
        status=width.status,
        source=width.source,
    )


def _whitworth(thread: Thread) -> tuple[Hexagon, ...]:
    (width,) = across_flats(thread.series, thread.size)
    spanner = _whitworth_spanner(thread.size)
    fine = thread.series is ThreadSeries.BSF
    now = _hexagon(
        width, "B.S.F. of any age" if fine else "from the wartime revision on", spanner, bridge=True
    )
    if fine or thread.size == _WHITWORTH_SIZES[-1]:
        return (now,)
    larger = _next_size(thread.size)
    (old,) = across_flats(ThreadSeries.BSW, larger)
    return now, _hexagon(old, "before the war, one size larger", _whitworth_spanner(larger), bridge=True)


def _inch_mark(width_mm: float) -> str:
    return f"{inch_fraction(round(width_mm / MM_PER_INCH * 64))} in A/F"


def hexagons(thread: Thread) -> tuple[Hexagon, ...]:
    """Find the hexagons that bolts and nuts of a thread have, new and old, with their spanners.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    tuple of Hexagon
        The usual one first; none where no table has the size (then measure it).

    Notes
    -----
    A Whitworth spanner is marked with the size of thread that its jaw was for before the war: 1/4 W goes on
    heads of today's 5/16 (published by restorers; the rule is VERIFIED, BS 1083 gives the widths).
    """
    try:
        widths = across_flats(thread.series, thread.size)
    except InvalidInput:
        return ()
    if thread.series in {ThreadSeries.BSW, ThreadSeries.BSF}:
        return _whitworth(thread)
    if thread.series is ThreadSeries.BA:
        return tuple(_hexagon(one, one.standard, f"{thread.size} BA", bridge=True) for one in widths)
    if thread.tpi is None:
        return tuple(_hexagon(one, one.standard, f"{one.max_mm:g} mm", bridge=False) for one in widths)
    return tuple(_hexagon(one, one.standard, _inch_mark(one.max_mm), bridge=True) for one in widths)
