"""How hard a piece may be when nobody measured it: what its grade or its kind implies, at the hard end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grades import GradeStandard, read_grade
from runningfit.core.standards.tables import rows
from runningfit.core.treatments.embrittlement.hardness import (
    Hardness,
    HardnessScale,
    converted,
)
from runningfit.core.units.lengths import MM_PER_INCH
from runningfit.core.units.quantities import MPA_PER_PSI, MPA_PER_TONF_IN2

# The hardest steel of a strength grade is about this much above its least tensile strength: 1.26 from 8.8 to
# its 320 HV, 1.27 of SAE grade 5 to its C34, rounded up (common practice, no source).
_ABOVE_LEAST = 1.3


@dataclass(frozen=True, slots=True)
class ImpliedHardness:
    """A hardness with why it is taken.

    Parameters
    ----------
    readings : tuple of Hardness
        The same hardness on every scale that the source itself has; the first is the one shown.
    why : str
        The sentence that says so.
    status, source : str
        How sure it is, and where it was read.
    measured : bool
        Whether somebody measured it on the piece.
    spring : bool
        Whether the piece is a spring by its work: it is never silently plated.
    in_tension : bool
        Whether it is under tension by design.
    missing : str
        Which fact is missing; empty where none is.
    """

    readings: tuple[Hardness, ...]
    why: str
    status: str
    source: str
    measured: bool = False
    spring: bool = False
    in_tension: bool = True
    missing: str = ""

    @property
    def from_memory(self) -> bool:
        """Whether it rests on memory alone."""
        return "MEMORY" in self.status

    @property
    def said(self) -> str:
        """The hardness as it is shown."""
        return " / ".join(reading.said for reading in self.readings)


def _range(low: str, high: str, scale: HardnessScale) -> Hardness:
    return Hardness(float(low), float(high), scale, f"{low} to {high} {scale}")


def of_measurement(hardness: Hardness) -> ImpliedHardness:
    """Take a hardness as it was measured.

    Parameters
    ----------
    hardness : Hardness
        What the tester read.

    Returns
    -------
    ImpliedHardness
        On its own scale.
    """
    return ImpliedHardness(
        (hardness,), f"The hardness is {hardness.said}, as measured.", "VERIFIED", "measured", measured=True
    )


def of_grade(text: str, size_mm: float | None = None) -> ImpliedHardness:
    """Take the hardest that a strength grade allows.

    Parameters
    ----------
    text : str
        `ISO 898-1 12.9`, `10.9`, `SAE J429 8`, `grade 5`, `BS 1768 S`.
    size_mm : float or None
        Nominal diameter [mm]; without it the harder of the sizes is taken.

    Returns
    -------
    ImpliedHardness
        The range that the standard prints; where it prints none, as for the British letters, the hardest
        plausible by the strength, which is marked as from memory.

    Raises
    ------
    InvalidInput
        The tables have no such grade, or not in that size; those they have are named.
    """
    try:
        grade = read_grade(text)
    except InvalidInput as refused:
        remedy = "Read the head again, or have the hardness measured."
        raise InvalidInput("grade", needs=refused.needs, came=text, remedy=remedy) from refused
    if grade.standard is GradeStandard.ISO_898_1:
        return _iso(grade.name, text, size_mm)
    if grade.standard is GradeStandard.SAE_J429:
        return _sae(grade.name, text, size_mm)
    return _letter(grade.name)


def _in_size(row: Mapping[str, str], size: float | None, unit: str) -> bool:
    """Whether a row counts for a size; every row does where it is not known."""
    if size is None:
        return True
    above = float(row[f"over_{unit}"]) < size if row[f"over_{unit}"] else float(row[f"from_{unit}"]) <= size
    return above and size <= float(row[f"up_to_{unit}"])


def _no_size(grade: str, text: str, size_mm: float) -> InvalidInput:
    return InvalidInput(
        "grade",
        needs=f"a size that {grade} is made in; {size_mm:g} mm is none",
        came=text,
        remedy="Check both.",
    )


def _iso(grade: str, text: str, size_mm: float | None) -> ImpliedHardness:
    named = [row for row in rows("iso_898_1_2013") if row["grade"] == grade]
    fitting = [row for row in named if _in_size(row, size_mm, "mm")]
    if not fitting:
        raise _no_size(f"class {grade}", text, size_mm or 0.0)
    row = max(fitting, key=lambda one: float(one["hv_high"]))
    readings = [_range(row["hv_low"], row["hv_high"], HardnessScale.HV)]
    if row["hrc_high"]:
        readings.append(_range(row["hrc_low"], row["hrc_high"], HardnessScale.HRC))
    shown = " / ".join(reading.said for reading in readings)
    size = " in its harder sizes" if len(fitting) > 1 else ""
    return ImpliedHardness(
        tuple(readings),
        f"Class {grade} may be as hard as {shown}{size}; the hardest counts here.",
        row["status"],
        f"ISO 898-1:2013; {row['source']}",
    )


def _sae(grade: str, text: str, size_mm: float | None) -> ImpliedHardness:
    named = [row for row in rows("sae_j429_edition_not_stated") if row["grade"] == grade]
    size = None if size_mm is None else round(size_mm / MM_PER_INCH, 4)
    fitting = [row for row in named if _in_size(row, size, "in")]
    if not fitting:
        raise _no_size(f"SAE grade {grade}", text, size_mm or 0.0)
    row = max(fitting, key=lambda one: (one["hardness_high"][0] == "C", float(one["hardness_high"][1:])))
    scale = HardnessScale.HRC if row["hardness_high"][0] == "C" else HardnessScale.HRB
    low, high = row["hardness_low"], row["hardness_high"]
    # A range from B to C is kept on the scale of its hard end, which is what counts.
    least = low[1:] if low[0] == high[0] else "20"
    reading = _range(least, high[1:], scale)
    return ImpliedHardness(
        (reading,),
        f"SAE grade {grade} may be as hard as {reading.said}; the hardest counts here.",
        row["status"],
        f"SAE J429; {row['source']}",
    )


def _letter(letter: str) -> ImpliedHardness:
    named = [row for row in rows("bs_1768_1963") if row["letter"] == letter]
    strengths = [_strength_mpa(row) for row in named]
    strengths += [_class_strength_mpa(row["said_class"]) for row in named if row["said_class"]]
    strongest = max(strengths) * _ABOVE_LEAST
    hardest = _hardness_of_tensile(strongest)
    reading = Hardness(20.0, hardest, HardnessScale.HRC, f"20 to {hardest:g} HRC")
    said = "; ".join(dict.fromkeys(row["said"] for row in named))
    return ImpliedHardness(
        (reading,),
        f"No source gives a hardness for the letter {letter} (it is said to be: {said}). By the strongest of "
        f"these, up to {strongest:.0f} MPa, it may be as hard as {hardest:g} HRC.",
        "MEMORY",
        "BS 1768 and BS 1083 letters, sources that differ; hardness reckoned from strength, from memory",
        missing="its hardness: a test on the end or the flat settles it",
    )


def _strength_mpa(row: Mapping[str, str]) -> float:
    strength = row["tensile_high"] or row["tensile_low"]
    if not strength:
        return 0.0
    return float(strength) * (MPA_PER_TONF_IN2 if row["unit"].startswith("ton") else MPA_PER_PSI)


def _class_strength_mpa(grade: str) -> float:
    return max(
        (float(row["tensile_mpa"]) for row in rows("iso_898_1_2013") if row["grade"] == grade), default=0.0
    )


def _hardness_of_tensile(tensile_mpa: float) -> float:
    """Rockwell C of the hardest steel of a strength, rounded up; 20 below the scale."""
    for row in rows("hardness_conversions_collected_2026"):
        if (
            row["hrc"]
            and row["tensile_ksi"]
            and float(row["tensile_ksi"]) * 1000 * MPA_PER_PSI >= tensile_mpa
        ):
            return float(row["hrc"])
    return 58.0


@cache
def _kinds() -> Mapping[str, Mapping[str, str]]:
    found: dict[str, Mapping[str, str]] = {}
    for row in rows("hardness_by_kind_collected_2026"):
        for word in (row["kind"].replace("_", " "), *row["words"].split(";")):
            found[word] = row
    return found


def of_kind(text: str) -> ImpliedHardness:
    """Take the hardest that a piece may be by what it is.

    Parameters
    ----------
    text : str
        `spring_washer`, `circlip`, `roll pin`, `spring`, `hex_bolt`, `nut`.

    Returns
    -------
    ImpliedHardness
        For bolts and nuts without a mark the hardest class in common use, with the fact that is missing.

    Raises
    ------
    InvalidInput
        No such kind is known here; those that are known are named.
    """
    plain = " ".join(text.lower().replace("_", " ").replace("-", " ").split())
    row = (
        _kinds().get(plain) or _kinds().get(plain.removesuffix("es")) or _kinds().get(plain.removesuffix("s"))
    )
    if row is None:
        kinds = dict.fromkeys(one["kind"] for one in _kinds().values())
        raise InvalidInput(
            "kind", needs=f"one of {', '.join(kinds)}", came=text, remedy="Or say the hardness or the grade."
        )
    name, status = row["kind"].replace("_", " "), row["status"]
    reading = _range(row["hrc_low"], row["hrc_high"], HardnessScale.HRC)
    unknown = row["unknown"] == "yes"
    return ImpliedHardness(
        (reading,),
        f"A {name} may be as hard as {row['hrc_high']} HRC: {row['note']}.",
        status,
        row["source"],
        spring=row["spring"] == "yes",
        in_tension=row["kind"] not in {"grub_screw", "plain_washer", "pin"},
        missing="its grade: the mark on the head, or a hardness test" if unknown else "",
    )


def hardest_on(implied: ImpliedHardness, scale: HardnessScale) -> tuple[float, bool] | None:
    """Give the hardest plausible on one scale.

    Parameters
    ----------
    implied : ImpliedHardness
        What is known of the hardness.
    scale : HardnessScale
        The scale wanted.

    Returns
    -------
    tuple of float and bool, or None
        The number, and whether it had to be converted; none where the conversion does not reach.
    """
    for reading in implied.readings:
        if reading.scale is scale:
            return reading.high, False
    for reading in implied.readings:
        value = converted(reading.high, reading.scale, scale)
        if value is not None:
            return value, True
    return None
