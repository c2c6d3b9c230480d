"""Figures of a thread that follow from its geometry: tensile stress area, helix angle, heights."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import atan, degrees, pi

from runningfit.core.standards.tables import rows
from runningfit.core.standards.threads import Thread, ThreadForm
from runningfit.core.units import MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a thread, with where it comes from.

    Parameters
    ----------
    name : str
        What it is, in words.
    value : float
        Its value.
    unit : str
        Its unit; empty for a bare number.
    status, source : str
        How sure it is, and the formula, standard or table behind it.
    """

    name: str
    value: float
    unit: str
    status: str
    source: str


WHY_NO_AREA = "a pipe thread is cut on a hollow piece: no stress area is defined for it"
# Taken off the major diameter, in pitches, to get the diameter of the stress area.
_UNIFIED_OFF = 0.9743
_METRIC_OFF = 0.938194


def stress_area(thread: Thread) -> Figure | None:
    """Tensile stress area of the external thread by formula.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    Figure or None
        The area [mm²]; none for a pipe thread, which is cut on a hollow piece.

    Notes
    -----
    Unified: π/4 (d - 0.9743 P)² (ASME B1.1). Metric: π/4 (d - 0.938194 P)² (ISO 898-1). Whitworth form, B.A.
    and cycle: π/4 of the mean of effective and minor diameter, squared (common practice, no source).
    """
    if thread.pipe:
        return None
    if thread.form is ThreadForm.UNIFIED60:
        across = thread.major_mm - _UNIFIED_OFF * thread.pitch_mm
        status, source = "RECOMPUTED; formula VERIFIED", "ASME B1.1: π/4 (d - 0.9743 P)²"
    elif thread.form is ThreadForm.METRIC60:
        across = thread.major_mm - _METRIC_OFF * thread.pitch_mm
        status, source = "RECOMPUTED; formula VERIFIED", "ISO 898-1: π/4 (d - 0.938194 P)²"
    else:
        core = thread.minor_internal_mm if thread.minor_external_mm is None else thread.minor_external_mm
        across = (thread.pitch_diameter_mm + core) / 2
        status = "RECOMPUTED"
        source = "π/4 of the mean of effective and minor diameter, squared; common practice, no source"
    return Figure("stress area", pi / 4 * across**2, "mm²", status, source)


@cache
def _printed_unified() -> dict[tuple[str, str, str], tuple[float, str]]:
    table = rows("asme_b1_1_2019")
    return {
        (row["series"], row["size"], row["tpi"]): (float(row["As_table_in2"]) * MM_PER_INCH**2, row["source"])
        for row in table
        if row["As_table_in2"]
    }


def printed_stress_area(thread: Thread) -> Figure | None:
    """Tensile stress area as a printed table has it, to the table's three figures.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    Figure or None
        The area [mm²]; none where no table was read.
    """
    size = thread.size.removeprefix("No. ")
    found = _printed_unified().get((str(thread.series), size, f"{thread.tpi or 0:g}"))
    return Figure("stress area as printed", found[0], "mm²", "VERIFIED", found[1]) if found else None


def helix_angle(thread: Thread) -> Figure:
    """Helix (lead) angle at the pitch diameter.

    Parameters
    ----------
    thread : Thread
        Any standard thread; single start.

    Returns
    -------
    Figure
        The angle [°].

    Notes
    -----
    The angle whose tangent is P / (π d2).
    """
    angle = degrees(atan(thread.pitch_mm / (pi * thread.pitch_diameter_mm)))
    return Figure("helix angle", angle, "°", "RECOMPUTED", "tan of the angle = P / (π d2)")


def heights(thread: Thread) -> tuple[Figure, ...]:
    """Heights of the thread, of the bolt and of the nut, from crest to root of the basic form.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    tuple of Figure
        Half the difference of major and minor diameter [mm]; one figure where bolt and nut are alike. NPT has
        0.8 P.
    """
    if thread.form is ThreadForm.NPT60:
        source = "ASME B1.20.1: 0.8 P"
        return (
            Figure("height of thread", 0.8 * thread.pitch_mm, "mm", "RECOMPUTED; formula VERIFIED", source),
        )
    inner = (thread.major_mm - thread.minor_internal_mm) / 2
    source = "half of major less minor diameter"
    outer_minor = thread.minor_external_mm
    if outer_minor is None or outer_minor == thread.minor_internal_mm:
        return (Figure("height of thread", inner, "mm", thread.status, source),)
    outer = (thread.major_mm - outer_minor) / 2
    return (
        Figure("height of the bolt's thread", outer, "mm", thread.status, source),
        Figure("height of the nut's thread", inner, "mm", thread.status, source),
    )
