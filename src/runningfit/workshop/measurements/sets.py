"""Verbs of feature sets: begin a sheet with the usual ones, add one's own, change what is known of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.db.models import Max

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern, points_of
from runningfit.core.measurements.sheets.proposals import EngineLayout, ProposedSet, usual_sets
from runningfit.workshop.measurements.gauge_spans import need_spanned, nominal_mm
from runningfit.workshop.measurements.models import (
    BASES,
    LIMITED,
    STATES,
    Feature,
    FeatureLimit,
    FeatureSet,
    Instrument,
    Reading,
)
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.pieces.models import Area, Lot
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Entry, Hand, write

_MOST_FEATURES = 64


@dataclass(frozen=True, slots=True)
class SaidOfSet:
    """What is said of a set: names, points, nominal size, gauge; ``typed`` keeps figures as typed."""

    name: str
    kind: FeatureKind
    features: tuple[str, ...]
    pattern: Pattern
    purpose: str = ""
    nominal: TypedNumber | None = None
    instrument: Instrument | None = None
    set_at: TypedNumber | None = None
    material: str = ""
    how: str = ""
    area: Area | None = None
    lot: Lot | None = None


@dataclass(frozen=True, slots=True)
class SaidLimit:
    """A limit as typed: of what, for new parts or worn ones, and where it comes from."""

    what: str
    state: str
    lower: TypedNumber | None
    upper: TypedNumber | None
    basis: str
    source: str
    at: TypedNumber | None = None


def begin_sheet(
    *, job: Job, engine: Engine | None, layout: EngineLayout, keys: Collection[str], hand: Hand
) -> list[FeatureSet]:
    """Begin a job's reading sheet with those of the usual sets that were chosen; one there already stays.

    Raises
    ------
    InvalidInput
        Nothing was chosen, or something that is not among the usual sets.
    """
    proposed = {one.key: one for one in usual_sets(layout)}
    unknown = sorted(set(keys) - proposed.keys())
    if unknown or not keys:
        raise InvalidInput(
            "what to measure", needs="one or more of those offered", came=", ".join(unknown) or "nothing"
        )
    with write(verb="begin_sheet", summary="began a reading sheet", hand=hand, job=job) as entry:
        there = set(
            FeatureSet.objects.filter(job=job, engine=engine, withdrawn=False)
            .exclude(purpose="")
            .values_list("purpose", flat=True)
        )
        made = [
            _make(entry, job, engine, _said_of(one))
            for key, one in proposed.items()
            if key in keys and key not in there
        ]
        if not made:
            raise Conflict("All of these are on the sheet already.")
        entry.say(f"began a reading sheet: {', '.join(one.name for one in made)}")
    return made


def add_set(*, job: Job, engine: Engine | None, said: SaidOfSet, hand: Hand) -> FeatureSet:
    """Add a set of one's own to a job's sheet.

    Raises
    ------
    InvalidInput
        It has no name, no feature, a name twice, points that its kind cannot be read at, or a gauge that does
        not span its size.
    """
    _check(said)
    need_spanned(said.instrument, _size_mm(said))
    with write(verb="add_set", summary=f"added {said.name} to the sheet", hand=hand, job=job) as entry:
        return _make(entry, job, engine, said)


def change_set(*, feature_set: FeatureSet, said: SaidOfSet, hand: Hand) -> FeatureSet:
    """Change what is known of a set; features are added or renamed, and one without readings is taken out.

    Raises
    ------
    InvalidInput
        What was said does not go together.
    Conflict
        A feature that was read would go, or the kind would change although readings exist.
    """
    _check(said)
    with write(
        verb="change_set", summary=f"changed {feature_set.name}", hand=hand, job=feature_set.job
    ) as entry:
        held = held_set(feature_set)
        if said.instrument and (said.instrument.pk, _size_mm(said)) != (held.instrument_id, nominal_mm(held)):
            need_spanned(said.instrument, _size_mm(said))
        was_read = Reading.objects.filter(feature__feature_set=held).exists()
        if was_read and held.kind != said.kind.value:
            raise Conflict(f"{held.name} has readings already: its kind cannot change. Add another set.")
        entry.change(held, **_columns(said))
        _match_features(entry, held, said.features)
    return held


def use_gauge(
    *, feature_set: FeatureSet, instrument: Instrument | None, set_at: TypedNumber | None, hand: Hand
) -> FeatureSet:
    """Say with which gauge a set is read from now on, and to which size a comparing one is set.

    Raises
    ------
    InvalidInput
        The gauge does not span the size of the set.
    """
    with write(
        verb="change_set",
        summary=f"reads {feature_set.name} with {instrument or 'a gauge that nobody named'}",
        hand=hand,
        job=feature_set.job,
    ) as entry:
        held = held_set(feature_set)
        if instrument is not None and instrument.pk != held.instrument_id:
            need_spanned(instrument, nominal_mm(held))
        typed = {name: text for name, text in held.typed.items() if name != "set_at"}
        if set_at:
            typed["set_at"] = set_at.typed
        return entry.change(
            held, instrument=instrument, set_at_mm=set_at.value if set_at else None, typed=typed
        )


def withdraw_set(*, feature_set: FeatureSet, hand: Hand) -> FeatureSet:
    """Take a set off the sheet; its readings stay in the books."""
    with write(
        verb="change_set", summary=f"took {feature_set.name} off the sheet", hand=hand, job=feature_set.job
    ) as entry:
        return entry.change(held_set(feature_set), withdrawn=True)


def add_limit(*, feature_set: FeatureSet, said: SaidLimit, hand: Hand) -> FeatureLimit:
    """Add a limit to a set; one for the same thing and state gives way to it.

    Raises
    ------
    InvalidInput
        Neither limit was given, they are upside down, or nothing says where they come from.
    """
    check_limit(said, FeatureKind(feature_set.kind))
    with write(
        verb="add_limit", summary=f"said a limit of {feature_set.name}", hand=hand, job=feature_set.job
    ) as entry:
        return put_limit(entry, held_set(feature_set), said)


def put_limit(entry: Entry, held: FeatureSet, said: SaidLimit) -> FeatureLimit:
    """Write a limit that was checked, in the place of one for the same thing and state."""
    at_mm = said.at.value if said.at else None
    for old in FeatureLimit.objects.select_for_update().filter(
        feature_set=held, what=said.what, state=said.state, at_mm=at_mm, withdrawn=False
    ):
        entry.change(old, withdrawn=True)
    figures = (("lower", said.lower), ("upper", said.upper), ("at", said.at))
    return entry.create(
        FeatureLimit(
            feature_set=held,
            what=said.what,
            state=said.state,
            at_mm=at_mm,
            lower=said.lower.value if said.lower else None,
            upper=said.upper.value if said.upper else None,
            basis=said.basis,
            source=said.source.strip(),
            typed={name: one.typed for name, one in figures if one},
        )
    )


def withdraw_limit(*, limit: FeatureLimit, hand: Hand) -> FeatureLimit:
    """Take a limit back that was wrong."""
    with write(
        verb="change_limit",
        summary=f"took back a limit of {limit.feature_set.name}",
        hand=hand,
        job=limit.feature_set.job,
    ) as entry:
        held = FeatureLimit.objects.select_for_update().get(pk=limit.pk)
        return entry.change(held, withdrawn=True)


def say_pits(*, feature: Feature, depth: TypedNumber | None, u: TypedNumber | None, hand: Hand) -> Feature:
    """Say how deep the pits of a feature are, by gauge or by feel; none is not looked at.

    Raises
    ------
    InvalidInput
        A depth below nothing, or an uncertainty of nothing.
    """
    if depth is not None and depth.value < 0:
        raise InvalidInput("depth of the pits", needs="nought or more", came=depth.typed)
    if u is not None and u.value <= 0:
        raise InvalidInput("uncertainty of the depth", needs="more than nothing", came=u.typed)
    with write(
        verb="change_feature",
        summary=f"said how deep the pits of {feature} are",
        hand=hand,
        job=feature.feature_set.job,
    ) as entry:
        held = Feature.objects.select_for_update().get(pk=feature.pk)
        typed = {name: one.typed for name, one in (("pits", depth), ("u", u)) if one}
        return entry.change(
            held, pit_mm=depth.value if depth else None, pit_u_mm=u.value if u else None, typed=typed
        )


def held_set(feature_set: FeatureSet) -> FeatureSet:
    """Return a set as stored, held for the open transaction.

    Raises
    ------
    Conflict
        It was taken off the sheet meanwhile.
    """
    held = FeatureSet.objects.select_for_update().get(pk=feature_set.pk)
    if held.withdrawn:
        raise Conflict(f"{held.name} was taken off the sheet meanwhile. Look at its history.")
    return held


def _said_of(one: ProposedSet) -> SaidOfSet:
    return SaidOfSet(
        name=one.name, kind=one.kind, features=one.features, pattern=one.pattern, purpose=one.key, how=one.how
    )


def _make(entry: Entry, job: Job, engine: Engine | None, said: SaidOfSet) -> FeatureSet:
    last = FeatureSet.objects.filter(job=job).aggregate(last=Max("position"))["last"]
    made = entry.create(
        FeatureSet(
            job=job,
            engine=engine,
            purpose=said.purpose,
            position=0 if last is None else last + 1,
            **_columns(said),
        )
    )
    entry.create_many(
        Feature,
        [Feature(feature_set=made, position=place, name=name) for place, name in enumerate(said.features)],
    )
    return made


def _size_mm(said: SaidOfSet) -> float | None:
    return said.nominal.value if said.nominal and said.kind.is_size else None


def _columns(said: SaidOfSet) -> dict[str, object]:
    typed = {name: one.typed for name, one in (("nominal", said.nominal), ("set_at", said.set_at)) if one}
    return {
        "name": said.name.strip(),
        "kind": said.kind.value,
        "nominal": said.nominal.value if said.nominal else None,
        "first_numbers": list(said.pattern.depths_mm),
        "second_numbers": list(said.pattern.angles_deg),
        "places": said.pattern.places,
        "instrument": said.instrument,
        "set_at_mm": said.set_at.value if said.set_at else None,
        "material": said.material.strip(),
        "how": said.how.strip(),
        "area": said.area,
        "lot": said.lot,
        "typed": typed,
    }


def _match_features(entry: Entry, held: FeatureSet, names: Sequence[str]) -> None:
    there = list(
        Feature.objects.select_for_update().filter(feature_set=held, withdrawn=False).order_by("position")
    )
    for row, name in zip(there, names, strict=False):
        entry.change(row, name=name)
    for row in there[len(names) :]:
        if row.readings.exists():
            raise Conflict(f"{row} has readings: it cannot be taken off. Strike the readings out first.")
        entry.change(row, withdrawn=True)
    entry.create_many(
        Feature,
        [
            Feature(feature_set=held, position=len(there) + place, name=name)
            for place, name in enumerate(names[len(there) :])
        ],
    )


def _check(said: SaidOfSet) -> None:
    if not said.name.strip():
        raise InvalidInput("name", needs="what it is, such as cylinder bores", came="nothing")
    if not 1 <= len(said.features) <= _MOST_FEATURES:
        raise InvalidInput("features", needs=f"1 to {_MOST_FEATURES}", came=f"{len(said.features)}")
    if len(set(said.features)) != len(said.features):
        raise InvalidInput(
            "features", needs="each name only once", came=", ".join(said.features), remedy="Number them."
        )
    if said.nominal is not None and said.nominal.value <= 0:
        raise InvalidInput("nominal", needs="more than nothing", came=said.nominal.typed)
    points_of(said.kind, said.pattern)


def check_limit(said: SaidLimit, kind: FeatureKind) -> None:
    """Refuse a limit that limits nothing, is upside down, comes from nowhere, or is none of its feature."""
    for name, value, known in (("what", said.what, LIMITED), ("state", said.state, STATES)):
        if value not in dict(known):
            raise InvalidInput(name, needs=f"one of {', '.join(dict(known).values())}", came=value)
    if said.what == "rate" and kind is not FeatureKind.LOAD:
        raise InvalidInput("what", needs="the loads of a spring to have a rate", came=kind.said)
    if said.what == "rate" and said.at is not None:
        raise InvalidInput(
            "at", needs="no height, for a rate holds over all of them", came=said.at.typed,
            remedy="Leave the height out.",
        )  # fmt: skip
    if said.basis not in dict(BASES):
        raise InvalidInput("basis", needs=f"one of {', '.join(dict(BASES).values())}", came=said.basis)
    if said.basis in ("manual", "sheet") and not said.source.strip():
        raise InvalidInput(
            "source", needs="the page it stands on", came="nothing",
            remedy="Without a page, say that it is common practice.",
        )  # fmt: skip
    if said.lower is None and said.upper is None:
        raise InvalidInput("limits", needs="a lower limit, an upper limit or both", came="none")
    if said.lower is not None and said.upper is not None and said.lower.value >= said.upper.value:
        raise InvalidInput(
            "limits", needs="the lower one below the upper one",
            came=f"{said.lower.typed} and {said.upper.typed}", remedy="They are upside down, or the same.",
        )  # fmt: skip
