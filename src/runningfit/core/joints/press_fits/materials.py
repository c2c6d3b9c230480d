"""Metals as a press fit needs them: stiffness, expansion and least strength, looked up or typed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grades import is_trusted
from runningfit.core.standards.tables import rows
from runningfit.core.units import read_pressure
from runningfit.core.verdicts import Reason

_TABLE = "elastic_materials_collected_2026"
_ALSO_CALLED = {
    **dict.fromkeys(
        ("aluminium", "aluminum", "alloy", "cast aluminium", "cast aluminum"), "aluminium casting"
    ),
    **dict.fromkeys(("cast iron", "grey iron", "gray iron", "gray cast iron", "iron"), "grey cast iron"),
    "mild steel": "a36",
}
_MPA_PER_GPA = 1000.0
_KELVIN_PER_FAHRENHEIT = 1 / 1.8
_EXAMPLE = "E=207GPa,nu=0.3,alpha=11.5e-6"
_EXPANSION = re.compile(r"(?P<value>[0-9]*\.?[0-9]+(?:e-?[0-9]+)?)\s*(?:/?\s*(?P<per>k|c|°c|f|°f))?")


@dataclass(frozen=True, slots=True)
class ElasticMaterial:
    """A metal that is pressed over or into another.

    Parameters
    ----------
    said : str
        What it is.
    modulus_low_mpa, modulus_high_mpa : float
        Both ends of the modulus of elasticity [MPa].
    poisson : float
        Poisson's ratio.
    expansion_low_per_k, expansion_high_per_k : float
        Both ends of the coefficient of expansion [1/K].
    yield_mpa, tensile_mpa, compressive_mpa : float or None
        Least strengths [MPa], where known.
    brittle : bool
        Whether it cracks before it yields.
    trusted : bool
        False where a figure behind it is from memory.
    reasons : tuple of Reason
        The figures with their sources.
    """

    said: str
    modulus_low_mpa: float
    modulus_high_mpa: float
    poisson: float
    expansion_low_per_k: float
    expansion_high_per_k: float
    yield_mpa: float | None
    tensile_mpa: float | None
    compressive_mpa: float | None
    brittle: bool
    trusted: bool
    reasons: tuple[Reason, ...]


def known_elastic_materials() -> tuple[str, ...]:
    """The materials of the table.

    Returns
    -------
    tuple of str
        The families, then the alloys and grades.
    """
    families = dict.fromkeys(row["material"] for row in rows(_TABLE))
    kinds = dict.fromkeys(row["kind"] for row in rows(_TABLE) if row["kind"] != "any")
    return (*families, *kinds)


def read_elastic_material(text: str) -> ElasticMaterial:
    """Look up a metal, or read its figures as typed.

    Parameters
    ----------
    text : str
        `steel`, `cast iron`, `LM25-TF`, or `E=207GPa,nu=0.3,alpha=11.5e-6` with `yield=`, `tensile=` if
        known.

    Returns
    -------
    ElasticMaterial
        Of a family, both ends of its rows and the weakest strength that all of them have.

    Raises
    ------
    InvalidInput
        The table has no such metal, or a typed figure is missing or cannot be.
    """
    if "=" in text:
        return _typed(text)
    plain = " ".join(text.lower().replace("_", " ").split())
    name = _ALSO_CALLED.get(plain, plain)
    found = [row for row in rows(_TABLE) if name in {row["material"].lower(), row["kind"].lower()}]
    if not found or name == "any":
        raise InvalidInput(
            "material",
            needs=f"one of {', '.join(known_elastic_materials())}",
            came=text,
            remedy=f'Or write its figures: "{_EXAMPLE}".',
        )

    def ends(low: str, high: str, factor: float) -> tuple[float, float]:
        return min(float(row[low]) for row in found) * factor, max(float(row[high]) for row in found) * factor

    def least(column: str) -> float | None:
        # A family that holds a row without the figure has none: its weakest member is not known.
        return None if any(not row[column] for row in found) else min(float(row[column]) for row in found)

    moduli = ends("modulus_low_gpa", "modulus_high_gpa", _MPA_PER_GPA)
    expansions = ends("expansion_low_um_per_m_k", "expansion_high_um_per_m_k", 1e-6)
    return ElasticMaterial(
        name if found[0]["kind"].lower() != name else found[0]["kind"],
        *moduli,
        float(found[0]["poisson"]),
        *expansions,
        least("yield_least_mpa"),
        least("tensile_least_mpa"),
        least("compressive_least_mpa"),
        all(row["brittle"] == "yes" for row in found),
        all(is_trusted(row["status"], row["source"]) for row in found),
        tuple(
            Reason(
                f"{row['material']}, {row['kind']}: E {_span(row, 'modulus', 'gpa')} GPa, "
                f"ν {row['poisson']}, expansion {_span(row, 'expansion', 'um_per_m_k')}e-6 per K.",
                f"{row['source']} ({row['status']})",
            )
            for row in found
        ),
    )


def _span(row: Mapping[str, str], what: str, unit: str) -> str:
    low, high = row[f"{what}_low_{unit}"], row[f"{what}_high_{unit}"]
    return low if low == high else f"{low} to {high}"


def _typed(text: str) -> ElasticMaterial:
    """The figures as typed: exact, and the person's own."""
    told: dict[str, str] = {}
    for part in text.replace(";", ",").split(","):
        if not part.strip():
            continue
        key, sign, value = part.partition("=")
        name = {"ν": "nu", "poisson": "nu", "α": "alpha"}.get(key.strip().lower(), key.strip().lower())
        if not sign or name not in {"e", "nu", "alpha", "yield", "tensile"} or name in told:
            raise InvalidInput("material", needs=f"figures such as {_EXAMPLE}, each once", came=text)
        told[name] = value.strip()
    missing = [name for name in ("e", "nu", "alpha") if name not in told]
    if missing:
        names = {"e": "E", "nu": "nu", "alpha": "alpha"}
        raise InvalidInput(
            "material", needs=f"E, nu and alpha, such as {_EXAMPLE}", came=text,
            remedy=f"Add {' and '.join(names[name] for name in missing)}.",
        )  # fmt: skip
    modulus = _within(_stress_mpa(told["e"], "E"), 1_000.0, 1_000_000.0, "E", "1 to 1000 GPa", told["e"])
    poisson = _within(_number(told["nu"], "nu", float), 0.0, 0.5, "nu", "0 to 0.5", told["nu"])
    expansion = _within(
        _number(told["alpha"], "alpha", _expansion),
        1e-7,
        1e-4,
        "alpha",
        "per kelvin, such as 11.5e-6",
        told["alpha"],
    )
    strengths = {
        name: _within(_stress_mpa(told[name], name), 1.0, 5_000.0, name, "1 to 5000 MPa", told[name])
        for name in ("yield", "tensile")
        if name in told
    }
    return ElasticMaterial(
        "as typed",
        modulus,
        modulus,
        poisson,
        expansion,
        expansion,
        strengths.get("yield"),
        strengths.get("tensile"),
        None,
        brittle="tensile" in strengths and "yield" not in strengths,
        trusted=True,
        reasons=(Reason(f"The figures of the metal are as typed: {text}."),),
    )


def _stress_mpa(text: str, name: str) -> float:
    plain = text.lower().replace(" ", "")
    if plain.endswith("gpa"):
        return _number(plain[:-3], name, float) * _MPA_PER_GPA
    try:
        return read_pressure(text, default_unit=None).pressure_mpa
    except InvalidInput as refused:
        raise InvalidInput(name, needs="a number with its unit, such as 207 GPa", came=text) from refused


def _expansion(text: str) -> float:
    found = _EXPANSION.fullmatch(text.lower())
    if found is None:
        raise ValueError(text)
    per_degree = float(found["value"])
    return per_degree / _KELVIN_PER_FAHRENHEIT if (found["per"] or "").endswith("f") else per_degree


def _number(text: str, name: str, read: Callable[[str], float]) -> float:
    try:
        return read(text)
    except ValueError:
        raise InvalidInput(name, needs="a number", came=text) from None


def _within(value: float, low: float, high: float, name: str, needs: str, came: str) -> float:
    if not low <= value <= high:
        raise InvalidInput(name, needs=needs, came=came)
    return value
