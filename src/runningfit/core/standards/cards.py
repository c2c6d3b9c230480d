"""The card of a thread: all that the standards say of it, with where each figure comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from runningfit.core.standards.limits import (
    ExternalLimits,
    InternalLimits,
    external_classes,
    external_limits,
    internal_classes,
    internal_limits,
)
from runningfit.core.standards.limits.taper import why_no_limits
from runningfit.core.standards.spanners import Hexagon, hexagons
from runningfit.core.standards.strength_figures import (
    WHY_NO_AREA,
    Figure,
    heights,
    helix_angle,
    printed_stress_area,
    stress_area,
)
from runningfit.core.standards.tables import rows
from runningfit.core.standards.tapping import USUAL_ENGAGEMENT, TappingDrills, tapping_drills
from runningfit.core.standards.threads import Thread, ThreadForm, ThreadSeries
from runningfit.core.units import MM_PER_INCH

_ANGLES: Mapping[ThreadForm, tuple[float, str]] = {
    ThreadForm.UNIFIED60: (60.0, "ASME B1.1"),
    ThreadForm.WHITWORTH55: (55.0, "BS 84, ISO 228-1 and ISO 7-1"),
    ThreadForm.BA47_5: (47.5, "BS 93"),
    ThreadForm.CEI60: (60.0, "BS 811"),
    ThreadForm.METRIC60: (60.0, "ISO 68-1"),
    ThreadForm.NPT60: (60.0, "ASME B1.20.1"),
}
_UNIFIED = frozenset(
    {ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN, ThreadSeries.UNS}
)
_PLATED = (
    "The limits are those before plating; plated, a bolt of class 1A or 2A may reach the basic size, so the "
    "GO gauge of class 3A is used (ASME B1.1, from memory)."
)
_PLATED_METRIC = (
    "The limits are those before plating; plated, no surface may pass the basic size, position h or H "
    "(ISO 965-1, from memory)."
)
_CYCLE_HEADS = (
    "Cycle-thread bolts mostly took the spanners of B.S.F. and Whitworth ones: measure the hexagon."
)


@dataclass(frozen=True, slots=True)
class ThreadCard:
    """All that the standards say of one thread.

    Parameters
    ----------
    thread : Thread
        The thread.
    basics : tuple of Figure
        Diameters, pitch, angle, heights, helix.
    stress_area, stress_area_printed : Figure or None
        By formula, and as a table prints it.
    external, internal : tuple
        The limits of each class, the usual one first.
    tapping : TappingDrills or None
        The hole to drill.
    hexagons : tuple of Hexagon
        Heads and nuts, new and old, with their spanners.
    gauge_lengths : tuple of Figure
        Of a taper thread: how far it screws in.
    missing : Mapping of str to str
        What the card does not have, and why, by the name of the part.
    cautions : tuple of str
        What to mind.
    """

    thread: Thread
    basics: tuple[Figure, ...]
    stress_area: Figure | None
    stress_area_printed: Figure | None
    external: tuple[ExternalLimits, ...]
    internal: tuple[InternalLimits, ...]
    tapping: TappingDrills | None
    hexagons: tuple[Hexagon, ...]
    gauge_lengths: tuple[Figure, ...]
    missing: Mapping[str, str]
    cautions: tuple[str, ...]


def _basics(thread: Thread) -> tuple[Figure, ...]:
    angle, standard = _ANGLES[thread.form]

    def basic(name: str, value: float, unit: str = "mm") -> Figure:
        return Figure(name, value, unit, thread.status, thread.source)

    # NPT has the pipe's own outside diameter, and the thread at the hand-tight plane.
    npt = thread.series is ThreadSeries.NPT
    figures = [
        basic("outside diameter of the pipe" if npt else "major diameter", thread.major_mm),
        basic("pitch", thread.pitch_mm),
        *([basic("threads per inch", thread.tpi, "")] if thread.tpi is not None else []),
        basic(
            "pitch diameter at the hand-tight plane" if npt else "pitch diameter", thread.pitch_diameter_mm
        ),
        basic("minor diameter, internal", thread.minor_internal_mm),
    ]
    outer = thread.minor_external_mm
    if outer is not None and outer != thread.minor_internal_mm:
        figures.append(basic("minor diameter, external, rounded root", outer))
    # Of cycle threads of 20 tpi one source says 55 degrees and another 60, so that none verifies the angle.
    open_angle = thread.series is ThreadSeries.CEI and thread.form is not ThreadForm.CEI60
    return (
        *figures,
        Figure(
            "included angle",
            angle,
            "°",
            *(("SECONDARY", thread.source) if open_angle else ("VERIFIED", standard)),
        ),
        *heights(thread),
        helix_angle(thread),
    )


def _figure_of(row: Mapping[str, str], column: str, name: str, factor: float) -> Figure:
    return Figure(name, float(row[column]) * factor, "mm", row["status"], row["source"])


def gauge_lengths(thread: Thread) -> tuple[Figure, ...]:
    """How far a taper thread screws in, which is limited in place of its diameters.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    tuple of Figure
        The lengths [mm]; none for a parallel thread.
    """
    if thread.series is ThreadSeries.R:
        row = next(row for row in rows("iso_7_1_1994") if row["designation"] == thread.designation)
        return (
            _figure_of(row, "gauge_length_mm", "gauge length", 1.0),
            _figure_of(row, "gauge_tolerance_mm", "tolerance of the gauge length, either way", 1.0),
            _figure_of(row, "useful_length_mm", "useful thread at the basic gauge length", 1.0),
        )
    if thread.series is ThreadSeries.NPT:
        row = next(row for row in rows("asme_b1_20_1_2013") if row["nps"] == thread.size)
        return (
            _figure_of(row, "L1_in", "hand-tight engagement (L1)", MM_PER_INCH),
            _figure_of(row, "L2_in", "effective thread (L2)", MM_PER_INCH),
            Figure(
                "tolerance at the gauge notch, either way: one turn",
                thread.pitch_mm,
                "mm",
                "MEMORY",
                "ASME B1.20.1, from memory",
            ),
        )
    return ()


def _missing(thread: Thread, card_hexagons: tuple[Hexagon, ...]) -> Mapping[str, str]:
    missing: dict[str, str] = {}
    if thread.taper:
        missing["external"] = missing["internal"] = why_no_limits(thread)
        missing["tapping"] = "the hole of a taper thread depends on whether it is reamed: ask the tap's maker"
    if thread.pipe:
        missing["stress_area"] = WHY_NO_AREA
        missing["hexagons"] = "unions and plugs have hexagons of their own makers' choice"
    elif not card_hexagons:
        missing["hexagons"] = "no table read here gives a hexagon for this size: measure it"
    return MappingProxyType(missing)


def _cautions(thread: Thread) -> tuple[str, ...]:
    cautions = [thread.caution] if thread.caution else []
    if thread.series in _UNIFIED:
        cautions.append(_PLATED)
    elif thread.form is ThreadForm.METRIC60:
        cautions.append(_PLATED_METRIC)
    if thread.series is ThreadSeries.CEI:
        cautions.append(_CYCLE_HEADS)
    return tuple(cautions)


def thread_card(thread: Thread, engagement: float = USUAL_ENGAGEMENT) -> ThreadCard:
    """Gather all that the standards say of a thread.

    Parameters
    ----------
    thread : Thread
        Any standard thread.
    engagement : float
        The part of the full height of thread that the tapping drill is to leave, 0.4 to 1.

    Returns
    -------
    ThreadCard
        Every figure with its source; what cannot be given is named with the reason.

    Raises
    ------
    InvalidInput
        The engagement is less than 0.4 or more than 1.
    """
    found = hexagons(thread)
    return ThreadCard(
        thread=thread,
        basics=_basics(thread),
        stress_area=stress_area(thread),
        stress_area_printed=printed_stress_area(thread),
        external=tuple(external_limits(thread, one) for one in external_classes(thread)),
        internal=tuple(internal_limits(thread, one) for one in internal_classes(thread)),
        tapping=None if thread.taper else tapping_drills(thread, engagement),
        hexagons=found,
        gauge_lengths=gauge_lengths(thread),
        missing=_missing(thread, found),
        cautions=_cautions(thread),
    )
