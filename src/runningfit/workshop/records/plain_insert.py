"""Storing thousands of rows at once by one bare statement, a fraction of what rows made as objects cost."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection, models


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
    quote = connection.ops.quote_name
    names = ", ".join(quote(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    statement = f"INSERT INTO {quote(model._meta.db_table)} ({names}) VALUES ({places})"  # noqa: S608
    prepared = [
        [field.get_db_prep_save(value, connection) for field, value in zip(fields, row, strict=True)]
        for row in rows
    ]
    if prepared:
        with connection.cursor() as cursor:
            cursor.executemany(statement, prepared)
