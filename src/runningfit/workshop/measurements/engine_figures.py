"""The figures of an engine from its sheet and its sizes: volumes, compression ratios, what changes them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, inf, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.engine_figures.compression import (
    Cylinder,
    ForRatio,
    compression_ratio,
    for_ratio,
    with_changes,
)
from runningfit.core.measurements.engine_figures.even_ratio import EvenRatio, even_ratio
from runningfit.core.measurements.engine_figures.swept import mean_piston_speed_m_s, swept_volume_ml
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.verdicts import Caution
from runningfit.workshop.measurements.corrected import CorrectedFeature, CorrectedSet, cautions_of
from runningfit.workshop.measurements.engine_sizes import size_measured
from runningfit.workshop.measurements.latest_sizes import latest_sizes
from runningfit.workshop.measurements.models import EngineSizes, FeatureSet
from runningfit.workshop.records.models import Engine

# What a piston needs to the head when it is cold and slack: common practice, no source.
USUAL_ROOM_MM = 1.0
_STEPS_MM = {"mm": (0.25, 0.5, 0.75, 1.0), "in": (0.254, 0.508, 0.762, 1.016)}
_SKIMS_MM = {"mm": (0.1, 0.25, 0.5), "in": (0.127, 0.254, 0.508)}
_NOTHING = Measured(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class CylinderFigures:
    """A cylinder with its swept volume [ml] and its ratio, and what would bring it to the one wanted."""

    cylinder: Cylinder
    swept_ml: Measured
    ratio: Measured
    chamber_read: bool
    for_wanted: ForRatio | None = None


@dataclass(frozen=True, slots=True)
class Effect:
    """What a change makes of the ratios: from the smallest to the largest of all cylinders."""

    what: str
    amount_mm: float
    least: float
    most: float
    room_mm: float


@dataclass(frozen=True, slots=True)
class EngineFigures:
    """The figures of an engine, as far as they can be worked out; ``missing`` says what else is needed."""

    sizes: EngineSizes | None
    cylinders: tuple[CylinderFigures, ...] = ()
    swept_ml: Measured | None = None
    speed_m_s: Measured | None = None
    even: EvenRatio | None = None
    effects: tuple[Effect, ...] = ()
    missing: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()


def engine_figures(engine: Engine, sizes: EngineSizes | None, unit: str) -> EngineFigures:
    """Work out the figures of an engine.

    Parameters
    ----------
    engine : Engine
        Its sets are those of its job's sheet that name it, or that name no engine.
    sizes : EngineSizes or None
        What was said of it.
    unit : str
        mm or in: in which steps it is bored and skimmed.

    Raises
    ------
    InvalidInput
        Sizes that contradict each other, as a gasket smaller than the bore.
    """
    bores, chambers = _sets(engine)
    told = {name: size_measured(sizes, name) for name in _USED} if sizes else dict.fromkeys(_USED)
    names, missing = _names(bores, chambers), []
    if bores is None or not any(one.points for one in bores.features):
        missing.append("the bores, read on the sheet")
    missing += [f"the {words}" for name, words in _NEEDED.items() if told[name] is None]
    speed = _speed(sizes, told["stroke"])
    if told["stroke"] is None or bores is None:
        return EngineFigures(sizes, speed_m_s=speed, missing=_with_chamber(missing, chambers, told))
    swept = _swept_of_all(bores, names, told["stroke"])
    cautions = list(cautions_of([one for one in (bores, chambers) if one]))
    if sizes and not sizes.source:
        cautions.append(Caution("Nobody said where the sizes beside the readings come from."))
    missing = list(_with_chamber(missing, chambers, told))
    if missing:
        return EngineFigures(
            sizes, swept_ml=swept, speed_m_s=speed, missing=tuple(missing), cautions=tuple(cautions)
        )
    wanted = sizes.ratio_wanted if sizes else None
    cylinders = []
    for name in names:
        made = _cylinder(name, bores, chambers, told)
        if made is None:
            cautions.append(Caution(f"Cylinder {name} is left out: its bore or its chamber is not read."))
        else:
            cylinders.append(_figures(made, name, chambers, told["stroke"], wanted))
    whole = [one.cylinder for one in cylinders]
    even = even_ratio([_apart(one, chambers) for one in whole]) if len(whole) > 1 else None
    effects = _effects(whole, unit) if whole else ()
    cautions += _room_cautions(cylinders, wanted)
    return EngineFigures(sizes, tuple(cylinders), swept, speed, even, effects, (), tuple(cautions))


_USED = ("stroke", "gasket", "gasket_bore", "deck", "piston", "chamber", "crevice")
_NEEDED = {
    "stroke": "stroke",
    "gasket": "thickness of the gasket, tightened",
    "gasket_bore": "hole of the gasket",
    "deck": "deck height",
    "piston": "dish of the piston (0 for a flat one)",
}
_Told = Mapping[str, Measured | None]


def _with_chamber(missing: list[str], chambers: CorrectedSet | None, told: _Told) -> tuple[str, ...]:
    read = chambers is not None and any(one.points for one in chambers.features)
    return (
        tuple(missing) if read or told["chamber"] else (*missing, "the chambers, by burette or as one figure")
    )


def _sets(engine: Engine) -> tuple[CorrectedSet | None, CorrectedSet | None]:
    rows = FeatureSet.objects.filter(job=engine.job_id, purpose__in=("bores", "chambers"), withdrawn=False)
    own = [one for one in rows.order_by("position", "id") if one.engine_id in (None, engine.pk)]
    by_purpose: dict[str, FeatureSet] = {}
    for one in own:
        by_purpose.setdefault(one.purpose, one)
    found = {one.feature_set.purpose: one for one in latest_sizes(list(by_purpose.values()))}
    return found.get("bores"), found.get("chambers")


def _names(*sets: CorrectedSet | None) -> list[str]:
    return list(dict.fromkeys(one.feature.name for of in sets if of for one in of.features))


def _of(sets: CorrectedSet | None, name: str) -> CorrectedFeature | None:
    found = (one for one in sets.features if one.feature.name == name and one.points) if sets else iter(())
    return next(found, None)


def _mean(one: CorrectedFeature) -> Measured:
    """The mean of all points: what is its own gets less, what all share stays."""
    points = list(one.points.values())
    own = sqrt(sum(point.own_u**2 for point in points)) / len(points)
    shared = max(point.shared_u for point in points)
    return Measured(sum(point.value for point in points) / len(points), hypot(own, shared))


def _cylinder(name: str, bores: CorrectedSet, chambers: CorrectedSet | None, told: _Told) -> Cylinder | None:
    bore = _of(bores, name)
    read = _of(chambers, name)
    chamber = _mean(read) if read else told["chamber"]
    stroke, gasket, hole, deck, dish = (
        told[key] for key in ("stroke", "gasket", "gasket_bore", "deck", "piston")
    )
    if bore is None or chamber is None or not (stroke and gasket and hole and deck and dish):
        return None
    crevice = told["crevice"] or _NOTHING
    hollow = Measured(dish.value + crevice.value, hypot(dish.u, crevice.u))
    return Cylinder(name, _mean(bore), stroke, chamber, gasket, hole, deck, hollow)


def _figures(
    one: Cylinder, name: str, chambers: CorrectedSet | None, stroke: Measured, wanted: float | None
) -> CylinderFigures:
    return CylinderFigures(
        one,
        swept_volume_ml(one.bore_mm, stroke).measured,
        compression_ratio(one).measured,
        _of(chambers, name) is not None,
        for_ratio(one, wanted) if wanted else None,
    )


def _apart(one: Cylinder, chambers: CorrectedSet | None) -> Cylinder:
    """A cylinder with what is unsure of it alone: what all share does not tell the cylinders apart."""
    read = _of(chambers, one.name)
    own = sqrt(sum(point.own_u**2 for point in read.points.values())) / len(read.points) if read else 0.0
    return replace(
        one,
        chamber_ml=replace(one.chamber_ml, u=own),
        deck_mm=replace(one.deck_mm, u=0.0),
        dish_ml=replace(one.dish_ml, u=0.0),
    )


def _swept_of_all(bores: CorrectedSet, names: Sequence[str], stroke: Measured) -> Measured | None:
    read = [_mean(one) for name in names if (one := _of(bores, name)) is not None]
    if not read or len(read) < len(bores.features):
        return None
    each = [swept_volume_ml(one, stroke).measured for one in read]
    # What bore gauge and stroke err by is one and the same in all cylinders, so it adds up straight;
    # that the little which is a bore's own does so too is on the careful side.
    return Measured(sum(one.value for one in each), sum(one.u for one in each), inf)


def _speed(sizes: EngineSizes | None, stroke: Measured | None) -> Measured | None:
    if sizes is None or stroke is None or not sizes.speed_rpm:
        return None
    speed = mean_piston_speed_m_s(stroke.value, sizes.speed_rpm)
    return Measured(speed, speed * stroke.u / stroke.value)


def _effects(cylinders: Sequence[Cylinder], unit: str) -> tuple[Effect, ...]:
    changes: list[tuple[str, float, dict[str, float]]] = [
        ("bored larger by", step, {"bored": step}) for step in _STEPS_MM[unit]
    ]
    for words, key in (("head skimmed by", "head_skim_mm"), ("block skimmed by", "deck_skim_mm")):
        changes += [(words, skim, {key: skim}) for skim in _SKIMS_MM[unit]]
    changes += [("gasket thicker by", skim, {"thicker": skim}) for skim in _SKIMS_MM[unit][1:]]
    found = []
    for what, amount, change in changes:
        try:
            after = [_changed(one, change) for one in cylinders]
        except InvalidInput:
            # It would leave nothing above the piston.
            continue
        ratios = [one.ratio for one in after]
        room = min(one.deck_mm.value + one.gasket_mm.value for one in after)
        found.append(Effect(what, amount, min(ratios), max(ratios), room))
    return tuple(found)


def _changed(one: Cylinder, change: Mapping[str, float]) -> Cylinder:
    if "bored" in change:
        return with_changes(one, bore_mm=one.bore_mm.value + change["bored"])
    if "thicker" in change:
        return with_changes(one, gasket_mm=one.gasket_mm.value + change["thicker"])
    return with_changes(one, **change)


def _room_cautions(cylinders: Sequence[CylinderFigures], wanted: float | None) -> list[Caution]:
    told = []
    now = min((one.cylinder.deck_mm.value + one.cylinder.gasket_mm.value for one in cylinders), default=None)
    if now is not None and now < USUAL_ROOM_MM:
        told.append(
            Caution(
                f"Between piston and head are {now:.2f} mm; {USUAL_ROOM_MM:g} mm is common practice (no "
                "source). Measure it with soft wire at the top of the stroke before the engine turns."
            )
        )
    least = min((one.for_wanted.piston_clearance_mm for one in cylinders if one.for_wanted), default=None)
    if wanted and least is not None and least < USUAL_ROOM_MM:
        told.append(
            Caution(
                f"A skim of the block, or a gasket, for {wanted:g}:1 would leave {least:.2f} mm between "
                f"piston and head; {USUAL_ROOM_MM:g} mm is common practice (no source)."
            )
        )
    if wanted:
        told.append(
            Caution("A skim brings the valves nearer to the pistons too: measure that room before the work.")
        )
    return told
