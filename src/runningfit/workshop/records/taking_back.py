"""Taking a change back by a reversing entry, refused with the name of what depends on it."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.db import IntegrityError, models, transaction
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.records.models import Change, Record
from runningfit.workshop.records.writing import Entry, Hand, fields_of, write

A_BATCH = 500


def take_back(*, record: Record, hand: Hand) -> Record:
    """Take back one record by a reversing one.

    Parameters
    ----------
    record : Record
        The record to take back; it stays in the history.
    hand : Hand
        Who takes it back, and why (a reason is required).

    Returns
    -------
    Record
        The reversing record.

    Raises
    ------
    Conflict
        It was taken back already, is a reversal itself, or a later record, which is named, depends on it.
    InvalidInput
        No reason was given.
    """
    if not hand.why.strip():
        raise InvalidInput(
            "why", needs="a reason for taking it back", came="", remedy="Say it in a few words."
        )
    # Read afresh: a refused taking back must not leave the caller's row believing that it was taken back.
    record = Record.objects.select_related("job").get(pk=record.pk)
    if record.reverses_id is not None:
        raise Conflict(f"'{record.summary}' is itself a taking back. Do the first act again instead.")
    with write(
        verb="take_back", summary=f"took back: {record.summary}", hand=hand, job=record.job, reverses=record
    ) as entry:
        later = standing(record)
        if later is not None:
            raise Conflict(
                f"'{record.summary}' cannot be taken back: '{later.summary}' ({later.who}, "
                f"{timezone.localtime(later.at):%d %b %Y %H:%M}) depends on it. Take that back first."
            )
        changes = list(record.changes.exclude(kind=Change.REFERRED).order_by("-id"))
        _move_back(entry, record)
        _undo_all(entry, changes)
    return entry.record


def standing(record: Record) -> Record | None:
    """Return the newest record that depends on this one, or None when it can be taken back."""
    by_model: dict[str, dict[int, list[Change]]] = {}
    for change in record.changes.exclude(kind=Change.REFERRED):
        by_model.setdefault(change.model, {}).setdefault(change.object_id, []).append(change)
    givers = _only_gave(record) if "Lot" in by_model else frozenset()
    found = [_newest_dependent(record, model, rows, givers) for model, rows in by_model.items()]
    opened = [
        row
        for row, changes in by_model.get("Job", {}).items()
        if any(c.kind == Change.CREATED for c in changes)
    ]
    if opened:
        # Whatever was done in a job leans on the job.
        done = Record.objects.filter(job__in=opened, pk__gt=record.pk, reversed_by=None, reverses=None)
        found.append(done.order_by("-pk").first())
    return max((one for one in found if one is not None), key=lambda one: one.pk, default=None)


def _only_gave(record: Record) -> frozenset[int]:
    """Return the lots from which a record took pieces and to which none came."""
    movements = _movement_model().objects.filter(record=record).values_list("from_lot_id", "to_lot_id")
    gave, got = zip(*movements, strict=True) if movements else ((), ())
    return frozenset(gave) - frozenset(got)


def _newest_dependent(
    record: Record, model: str, rows: dict[int, list[Change]], givers: frozenset[int]
) -> Record | None:
    """Return the newest standing record that touches one of the rows in a way the undoing would disturb."""
    newest: Record | None = None
    keys = list(rows)
    for start in range(0, len(keys), A_BATCH):
        later = (
            Change.objects.filter(model=model, object_id__in=keys[start : start + A_BATCH])
            .filter(record_id__gt=record.pk if newest is None else newest.pk)
            .filter(record__reversed_by=None, record__reverses=None)
            .select_related("record")
            .order_by("-record_id", "-id")
        )
        for other in later:
            if any(_disturbed(change, other, givers) for change in rows[other.object_id]):
                newest = other.record
                break
    return newest


def _disturbed(change: Change, other: Change, givers: frozenset[int]) -> bool:
    if change.kind == Change.MOVED:
        # Pieces do not go back into a lot that was withdrawn since, as an empty one is when it is joined into
        # another; nor out of a lot in which pieces moved since. What was done since with the rest of a lot
        # that they were taken from is not in their way.
        moved_since = other.kind == Change.MOVED and change.object_id not in givers
        return moved_since or "withdrawn" in other.after
    return change.kind == Change.CREATED or bool(set(change.after) & set(other.after))


def _movement_model() -> Any:
    # The ledger sits in the pieces room, above this one; its rows are reached by name only.
    return apps.get_model("workshop", "Movement")


def _move_back(entry: Entry, record: Record) -> None:
    movement_model = _movement_model()
    back = [
        movement_model(
            record=entry.record,
            from_lot_id=movement.to_lot_id,
            from_account=movement.to_account,
            to_lot_id=movement.from_lot_id,
            to_account=movement.from_account,
            count=movement.count,
        )
        for movement in movement_model.objects.filter(record=record).order_by("-id")
    ]
    try:
        with transaction.atomic():
            movement_model.objects.bulk_create(back, batch_size=A_BATCH)
    except IntegrityError as error:
        raise Conflict(
            f"'{record.summary}' cannot be taken back: its pieces are no longer where it put them. "
            "Look at the history of its lots."
        ) from error


def _undo_all(entry: Entry, changes: list[Change]) -> None:
    rows = _rows_of(changes)
    created: dict[type[models.Model], list[models.Model]] = {}
    for change in changes:
        row = rows[change.model, change.object_id]
        if change.kind == Change.MOVED:
            entry.moved(row, before=change.after, after=change.before)
        elif change.kind == Change.CREATED:
            created.setdefault(type(row), []).append(row)
        else:
            _undo_change(entry, row, change)
    for model, made in created.items():
        entry.withdraw_many(model, made)


def _rows_of(changes: list[Change]) -> dict[tuple[str, int], models.Model]:
    keys: dict[str, set[int]] = {}
    for change in changes:
        keys.setdefault(change.model, set()).add(change.object_id)
    rows: dict[tuple[str, int], models.Model] = {}
    for name, wanted in keys.items():
        ordered = sorted(wanted)
        manager = apps.get_model("workshop", name)._default_manager
        for start in range(0, len(ordered), A_BATCH):
            held = manager.select_for_update().filter(pk__in=ordered[start : start + A_BATCH]).order_by("pk")
            rows |= {(name, row.pk): row for row in held}
    return rows


def _undo_change(entry: Entry, row: models.Model, change: Change) -> None:
    now = fields_of(row, change.after)
    if now != change.after:
        changed = ", ".join(sorted(name for name in now if now[name] != change.after.get(name)))
        raise Conflict(f"{change.model} {change.object_id} was changed since ({changed}).")
    columns = {field.attname: field for field in row._meta.concrete_fields}
    entry.change(row, **{name: columns[name].to_python(value) for name, value in change.before.items()})
