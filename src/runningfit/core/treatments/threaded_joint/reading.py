"""What was typed of a joint, read: its thread, strength, hardness, process, coat and finish."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.conditions import Condition, read_condition
from runningfit.core.joints.grades import (
    GradeName,
    Strength,
    grades_of_marking,
    read_grade,
    strength_of,
    unknown_strength,
)
from runningfit.core.pieces.finishes import FinishLook, read_finish
from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import Thread, thread
from runningfit.core.standards.strength_figures import stress_area
from runningfit.core.treatments.advice import Material
from runningfit.core.treatments.embrittlement import (
    ImpliedHardness,
    of_grade,
    of_kind,
    of_measurement,
    read_hardness,
)
from runningfit.core.treatments.embrittlement.hardness import HardnessScale
from runningfit.core.treatments.embrittlement.implied import hardest_on
from runningfit.core.treatments.threaded_joint.facts import PieceFacts
from runningfit.core.verdicts import Reason

NUTS = frozenset({Kind.NUT, Kind.DOMED_NUT})
# No steel, so that no rule on hydrogen in steel speaks of it.
NOT_STEEL = frozenset(
    {
        Material.ALUMINIUM,
        Material.MAGNESIUM,
        Material.COPPER_ALLOY,
        Material.ZINC_CASTING,
        Material.WHITE_METAL,
        Material.RUBBER_OR_PLASTIC,
    }
)
_NO_MARK = frozenset({"none", "no mark", "unmarked", "bare", "plain"})
# By which row of the table of hardness a kind without one of its own is taken (common practice, no source):
# a union is turned as a nut is; a spacer or another piece may be hardened through for all that is known.
_LIKE = {Kind.PLUG: "hex_bolt", Kind.UNION: "nut", Kind.SPACER: "pin", Kind.OTHER: "pin"}


@dataclass(frozen=True, slots=True)
class GradeSaid:
    """How strong the bolt of a joint is, as far as anybody said.

    Parameters
    ----------
    strength : Strength
        The weakest and the strongest that fits what was said.
    is_known : bool
        Whether a grade was said or stands on the head.
    names : tuple of GradeName
        The grades it may be; none where it is not known.
    """

    strength: Strength
    is_known: bool
    names: tuple[GradeName, ...] = ()


def in_range(name: str, value: float | None, low: float, high: float, unit: str) -> float | None:
    """Refuse a number that cannot be.

    Parameters
    ----------
    name : str
        What it is called where it is refused.
    value : float or None
        The number; none where it was not said.
    low, high : float
        Least and largest that can be.
    unit : str
        Its unit, for the message.

    Returns
    -------
    float or None
        The same.

    Raises
    ------
    InvalidInput
        It is no number, or beyond its ends.
    """
    if value is None or (isfinite(value) and low <= value <= high):
        return value
    raise InvalidInput(
        name, needs=f"a number from {low:g} to {high:g} {unit}", came=f"{value:g}", remedy="Say it again."
    )


def one_thread(piece: PieceFacts) -> Thread | None:
    """Look up the one thread of a piece.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    Thread or None
        None where it has no thread.

    Raises
    ------
    InvalidInput
        It may be several, or one that the tables have not.
    """
    if not piece.threads:
        return None
    if len(piece.threads) > 1:
        shown = " or ".join(piece.threads[:4])
        raise InvalidInput(
            "thread",
            needs="one thread",
            came=shown,
            remedy="Measure its pitch and name it on the lot's page.",
        )
    return thread(piece.threads[0])


def bolt_thread(piece: PieceFacts) -> Thread | None:
    """Look up the thread of a piece that is tightened as a bolt is.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    Thread or None
        None where it has no thread, or a pipe thread, which seals and does not clamp.
    """
    found = one_thread(piece)
    return None if found is None or stress_area(found) is None else found


def grades_said(grade: str, marking: str) -> tuple[GradeName, ...]:
    """Read the grades that a piece may be of.

    Parameters
    ----------
    grade : str
        As said; empty where nobody did.
    marking : str
        What stands on the head; empty where nobody looked.

    Returns
    -------
    tuple of GradeName
        None where nothing is known; a bare head tells nothing, since many good bolts bear no mark. Where the
        head contradicts what was said both are given.

    Raises
    ------
    InvalidInput
        A grade or marking that is not known.
    """
    said = (read_grade(grade),) if grade.strip() else ()
    plain = " ".join(marking.lower().split()).strip(" .,;:")
    if not plain or plain in _NO_MARK:
        return said
    marked = grades_of_marking(plain)
    return said if said and said[0] in marked else (*said, *marked)


@lru_cache(maxsize=4096)
def strength_said(grade: str, marking: str, thread: Thread) -> GradeSaid:
    """Give the strength of a bolt by what is known of its grade.

    Parameters
    ----------
    grade : str
        As said; empty where nobody did.
    marking : str
        What stands on the head; empty where nobody looked.
    thread : Thread
        Its thread.

    Returns
    -------
    GradeSaid
        Of several grades the weakest for yielding and the strongest for stripping.

    Raises
    ------
    InvalidInput
        A grade that is not known, or not made in that size.
    """
    names = grades_said(grade, marking)
    if not names:
        return GradeSaid(unknown_strength(), is_known=False)
    strengths, refused = [], None
    for name in names:
        try:
            strengths.append(strength_of(name, thread))
        except InvalidInput as error:
            refused = error
    # A head that says 8 may be that of a Unified bolt; on a metric one the mark means nothing.
    if refused is not None and (grade.strip() or not strengths):
        raise refused
    if len(strengths) == 1:
        return GradeSaid(strengths[0], is_known=True, names=names)
    hull = Strength(
        said=" or ".join(one.said for one in strengths),
        proof_mpa=min(one.proof_mpa for one in strengths),
        yield_mpa=min(one.yield_mpa for one in strengths),
        tensile_mpa=min(one.tensile_mpa for one in strengths),
        tensile_most_mpa=max(one.tensile_most_mpa for one in strengths),
        hardness="",
        trusted=all(one.trusted for one in strengths),
        reasons=(
            Reason("It may be either: the weakest counts for yielding, the strongest for stripping."),
            *(reason for one in strengths for reason in one.reasons),
        ),
    )
    return GradeSaid(hull, is_known=True, names=names)


def _size_mm(piece: PieceFacts) -> float | None:
    """Nominal diameter, where it is one."""
    return thread(piece.threads[0]).major_mm if len(piece.threads) == 1 else None


def _hardness_or_zero(implied: ImpliedHardness) -> float:
    found = hardest_on(implied, HardnessScale.HRC)
    return 0.0 if found is None else found[0]


def material_of(piece: PieceFacts) -> Material | None:
    """Read of what a piece is made.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    Material or None
        None where nobody said.

    Raises
    ------
    InvalidInput
        A word that is no material here.
    """
    word = "_".join(piece.material.lower().split())
    if not word:
        return Material.RUBBER_OR_PLASTIC if piece.kind is Kind.FIBRE_WASHER else None
    if word not in set(Material):
        raise InvalidInput("material", needs=f"one of {', '.join(Material)}", came=piece.material)
    return Material(word)


def hardness_said(piece: PieceFacts) -> ImpliedHardness:
    """Give how hard a piece may be, at the hard end of what is known.

    Parameters
    ----------
    piece : PieceFacts
        The piece, of steel.

    Returns
    -------
    ImpliedHardness
        As measured; else by its grade; else by its kind.

    Raises
    ------
    InvalidInput
        A hardness, grade or material that cannot be read.
    """
    material = material_of(piece)
    by_kind = of_kind(_LIKE.get(piece.kind, str(piece.kind)))
    if material is Material.SPRING_STEEL and not by_kind.spring:
        by_kind = of_kind("spring")
    elif material is Material.HARDENED_STEEL and not by_kind.spring:
        # Hardened through, and nobody said how far: as hard as any piece of the table.
        by_kind = replace(
            of_kind("pin"),
            why="It is hardened, and nobody said how hard: it may have 62 HRC, as a dowel has.",
            in_tension=by_kind.in_tension,
        )
    elif piece.kind in _LIKE:
        by_kind = replace(by_kind, missing="its hardness, or of what steel it is")
    if piece.hardness.strip():
        known = of_measurement(read_hardness(piece.hardness))
    else:
        # A figure on a nut is the class of the bolt that it suits, and says nothing of its own hardness.
        names = () if piece.kind in NUTS else grades_said(piece.grade, piece.head_marking)
        if not names:
            return by_kind
        size_mm = _size_mm(piece)
        known = max((of_grade(str(name), size_mm) for name in names), key=_hardness_or_zero)
    return replace(known, spring=by_kind.spring, in_tension=by_kind.in_tension)


@lru_cache(maxsize=1024)
def finish_said(text: str) -> Condition:
    """Read the finish that a piece wears.

    Parameters
    ----------
    text : str
        `zinc`, `black oxide`, `zinc, oil`, `none`, `yellow`; a look alone tells no process.

    Returns
    -------
    Condition
        The finish stays open where the process was not said.

    Raises
    ------
    InvalidInput
        Words that name neither a finish nor a look.
    """
    try:
        return read_condition(text)
    except InvalidInput:
        reading = read_finish(text)
        if reading.look is FinishLook.NONE:
            return Condition("plain")
        if reading.process is not None:
            return read_condition(reading.process.said)
        if reading.look is not FinishLook.UNKNOWN:
            return Condition()
        raise
