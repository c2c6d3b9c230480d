"""What the outside shop must be told of each lot, which lots must not go, and who sent one all the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece
from runningfit.core.treatments.threaded_joint.answers import ForThePlater, JointJudgement
from runningfit.workshop.joints.queries import JudgedJoint, judged_lots
from runningfit.workshop.outside_work.models import ConsignmentLine
from runningfit.workshop.outside_work.opening import held, need_unsent
from runningfit.workshop.records.services import need_words
from runningfit.workshop.records.writing import Hand

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

    A lot that came back has another treatment, or none; what was told when it went depends on the line's.
    """
    judged = judged_lots([line.lot for line in lines])
    return {line.pk: _for(judged[line.lot_id], line.treatment).plater for line in lines}


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
    facts = replace(judged.facts, piece=replace(judged.facts.piece, treatment=treatment))
    in_a_joint = judged.place is not None and facts.piece.threads
    return judge_joint(facts) if in_a_joint else judge_piece(facts.piece)
