"""What the outside shop must be told of a lot: hardness, bake, order, masking, what not to do, how thick."""

from __future__ import annotations

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.advice import Material
from runningfit.core.treatments.embrittlement import Risk
from runningfit.core.treatments.threaded_joint.answers import Check, ForThePlater
from runningfit.core.treatments.threaded_joint.coating import CoatAnswer
from runningfit.core.treatments.threaded_joint.facts import PieceFacts
from runningfit.core.treatments.threaded_joint.hydrogen import WHAT_IS_ON_IT, HydrogenAnswer
from runningfit.core.treatments.threaded_joint.reading import NOT_STEEL, finish_said, material_of
from runningfit.core.treatments.threaded_joint.work import is_plated_now, treatment_of
from runningfit.core.verdicts import Outcome

_NO_ACID = "No acid, no cathodic cleaning."
_NO_DRY_BLAST = "Do not dry-blast: the old coat may be cadmium."
_NO_THREAD_BLAST = "Do not blast the threads."
_ZINC_LIKE = frozenset(
    {"zinc_clear", "zinc_yellow", "cadmium", "black_oxide", "phosphate", "mechanical_zinc"}
)
_SOFT_METALS = frozenset({Material.ALUMINIUM, Material.MAGNESIUM, Material.ZINC_CASTING})


def _masked(piece: PieceFacts) -> tuple[str, ...]:
    """What must stay free of the coat, by kind."""
    key = treatment_of(piece).key
    if not treatment_of(piece).process:
        return ()
    if key == "paint":
        bores = () if piece.kind in {Kind.HEX_BOLT, Kind.STUD, Kind.SETSCREW} else ("bores, seats and faces",)
        return ("threads", *bores) if piece.threads or piece.kind is Kind.OTHER else bores
    if piece.kind in {Kind.OTHER, Kind.UNION}:
        return ("tapped holes", "bores, seats and sealing faces")
    if piece.kind in {Kind.PIN, Kind.SPACER}:
        return ("ground diameters and faces that fit",)
    return ()


def _must_not(piece: PieceFacts, hydrogen: HydrogenAnswer | None) -> list[str]:
    key, material = treatment_of(piece).key, material_of(piece)
    found = []
    if (hydrogen is not None and hydrogen.judgement.risk is Risk.AVOID) or (
        hydrogen is not None and hydrogen.implied.spring
    ):
        found.append(_NO_ACID)
    elif hydrogen is not None and hydrogen.judgement.bake is not None:
        found.append("No longer in acid than the scale needs; no cathodic cleaning.")
    elif hydrogen is not None and hydrogen.check.missing == WHAT_IS_ON_IT:
        found.append("Do not strip an old plating in acid.")
    if material in _SOFT_METALS:
        found.append("No acid, no caustic, no hot alkaline bath: it dissolves.")
    worn = finish_said(piece.finish_now)
    may_be_cadmium = worn.finish in {None, "cadmium"} and not worn.unfigured
    if may_be_cadmium and key in {"bead_blast", "paint", "machine"}:
        found.append(_NO_DRY_BLAST)
    if piece.threads and key in {"bead_blast", "paint"}:
        found.append(_NO_THREAD_BLAST)
    return found


def _do_not_send(piece: PieceFacts, hydrogen: HydrogenAnswer | None) -> str:
    """Why these pieces must not go for this work at all."""
    key, material = treatment_of(piece).key, material_of(piece)
    if hydrogen is not None and hydrogen.judgement.risk is Risk.AVOID:
        instead = " ".join(hydrogen.judgement.alternatives[:2])
        missing = hydrogen.implied.missing
        first = f" It may be softer; what would tell is {missing}." if missing else ""
        return f"{hydrogen.check.says}{first} Instead: {instead}"
    if key in _ZINC_LIKE and material in NOT_STEEL | {Material.STAINLESS}:
        return f"{str(material).replace('_', ' ').capitalize()} does not take this coat: leave it, or ask."
    return ""


def _wasted(piece: PieceFacts, reuse: Check | None) -> str:
    """Why a coat would be thrown away on them; what a machine shop does may be the very repair."""
    if treatment_of(piece).process is None or reuse is None or reuse.verdict.outcome is not Outcome.NOT_SOUND:
        return ""
    return f"It is not to be used again: {reuse.says}"


def told_plater(
    piece: PieceFacts, hydrogen: HydrogenAnswer | None, coat: CoatAnswer | None, reuse: Check | None
) -> ForThePlater:
    """Put together what the outside shop must be told of a lot.

    Parameters
    ----------
    piece : PieceFacts
        The lot.
    hydrogen : HydrogenAnswer or None
        What hydrogen can do to it.
    coat : CoatAnswer or None
        What the coat does to its thread.
    reuse : Check or None
        Whether it may be used again at all.

    Returns
    -------
    ForThePlater
        For the note that goes along.
    """
    hardness, do = "", []
    if hydrogen is not None:
        implied = hydrogen.implied
        hardness = f"{implied.said}, measured" if implied.measured else f"up to {implied.readings[0].high:g} "
        if not implied.measured:
            unsure = " (nobody knows: the hardest it may be)" if implied.missing else " by its grade or kind"
            hardness = f"{hardness}{implied.readings[0].scale}{unsure}"
        do = [one for one in hydrogen.judgement.instructions if not one.startswith(("Hardness", "Do not"))]
    if is_plated_now(piece) and treatment_of(piece).process is not None:
        worn = finish_said(piece.finish_now)
        do.insert(0, f"Strip the old {worn.finish or worn.unfigured or 'plating'} first.")
    thickest_um = None if coat is None else coat.thickest_um
    no = _do_not_send(piece, hydrogen)
    if not no and coat is not None and coat.thickest_um <= 0 and piece.pitch_diameter is not None:
        no = "As measured its thread has no room for any coat."
    return ForThePlater(
        hardness=hardness,
        bake=None if hydrogen is None else hydrogen.judgement.bake,
        do=tuple(do),
        must_not=tuple(_must_not(piece, hydrogen)),
        mask=_masked(piece),
        thickest_um=thickest_um,
        do_not_send=no,
        wasted=_wasted(piece, reuse),
    )


def careful_plater(why: str) -> ForThePlater:
    """Say what the outside shop must be told where a fact cannot be read.

    Parameters
    ----------
    why : str
        Which fact, and what it needs.

    Returns
    -------
    ForThePlater
        Nothing may go until it is put right.
    """
    return ForThePlater(
        hardness="not known", must_not=(_NO_ACID,), do_not_send=f"Put this right first: {why}"
    )
