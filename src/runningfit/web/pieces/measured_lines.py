"""What was measured of the threads of a lot, as its page tells it: namings and checks, the newest first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from runningfit.core.verdicts import Outcome
from runningfit.web.pieces.naming_saying import as_number
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.thread_gauging import OUTCOME_WORDS
from runningfit.workshop.pieces.thread_models import ThreadGauging, ThreadNaming

_STAMPS = {Outcome.SOUND: "good", Outcome.NOT_SOUND: "bad", Outcome.NOT_PROVEN: "open"}
_LIKELY_ENOUGH = 0.02
# What was measured is told by these fields, in this order; the others only say how.
_MEASURED = (
    ("major", "outside"),
    ("leaf", "leaf"),
    ("turns_length", "turns"),
    ("minor", "inside"),
    ("pitch_diameter", "pitch diameter"),
    ("over_wires", "over wires"),
    ("wire", "wire"),
    ("across_flats", "across flats"),
    ("angle", "angle gauge"),
    ("go", "GO"),
    ("no_go", "NO-GO"),
)


@dataclass(frozen=True, slots=True)
class MeasuredLine:
    """One naming or check, in words."""

    at: dt.datetime
    who: str
    why: str
    stamp: str
    words: str
    thread: str
    told: tuple[str, ...]
    between: str
    measured: tuple[tuple[str, str], ...]


def measured_lines(lot: Lot) -> list[MeasuredLine]:
    """Return what was measured of a lot's threads, the newest first."""
    namings = ThreadNaming.objects.filter(lot=lot, withdrawn=False).order_by("-id")
    checks = ThreadGauging.objects.filter(lot=lot, withdrawn=False).order_by("-id")
    lines = [*map(_naming, namings), *map(_check, checks)]
    return sorted(lines, key=lambda line: line.at, reverse=True)


def _naming(row: ThreadNaming) -> MeasuredLine:
    likely = [one for one in row.candidates if one["probability"] >= _LIKELY_ENOUGH]
    told = tuple(f"{one['designation']} {as_number(one['probability'])}" for one in likely[:4])
    if row.none_of_these >= _LIKELY_ENOUGH:
        told = (*told, f"none of these {as_number(row.none_of_these)}")
    words = "named" if row.kept_as else "kept open"
    stamp = "" if row.kept_as else "open"
    return MeasuredLine(
        row.at, row.who, row.why, stamp, words, row.kept_as, told, ", ", tuple(_typed(row.typed))
    )


def _check(row: ThreadGauging) -> MeasuredLine:
    outcome = Outcome(row.outcome)
    return MeasuredLine(
        row.at,
        row.who,
        row.why,
        _STAMPS[outcome],
        f"{OUTCOME_WORDS[outcome]} {row.thread_class}",
        row.designation,
        tuple(row.reasons),
        " ",
        tuple(_typed(row.typed)),
    )


def _typed(typed: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    for name, words in _MEASURED:
        if typed.get(name):
            yield words, typed[name]
