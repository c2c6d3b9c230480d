"""Strength grades of bolts: proof, yield and tensile strength by size, the weakest where sources differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grade_names import (
    FOLDERS,
    GradeName,
    GradeStandard,
    grades_of_marking,
    known_grades,
    read_grade,
)
from runningfit.core.standards import Thread, ThreadSeries
from runningfit.core.standards.tables import rows
from runningfit.core.units.lengths import MM_PER_INCH
from runningfit.core.units.quantities import MPA_PER_PSI, MPA_PER_TONF_IN2
from runningfit.core.verdicts import Reason

__all__ = [
    "GradeName",
    "GradeStandard",
    "Strength",
    "grades_of_marking",
    "is_trusted",
    "known_grades",
    "read_grade",
    "soft_strength",
    "strength_of",
    "unknown_strength",
]


@dataclass(frozen=True, slots=True)
class Strength:
    """How strong a bolt of a grade and size is; where sources differ, the weakest of them.

    Parameters
    ----------
    said : str
        The grade as it is named, or that it is not known.
    proof_mpa, yield_mpa, tensile_mpa : float
        Proof stress, least yield strength and least tensile strength [MPa].
    tensile_most_mpa : float
        The strongest it may plausibly be [MPa]; the careful end for stripping.
    hardness : str
        The hardness range as printed; empty where none was.
    trusted : bool
        False where a figure behind it is from memory, or sources contradict each other: no pass rests on it.
    reasons : tuple of Reason
        Each source with its figures.
    """

    said: str
    proof_mpa: float
    yield_mpa: float
    tensile_mpa: float
    tensile_most_mpa: float
    hardness: str
    trusted: bool
    reasons: tuple[Reason, ...]


_UNIFIED = frozenset(
    {ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF, ThreadSeries.UN, ThreadSeries.UNS}
)
_METRIC = frozenset({ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE})
_LETTERED = _UNIFIED | {ThreadSeries.BSW, ThreadSeries.BSF, ThreadSeries.CEI, ThreadSeries.BA}
# The hardness bands of the classes of ISO 898-1 from 6.8 on span at most 1.32 from least to most, and tensile
# strength goes with hardness; the factor itself is from memory. Soft grades span far more: see `_of_hardest`.
_STRONGEST_OVER_LEAST = 1.3
# British letters: neither yield nor proof was found. The weakest ratio of yield to tensile among the grades
# of
# SAE J429 and ISO 898-1 of like strength, and proof over yield 0.85 (Shigley, 9th edition, p. 442).
_SOFT_LETTERS = frozenset("ABP")
_YIELD_OVER_TENSILE = {True: 0.55, False: 0.75}
_PROOF_OVER_YIELD = 0.85
_MPA_PER = {"tonf/in2": MPA_PER_TONF_IN2, "psi": MPA_PER_PSI}
_SLACK = 1e-6


def _refuse_thread(name: GradeName, thread: Thread, for_what: str) -> InvalidInput:
    return InvalidInput(
        "grade",
        needs=f"one made for {thread.designation}",
        came=str(name),
        remedy=f"{name.standard} is for {for_what}. Leave the grade out if it is not known.",
    )


def _of_size(name: GradeName, thread: Thread, size: float, unit: str) -> Mapping[str, str]:
    """The row of a grade that holds a size, in the unit of its table."""
    of_grade = [row for row in rows(FOLDERS[name.standard]) if row["grade"] == name.name]
    for row in of_grade:
        over, least = row[f"over_{unit}"], row[f"from_{unit}"]
        above = size > float(over) + _SLACK if over else size >= float(least) - _SLACK
        if above and size <= float(row[f"up_to_{unit}"]) + _SLACK:
            return row
    least = of_grade[0][f"from_{unit}"]
    most = of_grade[-1][f"up_to_{unit}"]
    shown = {"mm": "mm", "in": "in"}[unit]
    raise InvalidInput(
        "grade",
        needs=f"a size that {name} has: {float(least):g} to {float(most):g} {shown}",
        came=thread.designation,
        remedy="Read the head and measure the bolt again, or leave the grade out.",
    )


def _of_hardest(hardness: str) -> float:
    """How strong a bolt at the top of its hardness may be, such as `C34` [MPa]."""
    scale, number = hardness[0], float(hardness[1:])
    return next(
        float(row["tensile_mpa"])
        for row in rows("strongest_by_hardness_collected_2026")
        if row["scale"] == scale and number <= float(row["hardness_to"])
    )


def _sae(name: GradeName, thread: Thread) -> Strength:
    if thread.series not in _UNIFIED:
        raise _refuse_thread(name, thread, "Unified inch threads")
    row = _of_size(name, thread, thread.major_mm / MM_PER_INCH, "in")
    proof, least_yield, tensile = (float(row[key]) for key in ("proof_ksi", "yield_ksi", "tensile_ksi"))
    hardness = f"{row['hardness_low']} to {row['hardness_high']}"
    reason = Reason(
        f"{name}, {thread.size} in: proof {proof:g} ksi, yield {least_yield:g} ksi, tensile {tensile:g} ksi, "
        f"hardness {hardness}.",
        f"{row['source']} ({row['status']})",
    )
    per_ksi = 1000 * MPA_PER_PSI
    return Strength(
        said=str(name),
        proof_mpa=proof * per_ksi,
        yield_mpa=least_yield * per_ksi,
        tensile_mpa=tensile * per_ksi,
        tensile_most_mpa=max(tensile * per_ksi * _STRONGEST_OVER_LEAST, _of_hardest(row["hardness_high"])),
        hardness=hardness,
        trusted=is_trusted(row["status"], row["source"]),
        reasons=(reason,),
    )


def _iso(name: GradeName, thread: Thread) -> Strength:
    if thread.series not in _METRIC:
        raise _refuse_thread(name, thread, "metric threads")
    row = _of_size(name, thread, thread.major_mm, "mm")
    proof, least_yield, tensile = (float(row[key]) for key in ("proof_mpa", "yield_mpa", "tensile_mpa"))
    hardness = f"HV {row['hv_low']} to {row['hv_high']}"
    reason = Reason(
        f"{name}, {thread.size}: proof {proof:g} MPa, yield {least_yield:g} MPa, tensile {tensile:g} MPa, "
        f"hardness {hardness}.",
        f"{row['source']} ({row['status']})",
    )
    return Strength(
        said=str(name),
        proof_mpa=proof,
        yield_mpa=least_yield,
        tensile_mpa=tensile,
        tensile_most_mpa=tensile * float(row["hv_high"]) / float(row["hv_low"]),
        hardness=hardness,
        trusted=is_trusted(row["status"], row["source"]),
        reasons=(reason,),
    )


@cache
def _tensile_of_class(name: str) -> float:
    """Least tensile strength of a class of ISO 898-1 over all its sizes [MPa]."""
    return min(float(row["tensile_mpa"]) for row in rows("iso_898_1_2013") if row["grade"] == name)


def _letter(name: GradeName, thread: Thread) -> Strength:
    if thread.series not in _LETTERED:
        raise _refuse_thread(name, thread, "Unified, Whitworth, B.S.F., cycle and B.A. threads")
    lows, highs, reasons = [], [], []
    for row in rows("bs_1768_1963"):
        if row["letter"] != name.name:
            continue
        if row["tensile_low"]:
            low = float(row["tensile_low"]) * _MPA_PER[row["unit"]]
            high = float(row["tensile_high"] or row["tensile_low"]) * _MPA_PER[row["unit"]]
        else:
            low = high = _tensile_of_class(row["said_class"])
        lows.append(low)
        highs.append(high)
        reasons.append(
            Reason(
                f"Letter {name.name}: {row['said']}, that is {low:.0f} MPa.",
                f"{row['source']} ({row['status']})",
            )
        )
    least_yield = min(lows) * _YIELD_OVER_TENSILE[name.name in _SOFT_LETTERS]
    reasons.append(
        Reason(
            f"Yield and proof of the letter were not found: {least_yield:.0f} MPa is taken as yield, the "
            "weakest share of tensile strength among like grades, and 0.85 of it as proof.",
            "yield from memory; proof: Shigley, 9th edition, p. 442",
        )
    )
    return Strength(
        said=str(name),
        proof_mpa=least_yield * _PROOF_OVER_YIELD,
        yield_mpa=least_yield,
        tensile_mpa=min(lows),
        tensile_most_mpa=max(highs) * _STRONGEST_OVER_LEAST,
        hardness="",
        trusted=False,
        reasons=tuple(reasons),
    )


def is_trusted(*said: str) -> bool:
    """Tell whether a status or source leaves a figure fit for a pass: nothing in it is from memory.

    Parameters
    ----------
    said : str
        Statuses and sources.

    Returns
    -------
    bool
        False where memory is named.
    """
    return not any("memory" in one.lower() for one in said)


@cache
def strength_of(name: GradeName, thread: Thread) -> Strength:
    """Give the strength of a bolt of a grade and size.

    Parameters
    ----------
    name : GradeName
        The grade.
    thread : Thread
        Its thread.

    Returns
    -------
    Strength
        Where sources differ every one is among the reasons, and the weakest counts.

    Raises
    ------
    InvalidInput
        The grade does not exist for the size, or not for that family of threads.

    References
    ----------
    SAE J429; ISO 898-1:2013; BS 1768:1963 by secondary sources.
    """
    if name.standard is GradeStandard.SAE_J429:
        return _sae(name, thread)
    return _iso(name, thread) if name.standard is GradeStandard.ISO_898_1 else _letter(name, thread)


# The strongest bolt that a bench may plausibly meet, at the top of its hardness, and the weakest.
_STRONGEST = GradeName(GradeStandard.ISO_898_1, "12.9")
_WEAKEST = GradeName(GradeStandard.ISO_898_1, "4.6")


@cache
def unknown_strength() -> Strength:
    """Give the strength of a bolt of which nothing is known, at both careful ends.

    Returns
    -------
    Strength
        Proof, yield and tensile of class 4.6 of ISO 898-1, a little weaker than SAE J429 grade 1; the
        strongest
        is class 12.9.
    """
    of_class = {row["grade"]: row for row in rows("iso_898_1_2013")}
    weakest, strongest = of_class[_WEAKEST.name], of_class[_STRONGEST.name]
    hardest = float(strongest["hv_high"]) / float(strongest["hv_low"])
    return Strength(
        said="a bolt of unknown grade",
        proof_mpa=float(weakest["proof_mpa"]),
        yield_mpa=float(weakest["yield_mpa"]),
        tensile_mpa=float(weakest["tensile_mpa"]),
        tensile_most_mpa=float(strongest["tensile_mpa"]) * hardest,
        hardness="",
        trusted=True,
        reasons=(
            Reason(
                f"The grade is not known: taken as the weakest, {_WEAKEST} (yield {weakest['yield_mpa']} "
                "MPa), "
                f"for yielding, and as the strongest, {_STRONGEST}, for stripping.",
                weakest["source"],
            ),
        ),
    )


# Brass screws and softer: from memory, the weaker of common free-cutting brass and aluminium bar; the
# strongest is that of hard bronzes and of cold-worked stainless steel.
_SOFT_YIELD_MPA, _SOFT_TENSILE_MPA, _SOFT_MOST_MPA = 125.0, 300.0, 800.0


@cache
def soft_strength() -> Strength:
    """Give the strength of a bolt or screw of another metal than plain steel, of which no grade is known.

    Returns
    -------
    Strength
        From memory, so that no pass rests on it.
    """
    return Strength(
        said="a bolt of brass, stainless steel or light alloy of unknown strength",
        proof_mpa=_SOFT_YIELD_MPA * _PROOF_OVER_YIELD,
        yield_mpa=_SOFT_YIELD_MPA,
        tensile_mpa=_SOFT_TENSILE_MPA,
        tensile_most_mpa=_SOFT_MOST_MPA,
        hardness="",
        trusted=False,
        reasons=(
            Reason(
                f"Not of plain steel: yield taken as {_SOFT_YIELD_MPA:.0f} MPa, as of brass; for stripping "
                f"as strong as {_SOFT_MOST_MPA:.0f} MPa.",
                "from memory",
            ),
        ),
    )
