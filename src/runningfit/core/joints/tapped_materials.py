"""How strong the metal is into which a bolt is screwed: both ends, and the weakest where it is not known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.engagement import FED_SHEAR_OVER_TENSILE
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
        Least shear strength, where a source gives one for the weakest of its kind [MPa].
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

    @property
    def counts_as_mpa(self) -> float:
        """The tensile strength that counts where a metal is taken to shear at half of it.

        A brittle metal shears at more than its tensile strength; for it the half says nothing.
        """
        if self.shear_low_mpa is None or not self.is_brittle:
            return self.tensile_low_mpa
        return self.shear_low_mpa / FED_SHEAR_OVER_TENSILE

    @property
    def is_brittle(self) -> bool:
        """Whether its shear strength is above its tensile strength, as that of grey iron is."""
        return self.shear_low_mpa is not None and self.shear_low_mpa > self.tensile_low_mpa


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
    weakest = min(float(row["tensile_low_mpa"]) for row in found)
    shears = [
        float(row["shear_low_mpa"])
        for row in found
        if row["shear_low_mpa"] and float(row["tensile_low_mpa"]) == weakest
    ]
    reasons = tuple(
        Reason(
            f"{row['material']}, {row['kind']}: tensile {row['tensile_low_mpa']} to "
            f"{row['tensile_high_mpa']} MPa"
            + (f", shear {row['shear_low_mpa']} MPa." if row["shear_low_mpa"] else "."),
            f"{row['source']} ({row['status']})",
        )
        for row in found
    )
    return TappedMaterial(
        said="material not known" if plain in _UNKNOWN else name,
        tensile_low_mpa=weakest,
        tensile_high_mpa=max(float(row["tensile_high_mpa"]) for row in found),
        shear_low_mpa=min(shears, default=None),
        trusted=all(is_trusted(row["status"], row["source"]) for row in found),
        reasons=reasons,
    )
