"""The form of a bore or journal in words, in the unit of whoever reads it."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.treatments.machining.readings import ReadForm, Readings
from runningfit.core.treatments.machining.wear_forms import Wearing
from runningfit.core.units import SaidLength, SentencePart


def form_said(readings: Readings, form: ReadForm) -> tuple[SentencePart, ...]:
    """Say the form of a bore or journal as read.

    Parameters
    ----------
    readings : BoreReadings or JournalReadings
        Its readings.
    form : ReadForm
        The form that they come to.

    Returns
    -------
    tuple of str or SaidLength
        From its ends to its worst place, as words and lengths.
    """
    u = hypot(readings.u_reading_mm, readings.u_shared_mm)
    return (
        *(SaidLength(form.min_mm.value, 4, bare=True), " to ", SaidLength(form.max_mm.value, 4)),
        *(" (each ± ", SaidLength(u, 0, form=".2g"), "), out of round by "),
        *_with_doubt(form.out_of_round_mm),
        ", taper ",
        *_with_doubt(form.taper_mm),
        *("; worn most at ", SaidLength(form.worst.depth_mm, 0, form=".5g"), f", {form.worst.angle_deg:g}°."),
    )


def where_within(readings: Readings) -> tuple[SentencePart, ...]:
    """Say between which depths the surface was judged.

    Parameters
    ----------
    readings : BoreReadings or JournalReadings
        Its readings.

    Returns
    -------
    tuple of str or SaidLength
        A sentence, as words and lengths.
    """
    depths = sorted({one.depth_mm for one in readings.points})
    first, last = (SaidLength(one, 0, form=".5g") for one in (depths[0], depths[-1]))
    where: tuple[SentencePart, ...] = ("at ", first, " only")
    if len(depths) > 1:
        where = ("from ", replace(first, bare=True), " to ", last, " down")
    end = "."
    if readings.wearing is Wearing.RINGS:
        end = ", so the first depth must be just below the ridge, where rings wear most."
    return "Within means ", *where, f": what lies beyond is not judged{end}"


def _with_doubt(one: Measured) -> tuple[SentencePart, ...]:
    return SaidLength(one.value, 4, bare=True), " ± ", SaidLength(one.u, 0, form=".2g")
