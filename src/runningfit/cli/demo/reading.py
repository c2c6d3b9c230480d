"""The demo's reading sheet: its sets, the limits of the invented manual, readings, and inspections."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import count
from typing import Any

from runningfit.cli.demo.outside import days_ago
from runningfit.cli.demo.shelf import Shelf
from runningfit.cli.demo.story import DATA
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern, Quantity
from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.measurements.inspecting import (
    SaidOfInspection,
    SaidResult,
    give_result,
    want_inspection,
)
from runningfit.workshop.measurements.limit_sheets import keep_limits, read_limit_sheet
from runningfit.workshop.measurements.models import Feature, FeatureSet, Instrument
from runningfit.workshop.measurements.queries import pattern_of, points_of_set
from runningfit.workshop.measurements.sets import SaidOfSet, add_set, begin_sheet, change_set, say_pits
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.measurements.typed import typed_number
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import subject_engine
from runningfit.workshop.records.writing import Hand

_NOT_READ = "-"


@dataclass(frozen=True, slots=True)
class Later:
    """A reading after the first ones: in the place of one, to be averaged with it, or to strike it out."""

    feature: str
    point: str
    typed: str = ""
    kind: str = "reading"
    surely: str = ""


@dataclass(frozen=True, slots=True)
class Pits:
    """How deep the pits of a feature are, and how sure that is."""

    feature: str
    depth: str
    u: str


@dataclass(frozen=True, slots=True)
class SaidSet:
    """A set of the sheet with what was read of it: one of the usual sets, or one of the shop's own."""

    by: str
    gauge: str
    readings: Mapping[str, str]
    purpose: str = ""
    name: str = ""
    kind: str = ""
    features: tuple[str, ...] = ()
    depths_mm: tuple[float, ...] = ()
    angles_deg: tuple[float, ...] = ()
    nominal: str = ""
    set_at: str = ""
    material: str = ""
    area: str = ""
    how: str = ""
    piece_c: float | None = None
    later: tuple[Later, ...] = ()
    pits: tuple[Pits, ...] = ()


@dataclass(frozen=True, slots=True)
class Result:
    """What came of an inspection."""

    passed: bool
    days_ago: int
    by: str
    measured: str = ""
    certificate: str = ""
    count_done: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class SaidInspection:
    """A test that is no dimension: what waits for it, and what came of it where it is done."""

    kind: str
    what: str
    gates: str = ""
    area: str = ""
    set: str = ""
    count_all: int | None = None
    note: str = ""
    result: Result | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that was measured and tested, in the order in which it is kept."""

    layout: EngineLayout
    sets: tuple[SaidSet, ...]
    inspections: tuple[SaidInspection, ...] = field(default=())


@cache
def the_sheet() -> Sheet:
    """Return what was measured, read from the data file."""
    told: dict[str, Any] = tomllib.loads((DATA / "measured.toml").read_text(encoding="utf-8"))
    return Sheet(
        layout=EngineLayout(**told["layout"]),
        sets=tuple(_set(row) for row in told["set"]),
        inspections=tuple(_inspection(row) for row in told["inspection"]),
    )


def fill_sheet(job: Job, shelf: Shelf, gauges: Mapping[str, Instrument], hand: Hand) -> None:
    """Make the reading sheet, say its limits, and read what was read."""
    engine = subject_engine(job)
    sheet = the_sheet()
    keys = [said.purpose for said in sheet.sets if said.purpose]
    begun = begin_sheet(job=job, engine=engine, layout=sheet.layout, keys=keys, hand=hand)
    usual = {one.purpose: one for one in begun}
    names = _features(begun)
    kept: list[tuple[SaidSet, FeatureSet]] = []
    for said in sheet.sets:
        if said.purpose:
            one = usual[said.purpose]
            known = _facts(said, one, names[one.pk], shelf, gauges)
            kept.append((said, change_set(feature_set=one, said=known, hand=hand)))
        else:
            known = _own_facts(said, shelf, gauges)
            kept.append((said, add_set(job=job, engine=engine, said=known, hand=hand)))
    _say_limits(job, hand)
    tokens = (f"demo-reading-{number:03}" for number in count(1))
    rows = _features([one for _said, one in kept])
    for said, one in kept:
        taken = [
            Taken(next(tokens), rows[one.pk][name].pk, point.key, typed)
            for name, texts in said.readings.items()
            for point, typed in zip(points_of_set(one), texts.split(), strict=False)
            if typed != _NOT_READ
        ]
        taken += [
            Taken(next(tokens), rows[one.pk][late.feature].pk, late.point, late.typed, late.kind, late.surely)
            for late in said.later
        ]
        _take(one, taken, said)
        for pits in said.pits:
            say_pits(
                feature=rows[one.pk][pits.feature],
                depth=typed_number("pits", pits.depth, unit="mm"),
                u=typed_number("u", pits.u, unit="mm"),
                hand=Hand(who=said.by),
            )


def inspect(job: Job, shelf: Shelf, hand: Hand) -> None:
    """Say what shall be tested, and what came of the tests that are done."""
    for said in the_sheet().inspections:
        wanted = SaidOfInspection(
            kind=said.kind,
            what=said.what,
            gates=said.gates,
            area=shelf.area(said.area) if said.area else None,
            feature_set=FeatureSet.objects.get(job=job, purpose=said.set) if said.set else None,
            count_all=said.count_all,
            note=said.note,
        )
        row = want_inspection(job=job, said=wanted, hand=hand)
        if said.result is not None:
            result = SaidResult(
                passed=said.result.passed,
                done_on=days_ago(said.result.days_ago),
                done_by=said.result.by,
                measured=said.result.measured,
                count_done=said.result.count_done,
                certificate=said.result.certificate,
                note=said.result.note,
            )
            give_result(inspection=row, said=result, hand=hand)


def _take(one: FeatureSet, taken: list[Taken], said: SaidSet) -> None:
    answers = take_readings(
        feature_set=one, readings=taken, temperature_c=said.piece_c, hand=Hand(who=said.by)
    )
    doubted = [answer.why for answer in answers if not answer.kept]
    if doubted:
        raise ValueError(f"the demo's own readings of {one.name} are doubted: {'; '.join(doubted)}")


def _say_limits(job: Job, hand: Hand) -> None:
    path = DATA / "limits.csv"
    sheet = read_limit_sheet(job=job, data=path.read_bytes(), filename=path.name, unit="mm")
    faults = [fault for row in sheet.rows for fault in row.faults]
    if faults:
        raise ValueError(f"the demo's own limits are not understood: {'; '.join(faults)}")
    keep_limits(job=job, rows=sheet.rows, source=path.name, hand=hand)


def _facts(
    said: SaidSet,
    one: FeatureSet,
    features: Mapping[str, Feature],
    shelf: Shelf,
    gauges: Mapping[str, Instrument],
) -> SaidOfSet:
    """Add what is known to a set that the sheet began with; its points stay as proposed."""
    kind = FeatureKind(one.kind)
    return SaidOfSet(
        name=one.name,
        kind=kind,
        features=tuple(features),
        pattern=pattern_of(one),
        purpose=one.purpose,
        nominal=typed_number("nominal", said.nominal, unit=kind.quantity.unit, kind=kind),
        instrument=gauges[said.gauge],
        set_at=typed_number("set at", said.set_at, unit="mm"),
        material=said.material,
        how=said.how or one.how,
        area=shelf.area(said.area) if said.area else None,
    )


def _own_facts(said: SaidSet, shelf: Shelf, gauges: Mapping[str, Instrument]) -> SaidOfSet:
    kind = FeatureKind(said.kind)
    unit = "mm" if kind.quantity is Quantity.LENGTH else kind.quantity.unit
    return SaidOfSet(
        name=said.name,
        kind=kind,
        features=said.features,
        pattern=Pattern(said.depths_mm, said.angles_deg),
        nominal=typed_number("nominal", said.nominal, unit=unit, kind=kind),
        instrument=gauges[said.gauge],
        material=said.material,
        how=said.how,
        area=shelf.area(said.area) if said.area else None,
    )


def _features(sets: list[FeatureSet]) -> dict[int, dict[str, Feature]]:
    """Return the features of some sets by name, in their order."""
    found: dict[int, dict[str, Feature]] = {one.pk: {} for one in sets}
    for row in Feature.objects.filter(feature_set__in=sets, withdrawn=False).order_by("position"):
        found[row.feature_set_id][row.name] = row
    return found


def _set(row: dict[str, Any]) -> SaidSet:
    return SaidSet(
        readings={str(name): texts for name, texts in row.pop("readings").items()},
        later=tuple(Later(**one) for one in row.pop("later", ())),
        pits=tuple(Pits(**one) for one in row.pop("pits", ())),
        features=tuple(row.pop("features", ())),
        depths_mm=tuple(map(float, row.pop("depths_mm", ()))),
        angles_deg=tuple(map(float, row.pop("angles_deg", ()))),
        **row,
    )


def _inspection(row: dict[str, Any]) -> SaidInspection:
    result = row.pop("result", None)
    return SaidInspection(result=Result(**result) if result else None, **row)
