"""Storing thousands of rows at once, a fraction of what it costs to store them one by one as objects."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from operator import itemgetter
from typing import Any

from django.db import connection, models

# Values of these types are what the database takes already; everything else is prepared by its field.
_TAKEN_AS_THEY_ARE: tuple[tuple[type[models.Field[Any, Any]], type], ...] = (
    (models.CharField, str),
    (models.TextField, str),
    (models.IntegerField, int),
    (models.FloatField, float),
    (models.BooleanField, bool),
)


def insert_plainly(model: type[models.Model], columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    """Insert rows of a table that nobody needs back as objects.

    Parameters
    ----------
    model : type of Model
        Whose table.
    columns : sequence of str
        Its columns by attribute name, such as ``record_id``; every column without a default of the database.
    rows : iterable of sequence
        The values in the order of the columns.
    """
    fields = [next(one for one in model._meta.concrete_fields if one.attname == name) for name in columns]
    by_column = list(zip(*rows, strict=True))
    if not by_column:
        return
    prepared = [_prepared(field, values) for field, values in zip(fields, by_column, strict=True)]
    quote = connection.ops.quote_name
    table = quote(model._meta.db_table)
    names = ", ".join(quote(str(field.column)) for field in fields)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with (
                connection.wrap_database_errors,
                cursor.copy(f"COPY {table} ({names}) FROM STDIN") as copy,
            ):
                for row in zip(*prepared, strict=True):
                    copy.write_row(row)
        else:
            places = ", ".join(["%s"] * len(fields))
            statement = f"INSERT INTO {table} ({names}) VALUES ({places})"  # noqa: S608
            cursor.executemany(statement, list(zip(*prepared, strict=True)))


def insert_objects(rows: Sequence[models.Model]) -> None:
    """Store new rows of one table, each with a fresh id; what they name must be stored already.

    Nothing is computed on the way: no ``save`` runs, and a moment that a field would set itself is not set.

    Parameters
    ----------
    rows : sequence of Model
        All of one model, none of them stored yet. The writer's transaction must be open.
    """
    if not rows:
        return
    model = type(rows[0])
    names = [field.attname for field in model._meta.concrete_fields]
    for row, key in zip(rows, _fresh_keys(model, len(rows)), strict=True):
        row.pk = key
    insert_plainly(model, names, map(itemgetter(*names), map(vars, rows)))
    for row in rows:
        row._state.adding = False
        row._state.db = connection.alias


def _fresh_keys(model: type[models.Model], count: int) -> Sequence[int]:
    """Return ids that no row of the table ever had; nobody else takes them while the transaction is open."""
    table = model._meta.db_table
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval(pg_get_serial_sequence(%s, %s)) FROM generate_series(1, %s)",
                [connection.ops.quote_name(table), model._meta.pk.column, count],
            )
            return [key for (key,) in cursor.fetchall()]
        cursor.execute("SELECT seq FROM sqlite_sequence WHERE name = %s", [table])
        newest = cursor.fetchone()
    first = (newest[0] if newest else 0) + 1
    return range(first, first + count)


def _prepared(field: models.Field[Any, Any], values: Sequence[Any]) -> Sequence[Any]:
    """Return the values of one column as the database takes them."""
    if set(map(type, values)) <= _taken_as_they_are(field):
        return values
    return [field.get_db_prep_save(value, connection) for value in values]


@cache
def _taken_as_they_are(field: models.Field[Any, Any]) -> frozenset[type]:
    told_by = field.target_field if isinstance(field, models.ForeignKey) else field
    kinds = {kind for sort, kind in _TAKEN_AS_THEY_ARE if isinstance(told_by, sort)}
    return frozenset({*kinds, type(None)}) if kinds else frozenset()
