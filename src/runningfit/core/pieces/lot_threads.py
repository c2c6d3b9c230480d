"""The threads of a lot from everything said of it: size, pitch, series, and hints in other words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.designations import ThreadReading, read_ends
from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.understood import End, Meaning, Problem, Question
from runningfit.core.standards import ThreadSeries, thread
from runningfit.core.units import LengthUnit

# Kinds that are bought and stored by the size they fit; without one nobody can find the next one.
_KINDS_WITH_A_SIZE = frozenset(
    {
        Kind.PLAIN_WASHER, Kind.SPRING_WASHER, Kind.TAB_WASHER, Kind.FIBRE_WASHER,
        Kind.PLUG, Kind.PIN, Kind.SPACER, Kind.CLIP,
    }
)  # fmt: skip
_KINDS_WITH_PIPE_THREADS = frozenset({Kind.PLUG, Kind.UNION})
_SERIES = {
    "unc": "UNC", "unf": "UNF", "unef": "UNEF", "bsw": "BSW", "bsf": "BSF", "cei": "CEI", "bsc": "CEI",
    "whit": "BSW", "whitworth": "BSW", "cycle": "CEI", "npt": "NPT", "bspp": "G", "bspt": "R",
}  # fmt: skip
_SERIES_WORD = re.compile(rf"\b({'|'.join(_SERIES)})\b", re.IGNORECASE)
_THREADS_PER_INCH = re.compile(
    r"\b(\d{1,2})\s*-?\s*(?:tpi|t\.p\.i\.?|(?:threads?|turns?)?\s*(?:to|per)\s+(?:the\s+|an\s+)?inch)",
    re.IGNORECASE,
)
_HAS_PITCH = re.compile(r"\d\s*[-x×*]\s*\d+(?:[.,]\d+)?\s*(?:tpi)?\s*[a-z]*\s*$", re.IGNORECASE)
_TWO_PITCHES = re.compile(r"-\s*\d{1,2}\s*/\s*\d{1,2}\s*\??$")
_BARE_NUMBER = re.compile(r"\d{1,3}(?:[.,]\d{1,2})?")
# Common practice, no source: nothing in an engine fits 13 inches, so such a number is millimetres.
_NEVER_INCHES_FROM = 13
_UNIFIED = frozenset({ThreadSeries.UNC, ThreadSeries.UNF, ThreadSeries.UNEF})
_METRIC = re.compile(r"\s*m\s*\d", re.IGNORECASE)
_PITCH_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
# A screw thread never lies outside this many to the inch; other numbers in remarks are something else.
_TPI_RANGE = range(4, 81)

# A list says the same few threads on every row.
_ends = lru_cache(maxsize=2048)(read_ends)


@dataclass(frozen=True, slots=True)
class ThreadText:
    """What was typed about the threads of a lot, the other words that may tell, and the list's unit."""

    size: str
    pitch: str
    series: str
    other_words: str
    bare_unit: LengthUnit | None = None


@dataclass(frozen=True, slots=True)
class LotThreads:
    """The ends of a lot as understood, or the bare size that it fits."""

    ends: tuple[End, ...]
    size_said: str | None
    size_mm: float | None
    problems: tuple[Problem, ...]
    questions: tuple[Question, ...]


def read_threads(text: ThreadText, *, kind: Kind | None, threaded: bool) -> LotThreads:
    """Read the threads of a lot, narrowing what is open by hints elsewhere in its row or line.

    Parameters
    ----------
    text : ThreadText
        What was typed.
    kind : Kind or None
        What the pieces are, if understood.
    threaded : bool
        Whether such pieces have a thread; if not, a bare size is the size they fit.

    Returns
    -------
    LotThreads
        With a problem where nothing, or nothing possible, was typed.
    """
    whole = _merged(text)
    if not whole:
        return _no_size(kind, threaded)
    if not threaded and (bare := _BARE_NUMBER.fullmatch(whole)):
        number = float(bare[0].replace(",", "."))
        if text.bare_unit is LengthUnit.MM or number >= _NEVER_INCHES_FROM:
            return LotThreads((), f"{number:g} mm", number, (), ())
    try:
        readings = _ends(whole, threaded=threaded, pipe=kind in _KINDS_WITH_PIPE_THREADS)
    except InvalidInput as error:
        problem = Problem(
            Meaning.SIZE, "this is no standard thread or size", str(error.came), error.remedy or "Measure it."
        )
        ends = (End((), text.size or whole),) if threaded else ()
        return LotThreads(ends, None, None, (problem,), ())
    return _understood(readings, text, kind, whole)


def _merged(text: ThreadText) -> str:
    """The size with the pitch and series from columns of their own, where the size does not hold them."""
    size, pitch, series = text.size.strip(), text.pitch.strip(), text.series.strip()
    number = _PITCH_NUMBER.search(pitch)
    if size and number and not _HAS_PITCH.search(size):
        size = f"{size}x{number[0]}" if _METRIC.match(size) else f"{size}-{number[0]}"
    if size and series and series.lower() not in size.lower() and _SERIES_WORD.search(series):
        size = f"{size} {series}"
    return size


def _no_size(kind: Kind | None, threaded: bool) -> LotThreads:
    if kind is None or kind is Kind.OTHER:
        return LotThreads((), None, None, (), ())
    if threaded and kind not in _KINDS_WITH_A_SIZE:
        problem = Problem(Meaning.SIZE, "no thread is given", "", "Measure the diameter and gauge the pitch.")
    elif threaded or kind in _KINDS_WITH_A_SIZE:
        problem = Problem(Meaning.SIZE, "no size is given", "", "Measure it, or look what it fits.")
    else:
        return LotThreads((), None, None, (), ())
    return LotThreads((), None, None, (problem,), ())


def _understood(
    readings: tuple[ThreadReading, ...], text: ThreadText, kind: Kind | None, whole: str
) -> LotThreads:
    problems: list[Problem] = []
    questions: list[Question] = []
    ends: list[End] = []
    pitch = _PITCH_NUMBER.fullmatch(text.pitch.strip(" tpiTPI."))
    hints = f"{pitch[0]} tpi; {text.other_words}" if pitch else text.other_words
    for reading in readings:
        candidates = reading.candidates
        if candidates:
            candidates, found = _narrowed(candidates, hints, reading.typed)
            problems.extend(found)
            ends.append(End(candidates, reading.typed))
        if reading.doubt:
            questions.append(
                Question(Meaning.SIZE, f"'{reading.typed}' was written with doubt: measure it.", candidates)
            )
        elif reading.note and len(candidates) == 1:
            questions.append(Question(Meaning.SIZE, reading.note, candidates))
    if len(ends) == 2 and _TWO_PITCHES.search(whole):
        ends = _of_one_system(ends[0], ends[1])
    questions[:0] = [
        Question(Meaning.SIZE, f"{end.typed} fits more than one thread: which?", end.candidates)
        for end in ends
        if len(end.candidates) > 1
    ]
    if kind is Kind.STUD and len(ends) == 1:
        ends = ends * 2
        questions.append(
            Question(
                Meaning.SIZE,
                f"One thread is given, so both ends were read as {whole}: look at the other end.",
            )
        )
    said = next((reading.size_said for reading in readings if reading.size_said), None)
    size_mm = next((reading.size_mm for reading in readings if reading.size_mm is not None), None)
    return LotThreads(tuple(ends), said, size_mm, tuple(problems), tuple(questions))


def _of_one_system(first: End, second: End) -> list[End]:
    """One size with two pitches is meant in one system: 24 is Unified at 5/16, so 18 is no Whitworth."""
    agreed: list[End] = []
    for end, other in ((first, second), (second, first)):
        unified = tuple(one for one in end.candidates if thread(one).series in _UNIFIED)
        settled = unified and all(thread(one).series in _UNIFIED for one in other.candidates)
        agreed.append(End(unified, end.typed) if settled else end)
    return agreed


def _narrowed(candidates: tuple[str, ...], hints: str, typed: str) -> tuple[tuple[str, ...], list[Problem]]:
    """Keep the candidates that the hints allow; hints that allow none contradict the size."""
    problems: list[Problem] = []
    pitches = {int(match[1]) for match in _THREADS_PER_INCH.finditer(hints)} & set(_TPI_RANGE)
    if len(pitches) == 1:
        pitch = pitches.pop()
        agreeing = tuple(one for one in candidates if thread(one).tpi == pitch)
        if agreeing:
            candidates = agreeing
        elif any(thread(one).tpi is not None for one in candidates):
            problems.append(_contradiction(typed, f"{pitch} threads to the inch"))
    series = {_SERIES[match[1].lower()] for match in _SERIES_WORD.finditer(hints)}
    if len(series) == 1:
        name = series.pop()
        agreeing = tuple(one for one in candidates if thread(one).series == name)
        if agreeing:
            candidates = agreeing
        elif len(candidates) > 1 and name not in {"G", "R"}:
            problems.append(_contradiction(typed, name))
    return candidates, problems


def _contradiction(typed: str, hint: str) -> Problem:
    return Problem(Meaning.SIZE, f"'{typed}' and '{hint}' contradict each other", "", "Gauge the thread.")
