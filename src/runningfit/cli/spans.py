"""What is told as two ends: limits such as `0.05..0.10mm` or `..0.15mm`, temperatures such as `80..100C`."""

from __future__ import annotations

import re

from runningfit.core.errors import InvalidInput

_ENDS = re.compile(r"(?P<low>.*?)\s*(?:\.\.+|…|\bto\b)\s*(?P<high>.*)")
_BARE = re.compile(r"[-+]?\s*[0-9]*[.,]?[0-9]+")
_UNIT = re.compile(r"[-+]?[0-9.,\s]*(?P<unit>[^0-9.,\s].*)")


def two_ends(text: str, name: str, example: str) -> tuple[str | None, str | None]:
    """Both ends as written, the unit of the second one with the first; none where one is left open."""
    found = _ENDS.fullmatch(text.strip())
    if found is None or not (found["low"] or found["high"]):
        raise InvalidInput(name, needs=f"two ends such as {example}", came=text)
    low, high = found["low"].strip(), found["high"].strip()
    unit = _UNIT.fullmatch(high)
    if low and unit and _BARE.fullmatch(low):
        low = f"{low} {unit['unit']}"
    return low or None, high or None


def length_limits(text: str, name: str) -> tuple[float | None, float | None]:
    """The least and the largest length [mm], each none where it is left open; less than nothing may be."""
    from runningfit.core.units.lengths import read_offset

    def end(written: str | None) -> float | None:
        if written is None:
            return None
        try:
            return read_offset(written, default_unit=None)
        except InvalidInput as refused:
            raise InvalidInput(
                name, needs="two lengths such as 0.05..0.10mm, or one end such as ..0.15mm", came=text,
                remedy=refused.remedy,
            ) from refused  # fmt: skip

    low, high = (end(one) for one in two_ends(text, name, "0.05..0.10mm"))
    return low, high


def temperature_span(text: str) -> tuple[float, float]:
    """The least and the largest temperature [°C]; alike where one was told."""
    from runningfit.core.units.quantities import read_temperature

    if ".." not in text and "…" not in text and " to " not in text:
        one = read_temperature(text, default_unit=None).temperature_c
        return one, one
    low, high = two_ends(text, "temperature", "80..100C")
    if low is None or high is None:
        raise InvalidInput("temperature", needs="both ends, such as 80..100C", came=text)
    return (
        read_temperature(low, default_unit=None).temperature_c,
        read_temperature(high, default_unit=None).temperature_c,
    )
