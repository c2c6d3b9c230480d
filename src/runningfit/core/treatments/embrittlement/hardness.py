"""How hard steel is, on the scales that testers read, and what one scale says in terms of another."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows
from runningfit.core.units.quantities import MPA_PER_PSI


class HardnessScale(StrEnum):
    """The scales a hardness is read on."""

    HRC = "HRC"
    HRB = "HRB"
    HV = "HV"
    HB = "HB"


@dataclass(frozen=True, slots=True)
class Hardness:
    """A hardness, or the range in which it lies.

    Parameters
    ----------
    low, high : float
        Least and largest, on its own scale; the same where it was measured.
    scale : HardnessScale
        The scale it was read on.
    said : str
        As it is shown: `42 HRC`, `385 to 435 HV`.
    """

    low: float
    high: float
    scale: HardnessScale
    said: str


# Where each scale can be read on steel: Rockwell C from 20, B up to 100 (ASTM E18, from memory).
_RUNS: Mapping[HardnessScale, tuple[float, float]] = {
    HardnessScale.HRC: (20, 68),
    HardnessScale.HRB: (40, 100),
    HardnessScale.HV: (80, 950),
    HardnessScale.HB: (75, 650),
}
_SPELLINGS: Mapping[str, HardnessScale] = {
    **dict.fromkeys(("hrc", "rc", "c", "rockwell c"), HardnessScale.HRC),
    **dict.fromkeys(("hrb", "hrbw", "rb", "b", "rockwell b"), HardnessScale.HRB),
    **dict.fromkeys(("hv", "hv1", "hv5", "hv10", "hv30", "vpn", "vhn", "dpn", "vickers"), HardnessScale.HV),
    **dict.fromkeys(("hb", "hbw", "hbs", "bhn", "brinell"), HardnessScale.HB),
}
_NUMBER = r"[0-9]{1,4}(?:[.,][0-9]{1,2})?"
_RANGE = rf"(?P<low>{_NUMBER})(?:\s*(?:\.\.|to|-|–|…)\s*(?P<high>{_NUMBER}))?"
_BEHIND = re.compile(rf"{_RANGE}\s*(?P<scale>[a-z][a-z ]*[0-9]*)?")
_BEFORE = re.compile(rf"(?P<scale>[a-z][a-z ]*?)\s*{_RANGE}")
_COLUMNS: Mapping[HardnessScale, str] = {
    HardnessScale.HRC: "hrc",
    HardnessScale.HRB: "hrb",
    HardnessScale.HV: "hv",
    HardnessScale.HB: "hbw",
}
_NEEDS = "a number and its scale, such as 42 HRC, 390 HV or 320 HB"


def _refuse(text: str, remedy: str, needs: str = _NEEDS) -> NoReturn:
    raise InvalidInput("hardness", needs=needs, came=text, remedy=remedy)


def read_hardness(text: str) -> Hardness:
    """Read a hardness with its scale: `42 HRC`, `HRC 38..41`, `390 HV10`, `320 HB`, `95 HRB`.

    Parameters
    ----------
    text : str
        What was typed.

    Returns
    -------
    Hardness
        On the scale that was said; nothing is converted yet.

    Raises
    ------
    InvalidInput
        No number, no scale or one not known here, a range the wrong way round, or a number that this scale
        does not have; the scale on which it could be is named.
    """
    plain = " ".join(text.lower().replace("°", "").split())
    found = _BEHIND.fullmatch(plain) or _BEFORE.fullmatch(plain)
    if found is None or len(text) > 40:
        _refuse(text[:40], "Type what the tester reads and the letters of its scale.")
    if not found["scale"]:
        _refuse(text, "A number alone says nothing: write HRC, HRB, HV or HB behind it.")
    scale = _SPELLINGS.get(found["scale"].strip())
    if scale is None:
        _refuse(text, "Scales known here are HRC, HRB, HV and HB: have it measured on one of them.")
    low = float(found["low"].replace(",", "."))
    high = float(found["high"].replace(",", ".")) if found["high"] else low
    if high < low:
        _refuse(text, "The smaller number goes first.")
    least, most = _RUNS[scale]
    for value in (low, high):
        if not least <= value <= most:
            _wrong_scale(text, scale, value)
    said = f"{low:g} {scale}" if high == low else f"{low:g} to {high:g} {scale}"
    return Hardness(low, high, scale, said)


def _wrong_scale(text: str, scale: HardnessScale, value: float) -> NoReturn:
    fitting = [
        str(one) for one, (least, most) in _RUNS.items() if least <= value <= most and one is not scale
    ]
    least, most = _RUNS[scale]
    could = (
        f"{value:g} could be {' or '.join(fitting)}: look at the tester again."
        if fitting
        else "Measure again."
    )
    _refuse(text, could, f"{least:g} to {most:g} on the scale {scale}")


@cache
def _conversion(one: str, other: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    pairs = sorted(
        (float(row[one]), float(row[other]))
        for row in rows("hardness_conversions_collected_2026")
        if row[one] and row[other]
    )
    return tuple(pair[0] for pair in pairs), tuple(pair[1] for pair in pairs)


def _interpolated(value: float, one: str, other: str) -> float | None:
    """Reckon one column from another; none outside the table."""
    given, wanted = _conversion(one, other)
    if not given or not given[0] <= value <= given[-1]:
        return None
    at = max(1, bisect_left(given, value))
    share = (value - given[at - 1]) / (given[at] - given[at - 1])
    return wanted[at - 1] + share * (wanted[at] - wanted[at - 1])


def converted(value: float, scale: HardnessScale, other_scale: HardnessScale) -> float | None:
    """Say on another scale what a hardness of steel is, about.

    Parameters
    ----------
    value : float
        The hardness on its own scale.
    scale, other_scale : HardnessScale
        Its scale, and the other one.

    Returns
    -------
    float or None
        The other number; none where the table does not reach. It is never extended.

    Notes
    -----
    ASTM E140 for non-austenitic steel, from memory, straight between its rows; Rockwell B goes by Vickers.
    """
    if scale is other_scale:
        return value
    one, other = _COLUMNS[scale], _COLUMNS[other_scale]
    if {"hrb", "hrc"} == {one, other}:
        vickers = _interpolated(value, one, "hv")
        return None if vickers is None else _interpolated(vickers, "hv", other)
    return _interpolated(value, one, other)


def tensile_of_hardness_mpa(value: float, scale: HardnessScale) -> float | None:
    """Say about what tensile strength steel of a hardness has.

    Parameters
    ----------
    value : float
        The hardness on its own scale.
    scale : HardnessScale
        Its scale.

    Returns
    -------
    float or None
        The tensile strength [MPa]; none where the table does not reach.

    Notes
    -----
    ASTM A370, from memory; the strengths of 36 and 43 HRC agree with 160 and 200 ksi as QQ-P-416F has them.
    """
    ksi = _interpolated(value, _COLUMNS[scale], "tensile_ksi")
    return None if ksi is None else ksi * 1000 * MPA_PER_PSI
