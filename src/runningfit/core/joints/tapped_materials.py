"""How strong the metal is into which a bolt is screwed: both ends, and the weakest where it is not known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grades import is_trusted
from runningfit.core.standards.tables import rows
from runningfit.core.verdicts import Reason

_TABLE = "tapped_materials_collected_2026"
_ALSO_CALLED = {
    "aluminium": "aluminium casting",
    "aluminum": "aluminium casting",
    "alloy": "aluminium casting",
    "cast aluminium": "aluminium casting",
    "cast aluminum": "aluminium casting",
    "cast iron": "grey cast iron",
    "grey iron": "grey cast iron",
    "gray iron": "grey cast iron",
    "iron": "grey cast iron",
    **dict.fromkeys(("cast iron grade 20", "grey cast iron grade 20"), "grade 20"),
    "mild steel": "steel",
    "phosphor bronze": "bronze",
}
_UNKNOWN = frozenset({"", "unknown", "not known", "?"})


@dataclass(frozen=True, slots=True)
class TappedMaterial:
    """A metal with a tapped hole in it.

    Parameters
    ----------
    said : str
        What it is, or that it is not known.
    tensile_low_mpa, tensile_high_mpa : float
        Least and largest tensile strength it may have [MPa].
    shear_low_mpa : float or None
        Least shear strength, where a source gives one [MPa].
    trusted : bool
        False where a figure behind it is from memory.
    reasons : tuple of Reason
        The figures with their sources.
    """

    said: str
    tensile_low_mpa: float
    tensile_high_mpa: float
    shear_low_mpa: float | None
    trusted: bool
    reasons: tuple[Reason, ...]


def known_materials() -> tuple[str, ...]:
    """The materials of the table.

    Returns
    -------
    tuple of str
        The families, then the alloys and grades.
    """
    families = dict.fromkeys(row["material"] for row in rows(_TABLE))
    kinds = dict.fromkeys(row["kind"] for row in rows(_TABLE) if row["kind"] != "any")
    return (*families, *kinds)


@cache
def tapped_material(text: str) -> TappedMaterial:
    """Look up a material by family or alloy.

    Parameters
    ----------
    text : str
        `aluminium casting`, `LM25-TF`, `cast iron`, `steel`, `unknown`.

    Returns
    -------
    TappedMaterial
        Of a family the hull of its rows; of `unknown` that of them all.

    Raises
    ------
    InvalidInput
        The table has no such material.
    """
    plain = " ".join(text.lower().replace("_", " ").split())
    name = _ALSO_CALLED.get(plain, plain)
    table = rows(_TABLE)
    found = [row for row in table if name in {row["material"].lower(), row["kind"].lower()} and name != "any"]
    if plain in _UNKNOWN:
        found = list(table)
    if not found:
        raise InvalidInput(
            "tapped material",
            needs=f"one of {', '.join(known_materials())}, or unknown",
            came=text,
            remedy="Or give its tensile strength.",
        )
    shears = [float(row["shear_low_mpa"]) for row in found if row["shear_low_mpa"]]
    reasons = tuple(
        Reason(
            f"{row['material']}, {row['kind']}: tensile {row['tensile_low_mpa']} to "
            f"{row['tensile_high_mpa']} MPa.",
            f"{row['source']} ({row['status']})",
        )
        for row in found
    )
    return TappedMaterial(
        said="material not known" if plain in _UNKNOWN else name,
        tensile_low_mpa=min(float(row["tensile_low_mpa"]) for row in found),
        tensile_high_mpa=max(float(row["tensile_high_mpa"]) for row in found),
        shear_low_mpa=min(shears) if len(shears) == len(found) else None,
        trusted=all(is_trusted(row["status"], row["source"]) for row in found),
        reasons=reasons,
    )
