"""Standard threads with their basic dimensions."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows
from runningfit.core.units import MM_PER_INCH


class ThreadForm(StrEnum):
    """The profile of a thread and its included angle."""

    UNIFIED60 = "unified60"
    WHITWORTH55 = "whitworth55"
    BA47_5 = "ba47_5"
    CEI60 = "cei60"
    METRIC60 = "metric60"
    NPT60 = "npt60"


class ThreadSeries(StrEnum):
    """The series of sizes and pitches that a thread belongs to."""

    UNC = "UNC"
    UNF = "UNF"
    UNEF = "UNEF"
    UN = "UN"
    UNS = "UNS"
    BSW = "BSW"
    BSF = "BSF"
    BA = "BA"
    CEI = "CEI"
    METRIC_COARSE = "metric coarse"
    METRIC_FINE = "metric fine"
    G = "G"
    R = "R"
    NPT = "NPT"


@dataclass(frozen=True, slots=True)
class Thread:
    """One standard thread; all dimensions are basic ones, without tolerance.

    Parameters
    ----------
    designation : str
        The one form used everywhere: `5/16-24 UNF`, `M10x1.25`, `2BA`, `G1/4`.
    series : ThreadSeries
        The series it belongs to.
    size : str
        The size: `5/16`, `No. 10`, `M10`; the B.A. number; the nominal pipe size.
    major_mm, pitch_mm, pitch_diameter_mm : float
        Major diameter, pitch and pitch (effective) diameter [mm]. NPT: outside diameter of the pipe, and
        pitch diameter at the hand-tight plane; R: at the gauge plane.
    minor_internal_mm : float
        Minor diameter of the internal thread [mm].
    minor_external_mm : float or None
        Minor diameter of the external thread [mm]; none where the table has none.
    tpi : float or None
        Threads per inch; none for metric and B.A.
    form : ThreadForm
        The profile.
    taper, pipe : bool
        Whether it tapers; whether it is a pipe thread, whose size is not its diameter.
    status, source : str
        How sure the row is, and where it was read.
    rare : bool
        Whether it is meant only where it is named, or where nothing else has the size and pitch.
    caution : str
        What to measure before believing it; mostly empty.
    """

    designation: str
    series: ThreadSeries
    size: str
    major_mm: float
    pitch_mm: float
    pitch_diameter_mm: float
    minor_internal_mm: float
    minor_external_mm: float | None
    tpi: float | None
    form: ThreadForm
    taper: bool
    pipe: bool
    status: str
    source: str
    rare: bool = False
    caution: str = ""


_Row = Mapping[str, str]


def _mm(row: _Row, column: str) -> float:
    return float(row[column]) * MM_PER_INCH


def _inch_thread(
    row: _Row, series: str, *, major: str, pitch: str, inner: str, outer: str, form: ThreadForm
) -> Thread:
    """Make a parallel inch thread of a row, from the columns named."""
    tpi = float(row["tpi"])
    return Thread(
        designation=f"{row['size']}-{tpi:g} {series}",
        series=ThreadSeries(series),
        size=row["size"],
        major_mm=_mm(row, major),
        pitch_mm=MM_PER_INCH / tpi,
        pitch_diameter_mm=_mm(row, pitch),
        minor_internal_mm=_mm(row, inner),
        minor_external_mm=_mm(row, outer),
        tpi=tpi,
        form=form,
        taper=False,
        pipe=False,
        status=row["status"],
        source=row["source"],
    )


# The largest numbered size, 12, has 0.216 in; whole numbers above are inches.
_LARGEST_NUMBERED_IN = 0.22
# Instrument makers alone used the smaller numbers (common practice, no source).
_LAST_USUAL_BA = 16


def _unified(row: _Row) -> Thread:
    made = _inch_thread(
        row,
        row["series"],
        major="d_major_in",
        pitch="d2_pitch_in",
        inner="D1_int_minor_in",
        outer="d3_ext_minor_ref_UNR_in",
        form=ThreadForm.UNIFIED60,
    )
    if float(row["d_major_in"]) < _LARGEST_NUMBERED_IN:
        return replace(made, size=f"No. {row['size']}")
    return made


def _special(row: _Row) -> Thread:
    return replace(_unified(row), rare=True)


def _whitworth(row: _Row) -> Thread:
    return _inch_thread(
        row,
        row["series"],
        major="d_in",
        pitch="d2_formula",
        inner="d1_formula",
        outer="d1_formula",
        form=ThreadForm.WHITWORTH55,
    )


def _cycle(row: _Row) -> Thread:
    return _inch_thread(
        row, "CEI", major="d_in", pitch="d2_in", inner="d1_in", outer="d1_in", form=ThreadForm.CEI60
    )


def _cycle_20_tpi(row: _Row) -> Thread:
    return replace(
        _cycle(row),
        form=ThreadForm.WHITWORTH55,
        rare=True,
        caution="Its flank angle is given as 55° by one source and 60° by another: gauge it.",
    )


def _ba(row: _Row) -> Thread:
    return Thread(
        designation=f"{row['no']}BA",
        series=ThreadSeries.BA,
        size=row["no"],
        major_mm=float(row["d_mm"]),
        pitch_mm=float(row["P_mm"]),
        pitch_diameter_mm=float(row["d2_mm"]),
        minor_internal_mm=float(row["d1_mm"]),
        minor_external_mm=float(row["d1_mm"]),
        tpi=None,
        form=ThreadForm.BA47_5,
        taper=False,
        pipe=False,
        status=row["status"],
        source=row["source"],
        rare=int(row["no"]) > _LAST_USUAL_BA,
    )


def _metric(row: _Row) -> Thread:
    return Thread(
        designation=row["designation"],
        series=ThreadSeries(f"metric {row['series']}"),
        size=f"M{float(row['d_mm']):g}",
        major_mm=float(row["d_mm"]),
        pitch_mm=float(row["P_mm"]),
        pitch_diameter_mm=float(row["d2_basic"]),
        minor_internal_mm=float(row["d1_basic"]),
        minor_external_mm=float(row["d3_ref_mm"]),
        tpi=None,
        form=ThreadForm.METRIC60,
        taper=False,
        pipe=False,
        status=row["status"],
        source=row["source"],
    )


def _bsp(row: _Row) -> Thread:
    series = ThreadSeries(row["designation"][0])
    tpi = float(row["tpi"])
    return Thread(
        designation=row["designation"],
        series=series,
        size=row["designation"][1:],
        major_mm=float(row["d_mm"]),
        pitch_mm=MM_PER_INCH / tpi,
        pitch_diameter_mm=float(row["d2_mm"]),
        minor_internal_mm=float(row["d1_mm"]),
        minor_external_mm=float(row["d1_mm"]),
        tpi=tpi,
        form=ThreadForm.WHITWORTH55,
        taper=series is ThreadSeries.R,
        pipe=True,
        status=row["status"],
        source=row["source"],
    )


def _npt(row: _Row) -> Thread:
    tpi = float(row["tpi"])
    return Thread(
        designation=f"{row['nps']}-{tpi:g} NPT",
        series=ThreadSeries.NPT,
        size=row["nps"],
        major_mm=_mm(row, "OD_in"),
        pitch_mm=MM_PER_INCH / tpi,
        pitch_diameter_mm=_mm(row, "E1_in"),
        minor_internal_mm=_mm(row, "E1_in") - _mm(row, "h_in"),
        minor_external_mm=None,
        tpi=tpi,
        form=ThreadForm.NPT60,
        taper=True,
        pipe=True,
        status=row["status"],
        source=row["source"],
    )


_TABLES: tuple[tuple[str, Callable[[_Row], Thread]], ...] = (
    ("asme_b1_1_2019", _unified),
    ("asme_b1_1_2019_special", _special),
    ("bs_84_2007", _whitworth),
    ("bs_93_1951", _ba),
    ("bs_811_1950", _cycle),
    ("bs_811_1950_20_tpi", _cycle_20_tpi),
    ("iso_724_1993", _metric),
    ("iso_228_1_2000", _bsp),
    ("iso_7_1_1994", _bsp),
    ("asme_b1_20_1_2013", _npt),
)


def _read() -> Iterator[Thread]:
    for folder, make in _TABLES:
        for row in rows(folder):
            yield make(row)


@cache
def all_threads() -> tuple[Thread, ...]:
    """Give every standard thread of the tables, series by series, small to large.

    Returns
    -------
    tuple of Thread
        Read on the first call, kept afterwards.
    """
    return tuple(_read())


@cache
def _by_designation() -> Mapping[str, Thread]:
    return {thread.designation: thread for thread in all_threads()}


def thread(designation: str) -> Thread:
    """Look a thread up by its designation.

    Parameters
    ----------
    designation : str
        In the one form: `5/16-24 UNF`, `M8x1.25`, `2BA`, `G1/4`.

    Returns
    -------
    Thread
        Its basic dimensions.

    Raises
    ------
    InvalidInput
        The tables have no such thread; names near it are given.
    """
    found = _by_designation().get(designation)
    if found is None:
        from difflib import get_close_matches

        usual = [name for name, one in _by_designation().items() if not one.rare]
        near = get_close_matches(designation, usual, n=3, cutoff=0.5)
        raise InvalidInput(
            "thread",
            needs="a designation of the tables",
            came=designation,
            remedy=f"Near it: {', '.join(near)}."
            if near
            else "Write it as in 5/16-24 UNF, M8x1.25, 2BA or G1/4.",
        )
    return found
