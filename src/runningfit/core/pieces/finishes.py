"""How a finish looks, kept apart from the process that nobody can see."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class FinishLook(StrEnum):
    """What the eye sees."""

    CLEAR = "clear"
    YELLOW = "yellow"
    BLACK = "black"
    BRASS = "brass"
    BRONZE = "bronze"
    COPPER = "copper"
    CHROME = "chrome"
    NICKEL = "nickel"
    PAINT = "paint"
    NONE = "none"
    UNKNOWN = "unknown"


class FinishProcess(StrEnum):
    """What was done to get a finish; known only when somebody says so."""

    ZINC = "zinc"
    CADMIUM = "cadmium"
    OXIDE = "oxide"
    PHOSPHATE = "phosphate"
    NICKEL = "nickel"
    CHROMIUM = "chromium"
    TIN = "tin"
    PAINT = "paint"


@dataclass(frozen=True, slots=True)
class FinishReading:
    """A finish as understood."""

    look: FinishLook
    process: FinishProcess | None
    doubt: bool
    note: str


def read_finish(text: str) -> FinishReading:
    raise NotImplementedError
