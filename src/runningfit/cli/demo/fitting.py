"""What of the demo's engine fits what, and how its bores and journals can be machined."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any

from runningfit.cli.demo.story import DATA, money
from runningfit.workshop.joints.fit_typed import TypedSpan, celsius, plain_number, typed_span
from runningfit.workshop.joints.fits import SaidOfFit, add_fit
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.queries import sets_of_job
from runningfit.workshop.measurements.typed import TypedNumber, typed_number
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand
from runningfit.workshop.treatments.machining import say_machining
from runningfit.workshop.treatments.machining_said import SaidOfMachining

_AMOUNTS = ("price_each", "price_visit", "price_reading", "price_last_resort")


@dataclass(frozen=True, slots=True)
class KnownFit:
    """Features that fit each other, by the names of their sets; what is empty nobody knows."""

    kind: str
    name: str
    hole: str
    shaft: str
    new: tuple[str, str]
    source: str
    worn: str = ""
    hole_hot: str = ""
    shaft_hot: str = ""
    shell: str = ""
    shell_spread: str = ""
    length: str = ""
    outer: str = ""
    inner_bore: str = ""
    friction: str = ""

    def said(self, sets: dict[str, FeatureSet]) -> SaidOfFit:
        """Return it as the verb takes it."""
        return SaidOfFit(
            kind=self.kind,
            name=self.name,
            hole_set=sets[self.hole],
            shaft_set=sets[self.shaft],
            new_lower=_mm("new lower", self.new[0]),
            new_upper=_mm("new upper", self.new[1]),
            wear_upper=_mm("worn", self.worn),
            basis="manual",
            source=self.source,
            hole_hot=_hot("hole hot", self.hole_hot),
            shaft_hot=_hot("shaft hot", self.shaft_hot),
            shell=_mm("shell", self.shell),
            shell_spread=_mm("shell spread", self.shell_spread),
            length=_mm("length", self.length),
            outer=_mm("outer", self.outer),
            inner_bore=_mm("inner bore", self.inner_bore),
            friction=typed_span("friction", self.friction, plain_number),
        )


@dataclass(frozen=True, slots=True)
class Known:
    """The fits, and how sets can be machined, by the names of the sets."""

    fits: tuple[KnownFit, ...]
    machining: tuple[tuple[str, SaidOfMachining], ...]


@cache
def what_is_known() -> Known:
    """Return the fits and the ways of machining, read from the data file."""
    told: dict[str, Any] = tomllib.loads((DATA / "fits.toml").read_text(encoding="utf-8"))
    return Known(
        fits=tuple(KnownFit(new=tuple(row.pop("new")), **row) for row in told["fit"]),
        machining=tuple((row.pop("set"), _machining(row)) for row in told["machining"]),
    )


def say_fits(job: Job, hand: Hand) -> None:
    """Say which sets fit each other, and with what clearance."""
    sets = {one.name: one for one in sets_of_job(job)}
    for known in what_is_known().fits:
        add_fit(job=job, said=known.said(sets), hand=hand)


def say_ways_of_machining(job: Job, hand: Hand) -> None:
    """Say to which steps bores and journals can be machined, and what that costs."""
    sets = {one.name: one for one in sets_of_job(job)}
    for name, said in what_is_known().machining:
        say_machining(feature_set=sets[name], said=said, hand=hand)


def _machining(row: dict[str, Any]) -> SaidOfMachining:
    amounts: dict[str, Any] = {name: money(row.pop(name, None)) for name in _AMOUNTS}
    return SaidOfMachining(unit="mm", **row, **amounts)


def _mm(name: str, text: str) -> TypedNumber | None:
    return typed_number(name, text, unit="mm")


def _hot(name: str, text: str) -> TypedSpan | None:
    return typed_span(name, text, celsius)
