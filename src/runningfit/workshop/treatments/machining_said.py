"""What is said of the machining of a set, read as it was typed: steps, prices, what must be left."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.sheets.typed_values import read_value
from runningfit.core.treatments.machining.told_sides import read_offsets, read_one_sided
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.measurements.typed import TypedNumber, typed_number
from runningfit.workshop.outside_work.services import LARGEST_AMOUNT
from runningfit.workshop.treatments.models import AXES

# No step of an engine is larger (common practice, no source): ten thou typed as 10 in is noticed by it.
_LARGEST_STEP_MM = 4.0
_FINE = ("hone", "centring", "tolerance", "finished_clearance")
_MOST_STEPS = 12
_UNIT_BEHIND = re.compile(r"\d\s*(mm|thou|inches|inch|in|\"|″)\s*$", re.IGNORECASE)
_LENGTHS = ("hone", "centring", "most_step", "wall_left", "hard_left", "finished_clearance", "tolerance")


@dataclass(frozen=True, slots=True)
class SaidOfMachining:
    """What is said of the machining of a set; figures as typed, what is blank is not known.

    ``steps`` is a row such as 0.25, 0.50, 0.75 mm, ``parts`` the price of the parts of one feature for each
    of them, or one for all. ``wall`` and ``hard_layer`` are what is there, 4.2 ± 0.1 mm. ``offsets`` are how
    far worn middles lie off the old axis: 3: 0.04 ± 0.01 mm at 90°; 1: 0.02. ``one_sided`` is how one-sided
    such engines wear, 40 ± 15 %. ``unit`` is that of a bare figure.
    """

    unit: str
    steps: str = ""
    parts: str = ""
    hone: str = ""
    axis: str = "unknown"
    most_step: str = ""
    wall: str = ""
    wall_left: str = ""
    hard_layer: str = ""
    hard_left: str = ""
    offsets: str = ""
    one_sided: str = ""
    centring: str = ""
    own_step_each: bool = False
    parts_before: bool = False
    price_each: Decimal | None = None
    price_visit: Decimal | None = None
    price_reading: Decimal | None = None
    price_last_resort: Decimal | None = None
    last_resort: str = ""
    finished_clearance: str = ""
    tolerance: str = ""
    surface: str = ""
    keep: str = ""
    measure_after: str = ""
    source: str = ""


def columns_of(feature_set: FeatureSet, said: SaidOfMachining) -> dict[str, object]:
    """Return what is said as columns of a plan, each figure checked.

    Raises
    ------
    InvalidInput
        Named as the field is: no step, steps that are too large or not in their order, prices that do not go
        with the steps, a figure that cannot be read, limits that contradict each other.
    """
    if said.axis not in dict(AXES):
        raise InvalidInput("axis", needs=f"one of {', '.join(dict(AXES).values())}", came=said.axis)
    steps = _steps(said, feature_set)
    lengths = {
        name: typed_number(name, getattr(said, name), unit=said.unit, kind=FeatureKind.LENGTH)
        for name in _LENGTHS
    }
    if " ".join(said.hone.split()).lower() in _NOUGHTS:
        lengths["hone"] = TypedNumber(0.0, said.hone.strip())
    layers = {name: _layer(name, getattr(said, name), said.unit) for name in ("wall", "hard_layer")}
    _check(said, steps, lengths, layers)
    typed = {name: one.typed for name, one in lengths.items() if one is not None}
    typed |= {name: one[2] for name, one in layers.items() if one is not None}
    typed["steps"] = ", ".join(one.typed for one in steps)
    typed["parts"] = " ".join(said.parts.split())
    offsets = _offsets(feature_set, said)
    typed["offsets"] = "; ".join(f"{name}: {one[-1]}" for name, one in offsets.items())
    prices = _parts(said.parts, len(steps))
    return {
        "steps": [
            {"step_mm": one.value, "parts": None if price is None else float(price)}
            for one, price in zip(steps, prices, strict=True)
        ],
        "axis": said.axis,
        "offsets": {name: list(one[:-1]) for name, one in offsets.items()},
        "one_sided": _one_sided(said.one_sided),
        "own_step_each": said.own_step_each,
        "parts_before": said.parts_before,
        **{name: getattr(said, name).strip() for name in _WORDS},
        **{name: _amount(name, getattr(said, name)) for name in _AMOUNTS},
        **{column: one.value if (one := lengths[name]) else None for name, column in _COLUMNS.items()},
        **_layer_columns(layers),
        "typed": typed,
    }


_NOUGHTS = ("0", "0 mm", "0 in", "0.0", "0.00", "none")
_WORDS = ("last_resort", "surface", "keep", "measure_after", "source")
_AMOUNTS = ("price_each", "price_visit", "price_reading", "price_last_resort")
_COLUMNS = {
    "hone": "hone_mm",
    "centring": "centring_mm",
    "most_step": "most_step_mm",
    "wall_left": "wall_left_mm",
    "hard_left": "hard_left_mm",
    "finished_clearance": "finished_clearance_mm",
    "tolerance": "target_tolerance_mm",
}
_Layer = tuple[float, float, str]
_Side = tuple[float, float, str] | tuple[float, float, float, str]


def _layer_columns(layers: dict[str, _Layer | None]) -> dict[str, object]:
    found: dict[str, object] = {}
    for name, one in layers.items():
        found[f"{name}_mm"] = one[0] if one else None
        found[f"{name}_u_mm"] = one[1] if one else None
    return found


def _steps(said: SaidOfMachining, feature_set: FeatureSet) -> list[TypedNumber]:
    """Read the steps; a unit behind the last one is that of all."""
    written = " ".join(said.steps.split())
    kind = "oversizes" if feature_set.kind == FeatureKind.BORE.value else "undersizes"
    if not written:
        raise InvalidInput("steps", needs=f"the {kind} that can be had", came="",
                           remedy="Such as 0.25, 0.50, 0.75, 1.00 mm.")  # fmt: skip
    behind = _UNIT_BEHIND.search(written)
    unit = behind[1] if behind else said.unit
    parts = [part.strip() for part in re.split(r";|,\s+" if re.search(r"[;]|,\s", written) else r"[,\s]+",
                                               written) if part.strip()]  # fmt: skip
    if behind and parts and parts[-1] == behind[1]:
        parts.pop()
    if not 1 <= len(parts) <= _MOST_STEPS:
        raise InvalidInput("steps", needs=f"1 to {_MOST_STEPS} of them", came=f"{len(parts)}")
    found = []
    for part in parts:
        bare = part if re.search(r"[A-Za-z\"″]", part) else f"{part} {unit}"
        one = typed_number("steps", bare, unit=said.unit, kind=FeatureKind.LENGTH)
        assert one is not None
        found.append(TypedNumber(round(one.value, 6), one.typed))
    values = [one.value for one in found]
    if max(values) > _LARGEST_STEP_MM:
        raise InvalidInput(
            "steps", needs=f"{kind} on diameter of at most {_LARGEST_STEP_MM:g} mm", came=written,
            remedy="Say the unit behind them: mm, in or thou.",
        )  # fmt: skip
    if values != sorted(set(values)):
        raise InvalidInput("steps", needs="each once, from the least to the largest", came=written)
    return found


def _parts(written: str, count: int) -> list[Decimal | None]:
    """Read the price of the parts for each step: one for all, or one for each; a dash where none is known."""
    written = " ".join(written.split())
    if not written:
        return [None] * count
    pieces = re.split(r";\s*|,\s+|\s+" if not re.fullmatch(r"[\d.,-]+", written) else r",(?=\d{3,}|-)|\s+",
                      written)  # fmt: skip
    prices: list[Decimal | None] = []
    for piece in (one.strip().lstrip("£$€") for one in pieces):
        if not piece:
            continue
        if piece in ("-", "–", "?"):
            prices.append(None)
            continue
        try:
            amount = Decimal(piece.replace(",", "."))
        except InvalidOperation as error:
            raise InvalidInput("parts", needs="prices, such as 180, 180, 195, 195", came=written) from error
        prices.append(_amount("parts", amount))
    if len(prices) == 1:
        return prices * count
    if len(prices) != count:
        raise InvalidInput(
            "parts", needs=f"one price for all steps, or {count}, one for each", came=f"{len(prices)}",
            remedy="Put a dash where the parts cannot be had at a known price.",
        )  # fmt: skip
    return prices


def _amount(name: str, amount: Decimal | None) -> Decimal | None:
    if amount is None:
        return None
    if not amount.is_finite() or not 0 <= amount <= LARGEST_AMOUNT:
        raise InvalidInput(name, needs="an amount of 0 or more", came=str(amount))
    return amount


def _one_sided(text: str) -> str:
    """Keep what is said of one-sided wear as it was typed, once it can be read."""
    try:
        read_one_sided(text)
    except InvalidInput as error:
        raise InvalidInput("one_sided", needs=error.needs, came=text, remedy=error.remedy) from error
    return " ".join(text.split())


def _offsets(feature_set: FeatureSet, said: SaidOfMachining) -> dict[str, _Side]:
    """Read how far worn middles lie off the old axis, and to which side, each behind its feature's name."""
    known = set(feature_set.features.filter(withdrawn=False).values_list("name", flat=True))
    found: dict[str, _Side] = {}
    for name, (size, towards) in read_offsets(said.offsets, known).items():
        one = _layer("offsets", size, said.unit, kind=FeatureKind.GAP)
        if one is None or one[0] > _LARGEST_STEP_MM / 2:
            raise InvalidInput("offsets", needs="a few hundredths of a millimetre", came=size)
        found[name] = one if towards is None else (*one[:2], towards, f"{one[2]} at {towards:g}°")
    return found


def _layer(name: str, text: str, unit: str, *, kind: FeatureKind = FeatureKind.LENGTH) -> _Layer | None:
    """Read a size with its doubt: half of what stands behind ±, else the last place typed."""
    written = " ".join(text.split())
    if not written:
        return None
    size, sign, doubt = written.partition("±")
    behind = _UNIT_BEHIND.search(written)
    own = behind[1] if behind else unit
    first = size.strip() if re.search(r"[A-Za-z\"″]", size) else f"{size.strip()} {own}"
    try:
        found = read_value(first, kind=kind, unit=unit)
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=written, remedy=error.remedy) from error
    u = found.step
    if sign:
        wide = doubt.strip() if re.search(r"[A-Za-z\"″]", doubt) else f"{doubt.strip()} {own}"
        half = typed_number(name, wide, unit=unit, kind=FeatureKind.LENGTH)
        u = half.value / 2 if half else 0.0
    if found.value < 0 or u <= 0 or (found.value == 0 and kind is FeatureKind.LENGTH):
        raise InvalidInput(name, needs="a size and a doubt of more than nothing", came=written)
    return found.value, u, written if behind else f"{written} {unit}"


def _check(
    said: SaidOfMachining,
    steps: list[TypedNumber],
    lengths: dict[str, TypedNumber | None],
    layers: dict[str, _Layer | None],
) -> None:
    for name, one in lengths.items():
        if one is not None and (one.value < 0 or (one.value == 0 and name != "hone")):
            raise InvalidInput(name, needs="more than nothing", came=one.typed)
        if (
            one is not None
            and name in ("hone", "centring", "tolerance", "finished_clearance")
            and one.value > 1.0
        ):
            raise InvalidInput(name, needs="a few hundredths of a millimetre", came=one.typed,
                               remedy="Say the unit with it.")  # fmt: skip
    for layer, left in (("wall", "wall_left"), ("hard_layer", "hard_left")):
        if layers[layer] is not None and lengths[left] is None:
            raise InvalidInput(left, needs="how much of it must be left", came="",
                               remedy="Without it what is there forbids nothing.")  # fmt: skip
        if layers[layer] is None and lengths[left] is not None:
            raise InvalidInput(layer, needs="how much is there", came="", remedy="Have it measured.")
    most = lengths["most_step"]
    if most is not None and most.value < steps[0].value - 1e-9:
        raise InvalidInput("most_step", needs="a size that allows one step at least", came=most.typed)
    if said.price_last_resort is not None and not said.last_resort.strip():
        raise InvalidInput("last_resort", needs="what is done where no step is enough", came="",
                           remedy="Such as: a liner, another block.")  # fmt: skip
