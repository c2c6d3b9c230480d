"""A chain as a person writes it in a TOML file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import isfinite
from typing import Any

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.chains.chain import Chain, Contributor, Shape, Shim
from runningfit.core.units import LengthQuestion, LengthUnit, read_length

_NAME = "The chain"
_ENDS = {"lower", "upper", "least", "most", "min", "max"}
_KEYS = {"name", "limits", "unit", "contributor", "contributors", "shim", "gap", *_ENDS}
_ONE_KEYS = {
    "name", "nominal", "value", "plus", "minus", "tolerance", "plus_minus", "factor", "direction", "sign",
    "sensitivity", "shape", "distribution", "u", "gauge", "gauge_u", *_ENDS,
}  # fmt: skip
_SHIM_KEYS = {"name", "factor", "direction", "step", "least", "most", "min", "max"}
_SHAPES = {
    "normal": Shape.NORMAL, "gauss": Shape.NORMAL, "gaussian": Shape.NORMAL, "even": Shape.EVEN,
    "uniform": Shape.EVEN, "rectangular": Shape.EVEN, "triangular": Shape.TRIANGULAR,
}  # fmt: skip
_SIGNED = re.compile(r"\s*(?P<sign>[-+−]?)\s*(?P<size>.+)")


def read_chain(text: str) -> Chain:
    """Read a chain.

    Parameters
    ----------
    text : str
        TOML: `name`, `limits = [0.10, 0.25]`, one `[[contributor]]` a dimension with `name`, `nominal` and
        `tolerance` (or `plus` and `minus`, or `least` and `most`, or `u`), `factor` (1 or -1, other than 1
        where it counts otherwise), `gauge` with `gauge_u` (what all its readings err by alike), `shape`
        (normal, even, triangular; even is the careful one and holds where none is told); `[shim]` with
        `step`, `least`, `most`. Lengths are numbers of mm, or text with a unit.

    Returns
    -------
    Chain
        Gap and contributors.

    Raises
    ------
    InvalidInput
        It is no TOML, a key is not known, or a figure is missing or none.
    """
    import tomllib

    try:
        told = _plain(tomllib.loads(text))
    except tomllib.TOMLDecodeError as refused:
        raise InvalidInput(_NAME, needs="a TOML file", came=str(refused)) from refused
    _known(told, _KEYS, _NAME)
    unit = told.get("unit", "mm")
    if unit not in {"mm", "in"}:
        raise InvalidInput("unit", needs="mm or in", came=unit)
    default = LengthUnit(unit)
    parts = told.get("contributor", told.get("contributors"))
    if not isinstance(parts, list) or not parts or not all(isinstance(part, dict) for part in parts):
        raise InvalidInput(_NAME, needs="at least one [[contributor]]", came="none")
    gap = told.get("gap", told)
    if not isinstance(gap, dict):
        raise InvalidInput("gap", needs="a table with lower and upper", came=str(gap))
    limits = told.get("limits", gap)
    if isinstance(limits, dict):
        limits = [_first(limits, "lower", "min", "least"), _first(limits, "upper", "max", "most")]
    if not isinstance(limits, list) or len(limits) != 2:
        raise InvalidInput("limits", needs="two lengths such as [0.10, 0.25]", came=str(limits))
    lower, upper = (None if one is None else _mm(one, default, "limits") for one in limits)
    return Chain(
        str(told.get("name", gap.get("name", "gap"))),
        tuple(_contributor(part, number, default) for number, part in enumerate(parts, start=1)),
        lower,
        upper,
        _shim(told["shim"], default) if "shim" in told else None,
    )


def _contributor(told: Mapping[str, Any], number: int, unit: LengthUnit) -> Contributor:
    name = str(told.get("name", f"number {number}"))
    where = f"contributor {name}"
    _known(told, _ONE_KEYS, where)
    said = str(told.get("shape", told.get("distribution", "normal" if "u" in told else "even"))).lower()
    if said not in _SHAPES:
        raise InvalidInput(where, needs="a shape: normal, even or triangular", came=said)
    least, most = _first(told, "least", "min", "lower"), _first(told, "most", "max", "upper")
    nominal = _first(told, "nominal", "value")
    if least is not None and most is not None and nominal is None:
        low_mm, high_mm = _mm(least, unit, where), _mm(most, unit, where)
    elif nominal is not None and least is None and most is None:
        size_mm = _mm(nominal, unit, where)
        either = told.get("tolerance", told.get("plus_minus", 0.0))
        if _mm(either, unit, where) < 0:
            raise InvalidInput(where, needs="a tolerance of 0 or more", came=str(either))
        low_mm = size_mm - abs(_mm(told.get("minus", either), unit, where))
        high_mm = size_mm + _mm(told.get("plus", either), unit, where)
    else:
        raise InvalidInput(
            where, needs="a nominal with a tolerance, or least and most", came=", ".join(told) or "nothing"
        )
    factor = _number(_first(told, "factor", "direction", "sign", "sensitivity"), where)
    u_mm = None if "u" not in told else _mm(told["u"], unit, where)
    gauge, gauge_u = str(told.get("gauge", "")), _mm(told.get("gauge_u", 0.0), unit, where)
    return Contributor(name, low_mm, high_mm, factor, _SHAPES[said], u_mm, gauge, gauge_u)


def _shim(told: Any, unit: LengthUnit) -> Shim:
    if not isinstance(told, dict):
        raise InvalidInput("shim", needs="a table with step, least and most", came=str(told))
    _known(told, _SHIM_KEYS, "shim")
    least, most = _first(told, "least", "min"), _first(told, "most", "max")
    if least is None or most is None:
        raise InvalidInput("shim", needs="its thinnest and thickest as least and most", came=", ".join(told))
    factor = _first(told, "factor", "direction")
    return Shim(
        str(told.get("name", "shim")),
        -1.0 if factor is None else _number(factor, "shim"),
        _mm(told.get("step", 0.0), unit, "shim"),
        _mm(least, unit, "shim"),
        _mm(most, unit, "shim"),
    )


def _plain(told: dict[str, Any]) -> dict[str, Any]:
    """The same with keys in small letters and without the `_mm` that says what holds anyway."""
    unit = told.get("unit", "mm")

    def plain(value: Any) -> Any:
        if isinstance(value, list):
            return [plain(inner) for inner in value]
        if not isinstance(value, dict):
            return value
        if unit != "mm" and any(key.endswith("_mm") for key in value):
            raise InvalidInput("unit", needs="mm where keys end in _mm", came=str(unit))
        return {key.lower().removesuffix("_mm"): plain(inner) for key, inner in value.items()}

    read: dict[str, Any] = plain(told)
    return read


def _first(told: Mapping[str, Any], *keys: str) -> Any:
    return next((told[key] for key in keys if key in told), None)


def _known(told: Mapping[str, Any], keys: set[str], where: str) -> None:
    strange = sorted(set(told) - keys)
    if strange:
        raise InvalidInput(where, needs=f"only {', '.join(sorted(keys))}", came=", ".join(strange))


def _number(value: Any, where: str) -> float:
    if value is None:
        return 1.0
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InvalidInput(where, needs="a factor that is a number, such as 1 or -1", came=str(value))
    return float(value)


def _mm(value: Any, unit: LengthUnit, where: str) -> float:
    """A length that may be nothing or negative [mm]."""
    if isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value):
        return value * (25.4 if unit is LengthUnit.INCH else 1.0)
    found = _SIGNED.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        raise InvalidInput(where, needs="a length such as 0.05 or '2 thou'", came=str(value))
    try:
        length = read_length(found["size"], default_unit=unit)
    except InvalidInput as refused:
        raise InvalidInput(where, needs=refused.needs, came=value, remedy=refused.remedy) from refused
    if isinstance(length, LengthQuestion):
        raise InvalidInput(where, needs="a length that reads one way", came=value, remedy=length.question)
    return -length.mm if found["sign"] in {"-", "−"} else length.mm
