"""A gauge as it stands on a day: what to take off its readings, and what each source of doubt adds to one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt

from django.db.models import QuerySet
from django.utils import timezone

from runningfit.core.measurements.uncertainty.inputs import Shape, half_width_u
from runningfit.core.measurements.uncertainty.instrument import Instrument as Gauge
from runningfit.core.measurements.uncertainty.instrument import (
    OfReading,
    of_reading,
    scatter_beside_steps,
)
from runningfit.core.measurements.uncertainty.shared import SharedPart
from runningfit.core.verdicts import Caution
from runningfit.workshop.measurements.models import Calibration, Instrument
from runningfit.workshop.measurements.warmth import Metal
from runningfit.workshop.records.prepared import prepared

# What a gauge that nobody described may err by in all its readings, either way: common practice, no source.
UNKNOWN_SHARED_MM = 0.02
_DAYS_A_MONTH = 30.4375
_ONE_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One source of doubt about a reading.

    Parameters
    ----------
    name : str
        step, scatter, certificate, ring, setting or drift.
    u : float
        What it adds, as a standard uncertainty, in the unit of the quantity.
    key : str
        Which error it is, where all readings share it; empty where each reading has its own.
    """

    name: str
    u: float
    key: str = ""


@dataclass(frozen=True, slots=True)
class GaugeNow:
    """A gauge as it stands on a day.

    Parameters
    ----------
    error : float
        What it reads too much, to be taken off each reading, in the unit of its quantity.
    of_reading : OfReading
        The uncertainty of the mean of so many readings: its own part, and all that is shared together.
    cautions : tuple of Caution
        Such as a calibration that has run out; each names the gauge.
    shared : tuple of SharedPart
        What is shared, error by error, those of the gauge that it is set in among them.
    lines : tuple of BudgetLine
        Every source of doubt, in the order of reading a budget.
    """

    error: float
    of_reading: OfReading
    cautions: tuple[Caution, ...]
    shared: tuple[SharedPart, ...] = ()
    lines: tuple[BudgetLine, ...] = ()

    @property
    def dominant(self) -> BudgetLine | None:
        """The source that adds most; none where nothing is known of any."""
        return max(self.lines, key=lambda line: line.u, default=None)


def gauge_on(
    instrument: Instrument | None,
    checks: Sequence[Calibration],
    day: dt.date,
    *,
    count: int = 1,
    step: float | None = None,
    master: GaugeNow | None = None,
) -> GaugeNow:
    """Return what a gauge adds to a reading taken on a day.

    Parameters
    ----------
    instrument : Instrument or None
        None where nobody said which: its step is then the last place that was typed.
    checks : sequence of Calibration
        Its checks, latest first; those after the day do not count.
    day : date
        When it was read.
    count : int
        How many readings of the same point were averaged.
    step : float or None
        The last place that was typed.
    master : GaugeNow or None
        The gauge that it is set in, as it stood that day; looked up where left out. What that one reads too
        much, this one does too; a check on a ring says nothing of it, since it was set anew.
    """
    if instrument is None:
        return _nobody_said(step, count)
    if master is None and instrument.set_with_id is not None:
        master = Cupboard.of_the_shop().on(instrument.set_with_id, day)
    known = [one for one in checks if one.on <= day and (master is None or one.way == "certificate")]
    last = known[0] if known else None
    months = round((day - last.on).days / _DAYS_A_MONTH, 1) if last else 0.0
    setting = hypot(master.of_reading.own_u_mm, master.of_reading.shared_u_mm) if master else 0.0
    gauge = Gauge(
        resolution_mm=instrument.resolution,
        repeat_mm=instrument.repeat_u or 0.0,
        repeat_dof=instrument.repeat_dof or 9.0,
        certificate_mm=(last.expanded_u or 0.0) if last else 0.0,
        certificate_k=last.coverage_k if last else 2.0,
        ring_mm=setting if master else instrument.ring_u or 0.0,
        drift_mm=instrument.drift or 0.0,
        term_months=float(instrument.term_months),
        since_months=months,
        scatter_tried=instrument.repeat_dof is not None,
    )
    of = of_reading(gauge, count)
    cautions = [Caution(f"{instrument.name}: {_small(one.text)}") for one in of.cautions]
    if last is None:
        said = (
            "what it errs by on its travel is not counted."
            if master
            else "set it on a ring or a block, and keep what it reads."
        )
        cautions.append(Caution(f"{instrument.name} was never checked: {said}"))
    lines = _lines(instrument, gauge, last, count, master)
    shared = tuple(SharedPart(line.key, line.u) for line in lines if line.key and line.name != "setting")
    error = last.error if last else 0.0
    if master is None:
        return GaugeNow(error, of, tuple(cautions), shared, lines)
    once = SharedPart(f"setting of gauge {instrument.pk}", master.of_reading.own_u_mm)
    return GaugeNow(
        error + master.error,
        of,
        (*cautions, *master.cautions),
        (*shared, once, *master.shared),
        lines,
    )


class Cupboard:
    """All gauges of the shop with their checks, read once, and what each adds to a reading."""

    def __init__(
        self, instruments: Mapping[int, Instrument], checks: Mapping[int, Sequence[Calibration]]
    ) -> None:
        self.instruments = instruments
        self.checks = checks
        self._known: dict[tuple[int | None, dt.date, int, float | None], GaugeNow] = {}

    @classmethod
    def of_the_shop(cls) -> Cupboard:
        """Read the cupboard, with two questions to the database; gauges out of use stand in it too."""
        instruments = {one.pk: one for one in _instruments()}
        checks: dict[int, list[Calibration]] = {pk: [] for pk in instruments}
        for row in _checks():
            checks[row.instrument_id].append(row)
        return cls(instruments, checks)

    def on(
        self, instrument: int | None, day: dt.date, *, count: int = 1, step: float | None = None
    ) -> GaugeNow:
        """Return what a gauge adds to the mean of so many readings of a day; none is a gauge nobody named."""
        key = (instrument, day, count, step if instrument is None else None)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._made(instrument, day, count, step)
        return found

    def set_from(self, instrument: int | None) -> Metal:
        """Return the metal of what a comparing gauge is set with: its ring, or the other gauge."""
        one = self.instruments.get(instrument or 0)
        if one is None:
            return metal_of(None)
        if one.set_with_id is not None:
            return metal_of(self.instruments[one.set_with_id])
        return Metal(f"ring of gauge {one.pk}", one.ring_expansion_per_k, one.ring_expansion_per_k)

    def _made(self, instrument: int | None, day: dt.date, count: int, step: float | None) -> GaugeNow:
        if instrument is None:
            return gauge_on(None, (), day, count=count, step=step)
        row = self.instruments[instrument]
        master = self.on(row.set_with_id, day) if row.set_with_id is not None else None
        return gauge_on(row, self.checks[instrument], day, count=count, master=master)


@prepared
def _instruments() -> QuerySet[Instrument]:
    return Instrument.objects.all()


@prepared
def _checks() -> QuerySet[Calibration]:
    return Calibration.objects.filter(withdrawn=False).order_by("-on", "-id")


def metal_of(instrument: Instrument | None) -> Metal:
    """Return how a gauge expands; one that nobody named as steel does."""
    if instrument is None:
        return Metal("unknown gauge", 11.5e-6, 11.5e-6)
    return Metal(f"gauge {instrument.pk}", instrument.expansion_per_k, instrument.expansion_per_k)


def due_on(instrument: Instrument, checks: Sequence[Calibration]) -> dt.date | None:
    """Return the day on which the next check of a gauge is due; none where it was never checked."""
    if not checks:
        return None
    months = checks[0].on.month - 1 + instrument.term_months
    year, month = checks[0].on.year + months // 12, months % 12 + 1
    first_of_next = dt.date(year + month // 12, month % 12 + 1, 1)
    return min(dt.date(year, month, 1) + dt.timedelta(days=checks[0].on.day - 1), first_of_next - _ONE_DAY)


def is_overdue(instrument: Instrument, checks: Sequence[Calibration], today: dt.date | None = None) -> bool:
    """Return whether a gauge is past its calibration, or was never checked."""
    due = due_on(instrument, checks)
    return due is None or due < (today or timezone.localdate())


def _nobody_said(step: float | None, count: int) -> GaugeNow:
    gauge = Gauge(resolution_mm=step or 0.01, certificate_mm=UNKNOWN_SHARED_MM)
    of = of_reading(gauge, count)
    said = Caution(
        f"Nobody said with which gauge: ±{UNKNOWN_SHARED_MM:g} is assumed for what all its readings "
        "share (common practice, no source)."
    )
    key = "unknown gauge"
    lines = (BudgetLine("step", of.own_u_mm), BudgetLine("certificate", of.shared_u_mm, key))
    return GaugeNow(0.0, of, (said,), (SharedPart(key, of.shared_u_mm),), lines)


def _lines(
    instrument: Instrument, gauge: Gauge, last: Calibration | None, count: int, master: GaugeNow | None
) -> tuple[BudgetLine, ...]:
    terms = max(1.0, gauge.since_months / gauge.term_months)
    check = f"check {last.pk} of gauge {instrument.pk}" if last else f"gauge {instrument.pk} unchecked"
    if master:
        held = BudgetLine("setting", gauge.ring_mm, f"setting of gauge {instrument.pk}")
    else:
        held = BudgetLine("ring", gauge.ring_mm, f"ring of gauge {instrument.pk}")
    return (
        BudgetLine("step", half_width_u(gauge.resolution_mm / 2, Shape.RECTANGULAR)),
        BudgetLine("scatter", scatter_beside_steps(gauge.repeat_mm, gauge.resolution_mm) / sqrt(count)),
        BudgetLine("certificate", gauge.certificate_mm / gauge.certificate_k, check),
        held,
        BudgetLine("drift", half_width_u(gauge.drift_mm * terms, Shape.RECTANGULAR), f"drift since {check}"),
    )


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
