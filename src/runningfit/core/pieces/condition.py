"""What a person says of the state of a lot, and how many pieces are defective."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Defect:
    """A fault of some pieces of a lot; no count means that the number was not said."""

    count: int | None
    what: str


@dataclass(frozen=True, slots=True)
class ConditionReading:
    """The condition as written, its defects, and what cannot be right about them."""

    condition: str
    defects: tuple[Defect, ...]
    problems: tuple[str, ...]


def read_condition(text: str, count: int | None) -> ConditionReading:
    raise NotImplementedError
