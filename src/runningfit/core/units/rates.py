"""The rate of a spring as makers give it: `9.5 N/mm`, `180 lb/in`."""

from __future__ import annotations

import re
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.units.lengths import MM_PER_INCH
from runningfit.core.units.quantities import NEWTON_PER_KGF, NEWTON_PER_LBF
from runningfit.core.units.spoken import in_figures

_N_PER_MM = {
    "n/mm": 1.0,
    "n/cm": 0.1,
    "kn/m": 1.0,
    "n/m": 0.001,
    "lbf/in": NEWTON_PER_LBF / MM_PER_INCH,
    "kgf/mm": NEWTON_PER_KGF,
    "kgf/cm": NEWTON_PER_KGF / 10,
}
_RATE = re.compile(r"(?P<value>[0-9]{1,6}(?:[.,][0-9]{1,6})?|[.,][0-9]{1,6})\s*(?P<unit>[a-z][a-z ./]*)")
_FORCE_WORDS = {"lb": "lbf", "lbs": "lbf", "kg": "kgf", "kp": "kgf"}
_LENGTH_WORDS = {"inch": "in", "ins": "in", "in.": "in"}


@dataclass(frozen=True, slots=True)
class Rate:
    """The rate of a spring beside what was typed.

    Parameters
    ----------
    rate_n_per_mm : float
        The rate [N/mm].
    typed : str
        What was typed.
    """

    rate_n_per_mm: float
    typed: str


def read_rate(text: str) -> Rate:
    """Read the rate of a spring, which is never bare: a number means another rate in each unit.

    Parameters
    ----------
    text : str
        `9.5 N/mm`, `180 lb/in`, `180 lbf per inch`, `0.95 kgf/mm`.

    Returns
    -------
    Rate
        The rate [N/mm].

    Raises
    ------
    InvalidInput
        It is no rate, has no unit, or is not more than nothing.
    """
    found = _RATE.fullmatch(" ".join(in_figures(text).lower().split()))
    unit = ""
    if found is not None:
        over, _, under = re.sub(r"\s*(?:/|\bper\b)\s*", "/", found["unit"].strip()).partition("/")
        unit = f"{_FORCE_WORDS.get(over, over)}/{_LENGTH_WORDS.get(under, under)}"
    if found is None or unit not in _N_PER_MM:
        raise InvalidInput(
            "rate", needs="a number with its unit, such as 9.5 N/mm or 180 lb/in", came=text,
            remedy=f"Write the unit: {', '.join(('N/mm', 'lbf/in', 'kgf/mm'))}.",
        )  # fmt: skip
    value = float(found["value"].replace(",", ".")) * _N_PER_MM[unit]
    if value <= 0:
        raise InvalidInput("rate", needs="more than nothing", came=text, remedy="Look at the page again.")
    return Rate(value, text)
