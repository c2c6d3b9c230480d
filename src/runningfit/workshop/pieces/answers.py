"""Answers to what was asked of a quick line, put into the line as understood before it is kept."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.lot_lengths import length_unit_of, read_lot_length
from runningfit.core.pieces.understood import End, Meaning, UnderstoodLine
from runningfit.workshop.pieces.ledger import need_count

# A reading of a length is offered with its millimetres behind it, such as 1 3/8 in (34.925 mm).
_IN_MM = re.compile(r"\(([\d.]+ mm)\)$")


@dataclass(frozen=True, slots=True)
class Answers:
    """What was tapped or typed beside the questions; what is left empty stays as it is.

    Parameters
    ----------
    count : int or None
        How many there are.
    kind : str
        One of core.pieces.Kind.
    ends : mapping of int to str
        For an end, by its number from 0, the candidate that it is.
    length : str
        One of the readings offered for the length.
    """

    count: int | None = None
    kind: str = ""
    ends: Mapping[int, str] = field(default_factory=dict)
    length: str = ""


def answered(line: UnderstoodLine, answers: Answers) -> UnderstoodLine:
    """Return the line with the answers in it; what they settle is asked no more.

    Raises
    ------
    InvalidInput
        An answer is none of those that were offered.
    """
    settled: set[Meaning] = set()
    ends: Sequence[End] = line.ends
    if answers.count is not None:
        line = replace(line, count=need_count(answers.count))
        settled.add(Meaning.COUNT)
    if answers.kind:
        if answers.kind not in set(Kind):
            raise InvalidInput("kind", needs="one of the kinds in the list", came=answers.kind)
        kind = Kind(answers.kind)
        line = replace(line, kind=kind, length_basis=kind.length_basis)
        settled.add(Meaning.KIND)
    for number, chosen in answers.ends.items():
        if not 0 <= number < len(ends) or chosen not in ends[number].candidates:
            raise InvalidInput("thread", needs="one of the threads offered", came=chosen)
        ends = [*ends[:number], End((chosen,), ends[number].typed), *ends[number + 1 :]]
    if answers.ends and all(len(end.candidates) == 1 for end in ends):
        settled.add(Meaning.SIZE)
    if answers.length:
        line = _with_length(line, ends, answers.length)
        settled.add(Meaning.LENGTH)
    return replace(
        line,
        ends=tuple(ends),
        problems=tuple(problem for problem in line.problems if problem.field not in settled),
        questions=tuple(
            question
            for question in line.questions
            if not (question.field in settled and len(question.readings) > 1)
        ),
    )


def _with_length(line: UnderstoodLine, ends: Sequence[End], reading: str) -> UnderstoodLine:
    offered = [
        one for question in line.questions if question.field is Meaning.LENGTH for one in question.readings
    ]
    in_mm = _IN_MM.search(reading)
    if reading not in offered or in_mm is None:
        raise InvalidInput("length", needs="one of the lengths offered", came=reading)
    sizes = tuple(name for end in ends for name in end.candidates) or (
        (line.size_said,) if line.size_said else ()
    )
    read = read_lot_length(in_mm[1], kind=line.kind, column_unit=None, thread_unit=length_unit_of(sizes))
    return replace(line, length_mm=read.mm, length_nominal=read.nominal)
