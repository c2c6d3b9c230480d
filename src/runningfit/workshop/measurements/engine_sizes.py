"""What the arithmetic of an engine needs beside readings: each size as typed, and how sure that makes it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Quantity
from runningfit.core.measurements.sheets.typed_values import read_value
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.workshop.measurements.models import EngineSizes
from runningfit.workshop.measurements.typed import TypedNumber, typed_number
from runningfit.workshop.records.models import Engine
from runningfit.workshop.records.writing import Hand, write

_PLUS_MINUS = re.compile(r"\s*(?:±|\+/-|\+-)\s*")
# Each size by its name on the page, with its column, what it is a value of, and the least and the most that
# any engine has (wide, only to notice a wrong unit; common practice, no source).
SIZES: dict[str, tuple[str, Quantity, float, float]] = {
    "stroke": ("stroke_mm", Quantity.LENGTH, 10.0, 1000.0),
    "rod": ("rod_mm", Quantity.LENGTH, 20.0, 3000.0),
    "gasket": ("gasket_mm", Quantity.LENGTH, 0.0, 10.0),
    "gasket_bore": ("gasket_bore_mm", Quantity.LENGTH, 10.0, 1000.0),
    "deck": ("deck_mm", Quantity.LENGTH, -10.0, 30.0),
    "piston": ("piston_ml", Quantity.VOLUME, -2000.0, 5000.0),
    "chamber": ("chamber_ml", Quantity.VOLUME, 0.1, 20000.0),
    "crevice": ("crevice_ml", Quantity.VOLUME, 0.0, 200.0),
}
# What an engine may not have at all: a nought of these is no reading.
_MAY_LACK = frozenset({"gasket", "piston", "crevice"})
_KINDS = {Quantity.LENGTH: FeatureKind.GAP, Quantity.VOLUME: FeatureKind.VOLUME}


@dataclass(frozen=True, slots=True)
class SaidOfSizes:
    """The sizes of an engine by their names, with the speed [1/min] and the ratio that is wanted."""

    sizes: Mapping[str, TypedNumber] = field(default_factory=dict)
    speed_rpm: float | None = None
    ratio_wanted: float | None = None
    source: str = ""


def typed_size(name: str, text: str, unit: str) -> TypedNumber | None:
    """Read a size of an engine, with a ± behind it where one is told; none where nothing was typed.

    Parameters
    ----------
    name : str
        One of the names of ``SIZES``.
    text : str
        As typed, such as 90.0 mm or 1.2 ± 0.05.
    unit : str
        The shop's unit of a bare length; a bare volume is in ml.

    Raises
    ------
    InvalidInput
        It cannot be read, or no engine has such a size; named as the field is.
    """
    _, quantity, least, most = SIZES[name]
    in_unit = unit if quantity is Quantity.LENGTH else "ml"
    value_text, *doubt_text = _PLUS_MINUS.split(text.strip(), maxsplit=1)
    found = _signed(name, value_text, quantity, in_unit)
    if found is None:
        return None
    called = name.replace("_", " ")
    if not least <= found.value <= most:
        raise InvalidInput(
            called, needs=f"{least:g} to {most:g} {quantity.unit}", came=text.strip(),
            remedy="Check the unit and the decimal point.",
        )  # fmt: skip
    if not doubt_text:
        return found
    doubt = _signed(name, doubt_text[0], quantity, in_unit)
    if doubt is None or doubt.value < 0:
        raise InvalidInput(called, needs="a number behind ±", came=text.strip())
    return TypedNumber(found.value, f"{found.typed} ± {doubt.typed}")


def _signed(name: str, text: str, quantity: Quantity, unit: str) -> TypedNumber | None:
    """Read a length or a volume, nought and negative ones too."""
    called = name.replace("_", " ")
    if quantity is Quantity.LENGTH:
        return typed_number(called, text, unit=unit)
    sign, rest = ("-", text.strip()[1:]) if text.strip().startswith(("-", "−")) else ("", text.strip())
    if re.fullmatch(r"0+([.,]0*)?(\s*(ml|cc))?", rest):
        return TypedNumber(0.0, rest if rest[-1].isalpha() else f"{rest} {unit}")
    found = typed_number(called, rest, unit=unit, kind=_KINDS[quantity])
    if found is None:
        return None
    return TypedNumber(-found.value if sign else found.value, f"{sign}{found.typed}")


def size_measured(sizes: EngineSizes, name: str) -> Measured | None:
    """Return a size with its uncertainty; none where nobody said it.

    A ± is the half-width of what it may be, else half of the last place typed is; evenly likely within both
    (JCGM 100:2008, 4.3.7, from memory).
    """
    column, quantity, _, _ = SIZES[name]
    value: float | None = getattr(sizes, column)
    if value is None:
        return None
    text, *doubt = _PLUS_MINUS.split(sizes.typed.get(name, ""), maxsplit=1)
    unit = quantity.unit
    if value == 0 and name in _MAY_LACK and not doubt:
        return Measured(0.0, 0.0)
    if doubt:
        told = _signed(name, doubt[0], quantity, unit)
        half = told.value if told else 0.0
    else:
        # The last place is the same on either side of nought, which a volume alone may not be.
        shown = "1" + text.lstrip("-− ") if quantity is Quantity.VOLUME else text
        half = read_value(shown, kind=_KINDS[quantity], unit=unit).step / 2 if text else 0.0
    return Measured(value, half / sqrt(3))


def sizes_of_engine(engine: Engine) -> EngineSizes | None:
    """Return what was said of an engine; none where nobody did."""
    return EngineSizes.objects.filter(engine=engine, withdrawn=False).first()


def say_sizes(*, engine: Engine, said: SaidOfSizes, hand: Hand) -> EngineSizes:
    """Keep the sizes of an engine; what was kept before stays in the history.

    Raises
    ------
    InvalidInput
        A speed or a ratio that no engine has, or a gasket bore smaller than a piston could pass.
    """
    if said.speed_rpm is not None and not 10 <= said.speed_rpm <= 20_000:
        raise InvalidInput("speed", needs="10 to 20,000 turns a minute", came=f"{said.speed_rpm:g}")
    if said.ratio_wanted is not None and not 2 <= said.ratio_wanted <= 30:
        raise InvalidInput(
            "ratio wanted", needs="2 to 30", came=f"{said.ratio_wanted:g}", remedy="Write 8.5 for 8.5:1."
        )
    columns: dict[str, object] = {
        column: said.sizes[name].value if name in said.sizes else None for name, (column, *_) in SIZES.items()
    }
    columns |= {"speed_rpm": said.speed_rpm, "ratio_wanted": said.ratio_wanted, "source": said.source.strip()}
    columns["typed"] = {name: one.typed for name, one in said.sizes.items()}
    summary = f"said the sizes of {engine.name}"
    with write(verb="say_sizes", summary=summary, hand=hand, job=engine.job) as entry:
        held = EngineSizes.objects.select_for_update().filter(engine=engine).first()
        if held is None:
            return entry.create(EngineSizes(engine=engine, **columns))
        return entry.change(held, withdrawn=False, **columns)
