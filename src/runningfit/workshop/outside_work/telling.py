"""What the outside shop must be told of each lot, which lots must not go, and who sent one all the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.embrittlement import Bake
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece
from runningfit.core.treatments.threaded_joint.answers import ForThePlater, JointJudgement
from runningfit.workshop.joints.queries import JudgedJoint, judged_lots
from runningfit.workshop.outside_work.models import ConsignmentLine
from runningfit.workshop.outside_work.opening import held, need_unsent
from runningfit.workshop.records.services import need_words
from runningfit.workshop.records.writing import Hand

# The fields of what a shop is told, and those of the bake; why it is told stands on the joint's own page.
_KEPT = tuple(one.name for one in fields(ForThePlater))
_OF_BAKE = tuple(one.name for one in fields(Bake) if one.name != "reasons")
# The step beside a coating that hydrogen asks for, as `read_process` knows it.
BAKE = "bake"


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A line that must not go for the work it is down for.

    Parameters
    ----------
    line : ConsignmentLine
        Which.
    why : str
        Why it must not.
    anyway : str
        Why a person sends it all the same; empty where nobody said so.
    """

    line: ConsignmentLine
    why: str
    anyway: str


def told_of(lines: Sequence[ConsignmentLine]) -> dict[int, ForThePlater]:
    """Return by the line's id what the outside shop must be told, by the line's own treatment.

    Of what went it is what was told then: what is known of the lot since, and what it is now, change nothing.
    """
    kept = {line.pk: _as_told(line.told) for line in lines if line.told}
    fresh = [line for line in lines if line.pk not in kept]
    judged = judged_lots([line.lot for line in fresh])
    return kept | {line.pk: _for(judged[line.lot_id], line.treatment).plater for line in fresh}


def coat_of(line: ConsignmentLine) -> str:
    """Return the thickness or class of the coat that is asked for a line; empty where none was chosen."""
    return str(line.told.get("coat", "")) if line.told else line.lot.ordered_coat


def is_bake_asked(line: ConsignmentLine) -> bool:
    """Return whether the shop was told to bake a line, or somebody ordered it."""
    return bool(line.told.get("bake")) or BAKE in line.lot.ordered_steps


def as_kept(told: ForThePlater, coat: str) -> dict[str, Any]:
    """Return what a shop is told of a line, as JSON keeps it.

    Parameters
    ----------
    coat : str
        Thickness or class of the coat that is asked for.
    """
    values = {name: getattr(told, name) for name in _KEPT}
    bake = told.bake
    if bake is not None:
        values["bake"] = [getattr(bake, name) for name in _OF_BAKE]
    return values | {"coat": coat}


def _as_told(kept: Mapping[str, Any]) -> ForThePlater:
    values: dict[str, Any] = {
        name: tuple(said) if isinstance(said, list) else said for name, said in kept.items()
    }
    del values["coat"]
    if values["bake"]:
        values["bake"] = Bake(**dict(zip(_OF_BAKE, values["bake"], strict=True)), reasons=())
    return ForThePlater(**values)


def held_back(lines: Sequence[ConsignmentLine], told: Mapping[int, ForThePlater]) -> list[HeldBack]:
    """Return the lines that must not go, with what a person said to send them all the same."""
    return [
        HeldBack(line, told[line.pk].do_not_send, line.sent_anyway)
        for line in lines
        if told[line.pk].do_not_send
    ]


def send_anyway(*, line: ConsignmentLine, why: str, hand: Hand) -> ConsignmentLine:
    """Say why a lot goes although it must not; verdict and reason both stand in the record and on the note.

    Raises
    ------
    InvalidInput
        No reason was given, or nothing holds the lot back.
    Conflict
        The consignment was sent already.
    """
    need_words("why", why, "why it goes all the same")
    said = " ".join(why.split())
    with held(
        line.consignment,
        verb="send_anyway",
        summary="sends a lot all the same",
        hand=hand.because(said),
        jobs=[line.lot.job],
    ) as (entry, fresh):
        need_unsent(fresh)
        against = held_back([line], told_of([line]))
        if not against:
            raise InvalidInput(
                f"lot {line.lot.number}",
                needs="to be held back before somebody can overrule it",
                came="nothing against it",
                remedy="Send it.",
            )
        entry.change(line, sent_anyway=said)
        entry.say(
            f"lot {line.lot.number} goes on consignment {fresh.number} all the same, against: "
            f"{against[0].why}"
        )
    return line


def _for(judged: JudgedJoint, treatment: str) -> JointJudgement:
    if judged.facts.piece.treatment == treatment:
        return judged.judgement
    piece = replace(judged.facts.piece, treatment=treatment, is_treated=False)
    facts = replace(judged.facts, piece=piece)
    in_a_joint = judged.place is not None and facts.piece.threads
    return judge_joint(facts) if in_a_joint else judge_piece(facts.piece)
