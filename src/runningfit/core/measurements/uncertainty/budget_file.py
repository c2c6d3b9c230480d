"""Budgets as people write them down: a TOML text with the model and, for each input, where it comes from."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from math import inf, isfinite
from typing import NoReturn
from unicodedata import normalize

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.inputs import (
    Budget,
    Correlation,
    Input,
    Part,
    Shape,
    dof_of_doubt,
    half_width_u,
)
from runningfit.core.measurements.uncertainty.measured import correlation_of_readings, mean_of_readings

_SOURCES = ("u", "half_width", "resolution", "expanded")
_OF_PART = {*_SOURCES, "k", "shape", "top", "dof", "doubt", "from"}
_OF_INPUT = {*_OF_PART, "value", "readings", "parts"}
_OF_BUDGET = {"model", "unit", "coverage", "inputs", "correlations", "together"}
_MOST_INPUTS, _LONGEST = 100, 200_000


def read_budget(text: str) -> Budget:
    """Read a budget.

    Parameters
    ----------
    text : str
        TOML: `model`, `coverage` (0.95 where it is not told), `unit`, a table `inputs.NAME` for each input,
        `correlations` (each `between` two inputs with its `r`), and `together`: the lists of inputs whose
        readings were taken together, whose correlation follows from the readings. An input has a `value` or
        `readings`, and one of `u`, `half_width` with a `shape`, `resolution`, or `expanded` with its `k`;
        several of these stand as `parts`. `dof` or `doubt` says how sure the uncertainty itself is; `from`
        says where it comes from.

    Returns
    -------
    Budget
        As it was told.

    Raises
    ------
    InvalidInput
        It is no TOML, an entry is missing, unknown, twice told or no number.
    """
    if len(text) > _LONGEST:
        _refuse(
            "a budget of at most 200 000 characters", f"{len(text)}", "Leave out what the model does not use."
        )
    try:
        told = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InvalidInput(
            "budget", needs="TOML: name = value, and [inputs.NAME] above each input", came=str(error)
        ) from error
    _only(told, _OF_BUDGET, "budget")
    model = told.get("model")
    if not isinstance(model, str):
        _refuse('the line model = "…" with the formula', model, 'Such as model = "a + b".')
    tables = told.get("inputs")
    if not isinstance(tables, dict) or not 0 < len(tables) <= _MOST_INPUTS:
        _refuse(f"1 to {_MOST_INPUTS} tables [inputs.NAME]", "none" if not tables else "too many")
    # A formula's names are read in this form, in which both signs for a micro are one.
    inputs = tuple(_input(normalize("NFKC", name), table) for name, table in tables.items())
    coverage = _number(told, "coverage", "budget", 0.95)
    unit = told.get("unit", "")
    if not isinstance(unit, str):
        _refuse("the unit as text", unit)
    return Budget(model, inputs, (*_correlations(told), *_together(told, inputs)), coverage, unit)


def _refuse(needs: str, came: object, remedy: str = "", where: str = "budget") -> NoReturn:
    raise InvalidInput(where, needs=needs, came="" if came is None else str(came), remedy=remedy)


def _only(table: Mapping[str, object], known: set[str], where: str) -> None:
    unknown = [name for name in table if name not in known]
    if unknown:
        _refuse(f"only {', '.join(sorted(known))}", ", ".join(unknown), "Check the spelling.", where)


def _number(table: Mapping[str, object], key: str, where: str, otherwise: float | None = None) -> float:
    found = table.get(key, otherwise)
    if isinstance(found, bool) or not isinstance(found, int | float) or not isfinite(found):
        _refuse(f"a number for {key}", found, where=where)
    return float(found)


def _input(name: str, table: object) -> Input:
    where = f"input {name}"
    if isinstance(table, int | float) and not isinstance(table, bool):
        return Input(name, float(table))
    if not isinstance(table, dict):
        _refuse("a number, or a table with its value and uncertainty", table, where=where)
    _only(table, _OF_INPUT, where)
    readings = _readings(table, where)
    if readings and "value" in table:
        _refuse("either value or readings", "both", "The value is the mean of the readings.", where)
    parts = _parts(table, where)
    if readings:
        mean = mean_of_readings(readings)
        if mean.u == 0 and not parts:
            _refuse(
                "readings that differ, or a part for the gauge",
                f"{len(readings)} readings that are all equal",
                "The gauge cannot see the scatter: add resolution = its smallest step.",
                where,
            )
        return Input(name, mean.value, (Part(mean.u, mean.dof), *parts), readings)
    return Input(name, _number(table, "value", where), parts)


def _readings(table: Mapping[str, object], where: str) -> tuple[float, ...]:
    told = table.get("readings", [])
    if not isinstance(told, list):
        _refuse("readings = [ … ]", told, where=where)
    return tuple(_number({"readings": one}, "readings", where) for one in told)


def _parts(table: Mapping[str, object], where: str) -> tuple[Part, ...]:
    own = _part(table, where)
    told = table.get("parts", [])
    if not isinstance(told, list) or not all(isinstance(one, dict) for one in told):
        _refuse("parts = [ { … }, { … } ]", told, where=where)
    found = [own] if own else []
    for number, one in enumerate(told, start=1):
        of_part = f"{where}, part {number}"
        _only(one, _OF_PART, of_part)
        part = _part(one, of_part)
        if part is None:
            _refuse(f"one of {', '.join(_SOURCES)}", "none of them", where=of_part)
        found.append(part)
    return tuple(found)


def _part(table: Mapping[str, object], where: str) -> Part | None:
    """One source of uncertainty; none where the table tells of none."""
    told = [key for key in _SOURCES if key in table]
    if not told:
        idle = [key for key in ("k", "shape", "top", "dof", "doubt") if key in table]
        if idle:
            _refuse(f"one of {', '.join(_SOURCES)} beside {idle[0]}", "none of them", where=where)
        return None
    if len(told) > 1:
        _refuse(f"one of {', '.join(_SOURCES)}", " and ".join(told), "Write several as parts.", where)
    size = _number(table, told[0], where)
    if size <= 0:
        _refuse(
            f"{told[0]} of more than nothing", f"{size:g}",
            "Nothing is known exactly; leave the line out for a constant.", where,
        )  # fmt: skip
    dof, shape, top = _dof(table, where), _shape(table, told[0], where), _number(table, "top", where, 0.0)
    if top and shape is not Shape.TRAPEZOIDAL:
        _refuse("top only with a trapezoidal shape", str(shape), where=where)
    if told[0] == "expanded":
        k = _number(table, "k", where)
        if k <= 0:
            _refuse("k of more than nothing", f"{k:g}", "It stands on the certificate, mostly 2.", where)
        return Part(size / k, dof, shape, top)
    if "k" in table:
        _refuse("k only beside expanded", told[0], where=where)
    if told[0] == "u":
        return Part(size, dof, shape, top)
    half = size / 2 if told[0] == "resolution" else size
    return Part(half_width_u(half, shape, top), dof, shape, top)


def _dof(table: Mapping[str, object], where: str) -> float:
    if "dof" in table and "doubt" in table:
        _refuse("either dof or doubt", "both", where=where)
    if "doubt" in table:
        return dof_of_doubt(_number(table, "doubt", where))
    return _number(table, "dof", where) if "dof" in table else inf


def _shape(table: Mapping[str, object], source: str, where: str) -> Shape:
    told = table.get("shape")
    if told is None:
        if source == "half_width":
            _refuse(
                "a shape beside half_width",
                None,
                'Write shape = "rectangular" where nothing more is known.',
                where,
            )
        return Shape.RECTANGULAR if source == "resolution" else Shape.NORMAL
    known = {str(shape): shape for shape in Shape}
    if not isinstance(told, str) or told.lower() not in known:
        _refuse(f"a shape: {', '.join(known)}", told, where=where)
    return known[told.lower()]


def _correlations(told: Mapping[str, object]) -> list[Correlation]:
    listed = told.get("correlations", [])
    if not isinstance(listed, list):
        _refuse("[[correlations]] with between and r", listed)
    found = []
    for one in listed:
        pair = one.get("between") if isinstance(one, dict) else None
        if not isinstance(pair, list) or len(pair) != 2 or not all(isinstance(name, str) for name in pair):
            _refuse('between = ["a", "b"] in each of correlations', pair)
        _only(one, {"between", "r", "from"}, "correlations")
        first, second = (normalize("NFKC", name) for name in pair)
        found.append(Correlation(first, second, _number(one, "r", "correlations")))
    return found


def _together(told: Mapping[str, object], inputs: tuple[Input, ...]) -> list[Correlation]:
    """The correlations of the means of readings that were taken together."""
    listed = told.get("together", [])
    if not isinstance(listed, list) or not all(
        isinstance(group, list) and all(isinstance(name, str) for name in group) for group in listed
    ):
        _refuse('together = [["a", "b"]]', listed)
    by_name = {one.name: one for one in inputs}
    found = []
    for told_group in listed:
        group = [normalize("NFKC", name) for name in told_group]
        for place, second in enumerate(group):
            if second not in by_name or not by_name[second].readings:
                _refuse("together only of inputs with readings", second)
            one = by_name[second]
            if len(one.parts) > 1:
                _refuse(
                    "no further part in inputs taken together", second, "Make the part an input of its own."
                )
            found += [
                Correlation(first, second, correlation_of_readings(by_name[first].readings, one.readings))
                for first in group[:place]
            ]
    return found
