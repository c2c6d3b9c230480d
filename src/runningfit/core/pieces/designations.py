"""Thread designations: one form everywhere, read in every common way."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.thread_words import Said, part_words
from runningfit.core.standards import Thread, ThreadSeries, all_threads
from runningfit.core.units import MM_PER_INCH, inch_fraction


@dataclass(frozen=True, slots=True)
class ThreadReading:
    """What was said of a thread: every standard thread it can be.

    Parameters
    ----------
    candidates : tuple of str
        Designations of the standard threads it can be; more than one stays open until someone tells; none
        where only a size was said of a piece without a thread of its own.
    typed : str
        What was typed.
    note : str
        What was said beyond that: doubt, left hand, a class of fit; empty when nothing.
    size_said : str or None
        The size alone: `5/16 in`, `M8`, `No. 10`, `2BA`, `3/8 pipe`.
    size_mm : float or None
        The diameter that size means [mm]; none for a pipe size, which is no diameter.
    doubt : bool
        Whether the writer was not sure.
    """

    candidates: tuple[str, ...]
    typed: str
    note: str = ""
    size_said: str | None = None
    size_mm: float | None = None
    doubt: bool = False


_METRIC = frozenset({ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE})
_ALIKE_MM = 0.013
_LONGEST_TEXT = 80
_NUMBERS = 13
_LARGEST_IN = 6.5


_NEEDS = "a designation such as 5/16-24 UNF, M8x1.25, 2BA or G1/4"


def _refuse(typed: str, remedy: str, needs: str = _NEEDS) -> NoReturn:
    raise InvalidInput("thread", needs=needs, came=typed, remedy=remedy)


def _is_numbered(thread: Thread) -> bool:
    """Tell a numbered size (10-32) from one in inches (1-8)."""
    return thread.size.startswith("No. ")


@cache
def _by_size() -> Mapping[str, tuple[Thread, ...]]:
    """Sort the threads by size: `5/16`, `No. 10`, `M8`, `2BA`; pipe and inch sizes together."""
    sorted_in: dict[str, list[Thread]] = {}
    for thread in all_threads():
        key = f"{thread.size}BA" if thread.series is ThreadSeries.BA else thread.size
        sorted_in.setdefault(key, []).append(thread)
    return {size: tuple(threads) for size, threads in sorted_in.items()}


def _inches(size: str) -> float | None:
    """Reckon a size in inches; none for a fraction that no rule has."""
    total = 0.0
    for part in size.split():
        over, _, under = part.partition("/")
        divisor = int(under) if under else 1
        if divisor < 1 or divisor & (divisor - 1) or (under and int(over) == 0) or divisor > 64:
            return None
        total += float(over) / divisor
    return total


def _plain_size(size: str) -> str:
    """Reduce `6/16` to `3/8`, and find the fraction that a decimal size means."""
    if re.fullmatch(r"[0-9]*\.[0-9]+", size):
        for thread in all_threads():
            inch = thread.tpi is not None and not thread.pipe and not _is_numbered(thread)
            if inch and abs(thread.major_mm / MM_PER_INCH - float(size)) < 0.0006:
                return thread.size
        return size
    value = _inches(size)
    return size if value is None else inch_fraction(round(value * 64))


def _of_size(said: Said, size: str) -> tuple[Thread, ...]:
    """Give the threads of the size said, numbered and inch sizes told apart where the writer did."""
    numbered, inch = _by_size().get(f"No. {size}", ()), _by_size().get(size, ())
    if said.numbered:
        return numbered
    return inch if said.unit_marked else numbered + inch


def _nearest(series: Iterable[ThreadSeries], major_mm: float, tpi: float | None) -> str:
    """Name the thread of the series nearest in diameter, then in pitch."""
    wanted = frozenset(series)
    among = [thread for thread in all_threads() if (thread.series in wanted if wanted else not thread.rare)]
    among = [thread for thread in among if thread.tpi is not None or wanted]
    near = min(
        among,
        key=lambda thread: (
            round(abs(thread.major_mm - major_mm), 2),
            abs((thread.tpi or 0) - tpi) if tpi is not None else 0,
        ),
    )
    return near.designation


def _names(said: Said, otherwise: str) -> str:
    """Name the inch series said."""
    return "/".join(sorted(said.series - _METRIC)) or otherwise


def _tpi_list(threads: Iterable[Thread]) -> str:
    return " or ".join(dict.fromkeys(f"{thread.tpi:g} ({thread.series})" for thread in threads))


def _odd_size(said: Said, size: str, typed: str) -> NoReturn:
    """Refuse a size that the series has not, naming the nearest."""
    parts = size.split("/")
    value = _inches(size)
    if value is None and len(parts) == 2 and all(part.isdigit() for part in parts) and int(parts[1]):
        value = int(parts[0]) / int(parts[1])
    if value is None and re.fullmatch(r"[0-9]*\.[0-9]+", size):
        value = float(size)
    names = _names(said, "any series")
    if said.numbered:
        _refuse(typed, f"No {names} thread is numbered {size}: numbers run from 0 to 12.")
    if value is not None and value > _LARGEST_IN:
        _refuse(typed, f"{size} alone is no size: write the size, then the threads per inch.")
    if value is None:
        _refuse(typed, f"{size} is no size of {names}: measure the outside diameter.")
    nearest = _nearest(said.series, value * MM_PER_INCH, said.tpi)
    _refuse(typed, f"{size} is no size of {names}. The nearest is {nearest}: measure the outside diameter.")


def _odd_pitch(said: Said, of_size: tuple[Thread, ...], size: str, typed: str) -> NoReturn:
    """Refuse a pitch that the size has not in the series said, naming what has it."""
    in_series = _usual(tuple(thread for thread in of_size if not said.series or thread.series in said.series))
    having = [thread.designation for thread in _usual(_of_pitch(of_size, said.tpi))]
    nearest = min(in_series, key=lambda thread: abs((thread.tpi or 0) - (said.tpi or 0)))
    names = _names(said, "A thread of")
    also = f"; {said.tpi:g} on {size} is {' or '.join(having)}" if having else ""
    _refuse(
        typed,
        f"{names} {size} has {_tpi_list(in_series)} threads per inch, not {said.tpi:g}{also}. "
        f"The nearest is {nearest.designation}: count the threads again.",
    )


def _without_pipe(threads: tuple[Thread, ...], said: Said, pipe: bool) -> tuple[Thread, ...]:
    """Leave pipe threads out where none was said and a plain thread fits."""
    if pipe or said.series:
        return threads
    plain = tuple(thread for thread in threads if not thread.pipe)
    return plain or (threads if said.tpi is not None else ())


def _usual(threads: tuple[Thread, ...]) -> tuple[Thread, ...]:
    """Leave rare threads out unless nothing else is left: who means one of them names it."""
    return tuple(thread for thread in threads if not thread.rare) or threads


def _of_pitch(threads: tuple[Thread, ...], tpi: float | None) -> tuple[Thread, ...]:
    return tuple(thread for thread in threads if thread.tpi == tpi)


def _inch(said: Said, typed: str, *, pipe: bool) -> tuple[Thread, ...]:
    """Find the inch and pipe threads that fit what was said."""
    size = _plain_size(said.size)
    of_size = _of_size(said, size)
    fitting = tuple(thread for thread in of_size if not said.series or thread.series in said.series)
    if not fitting:
        if of_size and said.series and said.tpi is not None:
            having = [thread.designation for thread in _usual(_of_pitch(of_size, said.tpi))]
            if having:
                _refuse(
                    typed,
                    f"{_names(said, '')} has no {size}; {said.tpi:g} on {size} is {' or '.join(having)}.",
                )
        _odd_size(said, size, typed)
    if said.tpi is None:
        return _without_pipe(_usual(fitting), said, pipe) or _odd_size(said, size, typed)
    pitched = _usual(_of_pitch(fitting, said.tpi))
    return _without_pipe(pitched, said, pipe) if pitched else _odd_pitch(said, of_size, size, typed)


def _metric(said: Said, typed: str) -> tuple[Thread, ...]:
    """Find the metric threads that fit; without a pitch it is the coarse one."""
    of_size = _by_size().get(said.size, ())
    if not of_size:
        near = _nearest(_METRIC, float(said.size[1:]), None)
        _refuse(typed, f"{said.size} is no size of ISO 261 here. The nearest is {near}: measure it.")
    if said.pitch_mm is None:
        wanted = said.series & _METRIC or {ThreadSeries.METRIC_COARSE}
        fitting = tuple(thread for thread in of_size if thread.series in wanted)
        return fitting or of_size
    pitched = tuple(thread for thread in of_size if abs(thread.pitch_mm - said.pitch_mm) < 0.001)
    if not pitched:
        near = min(of_size, key=lambda thread: abs(thread.pitch_mm - (said.pitch_mm or 0))).designation
        pitches = ", ".join(f"{thread.pitch_mm:g}" for thread in of_size)
        length = " It may be a length: write it apart." if said.pitch_mm > 6 else ""
        _refuse(
            typed,
            f"{said.size} has a pitch of {pitches} mm, not {said.pitch_mm:g}. "
            f"The nearest is {near}: gauge it.{length}",
        )
    return pitched


def _ba(said: Said, typed: str) -> tuple[Thread, ...]:
    found = _by_size().get(f"{said.size}BA", ())
    return found or _refuse(typed, "B.A. sizes run from 0BA to 25BA: measure the outside diameter.")


def _size_said(said: Said, threads: tuple[Thread, ...]) -> str:
    """Write the size alone."""
    if said.metric:
        return said.size
    if ThreadSeries.BA in said.series:
        return f"{said.size}BA"
    size = _plain_size(said.size)
    if threads and all(thread.pipe for thread in threads):
        return f"{size} pipe"
    if said.numbered or (threads and all(_is_numbered(thread) for thread in threads)):
        return f"No. {size}"
    return f"{size} in"


def _bare_size(said: Said, typed: str) -> ThreadReading:
    """Read the size of a piece that has no thread of its own."""
    if said.metric:
        size_said = f"{said.size[1:]} mm" if said.unit_marked else said.size
        return ThreadReading((), typed, said.note, size_said, float(said.size[1:]), said.doubt)
    if said.numbered:
        if not (said.size.isdigit() and int(said.size) < _NUMBERS):
            _refuse(typed, "Numbered sizes run from 0 to 12.", "a size such as 5/16, M8 or 2BA")
        # ASME B1.1: the basic diameter of number n is 0.060 + 0.013 n inches.
        size_mm = (0.060 + 0.013 * int(said.size)) * MM_PER_INCH
        return ThreadReading((), typed, said.note, f"No. {said.size}", size_mm, said.doubt)
    size = _plain_size(said.size)
    value = float(size) if re.fullmatch(r"[0-9]*\.[0-9]+", size) else _inches(size)
    if value is None or not 0 < value <= 12:
        _refuse(typed, "Measure the hole or the outside.", "a size such as 5/16, M8 or 2BA")
    return ThreadReading((), typed, said.note, f"{size} in", value * MM_PER_INCH, said.doubt)


def _found(said: Said, typed: str, *, pipe: bool) -> tuple[Thread, ...]:
    if said.metric:
        return _metric(said, typed)
    return _ba(said, typed) if ThreadSeries.BA in said.series else _inch(said, typed, pipe=pipe)


def _noted(said: Said, threads: tuple[Thread, ...]) -> str:
    """Add to what was said that only a rare thread fits, where nobody named it, and its caution."""
    notes = [said.note]
    if not said.series and threads and all(thread.rare for thread in threads):
        names = " or ".join(thread.designation for thread in threads)
        notes.append(f"only {names} fits, a rare thread: count the threads again")
    notes.extend(dict.fromkeys(thread.caution for thread in threads))
    return "; ".join(note for note in notes if note)


def read_thread(text: str, *, threaded: bool = True, pipe: bool = False) -> ThreadReading:
    """Read a thread in any common way of writing or saying it.

    Parameters
    ----------
    text : str
        `5/16 UNF`, `5/16" x 24`, `#10-32`, `M8`, `M 8 x 1,25`, `No. 4 BA`, `G 3/8 A`, `1/4 Whit`, `10-32`.
    threaded : bool
        Whether the piece has a thread of its own. Without one (a washer, a core plug) a bare size stays a
        size: no candidates, `size_said` and `size_mm` only; a thread said in full is still read as one.
    pipe : bool
        Whether a bare size may also be a pipe size (plugs and unions).

    Returns
    -------
    ThreadReading
        All standard threads it can be, in the order of the tables. `M8` without a pitch is the coarse thread.
        A bare size has every thread of that size, `1/4-20` is UNC or BSW, `3/8 BSP` is G or R. A trailing `?`
        is doubt, and kept in the note.

    Raises
    ------
    InvalidInput
        Nothing typed, no thread, or a size or pitch that the series has not; the nearest one is named.
    """
    if not text.strip():
        _refuse(text, "Type the thread, or leave it out.")
    if len(text) > _LONGEST_TEXT:
        _refuse(text[:20] + "…", "Type the thread alone.")
    said = part_words(text)
    if isinstance(said, str):
        _refuse(text, said)
    if not threaded and said.is_bare:
        return _bare_size(said, text)
    threads = _found(said, text, pipe=pipe)
    majors = {round(thread.major_mm, 3) for thread in threads}
    one_size = max(majors) - min(majors) <= _ALIKE_MM and not any(thread.pipe for thread in threads)
    return ThreadReading(
        candidates=tuple(thread.designation for thread in threads),
        typed=text,
        note=_noted(said, threads),
        size_said=_size_said(said, threads),
        size_mm=threads[0].major_mm if one_size else None,
        doubt=said.doubt,
    )


_TWO_PITCHES = re.compile(
    r"(?P<size>(?:(?:[0-9]+[ -])?[0-9]+/[0-9]+|\#?[0-9]+)\"?)\s*[-x ]\s*(?P<first>[0-9]{1,2})(?:\s*tpi)?"
    r"\s*(?:/|&|\+|\band\b)\s*(?P<second>[0-9]{1,2})(?P<rest>\s*tpi|\s*un|)",
    re.IGNORECASE,
)
_BETWEEN_ENDS = re.compile(
    r"\s+/\s+|(?<=[A-Za-z])/(?=[0-9A-Za-z])|(?<=[0-9])/(?=M[0-9])|\s*[&+;]\s*|\s+and\s+|,\s+"
    r"|\s+x\s+(?=[0-9]+/[0-9]+[- ]\s*(?:[0-9]+\b|un|bs))",
    re.IGNORECASE,
)
_END_WORDS = re.compile(
    r"\b(?:on\s+)?(?:the\s+)?(?:one|other|second|each|nut|metal|casting|both)\s+ends?\b"
    r"|\bthe other\b|\bother\b",
    re.IGNORECASE,
)
_BOTH = re.compile(r"\b(?:both|each)\s+ends?\b", re.IGNORECASE)
_HAS_SIZE = re.compile(r"[0-9]+/[0-9]+|\bM\s*[0-9]|[0-9]\s*BA\b|#|\bNo\b|[0-9]-[0-9]", re.IGNORECASE)


def _is_mixed_number(found: re.Match[str]) -> bool:
    """Tell `1-7/8`, one size, from `1-8/12` and `10-24/32`, a size with two pitches."""
    over, under = int(found["first"]), int(found["second"])
    return "/" not in found["size"] and over % 2 == 1 and over < under and under & (under - 1) == 0


def _ends_said(text: str) -> list[str]:
    """Part what was said of a stud into its ends, handing the size on to the second."""
    found = _TWO_PITCHES.fullmatch(text.strip())
    if found and not _is_mixed_number(found):
        return [f"{found['size']}-{found[pitch]}{found['rest']}" for pitch in ("first", "second")]
    parts = [_END_WORDS.sub(" ", part).strip(" ,") for part in _BETWEEN_ENDS.split(text)]
    parts = [part for part in parts if part]
    if len(parts) == 2 and not _HAS_SIZE.search(parts[1]):
        size = re.match(r"\s*(?:[0-9]+\s+)?[0-9]+/[0-9]+|\s*#?[0-9]+", parts[0])
        if size and re.fullmatch(r"[0-9]{1,2}", parts[1]):
            return [parts[0], f"{size[0].strip()}-{parts[1]}"]
        if size:
            return [parts[0], f"{size[0].strip()} {parts[1]}"]
    return parts


def read_ends(text: str, *, threaded: bool = True, pipe: bool = False) -> tuple[ThreadReading, ...]:
    """Read the threads of both ends of a stud.

    Parameters
    ----------
    text : str
        `5/16-18/24`, `3/8 UNC / 3/8 UNF`, `3/8 UNC/UNF`, `M8 / M8x1`, `3/8 UNF both ends`, or one thread.
    threaded, pipe : bool
        As in `read_thread`.

    Returns
    -------
    tuple of ThreadReading
        Two ends where two were said; one reading where only one thread was said, which then is that of both
        ends as far as anybody has told.

    Raises
    ------
    InvalidInput
        An end cannot be read, or more than two were said.
    """
    doubt = text.rstrip().endswith("?")
    whole = text.rstrip(" ?") if doubt else text
    parts = _ends_said(whole)
    if len(parts) > 2:
        _refuse(text, "A piece has two ends at most.")
    if len(parts) < 2:
        reading = read_thread(
            parts[0] if _BOTH.search(whole) and parts else text, threaded=threaded, pipe=pipe
        )
        reading = replace(reading, typed=text)
        return (reading, reading) if _BOTH.search(whole) else (reading,)
    marked = [part + ("?" if doubt else "") for part in parts]
    return tuple(read_thread(part, threaded=threaded, pipe=pipe) for part in marked)
