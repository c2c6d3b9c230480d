"""Gauges of the shop: adding and changing them, and their checks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, isfinite, sqrt

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.measurements.uncertainty.inputs import Shape, half_width_u
from runningfit.core.measurements.uncertainty.measured import mean_of_readings
from runningfit.workshop.measurements.gauge_states import metal_of
from runningfit.workshop.measurements.models import INSTRUMENT_KINDS, UNITS, Calibration, Instrument
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.measurements.warmth import Metal, warmth
from runningfit.workshop.records.writing import Hand, write

# Scatter of fewer readings than this is hardly known (common practice, no source); ten are asked for.
_FEWEST_OF_ONE_PLACE = 5
_MOST_OF_ONE_PLACE = 200
_COLDEST_C, _WARMEST_C = -40.0, 120.0


@dataclass(frozen=True, slots=True)
class SaidOfGauge:
    """What is said of a gauge; figures in the unit of its quantity, none where nobody knows."""

    name: str
    kind: str
    unit: str
    resolution: TypedNumber
    mark: str = ""
    span_least: TypedNumber | None = None
    span_most: TypedNumber | None = None
    repeat_u: TypedNumber | None = None
    repeat_dof: float | None = None
    ring_size: TypedNumber | None = None
    ring_u: TypedNumber | None = None
    ring_expansion_per_k: float = 11.5e-6
    set_with: Instrument | None = None
    drift: TypedNumber | None = None
    term_months: int = 12
    expansion_per_k: float = 11.5e-6
    note: str = ""


@dataclass(frozen=True, slots=True)
class SaidOfCalibration:
    """What is said of one check of a gauge; the error is what it read too much."""

    on: dt.date
    way: str
    error: TypedNumber
    expanded_u: TypedNumber | None = None
    coverage_k: float = 2.0
    temperature_c: float | None = None
    certificate: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class SaidOfRing:
    """What a gauge read on its ring, how often, and how warm both were; the ring as the gauge where empty."""

    on: dt.date
    read: TypedNumber
    ring_size: TypedNumber
    count: int = 1
    temperature_c: float | None = None
    ring_temperature_c: float | None = None
    note: str = ""


def add_instrument(*, said: SaidOfGauge, hand: Hand) -> Instrument:
    """Put a gauge into the cupboard.

    Raises
    ------
    InvalidInput
        It has no name, a kind or unit that is none, a step of nothing, a span that is none, or is set in what
        cannot set it.
    """
    _check(said)
    with write(
        verb="add_instrument", summary=f"put the gauge {said.name} into the cupboard", hand=hand
    ) as entry:
        _refuse_going_round(None, said)
        return entry.create(Instrument(**_columns(said)))


def change_instrument(*, instrument: Instrument, said: SaidOfGauge, hand: Hand) -> Instrument:
    """Change what is known of a gauge; readings taken with it are judged with what is known now.

    Raises
    ------
    InvalidInput
        As for a new one; or it would be set in a gauge that is itself set in this one.
    """
    _check(said)
    with write(verb="change_instrument", summary=f"changed the gauge {instrument.name}", hand=hand) as entry:
        held = _held(instrument)
        _refuse_going_round(held, said)
        return entry.change(held, **_columns(said))


def withdraw_instrument(*, instrument: Instrument, hand: Hand) -> Instrument:
    """Put a gauge out of use; its readings stay.

    Raises
    ------
    Conflict
        Another gauge is set in it.
    """
    with write(
        verb="change_instrument", summary=f"put the gauge {instrument.name} out of use", hand=hand
    ) as entry:
        held = _held(instrument)
        other = Instrument.objects.filter(set_with=held, withdrawn=False).order_by("name").first()
        if other is not None:
            raise Conflict(f"{other.name} is set in {held.name}. Say first what that one is set with.")
        return entry.change(held, withdrawn=True)


def calibrate(*, instrument: Instrument, said: SaidOfCalibration, hand: Hand) -> Calibration:
    """Keep a check of a gauge: what it read too much, and how sure that is.

    Raises
    ------
    InvalidInput
        A way that is none, or an uncertainty or coverage factor of nothing or less.
    """
    if said.way not in ("certificate", "ring"):
        raise InvalidInput("way", needs="certificate or ring", came=said.way)
    if said.expanded_u is not None and said.expanded_u.value <= 0:
        raise InvalidInput("uncertainty", needs="more than nothing", came=said.expanded_u.typed)
    if not said.coverage_k > 0 or not isfinite(said.coverage_k):
        raise InvalidInput("coverage factor", needs="more than nothing, such as 2", came=said.coverage_k)
    _check_temperature(said.temperature_c)
    typed = {name: one.typed for name, one in (("error", said.error), ("u", said.expanded_u)) if one}
    row = Calibration(
        on=said.on,
        way=said.way,
        error=said.error.value,
        expanded_u=said.expanded_u.value if said.expanded_u else None,
        coverage_k=said.coverage_k,
        temperature_c=said.temperature_c,
        certificate=said.certificate.strip(),
        note=said.note.strip(),
        typed=typed,
    )
    return _keep_check(instrument, row, hand)


def check_on_ring(*, instrument: Instrument, said: SaidOfRing, hand: Hand) -> Calibration:
    """Keep what a gauge read on its ring or block: its error at 20 °C follows, and how sure that is.

    The ring's own uncertainty is not in it: that stands in the budget by itself, one for all checks.

    Raises
    ------
    InvalidInput
        A ring of nothing, fewer readings than one, or a temperature that no bench has.
    Conflict
        The gauge is set in another one, so that a check holds only until it is set again.
    """
    if said.ring_size.value <= 0:
        raise InvalidInput("ring size", needs="more than nothing", came=said.ring_size.typed)
    if not 1 <= said.count <= _MOST_OF_ONE_PLACE:
        raise InvalidInput("readings", needs=f"1 to {_MOST_OF_ONE_PLACE}", came=said.count)
    for one in (said.temperature_c, said.ring_temperature_c):
        _check_temperature(one)
    if instrument.set_with is not None:
        raise Conflict(
            f"{instrument.name} is set in {instrument.set_with.name}: a ring tells only how that was. "
            f"Check {instrument.set_with.name} on its ring."
        )
    error, u = _on_ring(instrument, said)
    row = Calibration(
        on=said.on,
        way="ring",
        error=error,
        expanded_u=2 * u,
        coverage_k=2.0,
        read=said.read.value,
        ring_size=said.ring_size.value,
        temperature_c=said.temperature_c,
        ring_temperature_c=said.ring_temperature_c,
        note=said.note.strip(),
        typed={"read": said.read.typed, "ring": said.ring_size.typed},
    )
    return _keep_check(instrument, row, hand)


def withdraw_check(*, check: Calibration, hand: Hand) -> Calibration:
    """Take back a check that was wrong."""
    with write(
        verb="change_calibration", summary=f"took back a check of {check.instrument.name}", hand=hand
    ) as entry:
        return entry.change(Calibration.objects.select_for_update().get(pk=check.pk), withdrawn=True)


def try_scatter(*, instrument: Instrument, readings: Sequence[TypedNumber], hand: Hand) -> Instrument:
    """Keep how far a gauge scatters, from readings of one place.

    Readings that are all equal are a scatter of nought: its step then hides it, and is counted by itself.

    Raises
    ------
    InvalidInput
        Too few readings, or more than anybody takes.
    """
    if not _FEWEST_OF_ONE_PLACE <= len(readings) <= _MOST_OF_ONE_PLACE:
        raise InvalidInput(
            "readings",
            needs=f"ten readings of one place, {_FEWEST_OF_ONE_PLACE} at least",
            came=len(readings),
            remedy="Take the gauge off and set it on again each time.",
        )
    mean = mean_of_readings([one.value for one in readings])
    scatter = mean.u * sqrt(len(readings))
    # All equal readings leave what a float rounds; that is none.
    scatter = scatter if scatter > 1e-9 * max(1.0, abs(mean.value)) else 0.0
    with write(
        verb="change_instrument", summary=f"tried how far {instrument.name} scatters", hand=hand
    ) as entry:
        held = _held(instrument)
        said = ", ".join(one.typed for one in readings)
        typed = {name: text for name, text in held.typed.items() if name != "repeat_u"}
        typed["repeats"] = said
        return entry.change(held, repeat_u=scatter, repeat_dof=mean.dof, typed=typed)


def gauges() -> list[Instrument]:
    """Return the gauges in use, by name."""
    return list(Instrument.objects.filter(withdrawn=False).select_related("set_with").order_by("name", "id"))


def gauge_by_id(instrument_id: int) -> Instrument:
    """Return a gauge, or raise NotFound saying so."""
    found = Instrument.objects.filter(pk=instrument_id).select_related("set_with").first()
    if found is None:
        raise NotFound(f"There is no gauge {instrument_id} in the cupboard.")
    return found


def calibrations_of(instruments: Sequence[Instrument]) -> dict[int, list[Calibration]]:
    """Return the checks of each gauge, latest first."""
    found: dict[int, list[Calibration]] = {one.pk: [] for one in instruments}
    for row in Calibration.objects.filter(instrument__in=instruments, withdrawn=False).order_by("-on", "-id"):
        found[row.instrument_id].append(row)
    return found


def _keep_check(instrument: Instrument, row: Calibration, hand: Hand) -> Calibration:
    with write(verb="calibrate", summary=f"checked the gauge {instrument.name}", hand=hand) as entry:
        row.instrument = _held(instrument)
        row.who = hand.who or "not said"
        return entry.create(row)


def _on_ring(instrument: Instrument, said: SaidOfRing) -> tuple[float, float]:
    """Return what it reads too much at 20 °C, and the standard uncertainty of that without the ring's own."""
    step = half_width_u(instrument.resolution / 2, Shape.RECTANGULAR)
    scatter = (instrument.repeat_u or 0.0) / sqrt(said.count)
    if instrument.unit not in ("mm", "in"):
        return said.read.value - said.ring_size.value, hypot(step, scatter)
    per_k = instrument.ring_expansion_per_k
    ring = Metal(f"ring of gauge {instrument.pk}", per_k, per_k)
    ring_c = said.ring_temperature_c if said.ring_temperature_c is not None else said.temperature_c
    gauge_c = said.temperature_c if said.temperature_c is not None else said.ring_temperature_c
    warm = warmth(ring, metal_of(instrument), ring_c, gauge_c=gauge_c, where=f"of gauge {instrument.pk}")
    error = said.read.value * warm.factor - said.ring_size.value
    return error, hypot(step, scatter, said.read.value * warm.u)


def _held(instrument: Instrument) -> Instrument:
    held = Instrument.objects.select_for_update().get(pk=instrument.pk)
    if held.withdrawn:
        raise Conflict(f"The gauge {held.name} was put out of use meanwhile.")
    return held


def _refuse_going_round(held: Instrument | None, said: SaidOfGauge) -> None:
    """Refuse a gauge that is set, through others, in itself; writers queue, so the chain stands still."""
    one, seen = said.set_with, set()
    while one is not None and one.pk not in seen:
        seen.add(one.pk)
        if held is not None and one.pk == held.pk:
            raise InvalidInput(
                "set with", needs="a gauge that is not itself set in this one", came=said.name,
                remedy="One of them has to be set on a ring or a block.",
            )  # fmt: skip
        one = Instrument.objects.filter(pk=one.set_with_id).first() if one.set_with_id else None


def _columns(said: SaidOfGauge) -> dict[str, object]:
    figures = {
        "resolution": said.resolution,
        "repeat_u": said.repeat_u,
        "ring_size": said.ring_size,
        "ring_u": said.ring_u,
        "drift": said.drift,
    }
    span = {"span_least": said.span_least, "span_most": said.span_most}
    return {
        "name": said.name.strip(),
        "kind": said.kind,
        "mark": said.mark.strip(),
        "unit": said.unit,
        "repeat_dof": said.repeat_dof,
        "ring_expansion_per_k": said.ring_expansion_per_k,
        "set_with": said.set_with,
        "term_months": said.term_months,
        "expansion_per_k": said.expansion_per_k,
        "note": said.note.strip(),
        "typed": {name: one.typed for name, one in {**figures, **span}.items() if one},
        **{f"{name}_mm": one.value if one else None for name, one in span.items()},
        **{name: one.value if one else None for name, one in figures.items()},
    }


def _check(said: SaidOfGauge) -> None:
    if not said.name.strip():
        raise InvalidInput("name", needs="what you call it, such as micrometer 75 to 100", came="")
    if said.kind not in dict(INSTRUMENT_KINDS):
        raise InvalidInput("kind", needs="one of the list", came=said.kind)
    if said.unit not in dict(UNITS):
        raise InvalidInput("unit", needs=f"one of {', '.join(dict(UNITS))}", came=said.unit)
    for name, one in (
        ("step", said.resolution),
        ("ring size", said.ring_size),
        ("ring uncertainty", said.ring_u),
        ("drift", said.drift),
    ):
        if one is not None and one.value <= 0:
            raise InvalidInput(
                name, needs="more than nothing", came=one.typed, remedy="Leave it empty where nobody knows."
            )
    # A scatter of nought with degrees of freedom was tried; without, it is only hoped.
    if said.repeat_u is not None and said.repeat_u.value < (0 if said.repeat_dof is not None else 1e-12):
        raise InvalidInput(
            "scatter", needs="more than nothing", came=said.repeat_u.typed,
            remedy="Leave it empty where nobody knows, and try it.",
        )  # fmt: skip
    if said.repeat_dof is not None and not 1 <= said.repeat_dof <= 1e6:
        raise InvalidInput(
            "degrees of freedom", needs="1 or more: one less than the readings", came=said.repeat_dof
        )
    if not 1 <= said.term_months <= 120:
        raise InvalidInput("term", needs="1 to 120 months", came=said.term_months)
    for name, per_k in (
        ("expansion", said.expansion_per_k), ("ring expansion", said.ring_expansion_per_k),
    ):  # fmt: skip
        if not 0 <= per_k <= 1e-4:
            raise InvalidInput(name, needs="0 to 1e-4 for each kelvin, such as 11.5e-6", came=per_k)
    _check_span(said)
    _check_setting(said)


def _check_span(said: SaidOfGauge) -> None:
    least, most = said.span_least, said.span_most
    if (least or most) and said.unit not in ("mm", "in"):
        raise InvalidInput("span least", needs="nothing: only gauges of lengths span sizes", came=said.unit)
    for name, one in (("span least", least), ("span most", most)):
        if one is not None and one.value < 0:
            raise InvalidInput(name, needs="a size, 0 or more", came=one.typed)
    if least and most and not least.value < most.value:
        raise InvalidInput(
            "span most", needs=f"more than the smallest, {least.typed}", came=most.typed,
            remedy="Such as 50 and 75 mm.",
        )  # fmt: skip


def _check_setting(said: SaidOfGauge) -> None:
    if said.set_with is None:
        return
    if said.set_with.withdrawn:
        raise InvalidInput("set with", needs="a gauge in use", came=said.set_with.name)
    if not {said.unit, said.set_with.unit} <= {"mm", "in"}:
        raise InvalidInput("set with", needs="a gauge of lengths, for a gauge of lengths", came=said.unit)
    if said.ring_size is not None or said.ring_u is not None:
        raise InvalidInput(
            "set with", needs="either a ring or another gauge", came="both",
            remedy="Take the ring's figures out, or leave the other gauge out.",
        )  # fmt: skip


def _check_temperature(temperature_c: float | None) -> None:
    if temperature_c is not None and not _COLDEST_C <= temperature_c <= _WARMEST_C:
        raise InvalidInput(
            "temperature", needs=f"{_COLDEST_C:g} to {_WARMEST_C:g} °C", came=f"{temperature_c:g} °C"
        )
