"""A line about a lot, taken apart into the words that tell its count, kind, thread, length and finish."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from runningfit.core.pieces.condition import read_condition
from runningfit.core.pieces.faults import counted_faults
from runningfit.core.pieces.finishes import FinishLook, read_finish
from runningfit.core.pieces.kinds import Kind, KindUnknown, read_kind
from runningfit.core.pieces.size_and_length import (
    PLAIN_PAIR,
    dashed,
    metric_written_out,
    reads_as_thread,
)
from runningfit.core.units.spoken import in_figures, plain_signs

LONGEST_LINE = 1_000

# Stands where words were taken out, so that the words on either side of them are not read together.
_CUT = "|"
_FRACTION = r"(?:\d{1,2}[ -]+)?\d{1,2}\s?/\s?\d{1,2}(?!\d)"
_SERIES = r"(?:UNC|UNF|UNEF|BSW|BSF|CEI|BSC|BSPP|BSPT|BSP|NPTF?|Whit(?:worth)?|W|cycle)\b\.?"
_INCH_MARK = r"(?:\s?\"|\s?in\b\.?|\s?inch(?:es)?\b)?"
_THREAD_FORMS = (
    r"M\s?\d{1,2}(?:[.,]\d)?(?:\s?[x*]\s?[0-3](?:[.,]\d{1,3})?(?![\d/]|[.,]\d))?(?:\s+fine\b)?",
    r"\d{1,2}\s?mm(?=\s?(?:x|by|\*)\s?\d)",
    r"(?:No\.?\s?)?\d{1,2}\s?B\.?A\b\.?|B\.?A\.?\s?\d{1,2}\b",
    rf"[GR][pc]?\s?{_FRACTION}(?:\s?[AB]\b)?",
    rf"{_FRACTION}{_INCH_MARK}\s?(?:-|x|\s)?\s?\d{{1,2}}(?:\s?/\s?\d{{1,2}})?(?:\s?tpi)?\s?(?:{_SERIES})?(?![\d/]|[.,]\d)",
    rf"{_FRACTION}{_INCH_MARK}\s?{_SERIES}(?:\s?/\s?(?:{_FRACTION}{_INCH_MARK}\s?)?{_SERIES})?",
    rf"(?:#|No\.?\s?)\s?\d{{1,2}}\s?-?\s?\d{{2}}(?:\s?{_SERIES})?|\d{{1,2}}-\d{{2}}(?:\s?{_SERIES})?",
    rf"\d\s?\"?\s?-?\s?(?:\d{{1,2}}\s?)?{_SERIES}",
)
_THREAD = re.compile(rf"(?<![\w./])(?:{'|'.join(_THREAD_FORMS)})\s?\??", re.IGNORECASE)
_BARE_SIZE = re.compile(rf"(?<![\w./-]){_FRACTION}(?![\w/.]){_INCH_MARK}", re.IGNORECASE)
_UNIT = r"(?:\s?(?:mm|cm|in|ins|inch|inches|thou)\b\.?|\s?\")"
_LENGTH_FORMS = (
    rf"\d{{1,2}}[.,]\d{{1,2}}/\d{{1,2}}{_UNIT}?|{_FRACTION}{_UNIT}?|(?:\d+(?:[.,]\d+)?|[.,]\d+){_UNIT}?"
)
_BY_LENGTH = re.compile(
    rf"(?:(?<=[\s\d\"|])(?:x|by|\*)|{re.escape(_CUT)}\s*-)\s*(?P<length>{_LENGTH_FORMS})(?:\s+long\b)?(?![\w/])",
    re.IGNORECASE,
)
_LONG = re.compile(rf"(?<![\w./])(?P<length>{_LENGTH_FORMS})\s+(?:long|lg|u/h|under head)\b", re.IGNORECASE)
_WITH_UNIT = re.compile(rf"(?<![\w./-])(?P<length>{_FRACTION}{_UNIT}|(?:\d*[.,])?\d+{_UNIT})", re.IGNORECASE)
_PLAIN_LENGTH = re.compile(rf"(?<![\w./-])(?P<length>{_FRACTION}|\d*[.,]\d+)(?![\w/])")
_COUNT_FIRST = re.compile(
    r"\s*(?P<count>[-−]?\d+(?:[.,]\d+)?)\s*(?:off\b|x(?=\s)|pcs?\b|pieces\b|no\.)?\s*(?:of\b)?", re.IGNORECASE
)
_COUNT_WITH_WORD = re.compile(
    r"(?:\b[x*]\s*)?(?<![\w./-])(?P<count>\d+)\s?(?:off|pcs|pieces|of them)\b"
    r"|\((?P<bracketed>\d+)(?:\s?off)?\)",
    re.IGNORECASE,
)
_COUNT_BEFORE_KIND = re.compile(
    r"(?:^|[,;:|])\s*(?P<count>\d{1,5})\s*(?:off\s*|x\s*|pcs\s*)?(?=\|)", re.IGNORECASE
)
_COUNT_ELSEWHERE = re.compile(
    r"(?<![\w./-])(?P<count>\d+)\s?x\b|\b(?:qty|x)\s?(?P<last>\d+)\s*(?=$|[|,;])",
    re.IGNORECASE,
)
_SOME = re.compile(r"\s*(?P<count>some|several|a few|few|many|lots of)\b(?:\s+of\b)?", re.IGNORECASE)
_PAIR = re.compile(r"\s*(?:an?\s+)?(?P<count>pair|pr)\b\.?(?:\s+of\b)?", re.IGNORECASE)
_COUNTED_FAULT = re.compile(
    r"\b(?:\d+|one|all|(?:1/2|half)(?=\s+of\b))\s+(?:(?P<having>with|has|have)|are|is|of them)\b[^,;|]*",
    re.IGNORECASE,
)
_SEPARATORS = re.compile(r"[,;|]")
_HALF = re.compile(
    r"(?<!\ba )(?<!\ban )\b(half|quarter)\b(?!\s+(?:a?\s*doz|nuts?\b|moons?\b))", re.IGNORECASE
)
_INCH_AND = re.compile(r"\b(?:an?\s+)?(?:inch|in)\s+and\s+(\d+/\d+)(?:\s+(?:in|inch)\b)?", re.IGNORECASE)
# The number before must stand alone and be no pitch: in `1/4-20 inch and a half` the 20 counts threads.
_INCHES_AND = re.compile(
    r"(?<![-/.\d])(?:\b|(?<=x))([1-9]|1[0-2])\s+(?:inch(?:es)?|in)\s+and\s+(\d+/\d+)", re.IGNORECASE
)
_WHOLE_AND = re.compile(r"\b(\d+)\s+and\s+(\d+/\d+)\b")
_OF_AN_INCH = re.compile(r"(\d/\d{1,2})\s+(?:of\s+)?an?\s+inch\b", re.IGNORECASE)
_TWO_WORDS = re.compile(r"\b(set|cap|grub)-(screws?|bolts?)\b", re.IGNORECASE)
_METRIC_SAID = re.compile(r"\b(?:em|m)\s+(\d{1,2})\b", re.IGNORECASE)
_NUMBERED_SAID = re.compile(
    r"(?<![\w/.-])(1[02]|[1-8])\s+(24|28|32|36|40|44|48|56|64|72)(?=\s+UN[CF]\b|\s*(?:x|by)\s)", re.IGNORECASE
)
_PAIRS = re.compile(r"(?<![\w/.-])(\d{1,4})\s+(?:pairs|prs)\b\.?(?:\s+of\b)?", re.IGNORECASE)
_ENDS_SAID = re.compile(
    rf"({_FRACTION}{_INCH_MARK}\s?{_SERIES})\s+(?:on\s+)?(?:the\s+)?(?:1|one)\s+end,?\s+(?:and\s+)?"
    rf"({_FRACTION}{_INCH_MARK}\s?{_SERIES})\s+(?:on\s+)?the\s+other(?:\s+end)?\b",
    re.IGNORECASE,
)
_BA_SAID = re.compile(r"\b(\d{1,2})\s+b\s+a\b", re.IGNORECASE)
_LETTERS_SAID = re.compile(r"\b(u\s?n\s?[cf]|b\s?s\s?[wfp]|c\s?e\s?i|n\s?p\s?t)\b", re.IGNORECASE)
# Words before the name of a kind that belong to it without making another kind of it.
_ADJECTIVES = frozenset(
    {
        "hex", "hexagon", "hexagonal", "hardened", "plain", "flat", "square", "drain", "taper", "throw",
        "pivot", "dowel", "core", "cup", "welch", "rod", "ring", "slotted", "cheese", "countersunk", "csk",
        "round", "pan", "raised", "split", "thick", "thin", "half", "full", "deep", "lock", "self-locking",
        "castle", "castellated", "wing", "big-end", "main", "waisted", "shouldered", "distance", "head",
        "headed", "dog", "cone", "oval", "point", "copper", "brass", "steel", "stainless", "bronze", "alloy",
        "fibre", "fiber",
    }
)  # fmt: skip
_SOUND = frozenset({"ok", "good", "used", "as new", "new"})
_LONGEST_KIND = 4
_LONGEST_FINISH = 3
_WORD = re.compile(r"[^\s,;|]+")
_FILLER = re.compile(
    r"(?:of|the|a|an|and|in|into|from|with|x|by|off|size|thread|threads|-|–|\.|:)*", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class LineParts:
    """The parts of a line, each as typed, and the words that were left over, phrase by phrase."""

    count: str
    kind: str
    size: str
    length: str
    finish: str
    condition: str
    left_over: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Taken:
    """A part taken out of a line, and the rest of the line."""

    part: str
    rest: str


def take_apart(text: str) -> LineParts:
    """Find the parts of a line about one lot, in whatever order they stand.

    Parameters
    ----------
    text : str
        Such as ``9 hex bolts 5/16-24 x 1 3/8 clear``, typed or dictated.

    Returns
    -------
    LineParts
        Parts that were not found are empty; no word is lost.
    """
    line = written_out(text)
    faults = _faults(line)
    counted = _count(faults.rest)
    kind = _kind(counted.rest)
    said = _Taken("", kind.rest)
    for pattern in () if counted.part else (_COUNT_WITH_WORD, _COUNT_BEFORE_KIND):
        said = said if said.part else _search(pattern, kind.rest)
    count = counted.part or said.part
    size, length, rest = _size_and_length(said.rest, count, kind.part)
    late = _Taken("", rest) if count else _search(_COUNT_ELSEWHERE, rest)
    finish = _finish(late.rest)
    left = [phrase.strip(" .:-") for phrase in _SEPARATORS.split(finish.rest)]
    states = [phrase for phrase in left if phrase and _is_condition(phrase)]
    others = [phrase for phrase in left if phrase not in states and not _is_filler(phrase)]
    finishing = finish.part or _finish_in(kind.part)
    return LineParts(
        count or late.part,
        kind.part,
        dashed(size),
        length,
        finishing,
        ", ".join([part for part in (faults.part, *states) if part]),
        tuple(others),
    )


def written_out(text: str) -> str:
    """The line with plain signs, and with spoken numbers and thread names in figures and letters.

    Parameters
    ----------
    text : str
        As typed or dictated.

    Returns
    -------
    str
        On one line; longer ones are cut at 1,000 characters.
    """
    line = in_figures(_HALF.sub(r"a \1", plain_signs(text[:LONGEST_LINE]).replace(_CUT, ",")))
    line = _PAIRS.sub(lambda pairs: str(2 * int(pairs[1])), line)
    line = _OF_AN_INCH.sub(r"\1 in", line)
    line = _INCHES_AND.sub(r"\1 \2 in", line)
    line = _INCH_AND.sub(r"1 \1 in", line)
    line = _WHOLE_AND.sub(r"\1 \2", line)
    line = _TWO_WORDS.sub(r"\1 \2", line)
    line = _METRIC_SAID.sub(r"M\1", line)
    line = _BA_SAID.sub(r"\1 BA", line)
    line = _NUMBERED_SAID.sub(r"\1-\2", line)
    line = _ENDS_SAID.sub(r"\1 / \2", line)
    return _LETTERS_SAID.sub(lambda match: match[1].replace(" ", "").upper(), line)


def _search(pattern: re.Pattern[str], line: str) -> _Taken:
    match = pattern.search(line)
    if match is None:
        return _Taken("", line)
    named = next((value for value in match.groupdict().values() if value), match[0])
    return _Taken(named.strip(), f"{line[: match.start()]} {_CUT} {line[match.end() :]}")


def _faults(line: str) -> _Taken:
    """Clauses that count faulty pieces come out first, since their number is not the count of the lot."""
    parts: list[str] = []
    rest: list[str] = []
    for at, phrase in enumerate(_SEPARATORS.split(line)):
        match = _COUNTED_FAULT.search(phrase)
        if match is not None and match.start() > 0 and (match["having"] or counted_faults(match[0])):
            parts.append(match[0].strip())
            phrase = f"{phrase[: match.start()]} {_CUT} {phrase[match.end() :]}"
        elif at > 0 and re.match(r"\s*\d+\s+[a-z]", phrase) and _is_counted_fault(phrase):
            parts.append(phrase.strip())
            phrase = ""
        rest.append(phrase)
    return _Taken(", ".join(parts), ",".join(rest))


def _is_counted_fault(phrase: str) -> bool:
    words = " ".join(re.sub(r"\d+", " ", phrase).split())
    return bool(counted_faults(phrase)) and isinstance(read_kind(words), KindUnknown)


def _count(line: str) -> _Taken:
    if some := _SOME.match(line) or _PAIR.match(line):
        return _Taken(some["count"], f"{_CUT} {line[some.end() :]}")
    match = _COUNT_FIRST.match(line)
    if match is None:
        return _Taken("", line)
    rest = line[match.end("count") :]
    with_it = _THREAD.match(line.lstrip())
    without = _THREAD.match(rest.lstrip())
    if re.match(r"\s?[/\"″-]|\s?B\.?A\b|\s?mm\b|\s?in\b", rest, re.IGNORECASE):
        return _Taken("", line)
    # "1 1/8-12 ring nut" is a thread of 1 1/8, "1 1/4-20 bolt" one bolt: what is a standard thread decides.
    if with_it and with_it.end() > match.end("count") + 1 and re.match(r"\s+\d{1,2}/", rest):
        whole = with_it[0].strip()
        if reads_as_thread(whole) and not (without and reads_as_thread(without[0].strip())):
            return _Taken("", line)
    return _Taken(match["count"], f"{_CUT} {line[match.end() :]}")


def _kind(line: str) -> _Taken:
    """The first word that names a kind, any before `other`, with the words before it that belong to it."""
    words = list(_WORD.finditer(line))
    named = [at for at, word in enumerate(words) if _names_kind(word[0])]
    if not named:
        named = [
            at
            for at, (before, word) in enumerate(pairwise(words), start=1)
            if line[before.end() : word.start()].isspace() and _names_kind(f"{before[0]} {word[0]}")
        ]
    if not named:
        return _Taken("", line)
    last = next((at for at in named if read_kind(words[at][0]) is not Kind.OTHER), named[0])
    while last + 1 in named and not _SEPARATORS.search(line[words[last].end() : words[last + 1].start()]):
        last += 1
    first = last
    while first > 0 and last - first < _LONGEST_KIND - 1:
        before = words[first - 1]
        phrase = line[before.start() : words[last].end()]
        if _SEPARATORS.search(phrase) or not (
            before[0].lower() in _ADJECTIVES or _changes_kind(before[0], words[last][0])
        ):
            break
        first -= 1
    start, end = words[first].start(), words[last].end()
    return _Taken(line[start:end], f"{line[:start]} {_CUT} {line[end:]}")


def _names_kind(word: str) -> bool:
    return word.replace(" ", "").isalpha() and not _is_finish(word) and isinstance(read_kind(word), Kind)


def _changes_kind(before: str, noun: str) -> bool:
    if any(letter.isdigit() for letter in before):
        return False
    kind = read_kind(f"{before} {noun}")
    told = isinstance(kind, Kind) or bool(kind.readings)
    return told and kind != read_kind(noun)


def _size_and_length(line: str, count: str, kind: str) -> tuple[str, str, str]:
    if kind and read_kind(kind) in {Kind.PIN, Kind.SPACER} and (pair := PLAIN_PAIR.search(line)):
        return pair["size"], pair["length"], f"{line[: pair.start()]} {_CUT} {line[pair.end() :]}"
    if count and kind and _has_length(kind):
        line = metric_written_out(line)
    size, rest = _thread(line)
    length = ""
    for pattern in (_BY_LENGTH, _LONG, _WITH_UNIT, _PLAIN_LENGTH):
        taken = _search(pattern, rest)
        if taken.part and (size or pattern is not _PLAIN_LENGTH):
            length, rest = taken.part, taken.rest
            break
    if not size:
        bare = _search(_BARE_SIZE, rest)
        size, rest = bare.part, bare.rest
    if not size and length and not count and "/" in length:
        size, length = length, ""
    return size, length, rest


def _has_length(kind: str) -> bool:
    reading = read_kind(kind)
    kinds = (reading,) if isinstance(reading, Kind) else reading.readings
    return any(one.length_basis is not None for one in kinds)


def _thread(line: str) -> tuple[str, str]:
    """The first thread that a standard has, else the first that looks like one and so needs a problem."""
    looks: re.Match[str] | None = None
    at = 0
    while match := _THREAD.search(line, at):
        for text in _shortened(match[0]):
            if reads_as_thread(text):
                end = match.start() + len(text)
                return text.strip(), f"{line[: match.start()]} {_CUT} {line[end:]}"
        looks = looks or match
        at = match.end()
    bare = _BARE_SIZE.search(line)
    if bare is not None and (looks is None or bare.start() <= looks.start()):
        return bare[0].strip(), f"{line[: bare.start()]} {_CUT} {line[bare.end() :]}"
    if looks is not None:
        return looks[0].strip(), f"{line[: looks.start()]} {_CUT} {line[looks.end() :]}"
    return "", line


def _shortened(text: str) -> list[str]:
    """The text whole, then without its last number: 5/16 x 1 is a size and a length, M8 x 35 as well."""
    shorter = re.sub(r"\s?[x*\s]\s?[\d.,]+\s*$", "", text)
    return [text] if shorter == text else [text, shorter]


def _finish(line: str) -> _Taken:
    words = list(_WORD.finditer(line))
    for length in range(_LONGEST_FINISH, 0, -1):
        for first in range(len(words) - length + 1):
            span = words[first : first + length]
            phrase = line[span[0].start() : span[-1].end()]
            if not _SEPARATORS.search(phrase) and _is_finish(phrase):
                return _Taken(phrase, f"{line[: span[0].start()]} {_CUT} {line[span[-1].end() :]}")
    return _Taken("", line)


def _is_finish(phrase: str) -> bool:
    if any(character.isdigit() for character in phrase) or phrase.lower() in {"none", "no", "-"}:
        return False
    first, *others = phrase.split()
    if others and not all(_tells_finish(word) for word in (first, others[-1])):
        return False
    return _tells_finish(phrase)


def _tells_finish(phrase: str) -> bool:
    reading = read_finish(phrase)
    told = reading.look is not FinishLook.UNKNOWN or reading.process is not None
    return told or phrase.lower() in {"plated", "coated", "dark", "mixed"}


def _finish_in(kind: str) -> str:
    """The metal that is named with the kind: brass union, copper washer."""
    return next((word for word in kind.split() if _is_finish(word)), "")


def _is_condition(phrase: str) -> bool:
    return phrase.lower() in _SOUND or any(
        defect.count is None or defect in counted_faults(phrase)
        for defect in read_condition(phrase, None).defects
    )


def _is_filler(phrase: str) -> bool:
    return all(_FILLER.fullmatch(word) for word in phrase.split())
