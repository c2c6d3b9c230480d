"""A size parted from the length that is written behind it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.designations import read_ends


@dataclass(frozen=True, slots=True)
class SizeAndLength:
    """A size, and the length written behind it, or nothing."""

    size: str
    length: str


_NUMBER = r"(?:(?:\d{1,2}[ -])?\d{1,2}/\d{1,2}|\d{1,3}(?:[.,]\d{1,4})?|[.,]\d{1,4})(?:\s?mm|\s?\")?"
PLAIN_PAIR = re.compile(
    rf"(?P<size>{_NUMBER})(?:\s*(?:bore|i\.?d|o\.?d|dia(?:meter)?)\b\.?)?\s*(?:x|×|\*|by)"
    rf"\s*(?P<length>{_NUMBER})(?:\s*(?:long|lg)\b)?",
    re.IGNORECASE,
)


@lru_cache(maxsize=2048)
def split_size_and_length(text: str, *, threaded: bool = True) -> SizeAndLength:
    """Part a size from the length that may be written behind it: M8 x 35, 5/16-24 x 1 3/8.

    Parameters
    ----------
    text : str
        A thread, alone or with a length.
    threaded : bool
        Whether the piece has a thread; on a pin 8 x 20 is a diameter and a length.

    Returns
    -------
    SizeAndLength
        The length is empty where there is none.
    """
    if not threaded and (pair := PLAIN_PAIR.fullmatch(text.strip())):
        return SizeAndLength(pair["size"], pair["length"])
    if reads_as_thread(text):
        return SizeAndLength(text, "")
    found = list(re.finditer(r"(?:\s|(?<=[\d\"a-z]))(?:x|×|\*|by)\s*(?=[\d.,])", text, re.IGNORECASE))
    for match in reversed(found):
        size, length = text[: match.start()].strip(), text[match.end() :].strip()
        if size and length and reads_as_thread(size):
            return SizeAndLength(size, length)
    return SizeAndLength(text, "")


def reads_as_thread(text: str) -> bool:
    """Whether a text names at least one standard thread.

    Parameters
    ----------
    text : str
        As typed or dictated.

    Returns
    -------
    bool
        False also where it names a thread that no standard has.
    """
    try:
        return any(reading.candidates for reading in read_ends(dashed(text), threaded=True))
    except InvalidInput:
        return False


def dashed(text: str) -> str:
    """Put the dash between size and pitch where dictation leaves a space.

    Parameters
    ----------
    text : str
        Such as ``5/16 24``.

    Returns
    -------
    str
        Such as ``5/16-24``.
    """
    return re.sub(r"(/\d{1,2})\s+(\d{1,2})(?![/\d])", r"\1-\2", text)


_METRIC_PAIR = re.compile(
    r"(?<![\w/.,-])(?P<size>M\s?\d{1,2}(?:[.,]\d)?)(?:\s+\|\s+|\s+)(?P<first>\d{1,3}(?:[.,]\d{1,3})?)"
    r"(?:(?:\s+\|?\s*|\s*[x*]\s*)(?P<second>\d{1,3}(?:[.,]\d)?))?"
    r"(?![\w./*-]|,\d|\s?(?:\d|[x*/]|off\b|pcs\b|pieces\b|of\b|a/?f\b|across\b|in\b|ins\b|inch|cm\b|thou|\"))",
    re.IGNORECASE,
)


def metric_written_out(text: str) -> str:
    """Put the signs into a metric size that was written without them, where only one reading makes sense.

    A number behind the size that is a standard pitch of it is that pitch; one of at least half the diameter
    is a length. Anything else stays as it is, and is asked about.

    Parameters
    ----------
    text : str
        Such as ``M8 35``, ``M8 1.25 35`` or ``M10 1``, of a piece that has a length.

    Returns
    -------
    str
        Such as ``M8 x 35``, ``M8x1.25 x 35`` or ``M10x1``.
    """
    return _METRIC_PAIR.sub(_metric_signs, text)


def _metric_signs(pair: re.Match[str]) -> str:
    size, first, second = pair["size"], pair["first"], pair["second"]
    diameter_mm = float(re.sub(r"[Mm\s]", "", size).replace(",", "."))

    def is_length(number: str) -> bool:
        return float(number.replace(",", ".")) >= diameter_mm / 2

    if reads_as_thread(f"{size}x{first}"):
        if second is None:
            return f"{size}x{first}"
        return f"{size}x{first} x {second}" if is_length(second) else pair[0]
    return f"{size} x {first}" if second is None and is_length(first) else pair[0]
