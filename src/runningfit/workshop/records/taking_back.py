"""Taking a change back by a reversing entry, refused with the name of what depends on it."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.db import models

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.records.models import Change, Record
from runningfit.workshop.records.writing import Entry, Hand, fields_of, write


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
    if record.reverses_id is not None:
        raise Conflict(f"'{record.summary}' is itself a taking back. Do the first act again instead.")
    _refuse_twice(record)
    with write(
        verb="take_back", summary=f"took back: {record.summary}", hand=hand, job=record.job, reverses=record
    ) as entry:
        changes = list(record.changes.order_by("-id"))
        _refuse_if_leaned_on(record, changes)
        _move_back(entry, record)
        for change in changes:
            _undo(entry, change)
    return entry.record


def _refuse_twice(record: Record) -> None:
    if Record.objects.filter(reverses=record).exists():
        raise Conflict(f"'{record.summary}' was already taken back.")


def standing(record: Record) -> Record | None:
    """Return the first later record that depends on this one, or None when it can be taken back."""
    for change in record.changes.all():
        later = _later_dependent(record, change)
        if later is not None:
            return later
    return None


def _refuse_if_leaned_on(record: Record, changes: list[Change]) -> None:
    for change in changes:
        later = _later_dependent(record, change)
        if later is not None:
            raise Conflict(
                f"'{record.summary}' cannot be taken back: '{later.summary}' ({later.who}, "
                f"{later.at:%d %b %Y %H:%M}) depends on it. Take that back first."
            )


def _later_dependent(record: Record, change: Change) -> Record | None:
    """Return a later standing record that touches the row in a way the undoing would disturb."""
    if change.kind == Change.REFERRED:
        return None
    later = (
        Change.objects.filter(model=change.model, object_id=change.object_id, record_id__gt=record.pk)
        .filter(record__reversed_by__isnull=True, record__reverses__isnull=True)
        .select_related("record")
        .order_by("-id")
    )
    for other in later:
        if (
            change.kind == Change.CREATED
            or (change.kind == Change.MOVED and other.kind == Change.MOVED)
            or set(change.after) & set(other.after)
        ):
            return other.record
    return None


def _move_back(entry: Entry, record: Record) -> None:
    # The ledger sits in the pieces room, above this one; its rows are reached by name only.
    movement_model: Any = apps.get_model("workshop", "Movement")
    for movement in movement_model.objects.filter(record=record).order_by("-id"):
        movement_model.objects.create(
            record=entry.record,
            from_lot_id=movement.to_lot_id,
            from_account=movement.to_account,
            to_lot_id=movement.from_lot_id,
            to_account=movement.from_account,
            count=movement.count,
        )


def _undo(entry: Entry, change: Change) -> None:
    if change.kind == Change.REFERRED:
        return
    model: type[models.Model] = apps.get_model("workshop", change.model)
    row = model._default_manager.select_for_update().get(pk=change.object_id)
    if change.kind == Change.MOVED:
        entry.moved(row, before=change.after, after=change.before)
        return
    if change.kind == Change.CREATED:
        entry.change(row, withdrawn=True)
        return
    now = fields_of(row, change.after)
    if now != change.after:
        changed = ", ".join(sorted(name for name in now if now[name] != change.after.get(name)))
        raise Conflict(f"{change.model} {change.object_id} was changed since ({changed}).")
    columns = {field.attname: field for field in row._meta.concrete_fields}
    entry.change(row, **{name: columns[name].to_python(value) for name, value in change.before.items()})
