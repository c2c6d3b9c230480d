"""Thread designations: one form everywhere, read in every common way."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ThreadReading:
    """What was said of a thread: every standard thread it can be."""

    candidates: tuple[str, ...]
    typed: str
    note: str = ""
    size_said: str | None = None
    size_mm: float | None = None
    doubt: bool = False


def read_thread(text: str, *, threaded: bool = True) -> ThreadReading:
    raise NotImplementedError


def read_ends(text: str, *, threaded: bool = True) -> tuple[ThreadReading, ...]:
    raise NotImplementedError
