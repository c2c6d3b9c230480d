"""Widths across flats of hexagons: what a spanner is for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows
from runningfit.core.standards.threads import ThreadSeries
from runningfit.core.units import MM_PER_INCH

# Which tables speak of which series, the usual one first.
_TABLES: Mapping[ThreadSeries, tuple[str, ...]] = {
    ThreadSeries.UNC: ("asme_b18_2_1_2012",),
    ThreadSeries.UNF: ("asme_b18_2_1_2012",),
    ThreadSeries.BSW: ("bs_1083_1965",),
    ThreadSeries.BSF: ("bs_1083_1965",),
    ThreadSeries.BA: ("bs_57_1951",),
    ThreadSeries.METRIC_COARSE: ("iso_272_1982", "din_931_before_iso_272"),
    ThreadSeries.METRIC_FINE: ("iso_272_1982", "din_931_before_iso_272"),
}


@dataclass(frozen=True, slots=True)
class AcrossFlats:
    """The width across flats of a hexagon for one size of thread.

    Parameters
    ----------
    size : str
        The size of thread, as in `Thread.size`.
    max_mm : float
        The largest or nominal width [mm].
    min_mm : float or None
        The smallest width [mm]; none where it was not read.
    standard, status, source : str
        Which standard, how sure the row is, and where it was read.
    """

    size: str
    max_mm: float
    min_mm: float | None
    standard: str
    status: str
    source: str


def _width(row: Mapping[str, str]) -> AcrossFlats:
    factor = MM_PER_INCH if row["unit"] == "in" else 1.0
    return AcrossFlats(
        size=row["size"],
        max_mm=float(row["AF_max_or_nominal"]) * factor,
        min_mm=float(row["AF_min"]) * factor if row["AF_min"] else None,
        standard=row["standard"],
        status=row["status"],
        source=row["source"],
    )


@cache
def _widths(series: ThreadSeries) -> tuple[AcrossFlats, ...]:
    return tuple(_width(row) for folder in _TABLES.get(series, ()) for row in rows(folder))


def across_flats(series: ThreadSeries, size: str) -> tuple[AcrossFlats, ...]:
    """Look up the widths across flats that a hexagon of a size of thread may have.

    Parameters
    ----------
    series : ThreadSeries
        The series of the thread.
    size : str
        Its size, as in `Thread.size`: `5/16`, `M10`, or the B.A. number.

    Returns
    -------
    tuple of AcrossFlats
        One for each standard that gives it, the usual one first: an M10 bolt has 16 mm, or 17 mm before
        ISO 272.

    Raises
    ------
    InvalidInput
        No table gives the width for that series and size.
    """
    found = tuple(width for width in _widths(series) if width.size == size)
    if not found:
        known = ", ".join(dict.fromkeys(width.size for width in _widths(series)))
        raise InvalidInput(
            "size",
            needs=f"a {series} size whose width across flats is in the tables",
            came=size,
            remedy=f"Known: {known}." if known else "Measure the hexagon.",
        )
    return found
