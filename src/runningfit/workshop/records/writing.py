"""How every verb writes: one transaction, every row it touches noted, one record of who, when and why."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from typing import Any, TypeVar

from django.db import IntegrityError, connection, models, transaction
from django.utils import timezone

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput, NothingChanged
from runningfit.workshop.records.closed_jobs import OPENS_AGAIN, refuse_closed
from runningfit.workshop.records.models import Change, Job, Kept, Record
from runningfit.workshop.records.plain_insert import insert_objects, insert_plainly

K = TypeVar("K", bound=Kept)
M = TypeVar("M", bound=models.Model)

# On PostgreSQL writers queue behind this advisory lock; the number means nothing else.
WRITERS = 7_310_142
LONGEST_TOKEN = 64
# What JSON keeps as it is.
_PLAIN = frozenset({str, int, float, bool, type(None)})


@dataclass(frozen=True, slots=True)
class Hand:
    """Whose hand does it, why, and the form's token by which a second sending is known.

    Parameters
    ----------
    who : str
        The name the person goes by in the shop.
    why : str
        The reason, where one is asked for.
    token : str or None
        Unique for each form shown; a token seen before raises AlreadyDone.
    seen : int or None
        The newest record when the form was shown; a field that somebody else changed after it is not
        changed again unseen, but raises Conflict.
    """

    who: str = "not said"
    why: str = ""
    token: str | None = None
    seen: int | None = None

    def because(self, why: str) -> Hand:
        """Return the same hand with a reason."""
        return replace(self, why=why)


class OpenEncoder(json.JSONEncoder):
    """Write moments whole, to the microsecond, and amounts as text, so that they read back as they were."""

    def default(self, o: Any) -> Any:
        """Return a value that JSON has a form for."""
        if isinstance(o, dt.date | dt.datetime):
            return o.isoformat()
        if isinstance(o, Decimal):
            return str(o)
        return super().default(o)


def plain(value: Any) -> Any:
    """Return a field's value as JSON would keep it."""
    if type(value) in _PLAIN:
        return value
    return json.loads(json.dumps(value, cls=OpenEncoder))


def fields_of(row: models.Model, names: Iterable[str] | None = None) -> dict[str, Any]:
    """Return the stored fields of a row by column name, as JSON would keep them."""
    fields = _noted_fields(type(row))
    if names is not None:
        wanted = set(names)
        fields = [field for field in fields if field.attname in wanted or field.name in wanted]
    kept: dict[str, Any] = {}
    for field in fields:
        value = getattr(row, field.attname)
        kept[field.attname] = value if type(value) in _PLAIN else _stored_form(field, value)
    return kept


@cache
def _noted_fields(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    return [field for field in model._meta.concrete_fields if not field.primary_key]


def _stored_form(field: models.Field[Any, Any], value: Any) -> Any:
    """Return a value as it would come back from the database, so that 12.5 and 12.50 are one amount."""
    if isinstance(value, Decimal) and isinstance(field, models.DecimalField):
        return str(round(value, field.decimal_places))
    if isinstance(value, dt.datetime) and value.tzinfo is not None:
        value = value.astimezone(dt.UTC)
    return plain(value)


class Entry:
    """One record being written; what it creates, changes, moves or leans on is noted row by row."""

    def __init__(self, record: Record, *, seen: int | None = None) -> None:
        self.record = record
        self._seen = seen
        self._changes: list[tuple[Any, ...]] = []
        self._leaned_on: set[tuple[str, int]] = set()
        self._jobs: set[int] = set()

    @property
    def has_changed_something(self) -> bool:
        """Return whether anything was created, changed or moved, and not only leaned on."""
        return any(kind != Change.REFERRED for _record, kind, *_rest in self._changes)

    @property
    def at(self) -> dt.datetime:
        """Return the moment of the record."""
        return self.record.at

    def create(self, row: K) -> K:
        """Store a new row and note it."""
        row.save(force_insert=True)
        self._note(Change.CREATED, row, after=fields_of(row))
        self._lean(row, _named_rows(type(row)))
        return row

    def create_many(self, model: type[K], rows: Sequence[K]) -> list[K]:
        """Store many new rows at once and note each."""
        made = list(rows)
        insert_objects(made)
        named = _named_rows(model)
        for row in made:
            self._note(Change.CREATED, row, after=fields_of(row))
            self._lean(row, named)
        return made

    def change(self, row: M, **values: Any) -> M:
        """Change fields of a row and note what was there before; unchanged fields are left out.

        Raises
        ------
        Conflict
            Somebody else changed one of the fields since the row, or the form, was read; says who and when.
        """
        names = list(values)
        before = fields_of(row, names)
        for name, value in values.items():
            setattr(row, name, value)
        after = fields_of(row, names)
        changed = {name for name in after if after[name] != before[name]}
        if not changed:
            return row
        stored = self._refuse_if_stale(row, {name: before[name] for name in changed})
        named = [pair for pair in _named_rows(type(row)) if pair[0] in changed]
        self._lean(stored, named)
        self._lean(row, named)
        for field in row._meta.concrete_fields:
            # What the caller did not change is as it is stored: a save may derive other columns from it.
            if field.attname not in changed:
                setattr(row, field.attname, getattr(stored, field.attname))
        row.save(update_fields=sorted(changed))
        self._note(
            Change.CHANGED,
            row,
            before={name: before[name] for name in changed},
            after={name: after[name] for name in changed},
        )
        return row

    def withdraw_many(self, model: type[models.Model], rows: Sequence[models.Model]) -> None:
        """Mark many rows as withdrawn at once, held by this record already, and note each."""
        here = [row for row in rows if not getattr(row, "withdrawn")]  # noqa: B009  (every Kept row has it)
        for start in range(0, len(here), 500):
            keys = [row.pk for row in here[start : start + 500]]
            model._default_manager.filter(pk__in=keys).update(withdrawn=True)
        for row in here:
            self._note(Change.CHANGED, row, before={"withdrawn": False}, after={"withdrawn": True})

    def refer(self, row: models.Model | None) -> None:
        """Note that this record leans on a row, so that the row cannot be taken back from under it."""
        if row is not None:
            self._refer(row._meta.object_name or "", row.pk)

    def refuse_if_moved(self, row: models.Model) -> None:
        """Refuse a count that was made while somebody else moved pieces of the row's lot.

        Raises
        ------
        Conflict
            Pieces moved after the form was shown; says who moved them and when.
        """
        if self._seen is None:
            return
        moved = Change.objects.filter(
            model=row._meta.object_name, object_id=row.pk, kind=Change.MOVED, record_id__gt=self._seen
        ).exclude(record=self.record)
        other = moved.select_related("record").order_by("-id").first()
        if other is not None:
            raise Conflict(
                f"'{other.record.summary}' ({other.record.who}, "
                f"{timezone.localtime(other.record.at):%d %b at %H:%M}) moved pieces of {row} while you "
                "counted. Look at what stands there now, and count again."
            )

    def moved(self, row: models.Model, *, before: dict[str, Any], after: dict[str, Any]) -> None:
        """Note that pieces of a lot moved; the movement itself is the ledger's."""
        self._note(Change.MOVED, row, before=before, after=after)

    def say(self, summary: str) -> None:
        """Say in one line what the record did, once that is known."""
        self.record.summary = summary[:300]
        self.record.save(update_fields=["summary"])

    def flush(self) -> None:
        """Store the notes collected so far."""
        columns = ("record_id", "kind", "model", "object_id", "before", "after")
        insert_plainly(Change, columns, self._changes)
        self._changes = []

    def refuse_closed_beside(self, job: Job | None) -> None:
        """Refuse to touch rows of other jobs than the record's own where one of them is closed."""
        beside = self._jobs - {job.pk if job is not None else None}
        if beside:
            refuse_closed(beside)

    def _refuse_if_stale(self, row: M, before: dict[str, Any]) -> M:
        """Return the row as stored, held; refuse what somebody else wrote since it, or its form, was read."""
        stored = type(row)._default_manager.select_for_update().filter(pk=row.pk).first()
        stale = stored is None or fields_of(stored, before) != before
        if stored is not None and not stale and self._seen is None:
            return stored
        others = Change.objects.filter(
            model=row._meta.object_name, object_id=row.pk, kind=Change.CHANGED
        ).exclude(record=self.record)
        if not stale:
            others = others.filter(record_id__gt=self._seen)
        for other in others.select_related("record").order_by("-id"):
            shared = sorted(set(other.after) & set(before))
            if shared:
                said = ", ".join(name.removesuffix("_id").replace("_", " ") for name in shared)
                raise Conflict(
                    f"{self._said_of(other.record)} the {said} of {row} on "
                    f"{timezone.localtime(other.record.at):%d %b at %H:%M}, after this page was loaded. Look "
                    "at what stands there now, and send yours again if it still holds."
                )
        if stored is None or stale:
            raise Conflict(
                f"Somebody else changed {row} at the same moment. Look at it and send yours again."
            )
        return stored

    def _said_of(self, other: Record) -> str:
        """Say who changed it meanwhile; one's own other tab may be forgotten, so that is refused too."""
        if other.who == "not said":
            return "Somebody changed"
        return "You, elsewhere, changed" if other.who == self.record.who else f"{other.who} changed"

    def _lean(self, row: models.Model, named: Sequence[tuple[str, str]]) -> None:
        # A row that names another leans on it, whether or not the verb thought of saying so.
        for attname, model in named:
            if (key := getattr(row, attname)) is not None:
                self._refer(model, key)

    def _refer(self, model: str, key: int) -> None:
        if (model, key) not in self._leaned_on:
            self._leaned_on.add((model, key))
            self._changes.append((self.record.pk, Change.REFERRED, model, key, {}, {}))

    def _note(
        self,
        kind: str,
        row: models.Model,
        *,
        before: dict[str, Any] | None = None,
        after: dict[str, Any] | None = None,
    ) -> None:
        name = row._meta.object_name or ""
        self._changes.append((self.record.pk, kind, name, row.pk, before or {}, after or {}))
        if (job_id := getattr(row, "job_id", None)) is not None:
            self._jobs.add(job_id)


@contextmanager
def write(
    *, verb: str, summary: str, hand: Hand, job: Job | None = None, reverses: Record | None = None
) -> Iterator[Entry]:
    """Open one transaction with its record; everything noted in it is kept, or nothing is.

    Parameters
    ----------
    verb : str
        The name of the service verb.
    summary : str
        One line for the history.
    hand : Hand
        Who, why, and the form's token.
    job : Job or None
        The job it belongs to.
    reverses : Record or None
        The record this one takes back.

    Raises
    ------
    AlreadyDone
        The form with this token was kept before.
    Conflict
        The job is closed, or a row of another job was touched that is.
    NothingChanged
        The verb is one of changing, and nothing is otherwise than it was; no record is left.
    """
    if len(hand.who) > 60:
        raise InvalidInput("your name", needs="at most 60 characters", came=hand.who)
    if hand.token is not None and not (len(hand.token) <= LONGEST_TOKEN and hand.token.isprintable()):
        raise InvalidInput(
            "the form's token", needs=f"at most {LONGEST_TOKEN} plain characters", came=ascii(hand.token)[:80]
        )
    with transaction.atomic():
        wait_for_other_writers()
        record = _begin(verb=verb, summary=summary, hand=hand, job=job, reverses=reverses)
        entry = Entry(record, seen=hand.seen)
        locked = (reverses.verb if reverses else verb) not in OPENS_AGAIN
        if locked and job is not None:
            refuse_closed([job.pk])
        yield entry
        if locked:
            entry.refuse_closed_beside(job)
        if verb.startswith("change_") and not entry.has_changed_something:
            raise NothingChanged
        entry.flush()


@cache
def _named_rows(model: type[models.Model]) -> list[tuple[str, str]]:
    """Return the columns of a table that name rows which can be taken back, each with its table.

    The job is left out: every record says its job anyway.
    """
    return [
        (field.attname, field.related_model.__name__)
        for field in model._meta.concrete_fields
        if isinstance(field.related_model, type)
        and issubclass(field.related_model, Kept)
        and field.related_model is not Job
    ]


def wait_for_other_writers() -> None:
    """Let one record be written at a time, on PostgreSQL as SQLite does by itself.

    Numbers and counts are then read fresh, records come into being in the order of their ids (what a form
    has *seen* relies on it), and no two writers, in one job or across jobs, can hold each other up.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [WRITERS])


def _begin(*, verb: str, summary: str, hand: Hand, job: Job | None, reverses: Record | None) -> Record:
    if hand.token is not None:
        seen = Record.objects.filter(token=hand.token).values_list("pk", flat=True).first()
        if seen is not None:
            raise AlreadyDone(seen)
    try:
        with transaction.atomic():
            return Record.objects.create(
                job=job,
                verb=verb,
                summary=summary[:300],
                who=hand.who or "not said",
                why=hand.why[:300],
                at=timezone.now(),
                token=hand.token,
                reverses=reverses,
            )
    except IntegrityError as error:
        seen = Record.objects.filter(token=hand.token).values_list("pk", flat=True).first()
        if reverses is not None and Record.objects.filter(reverses=reverses).exists():
            raise Conflict(f"'{reverses.summary}' was already taken back.") from error
        if hand.token is None or seen is None:
            raise
        raise AlreadyDone(seen) from error
