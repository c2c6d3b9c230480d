"""Queries that are built once: every later call only gives the same SQL other values.

Building a query and turning it into SQL takes about ten times as long as running it, and a page asks a dozen
of the same queries again and again.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cache, wraps
from typing import Any, ParamSpec, TypeVar

from django.core.exceptions import EmptyResultSet
from django.db import connections
from django.db.models import Model, QuerySet

_P = ParamSpec("_P")
_M = TypeVar("_M", bound=Model)
_R = TypeVar("_R")

# Marks stand for the values while the SQL is made; they fit every whole number field, and nobody types them.
_FIRST_MARK = 2_000_000_011
_LARGEST = 2**31 - 1
_LONGEST_LIST = 256


class Limit(int):
    """How many rows at most: a part of the SQL itself, so each limit has a query of its own."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """A query in SQL, and what goes where in it: the value of a number, or a constant of the query itself."""

    rows: QuerySet[Any, Any]
    compiler: Any
    sql: str
    places: tuple[tuple[bool, Any], ...]


def prepared(build: Callable[_P, QuerySet[_M, _R]]) -> Callable[_P, list[_R]]:
    """Make a function that builds a query into one that returns its rows, building it once.

    Parameters
    ----------
    build : callable
        Builds the query of whole numbers, texts and lists of whole numbers, and hands each as it is to an
        exact lookup or an order; None, True, False and a ``Limit`` are parts of the query, which is built for
        each of them. A list narrows the whole query: with an empty one there are no rows.

    Returns
    -------
    callable
        Takes the same values and returns the rows as a list. Where a value can be no parameter of the SQL
        (a list without an end, a pattern), the query is built anew as if this were not here.
    """
    kept_queries: dict[tuple[object, ...], _Kept | None] = {}

    @wraps(build)
    def rows_of(*args: _P.args, **named: _P.kwargs) -> list[_R]:
        flat: list[int | str] = []
        shape: list[object] = [tuple(named)]
        values = (*args, *named.values())
        if [] in values:
            return []
        for value in values:
            if not _shaped(value, shape, flat):
                return list(build(*args, **named))
        key = tuple(shape)
        if key not in kept_queries:
            kept_queries[key] = _keep(build, args, named)
        kept = kept_queries[key]
        return list(build(*args, **named)) if kept is None else _run(kept, flat)

    return rows_of


def _shaped(value: object, shape: list[object], flat: list[int | str]) -> bool:
    """Add a value to the shape and to the flat values; returns whether it can be a parameter."""
    if isinstance(value, bool | Limit) or value is None:
        shape.append((type(value), value))
    elif isinstance(value, str):
        shape.append(str)
        flat.append(value)
    elif isinstance(value, int):
        shape.append(int)
        flat.append(value)
        return -1 <= value <= _LARGEST
    elif isinstance(value, list | tuple):
        padded = _padded(value)
        shape.append(len(padded))
        flat += padded
        return len(padded) <= _LONGEST_LIST and all(0 <= one <= _LARGEST for one in value)
    else:
        return False
    return True


def _padded(values: Sequence[int]) -> list[int]:
    """Repeat the last of a list until it is as long as a power of two, so that few shapes come about."""
    length = 1
    while length < len(values):
        length *= 2
    return [*values, *[values[-1]] * (length - len(values))]


def _keep(build: Callable[..., Any], args: Sequence[Any], named: dict[str, Any]) -> _Kept | None:
    """Build the query with marks for its values and find where they go; None where one is not found again."""
    marks: dict[object, int] = {}

    def mark(value: Any) -> Any:
        if isinstance(value, bool | Limit) or value is None:
            return value
        if isinstance(value, list | tuple):
            return [mark(one) for one in _padded(value)]
        number = _FIRST_MARK + len(marks)
        made: object = f"mark {number}" if isinstance(value, str) else number
        marks[made] = len(marks)
        return made

    marked = [mark(value) for value in args]
    rows = build(*marked, **{name: mark(value) for name, value in named.items()})
    compiler = rows.query.get_compiler(using=rows.db)
    try:
        sql, parameters = compiler.as_sql()
    except EmptyResultSet:
        return None
    places = tuple(
        (True, marks[one]) if isinstance(one, int | str) and one in marks else (False, one)
        for one in parameters
    )
    if {place for taken, place in places if taken} != set(marks.values()):
        return None
    return _Kept(rows, compiler, sql, places)


def _run(kept: _Kept, values: Sequence[int | str]) -> list[Any]:
    """Run a kept query with these values, on this thread's own connection."""
    parameters = tuple(values[place] if taken else place for taken, place in kept.places)
    compiler = copy(kept.compiler)
    compiler.connection = connections[kept.rows.db]
    compiler.as_sql = lambda *_args, **_named: (kept.sql, parameters)
    query = copy(kept.rows.query)
    query.get_compiler = lambda *_args, **_named: compiler  # type: ignore[method-assign]
    rows: QuerySet[Any, Any] = QuerySet(kept.rows.model, query, kept.rows.db)
    for name in ("_iterable_class", "_fields", "_prefetch_related_lookups"):
        setattr(rows, name, getattr(kept.rows, name))
    return list(rows)


def attach(rows: Sequence[Model], *names: str) -> None:
    """Read the rows that these rows point to, once each, and let each row know its own.

    Parameters
    ----------
    rows : sequence of Model
        Rows of one table; a hundred lots share few areas, engines and bags.
    names : str
        The foreign keys to follow.
    """
    for name in names if rows else ():
        field: Any = rows[0]._meta.get_field(name)
        keys = {key for row in rows if (key := getattr(row, field.attname)) is not None}
        found = {one.pk: one for one in _by_key(field.related_model)(sorted(keys))}
        for row in rows:
            field.set_cached_value(row, found.get(getattr(row, field.attname)))


@cache
def _by_key(model: type[Model]) -> Callable[[list[int]], list[Model]]:
    return prepared(lambda keys: model._default_manager.filter(pk__in=keys))
