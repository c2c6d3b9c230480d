"""From what a missing fact is called back to the fact itself, so that a page can lead to where it is said."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.treatments.threaded_joint.gaps import (
    OF_CLAMPING,
    OF_HYDROGEN,
    OF_PLATING,
    OF_REUSE,
    OF_STRIPPING,
    Gap,
)

_GAPS = (*OF_REUSE, *OF_HYDROGEN, *OF_PLATING, *OF_STRIPPING, *OF_CLAMPING)
# What is asked for by a check itself, not weighed against others.
_ASKED_APART = {
    "which thread it is": "piece.threads",
    "its pitch diameter": "piece.pitch_diameter",
    "how thick the coat of the nut, hole or stud is": "mate.coat",
    "its grade: the mark on the head, or a hardness test": "piece.hardness",
    "its hardness: a test on the end or the flat settles it": "piece.hardness",
    "its hardness, or of what steel it is": "piece.hardness",
    # What was typed and cannot be read is called by its argument.
    "the grade": "piece.grade",
    "the marking": "piece.head_marking",
    "the hardness": "piece.hardness",
    "the process": "piece.own_steps",
    "the material": "piece.material",
    "the tapped material": "mate.material",
    "the condition": "torque.assumed",
    "the lubricant": "torque.lubricant",
    "the thread": "piece.threads",
    "the length": "piece.length_mm",
    "the length of its thread": "piece.thread_length_mm",
    "the stretch": "piece.stretch_mm",
    "the neck": "piece.neck_mm",
    "the length of ten pitches": "piece.over_ten_mm",
    "the rust": "piece.rust_mm",
    "the lost metal": "piece.lost",
    "the thickness": "piece.coat",
    "the class of plating": "piece.coat",
    "the chamfer": "mate.chamfer_mm",
    "the damaged turns": "mate.damaged_turns",
    "the depth of the hole": "mate.depth_mm",
    "the length engaged": "mate.engaged_mm",
    "the thickness clamped": "mate.clamped_mm",
    "the thickness of the washers": "mate.washer_mm",
    "the torque": "torque.torque_nm",
    "the scatter of the tool": "torque.scatter",
    "the wanted clamp": "torque.wanted_clamp_n",
    "the prevailing torque": "mate.prevailing_nm",
    "the nut class": "mate.grade",
}


def fact_called(said: str, facts: JointFacts) -> str:
    """Find the fact that a judgement says is missing.

    Parameters
    ----------
    said : str
        What it is called: `missing` of a check, `matters_most` of a judgement.
    facts : JointFacts
        What was judged.

    Returns
    -------
    str
        Its side and its name: `piece.hardness`, `mate.depth_mm`, `torque.assumed`; empty where no one fact is
        called so.
    """
    if said in _ASKED_APART:
        return _ASKED_APART[said]
    for gap in _GAPS if said else ():
        try:
            if gap.said(facts) == said:
                return _what_moves(gap, facts)
        except InvalidInput:
            # What this fact is called hangs on another one that cannot be read.
            continue
    return ""


def _what_moves(gap: Gap, facts: JointFacts) -> str:
    """Name the first field in which the facts differ once the missing one is known."""
    for known in (gap.good(facts), gap.bad(facts)):
        for side in fields(facts):
            before, after = getattr(facts, side.name), getattr(known, side.name)
            assert is_dataclass(before)
            for one in fields(before):
                if getattr(before, one.name) != getattr(after, one.name):
                    return f"{side.name}.{one.name}"
    return ""
