"""How a line as understood is said back to the person, and what is asked beside it."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.pieces.kinds import Kind, LengthBasis, label
from runningfit.core.pieces.understood import Meaning, UnderstoodLot
from runningfit.core.units import LengthUnit, format_length

_BASIS = {LengthBasis.UNDER_HEAD: "under the head", LengthBasis.OVERALL: "over all"}


@dataclass(frozen=True, slots=True)
class Part:
    """One thing understood; figures are set in the tabular face."""

    text: str
    figures: bool = False


@dataclass(frozen=True, slots=True)
class OpenEnd:
    """A thread that fits several standards: the number of the end, what was typed, the candidates."""

    number: int
    typed: str
    candidates: tuple[str, ...]

    @property
    def field(self) -> str:
        """Return the name of the form's field that answers it."""
        return f"end{self.number}"


@dataclass(frozen=True, slots=True)
class Said:
    """A line as understood, said back: its parts, what is asked, and what stays noted with the lot."""

    parts: tuple[Part, ...]
    ask_count: str
    ask_kind: str
    open_ends: tuple[OpenEnd, ...]
    open_length: tuple[str, ...]
    notes: tuple[str, ...]


def said(lot: UnderstoodLot) -> Said:
    """Say a line as understood back, in the order in which the trade says it."""
    parts = [Part(_what(lot))]
    parts += [Part(thread, figures=True) for thread in _threads(lot)]
    if lot.length_nominal or lot.length_mm is not None:
        parts.append(Part(_length(lot), figures=True))
    if lot.finish_look.value != "unknown":
        parts.append(Part(f"looks {lot.finish_look.value}"))
    if lot.finish_process:
        parts.append(Part(f"{lot.finish_process.value}, as said"))
    parts += [Part(f"{defect.count or 'some'} {defect.what}") for defect in lot.defects]
    parts += [Part(text) for text in (lot.area, f"bag {lot.bag}" if lot.bag else "", lot.remarks) if text]
    problems = {problem.field: problem.sentence for problem in reversed(lot.problems)}
    ends = [OpenEnd(number, end.typed, end.candidates) for number, end in enumerate(lot.ends)]
    open_length = next(
        (one.readings for one in lot.questions if one.field is Meaning.LENGTH and len(one.readings) > 1), ()
    )
    asked_beside = {Meaning.COUNT, Meaning.KIND} | ({Meaning.LENGTH} if open_length else set())
    notes = [problem.sentence for problem in lot.problems if problem.field not in asked_beside]
    tapped = (Meaning.SIZE, Meaning.LENGTH)
    notes += [one.question for one in lot.questions if not (one.field in tapped and len(one.readings) > 1)]
    return Said(
        parts=tuple(parts),
        ask_count=problems.get(Meaning.COUNT, "") if lot.count is None else "",
        ask_kind=problems.get(Meaning.KIND, "") if lot.kind is None else "",
        open_ends=_once(tuple(end for end in ends if len(end.candidates) > 1)),
        open_length=open_length,
        notes=tuple(dict.fromkeys(notes)),
    )


def _what(lot: UnderstoodLot) -> str:
    if lot.count is None:
        return f"how many? {label(lot.kind, 2).partition(' ')[2]}" if lot.kind else "how many, of what?"
    return label(lot.kind or Kind.OTHER, lot.count)


def _threads(lot: UnderstoodLot) -> list[str]:
    threads = [" or ".join(end.candidates) or f"{end.typed}?" for end in lot.ends]
    return list(dict.fromkeys(threads)) or ([lot.size_said] if lot.size_said else [])


def _length(lot: UnderstoodLot) -> str:
    words = lot.length_nominal or ""
    if lot.length_mm is not None:
        in_mm = format_length(lot.length_mm, LengthUnit.MM)
        words = words if in_mm in words else f"{words} ({in_mm})" if words else in_mm
    basis = _BASIS.get(lot.length_basis) if lot.length_basis else ""
    return f"{words} {basis}".strip()


def _once(ends: tuple[OpenEnd, ...]) -> tuple[OpenEnd, ...]:
    """A stud alike at both ends is asked about once; the answer is taken for both."""
    if len(ends) == 2 and ends[0].candidates == ends[1].candidates:
        return ends[:1]
    return ends
