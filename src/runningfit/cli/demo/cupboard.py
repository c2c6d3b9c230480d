"""The demo's gauges and their checks, as its data file tells them."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass

from runningfit.cli.demo.outside import days_ago
from runningfit.cli.demo.story import DATA
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.measurements.gauges import (
    SaidOfCalibration,
    SaidOfGauge,
    SaidOfRing,
    add_instrument,
    calibrate,
    check_on_ring,
)
from runningfit.workshop.measurements.models import Instrument
from runningfit.workshop.measurements.typed import TypedNumber, typed_number
from runningfit.workshop.records.writing import Hand

_KINDS = {"ml": FeatureKind.VOLUME, "g": FeatureKind.WEIGHT, "lbf": FeatureKind.LOAD}


@dataclass(frozen=True, slots=True)
class RingCheck:
    """What a gauge read on its ring, and when; the gauge and the ring were as warm as each other."""

    days_ago: int
    read: str
    count: int
    gauge_c: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class Certificate:
    """What a calibration shop found, and when."""

    days_ago: int
    error: str
    u: str
    number: str


@dataclass(frozen=True, slots=True)
class SaidGauge:
    """A gauge of the shop with its checks; figures in its own unit, empty where nobody knows."""

    name: str
    kind: str
    unit: str
    step: str
    scatter: str
    degrees_of_freedom: float
    mark: str = ""
    span_least: str = ""
    span_most: str = ""
    ring: str = ""
    ring_u: str = ""
    set_in: str = ""
    drift: str = ""
    term: int = 12
    note: str = ""
    ring_check: tuple[RingCheck, ...] = ()
    certificate: tuple[Certificate, ...] = ()

    def figure(self, name: str, text: str) -> TypedNumber | None:
        """Read one of its figures; none where it is empty."""
        kind = _KINDS.get(self.unit, FeatureKind.GAP)
        return typed_number(name, text, unit=self.unit, kind=kind)

    def needed(self, name: str, text: str) -> TypedNumber:
        """Read one of its figures that stands there."""
        found = self.figure(name, text)
        if found is None:
            raise ValueError(f"the demo's gauge '{self.name}' has no {name}")
        return found


def fill_cupboard(hand: Hand) -> dict[str, Instrument]:
    """Put the gauges into the cupboard with their checks, and return them by name."""
    made: dict[str, Instrument] = {}
    for said in the_gauges():
        gauge = add_instrument(
            said=SaidOfGauge(
                name=said.name,
                kind=said.kind,
                unit=said.unit,
                resolution=said.needed("step", said.step),
                mark=said.mark,
                span_least=said.figure("span_least", said.span_least),
                span_most=said.figure("span_most", said.span_most),
                repeat_u=said.figure("scatter", said.scatter),
                repeat_dof=said.degrees_of_freedom,
                ring_size=said.figure("ring", said.ring),
                ring_u=said.figure("ring_u", said.ring_u),
                set_with=made[said.set_in] if said.set_in else None,
                drift=said.figure("drift", said.drift),
                term_months=said.term,
                note=said.note,
            ),
            hand=hand,
        )
        _check(gauge, said, hand)
        made[said.name] = gauge
    return made


def the_gauges() -> tuple[SaidGauge, ...]:
    """Return the gauges, read from the data file."""
    told = tomllib.loads((DATA / "gauges.toml").read_text(encoding="utf-8"))
    return tuple(
        SaidGauge(
            ring_check=tuple(RingCheck(**one) for one in row.pop("ring_check", ())),
            certificate=tuple(Certificate(**one) for one in row.pop("certificate", ())),
            **row,
        )
        for row in told["gauge"]
    )


def _check(gauge: Instrument, said: SaidGauge, hand: Hand) -> None:
    for one in said.ring_check:
        on_ring = SaidOfRing(
            on=days_ago(one.days_ago),
            read=said.needed("read", one.read),
            ring_size=said.needed("ring", said.ring),
            count=one.count,
            temperature_c=one.gauge_c,
            note=one.note,
        )
        check_on_ring(instrument=gauge, said=on_ring, hand=hand)
    for found in said.certificate:
        by_shop = SaidOfCalibration(
            on=days_ago(found.days_ago),
            way="certificate",
            error=said.needed("error", found.error),
            expanded_u=said.figure("u", found.u),
            certificate=found.number,
        )
        calibrate(instrument=gauge, said=by_shop, hand=hand)
