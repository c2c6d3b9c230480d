"""What was understood of a lot of pieces, beside what was typed: the one form of every way in."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple, Self

from runningfit.core.pieces.condition import Defect
from runningfit.core.pieces.finishes import FinishLook, FinishProcess
from runningfit.core.pieces.kinds import Kind, LengthBasis


class Meaning(StrEnum):
    """What a column, or a part of a line, tells of a lot."""

    BAG = "bag"
    AREA = "area"
    COUNT = "count"
    KIND = "kind"
    SIZE = "size"
    PITCH = "pitch"
    SERIES = "series"
    LENGTH = "length"
    FINISH = "finish"
    CONDITION = "condition"
    REMARKS = "remarks"
    ACROSS_FLATS = "across_flats"
    TORQUE = "torque"
    DESCRIPTION = "description"


class Typed(NamedTuple):
    """A meaning and the text that was typed for it."""

    meaning: Meaning
    text: str


@dataclass(frozen=True, slots=True)
class End:
    """One threaded end: every standard thread it can be, and what was typed; without any it is unreadable."""

    candidates: tuple[str, ...]
    typed: str


@dataclass(frozen=True, slots=True)
class Problem:
    """A value that could not be understood: which, what is wrong, what came, and what to do."""

    field: Meaning
    what: str
    came: str
    remedy: str

    @property
    def sentence(self) -> str:
        """The problem in words, as screens and the command line print it."""
        came = f" ('{self.came}' came)" if self.came else ""
        remedy = f" {self.remedy}" if self.remedy else ""
        return f"{self.field.value.replace('_', ' ').capitalize()}: {self.what}{came}.{remedy}"


@dataclass(frozen=True, slots=True)
class Question:
    """Something to look at: how a value was read where that is not sure, or the readings to choose from."""

    field: Meaning
    question: str
    readings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderstoodLot:
    """A lot as understood; what is unknown or unreadable is None, with a problem that says why."""

    kind: Kind | None
    count: int | None
    defects: tuple[Defect, ...]
    ends: tuple[End, ...]
    size_said: str | None
    size_mm: float | None
    length_mm: float | None
    length_nominal: str | None
    length_basis: LengthBasis | None
    finish_look: FinishLook
    finish_process: FinishProcess | None
    condition: str
    remarks: str
    bag: str
    area: str
    problems: tuple[Problem, ...]
    questions: tuple[Question, ...]
    typed: tuple[Typed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderstoodRow(UnderstoodLot):
    """A row of a bench list as understood, with the number of its line in the file."""

    row: int

    @classmethod
    def of(cls, row: int, lot: UnderstoodLot) -> Self:
        """The lot as that row of a file."""
        return cls(
            row=row, **{field.name: getattr(lot, field.name) for field in dataclasses.fields(UnderstoodLot)}
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderstoodLine(UnderstoodLot):
    """A quick line as understood, with the line as typed."""

    text: str

    @classmethod
    def of(cls, text: str, lot: UnderstoodLot) -> Self:
        """The lot as understood from that line."""
        return cls(
            text=text, **{field.name: getattr(lot, field.name) for field in dataclasses.fields(UnderstoodLot)}
        )
