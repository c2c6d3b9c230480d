"""From the separate texts that tell of a lot to the lot as understood."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.pieces.condition import read_condition
from runningfit.core.pieces.counts import Count, read_count
from runningfit.core.pieces.faults import counted_faults
from runningfit.core.pieces.finishes import FinishLook, FinishReading, read_finish
from runningfit.core.pieces.kind_details import kind_doubt, length_basis_of, may_have_thread
from runningfit.core.pieces.kinds import Kind, KindUnknown, read_kind
from runningfit.core.pieces.lot_lengths import basis_said, length_unit_of, read_lot_length
from runningfit.core.pieces.lot_threads import ThreadText, read_threads
from runningfit.core.pieces.understood import Meaning, Problem, Question, Typed, UnderstoodLot
from runningfit.core.units import LengthUnit

_METAL = re.compile(r"\b(?:brass|bronze|gunmetal|copper)\b", re.IGNORECASE)
# A list says the same few words on every row.
_condition = lru_cache(maxsize=2048)(read_condition)
_finish_reading = lru_cache(maxsize=512)(read_finish)
_kind_reading = lru_cache(maxsize=512)(read_kind)
_may_have_thread = lru_cache(maxsize=512)(may_have_thread)
_length_basis = lru_cache(maxsize=512)(length_basis_of)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotText:
    """What was typed of a lot, sorted by meaning; a length may have the unit of its column's heading."""

    count: str = ""
    kind: str = ""
    size: str = ""
    pitch: str = ""
    series: str = ""
    length: str = ""
    finish: str = ""
    condition: str = ""
    remarks: str = ""
    bag: str = ""
    area: str = ""
    length_unit: LengthUnit | None = None
    default_unit: LengthUnit | None = None


@dataclass(frozen=True, slots=True)
class ReadBefore:
    """What was found of a lot before its texts were read: problems, questions, and the cells as typed."""

    problems: tuple[Problem, ...] = ()
    questions: tuple[Question, ...] = ()
    typed: tuple[Typed, ...] = ()


def understand_lot(text: LotText, before: ReadBefore) -> UnderstoodLot:
    """Understand a lot from everything typed of it.

    Parameters
    ----------
    text : LotText
        The texts, sorted by meaning.
    before : ReadBefore
        What was found on the way here; a field with a problem there gets no second one for being empty.

    Returns
    -------
    UnderstoodLot
        Unknown and unreadable values are None, each with a problem that says why; the others stand.
    """
    problems = list(before.problems)
    questions = list(before.questions)
    told = {problem.field for problem in before.problems}

    kind = _kind(text.kind, problems, told)
    count = _count(text.count, problems, questions, told)
    if doubt := kind_doubt(text.kind):
        questions.append(Question(Meaning.KIND, doubt))
    threaded = _may_have_thread(kind, text.kind)
    other_words = " ".join((text.kind, text.series, text.condition, text.remarks))
    threads = read_threads(
        ThreadText(text.size, text.pitch, text.series, other_words, _bare_unit(text)),
        kind=kind,
        threaded=threaded,
    )
    problems.extend(_unless_told(threads.problems, told, text.size))
    questions.extend(threads.questions)

    candidates = tuple(name for end in threads.ends for name in end.candidates)
    names = candidates or ((threads.size_said or text.size,) if threads.size_said or text.size else ())
    thread_unit = length_unit_of(names) or text.default_unit
    length = read_lot_length(text.length, kind=kind, column_unit=text.length_unit, thread_unit=thread_unit)
    problems.extend(_unless_told(length.problems, told, text.length))
    questions.extend(length.questions)

    finish = _finish(text.finish or _metal(text.kind), questions)
    condition = _condition(text.condition, count)
    remarked = tuple(
        defect for defect in counted_faults(text.remarks, count) if defect not in condition.defects
    )
    problems.extend(
        Problem(Meaning.CONDITION, what.rstrip("."), "", "Count the good and the bad again.")
        for what in condition.problems
    )
    problems.extend(
        Problem(
            Meaning.REMARKS,
            f"{defect.count} are said to be {defect.what}, but the lot has {count}",
            "",
            "Count the good and the bad again.",
        )
        for defect in remarked
        if defect.count is not None and count is not None and defect.count > count
    )
    return UnderstoodLot(
        kind=kind,
        count=count,
        defects=condition.defects + remarked,
        ends=threads.ends,
        size_said=threads.size_said,
        size_mm=threads.size_mm,
        length_mm=length.mm,
        length_nominal=length.nominal,
        length_basis=basis_said(text.length) or _length_basis(kind, text.kind),
        finish_look=finish.look,
        finish_process=finish.process,
        condition=condition.condition,
        remarks=text.remarks,
        bag=text.bag,
        area=text.area,
        problems=tuple(problems),
        questions=tuple(questions),
        typed=before.typed,
    )


def _unless_told(found: tuple[Problem, ...], told: set[Meaning], text: str) -> list[Problem]:
    """An empty text is no second problem where its cell already has one."""
    return [problem for problem in found if text.strip() or problem.field not in told]


def _kind(text: str, problems: list[Problem], told: set[Meaning]) -> Kind | None:
    typed = text.strip()
    if not typed:
        if Meaning.KIND not in told:
            problems.append(
                Problem(Meaning.KIND, "it is not said what they are", "", "Say bolt, stud, nut, washer…")
            )
        return None
    reading = _kind_reading(typed)
    if isinstance(reading, KindUnknown):
        # A reason with a colon says what to do already.
        remedy = "" if ":" in reading.reason else "Choose the kind."
        problems.append(Problem(Meaning.KIND, reading.reason, reading.text, remedy))
        return None
    return reading


def _count(text: str, problems: list[Problem], questions: list[Question], told: set[Meaning]) -> int | None:
    reading = read_count(text)
    if isinstance(reading, Count):
        if reading.doubt:
            questions.append(Question(Meaning.COUNT, f"'{text.strip()}' was written with doubt: count them."))
        return reading.number
    if text.strip() or Meaning.COUNT not in told:
        problems.append(Problem(Meaning.COUNT, reading.reason, reading.text, reading.remedy))
    return None


def _bare_unit(text: LotText) -> LengthUnit | None:
    """The unit of a size without one is that of the length beside it: 8 x 20 mm."""
    in_mm = text.length_unit is LengthUnit.MM or text.length.rstrip().lower().endswith("mm")
    return LengthUnit.MM if in_mm else text.default_unit


def _metal(kind: str) -> str:
    """The metal named with the kind, which is its look where no finish was given: copper washers."""
    found = _METAL.search(kind)
    return found[0] if found else ""


def _finish(text: str, questions: list[Question]) -> FinishReading:
    if not text.strip():
        return FinishReading(FinishLook.UNKNOWN, None, False, "")
    reading = _finish_reading(text)
    if reading.doubt or (reading.note and reading.look is FinishLook.UNKNOWN):
        note = reading.note or f"'{text.strip()}' was written with doubt: look again."
        questions.append(Question(Meaning.FINISH, note))
    return reading
