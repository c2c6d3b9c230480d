"""What each standard, by its edition, says of plating steel of a hardness by a chain of steps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.standards.tables import rows
from runningfit.core.treatments.embrittlement.hardness import HardnessScale, tensile_of_hardness_mpa
from runningfit.core.treatments.embrittlement.implied import ImpliedHardness, hardest_on
from runningfit.core.treatments.embrittlement.process import ProcessStep

# A conversion between scales is an approximation, and ours is from memory, so that a converted hardness
# counts as this much more before it passes under a threshold (common practice, no source).
_CONVERTED_HRC, _CONVERTED_HV, _CONVERTED_MPA = 1.0, 10.0, 30.0


class Saying(StrEnum):
    """What a standard says, the mildest first."""

    BELOW_THRESHOLD = "below_threshold"
    VERIFY = "verify"
    STRESS_RELIEF = "stress_relief"
    BAKE_UNLESS_VERIFIED = "bake_unless_verified"
    BAKE = "bake"
    AVOID = "avoid"


class Force(StrEnum):
    """How binding it is: a demand, advice, or a demand only where an order names the standard."""

    REQUIRES = "requires"
    RECOMMENDS = "recommends"
    WHERE_CALLED_UP = "where_called_up"


_ORDER = tuple(Saying)


def strictness(saying: Saying) -> int:
    """Rank what a standard says.

    Parameters
    ----------
    saying : Saying
        What it says.

    Returns
    -------
    int
        The stricter, the larger.
    """
    return _ORDER.index(saying)


@dataclass(frozen=True, slots=True)
class StandardSays:
    """What one edition of one standard says.

    Parameters
    ----------
    standard, edition : str
        Which one.
    threshold : str
        From where it says so, as it is shown: `40 HRC or above`, `above 390 HV`.
    says : Saying
        What it says of this piece; below_threshold where the piece does not reach the threshold.
    force : Force
        How binding that is.
    hours, within_hours : float or None
        Hours of baking that it sets itself; hours from plating to the oven.
    note : str
        What else it says.
    status, source : str
        How sure that is, and where it was read.
    close : bool
        Whether the threshold was reached or missed by less than a conversion between scales is worth.
    """

    standard: str
    edition: str
    threshold: str
    says: Saying
    force: Force
    hours: float | None
    within_hours: float | None
    note: str
    status: str
    source: str
    close: bool = False

    @property
    def named(self) -> str:
        """The standard with its edition."""
        return f"{self.standard} ({self.edition})"


def tensile_mpa_of(implied: ImpliedHardness) -> float | None:
    """Reckon the strongest that a piece may be from its hardness.

    Parameters
    ----------
    implied : ImpliedHardness
        What is known of the hardness.

    Returns
    -------
    float or None
        The tensile strength [MPa]; none where the table of conversions does not reach.
    """
    found = [tensile_of_hardness_mpa(one.high, one.scale) for one in implied.readings]
    return max((value for value in found if value is not None), default=None)


def _hardest(implied: ImpliedHardness, column: str) -> tuple[float, bool] | None:
    if column == "tensile_mpa":
        strength = tensile_mpa_of(implied)
        return None if strength is None else (strength, True)
    return hardest_on(implied, HardnessScale.HRC if column == "hrc" else HardnessScale.HV)


_MARGINS: Mapping[str, float] = {
    "hrc": _CONVERTED_HRC,
    "hv": _CONVERTED_HV,
    "tensile_mpa": _CONVERTED_MPA,
}
_HARD_FROM: Mapping[HardnessScale, float] = {
    HardnessScale.HRC: 40.0,
    HardnessScale.HV: 400.0,
    HardnessScale.HB: 400.0,
}
_UNITS: Mapping[str, str] = {"hrc": "HRC", "hv": "HV", "tensile_mpa": "MPa"}


def _reaches(row: Mapping[str, str], implied: ImpliedHardness) -> tuple[bool, bool]:
    """Whether a piece reaches a threshold, on the scale that was read if it can be; and whether it is close.

    Where no scale of the rule can be reckoned, the piece lies below the tables of conversion (soft) or above
    them, and the scale that was read tells which.
    """
    inclusive = row["inclusive"] == "yes"
    outcomes: list[tuple[bool, bool, bool]] = []
    for column, margin in _MARGINS.items():
        if not row[column]:
            continue
        threshold, hardest = float(row[column]), _hardest(implied, column)
        if hardest is None:
            outcomes.append((_is_beyond_tables(implied), False, True))
            continue
        value, was_converted = hardest
        counted = value + margin if was_converted else value
        reached = counted >= threshold if inclusive else counted > threshold
        exactly = value >= threshold if inclusive else value > threshold
        close = reached != exactly if was_converted else threshold - margin <= value <= threshold
        outcomes.append((reached, close, was_converted))
    direct = [outcome for outcome in outcomes if not outcome[2]]
    reached = any(outcome[0] for outcome in direct or outcomes)
    return reached, any(outcome[1] for outcome in direct or outcomes)


def _is_beyond_tables(implied: ImpliedHardness) -> bool:
    """Whether a hardness that no table converts is one at the hard end."""
    return any(one.scale in _HARD_FROM and one.high > _HARD_FROM[one.scale] for one in implied.readings)


def _covers(row: Mapping[str, str], steps: Sequence[ProcessStep], implied: ImpliedHardness) -> bool:
    covered = frozenset(row["covers"].split(";"))
    ways = {step.does for step in steps if step.brings_hydrogen}
    metals = {step.metal for step in steps if step.does == "electroplate"}
    # A plating whose metal nobody said may be any; a bath with no rules of its own borrows those of zinc.
    if metals - {"cadmium"}:
        metals.add("zinc")
    if "" in metals:
        metals.add("cadmium")
    hot_dip = any(step.key == "hot_dip_galvanise" for step in steps)
    if row["parts"] == "tension" and not implied.in_tension:
        return False
    return bool(covered & (ways | (metals if "electroplate" in ways else set()))) or (
        "hot_dip" in covered and hot_dip
    )


def _borrowed(steps: Sequence[ProcessStep]) -> tuple[ProcessStep, ...]:
    """Acid and cathodic steps without a plating after them are judged as if zinc were plated."""
    ways = {step.does for step in steps}
    if ways & {"electroplate", "phosphate"} or not ways & {"acid", "cathodic"}:
        return tuple(steps)
    plated = ProcessStep("zinc_electroplate", "", "electroplate", "zinc", "", "", "")
    return (*steps, plated)


def _threshold(row: Mapping[str, str]) -> str:
    shown = " / ".join(f"{row[column]} {unit}" for column, unit in _UNITS.items() if row[column])
    return f"{shown} or above" if row["inclusive"] == "yes" else f"above {shown}"


def said_by_standards(
    implied: ImpliedHardness, steps: Sequence[ProcessStep], *, case_hardened: bool = False
) -> tuple[StandardSays, ...]:
    """Give what every standard that covers a chain of steps says of a piece.

    Parameters
    ----------
    implied : ImpliedHardness
        What is known of the hardness; its hard end counts.
    steps : sequence of ProcessStep
        The whole chain. Where it has acid but no plating, the rules for zinc are borrowed: no standard was
        seen that rules on pickling alone.
    case_hardened : bool
        Whether the surface is hardened; then every threshold counts as reached.

    Returns
    -------
    tuple of StandardSays
        Every edition by itself, in the order of the table.
    """
    judged = _borrowed(steps)
    found: dict[tuple[str, ...], StandardSays] = {}
    for row in rows("embrittlement_rules_collected_2026"):
        if not _covers(row, judged, implied):
            continue
        reached, close = _reaches(row, implied)
        reached = reached or case_hardened
        says = StandardSays(
            standard=row["standard"],
            edition=row["edition"],
            threshold=_threshold(row),
            says=Saying(row["says"]) if reached else Saying.BELOW_THRESHOLD,
            force=Force(row["force"]),
            hours=float(row["hours"]) if row["hours"] else None,
            within_hours=float(row["within_hours"]) if row["within_hours"] else None,
            note=row["note"],
            status=row["status"],
            source=row["source"],
            close=close and not case_hardened,
        )
        # Where one standard has several steps of hardness, the strictest that is reached speaks for all.
        clause = (
            row["standard"],
            row["edition"],
            row["force"],
            row["parts"],
            str(row["says"] == "stress_relief"),
        )
        before = found.get(clause)
        if before is None or strictness(says.says) > strictness(before.says):
            found[clause] = says
    return tuple(found.values())
