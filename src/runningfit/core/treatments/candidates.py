"""What could be done to the pieces of one joint: the treatments worth holding side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from runningfit.core.treatments.plain import treatment
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, PieceFacts, ThreadState
from runningfit.core.treatments.threaded_joint.inserting import FITTED, with_new_insert
from runningfit.core.treatments.threaded_joint.work import is_done, steps_done

BAKED = "+bake"
# In the order in which people look for them.
ALWAYS = ("leave", "clean", "derust", "zinc_clear", "zinc_yellow", "cadmium")
COATS = ("mechanical_zinc", "zinc_flake", "black_oxide", "phosphate")
# Compared only where somebody wants them: few fasteners of an engine wear them.
SELDOM = ("nickel", "chrome", "paint", "bead_blast", "degrease")
CLASSES: Mapping[str, tuple[str, ...]] = {
    "zinc_clear": ("Fe/Zn 3", "Fe/Zn 5", "Fe/Zn 8", "Fe/Zn 12"),
    "zinc_yellow": ("Fe/Zn 3", "Fe/Zn 5", "Fe/Zn 8", "Fe/Zn 12"),
    "cadmium": ("5", "8", "12", "25"),
}
CLASS_STANDARDS: Mapping[str, str] = {
    "zinc_clear": "ASTM F1941",
    "zinc_yellow": "ASTM F1941",
    "cadmium": "ASTM B766",
}
_BARING = frozenset({"derust", "bead_blast"})
_STAYS = frozenset({"leave", "clean", "degrease"})


@dataclass(frozen=True, slots=True)
class Candidate:
    """One treatment as it is compared.

    Parameters
    ----------
    key : str
        Its name in the comparison: the treatment's key, with `+bake` where it is baked afterwards.
    treatment : str
        The treatment's key.
    label : str
        What the trade calls it.
    is_baked : bool
        Whether the bake that hydrogen asks for is part of it.
    """

    key: str
    treatment: str
    label: str
    is_baked: bool = False

    @property
    def can_be_baked(self) -> bool:
        """Whether the shop that lays the coat also bakes it, where hydrogen asks for that."""
        return electroplates(self.treatment) or self.treatment == "phosphate"


def electroplates(key: str) -> bool:
    """Tell whether a treatment is an electroplating, which is done with or without a bake.

    Parameters
    ----------
    key : str
        Key of the treatment.

    Returns
    -------
    bool
        True for zinc, cadmium, nickel and chrome from a bath with current.
    """
    return treatment(key).label.startswith("electroplate")


def candidates_for(facts: JointFacts) -> tuple[Candidate, ...]:
    """Give the treatments to compare for the pieces of one joint.

    Parameters
    ----------
    facts : JointFacts
        What is known of the joint; a loose piece has an empty other side.

    Returns
    -------
    tuple of Candidate
        The one chosen now always among them; an insert only where the piece is screwed into a hole.
    """
    keys = [*ALWAYS, *COATS]
    if facts.piece.treatment and facts.piece.treatment not in {*keys, "replace", "thread_insert"}:
        keys.append(facts.piece.treatment)
    keys.append("replace")
    if facts.mate.mate in {Mate.TAPPED_HOLE, Mate.INSERT}:
        keys.append("thread_insert")
    found = []
    for key in keys:
        one = Candidate(key, key, treatment(key).label)
        found.append(one)
        if one.can_be_baked:
            found.append(Candidate(f"{key}{BAKED}", key, f"{one.label}, and bake", is_baked=True))
    return tuple(found)


def facts_after(facts: JointFacts, candidate: Candidate, coat: str = "") -> JointFacts:
    """Say what would be known of a joint if its pieces were given a treatment.

    Parameters
    ----------
    facts : JointFacts
        What is known now.
    candidate : Candidate
        The treatment.
    coat : str
        Thickness or class of the coat; empty is what was said before, if it was said for this treatment.

    Returns
    -------
    JointFacts
        With the finish that the treatment gives; a new piece has nothing of the old one's wear, and a new
        insert makes the thread of the hole good again.
    """
    key = candidate.treatment
    if key == "replace":
        return replace(facts, piece=_new_piece(facts.piece))
    same = key == facts.piece.treatment
    finish = facts.piece.finish_now if key in _STAYS or key == "thread_insert" else finish_words(key)
    # What the bath did that gave it its coat stays with it: when it is only left or cleaned as its treatment,
    # else as what was done before.
    done = facts.piece.is_treated or is_done(facts.piece)
    wears = key in _STAYS and done
    before = facts.piece.done_steps
    if done and not wears:
        steps = steps_done(facts.piece.treatment, ordered=facts.piece.ordered_steps, baked=facts.piece.baked)
        before = ", ".join(said for said in (before, steps) if said)
    piece = replace(
        facts.piece,
        treatment=facts.piece.treatment if wears else key,
        coat=coat or (facts.piece.coat if same or wears else ""),
        ordered_steps=facts.piece.ordered_steps if wears else "bake" if candidate.is_baked else "",
        finish_received=finish,
        done_steps=before,
        is_treated=wears,
        baked=facts.piece.baked if wears else "",
    )
    mate = with_new_insert(facts.mate) if key == FITTED else facts.mate
    return replace(facts, piece=piece, mate=mate)


def finish_words(key: str) -> str:
    """Name the finish that a treatment gives, as friction knows it.

    Parameters
    ----------
    key : str
        Key of the treatment.

    Returns
    -------
    str
        Such as `zinc` or `black oxide`; empty where it gives none.
    """
    process = treatment(key).process
    if process is not None:
        return process.said
    return "plain" if key in _BARING else ""


def _new_piece(piece: PieceFacts) -> PieceFacts:
    """The same sort, bought new: its grade is wished for, and what was found of the old one is gone."""
    return replace(
        piece,
        treatment="replace",
        is_new=True,
        thread_state=ThreadState.NOT_LOOKED_AT,
        passes_go=None,
        stops_no_go=None,
        pitch_diameter=None,
        major=None,
        stretch_mm=None,
        neck_mm=None,
        thread_length_mm=None,
        over_ten_mm=None,
        rust_mm=None,
        lost="",
        looks_sound=None,
        crack_tested=None,
        hardness="",
        finish_now="",
        old_coat="",
        own_steps="",
        done_steps="",
        ordered_steps="",
        is_treated=False,
        baked="",
        coat="",
        finish_received="",
    )
