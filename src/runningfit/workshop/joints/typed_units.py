"""The unit in which a bare number was understood: it stays the same size when the shop's unit changes."""

from __future__ import annotations

import re
from collections.abc import Mapping

from runningfit.core.errors import InvalidInput
from runningfit.core.units import LengthQuestion, LengthUnit, TorqueUnit, read_length, read_torque

# The key, among what was typed, of the unit in which bare numbers were understood.
UNIT = "unit"
_PLUS_MINUS = re.compile(r"(\s*(?:±|\+/-|\+-)\s*)")
_TORQUES = frozenset({"torque", "prevailing"})
_HAS_NO_UNIT = frozenset({"damaged_turns", "scatter", "wanted_clamp", UNIT})


def bare_torque(unit: LengthUnit) -> TorqueUnit:
    """Return the unit of a bare torque: lbf ft in a shop of inches, N m in one of millimetres."""
    return TorqueUnit.LBF_FT if unit is LengthUnit.INCH else TorqueUnit.NM


def with_unit_kept(typed: Mapping[str, object], unit: LengthUnit) -> dict[str, object]:
    """Return what was typed with the unit of its bare numbers; without one where none is bare."""
    bare = any(said_with_unit(name, str(text), unit) != text for name, text in typed.items())
    return {**typed, UNIT: unit.value} if bare else dict(typed)


def shown(typed: Mapping[str, str], name: str, unit: LengthUnit) -> str:
    """Return what was typed as a form shows it: with its unit, where the shop's is another by now."""
    text = typed.get(name, "")
    understood = typed.get(UNIT, unit.value)
    return text if understood == unit.value else said_with_unit(name, text, LengthUnit(understood))


def said_with_unit(name: str, text: str, unit: LengthUnit) -> str:
    """Return a length, a diameter with its ±, or a torque with its unit, where it is a bare number.

    Parameters
    ----------
    name : str
        What it is called where it is typed.
    unit : LengthUnit
        In which a bare number is understood.
    """
    if name in _HAS_NO_UNIT or not text.strip():
        return text
    if name in _TORQUES:
        other = LengthUnit.MM if unit is LengthUnit.INCH else LengthUnit.INCH
        own, others = (read_torque(text, default_unit=bare_torque(one)).torque_nm for one in (unit, other))
        words = "lbf ft" if bare_torque(unit) is TorqueUnit.LBF_FT else "N m"
        return text if own == others else f"{text.strip()} {words}"
    parts = _PLUS_MINUS.split(text)
    return "".join(part if at % 2 else _length(part, unit) for at, part in enumerate(parts))


def _length(text: str, unit: LengthUnit) -> str:
    try:
        inch, mm = (read_length(text, default_unit=one) for one in (LengthUnit.INCH, LengthUnit.MM))
    except InvalidInput:
        # Nothing, or none: the same in every unit.
        return text
    if isinstance(inch, LengthQuestion) or isinstance(mm, LengthQuestion) or inch.mm == mm.mm:
        return text
    return f"{text.rstrip()} {unit.value}"
