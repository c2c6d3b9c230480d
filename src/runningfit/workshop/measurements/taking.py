"""Taking readings: each is kept as it came, a doubtful one is asked about, none is ever changed or lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from django.db import transaction
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.sheets.proposals import sizes_of
from runningfit.core.measurements.sheets.typed_values import Doubt, TypedValue, doubt_of, read_value
from runningfit.core.units import LengthUnit
from runningfit.workshop.measurements.models import READING_KINDS, Feature, FeatureSet, Instrument, Reading
from runningfit.workshop.measurements.queries import (
    last_round,
    points_of_set,
    readings_of_set,
    standing,
    usual_value,
)
from runningfit.workshop.records.closed_jobs import refuse_closed
from runningfit.workshop.records.writing import LONGEST_TOKEN, Hand

MOST_READINGS_AT_ONCE = 300
LONGEST_TYPED = 40


class SetNow(Enum):
    """Stands for the setting of a comparing gauge as the set says it now."""

    OF_THE_SET = "of the set"


THE_SETS = SetNow.OF_THE_SET


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading as it comes from a page.

    Parameters
    ----------
    token : str
        By which a second sending is known.
    feature : int
        The feature's key.
    point : str
        The key of the point.
    typed : str
        What was typed, or a gauge sent; empty to strike the point out.
    kind : str
        reading, repeat or struck.
    surely : str
        Why it stands although it looks odd; empty asks.
    """

    token: str
    feature: int
    point: str
    typed: str
    kind: str = "reading"
    surely: str = ""


@dataclass(frozen=True, slots=True)
class Answered:
    """What became of a reading: kept, asked about with what it may mean, or refused with the reason.

    ``instead`` is what it may have meant, in the unit of its quantity; ``typed_in`` is the unit in which it
    was probably typed, empty where it was hardly the unit that slipped.
    """

    token: str
    kept: bool
    value: float | None = None
    why: str = ""
    instead: float | None = None
    typed_in: str = ""


def take_readings(
    *,
    feature_set: FeatureSet,
    readings: Sequence[Taken],
    hand: Hand,
    instrument: Instrument | None = None,
    temperature_c: float | None = None,
    unit: str = "",
    round: int = 0,
    set_at_mm: float | SetNow | None = THE_SETS,
) -> list[Answered]:
    """Take readings in the order they were made; one that was sent before is not taken again.

    A reading leaves no record of its own: its row says who and when, and is never edited.

    Parameters
    ----------
    instrument : Instrument or None
        With which gauge; the one of the set where none is said.
    temperature_c : float or None
        Of the piece [°C]; none is not taken.
    unit : str
        The unit that the gauge stands on; that of the gauge where empty, or mm.
    round : int
        0 as found, 1 and on after machining.
    set_at_mm : float or None
        To which size the comparing gauge was set when they were read [mm]; left out, as the set says now.

    Returns
    -------
    list of Answered
        One for each reading, in their order.

    Raises
    ------
    Conflict
        The set was taken off the sheet, or the job is closed; nothing was taken.
    InvalidInput
        More at once than a sheet sends, a temperature no bench has, or a round that nobody began.
    """
    if len(readings) > MOST_READINGS_AT_ONCE:
        raise InvalidInput("readings", needs=f"at most {MOST_READINGS_AT_ONCE} at once", came=len(readings))
    if temperature_c is not None and not -40 <= temperature_c <= 120:
        raise InvalidInput("temperature", needs="-40 to 120 °C", came=f"{temperature_c:g} °C")
    if not 0 <= round <= last_round(feature_set) + 1:
        raise InvalidInput("round", needs=f"0 to {last_round(feature_set) + 1}", came=round)
    with transaction.atomic():
        rows = FeatureSet.objects.select_for_update(of=("self",)).select_related("instrument")
        held = rows.get(pk=feature_set.pk)
        if held.withdrawn:
            raise Conflict(f"{held.name} was taken off the sheet meanwhile. Nothing was taken.")
        refuse_closed([held.job_id])
        gauge = instrument or held.instrument
        stands_on = unit or (gauge.unit if gauge else _usual_unit(FeatureKind(held.kind)))
        setting = held.set_at_mm if isinstance(set_at_mm, SetNow) else set_at_mm
        batch = _Batch(held, gauge, stands_on, setting, temperature_c, round, hand)
        batch.know({one.token for one in readings})
        answers = [batch.take(one) for one in readings]
        Reading.objects.bulk_create(batch.rows)
    return answers


class _Batch:
    """Readings of one set being taken; later ones know what the earlier ones of the same batch came to."""

    def __init__(
        self,
        held: FeatureSet,
        gauge: Instrument | None,
        unit: str,
        set_at_mm: float | None,
        temperature_c: float | None,
        round: int,
        hand: Hand,
    ) -> None:
        self.rows: list[Reading] = []
        self._set, self._gauge, self._unit, self._set_at_mm = held, gauge, unit, set_at_mm
        self._temperature_c, self._round, self._hand = temperature_c, round, hand
        self._kind = FeatureKind(held.kind)
        self._features = {one.pk: one for one in Feature.objects.filter(feature_set=held, withdrawn=False)}
        self._points = {one.key for one in points_of_set(held)}
        rows = readings_of_set(held)
        self._known: dict[str, Reading] = {}
        self._values = [
            (point, value) for (_, point, _), one in standing(rows).items() for value in one.values
        ]

    def know(self, tokens: set[str]) -> None:
        """Look up which of these readings were taken before, on this sheet or another."""
        self._known = {row.token: row for row in Reading.objects.filter(token__in=tokens)}

    def take(self, one: Taken) -> Answered:
        try:
            return self._take(one)
        except InvalidInput as error:
            return Answered(one.token, kept=False, why=str(error))

    def _take(self, one: Taken) -> Answered:
        if not one.token or len(one.token) > LONGEST_TOKEN:
            raise InvalidInput("token", needs="a short text", came=one.token[:40])
        if one.token in self._known:
            return Answered(one.token, kept=True, value=self._known[one.token].value)
        if one.feature not in self._features or one.point not in self._points:
            raise InvalidInput(
                "point", needs="one of this sheet", came=one.point, remedy="Load the page anew."
            )
        if one.kind not in dict(READING_KINDS):
            raise InvalidInput("kind", needs="reading, repeat or struck", came=one.kind)
        if len(one.typed) > LONGEST_TYPED:
            raise InvalidInput("reading", needs=f"at most {LONGEST_TYPED} letters", came=one.typed[:60])
        if one.kind == "struck":
            return self._keep(one, None)
        found = read_value(one.typed, kind=self._kind, unit=self._unit, set_at_mm=self._set_at_mm)
        doubt = None if one.surely else self._doubt(one.point, found.value)
        if doubt is not None:
            # A comparing gauge shows a difference: of that the size tells no unit.
            typed_in = doubt.typed_in if self._set_at_mm is None else ""
            return Answered(one.token, False, found.value, doubt.why, doubt.instead, typed_in)
        return self._keep(one, found)

    def _keep(self, one: Taken, found: TypedValue | None) -> Answered:
        value = found.value if found else None
        row = Reading(
            feature=self._features[one.feature],
            point=one.point,
            kind=one.kind,
            value=value,
            step=found.step if found else None,
            typed=" ".join(one.typed.split())[:LONGEST_TYPED],
            unit=self._unit,
            set_at_mm=self._set_at_mm if found else None,
            instrument=self._gauge,
            temperature_c=self._temperature_c,
            round=self._round,
            why=one.surely.strip()[:200],
            token=one.token,
            at=timezone.now(),
            who=self._hand.who or "not said",
        )
        self.rows.append(row)
        self._known[one.token] = row
        if value is not None:
            self._values.append((one.point, value))
        return Answered(one.token, kept=True, value=value)

    def _doubt(self, point: str, value: float) -> Doubt | None:
        usual = usual_value(self._set, point, self._values)
        spoken = self._unit if self._unit in set(LengthUnit) else LengthUnit.MM.value
        return doubt_of(value, usual, kind=self._kind, unit=spoken, between_mm=sizes_of(self._set.purpose))


def _usual_unit(kind: FeatureKind) -> str:
    return kind.quantity.unit
