"""Areas of an engine as people name them: matched with those known, or recognised by their last word."""

from __future__ import annotations

import re
from dataclasses import dataclass

# Common practice, no source: the words that end the names of an engine's regions.
_AREA_ENDINGS = frozenset(
    {
        "case", "cases", "casing", "box", "tray", "pan", "sump", "head", "heads", "block", "cover",
        "covers", "pump", "pumps", "elbow", "manifold", "manifolds", "cooler", "dynamo", "starter",
        "generator", "alternator", "flywheel", "governor", "linkage", "bearer", "bearers", "coupling",
        "caps", "rods", "rod", "gallery", "galleries", "housing", "door", "doors", "bellhousing",
        "gearbox", "carburettor", "carburetor", "injector", "injectors", "filter", "filters",
        "thermostat", "bracket", "brackets", "mount", "mounts", "mounting", "mountings", "timing",
        "crankcase", "sleeve", "liner", "liners", "pulley", "drive", "exhaust", "inlet", "intake",
        "rocker", "rockers", "valve", "valves", "camshaft", "crankshaft", "plate", "frame", "engine",
    }
)  # fmt: skip
_WORD = re.compile(r"[^\W_]+")
_SHORTEST_TO_MISSPELL = 4


@dataclass(frozen=True, slots=True)
class AreaFound:
    """An area, the phrases left over, and whether the name had to be guessed from a part or a misspelling."""

    area: str
    left_over: tuple[str, ...]
    guessed_from: str = ""


def find_area(phrases: tuple[str, ...], known: tuple[str, ...]) -> AreaFound:
    """Find the area among phrases: a known one in any order of words, one letter wrong, or by a part.

    Parameters
    ----------
    phrases : tuple of str
        What is left of a line once everything else is understood.
    known : tuple of str
        The areas of the job.

    Returns
    -------
    AreaFound
        Without an area where none is named; a new one where a phrase ends as names of areas do.
    """
    best: tuple[int, int, int, int, str] | None = None
    for number, phrase in enumerate(phrases):
        words = [match[0].lower() for match in _WORD.finditer(phrase)]
        for area in known:
            names = [match[0].lower() for match in _WORD.finditer(area)]
            for first in range(len(words) - len(names) + 1) if names else ():
                wrong = _letters_wrong(words[first : first + len(names)], names)
                if wrong is not None and (best is None or (-wrong, len(names)) > (best[0], best[1])):
                    best = (-wrong, len(names), number, first, area)
    if best is not None:
        score, width, number, first, area = best
        return AreaFound(area, _without(phrases, number, first, width), phrases[number] if score else "")
    return _by_part(phrases, known) or _new(phrases)


def _letters_wrong(words: list[str], names: list[str]) -> int | None:
    """How many words are misspelt when the two lists are paired in any order, or None if they do not pair."""
    left = list(names)
    wrong = 0
    for word in words:
        if word in left:
            left.remove(word)
            continue
        near = next(
            (name for name in left if len(name) >= _SHORTEST_TO_MISSPELL and one_letter_apart(word, name)),
            None,
        )
        if near is None:
            return None
        left.remove(near)
        wrong += 1
    return wrong


def one_letter_apart(first: str, second: str) -> bool:
    """Whether one letter changed, added, left out, or two neighbours swapped turn one word into the other.

    Parameters
    ----------
    first, second : str
        Two words.

    Returns
    -------
    bool
        Also true for equal words.
    """
    if abs(len(first) - len(second)) > 1:
        return False
    same = 0
    while same < min(len(first), len(second)) and first[same] == second[same]:
        same += 1
    rest, other = first[same:], second[same:]
    if len(rest) == len(other):
        swapped = len(rest) >= 2 and rest[:2] == other[1::-1] and rest[2:] == other[2:]
        return rest[1:] == other[1:] or swapped
    return rest[1:] == other or rest == other[1:]


def _by_part(phrases: tuple[str, ...], known: tuple[str, ...]) -> AreaFound | None:
    """A phrase that is a part of exactly one known name: head, where only the cylinder head is known."""
    for number, phrase in enumerate(phrases):
        words = {match[0].lower() for match in _WORD.finditer(phrase)}
        fitting = [
            area for area in known if words and words < {match[0].lower() for match in _WORD.finditer(area)}
        ]
        if len(fitting) == 1:
            return AreaFound(fitting[0], phrases[:number] + phrases[number + 1 :], phrase)
    return None


def _new(phrases: tuple[str, ...]) -> AreaFound:
    for number, phrase in enumerate(phrases):
        words = phrase.split()
        if words and len(words) <= 4 and words[-1].lower() in _AREA_ENDINGS:
            return AreaFound(phrase, phrases[:number] + phrases[number + 1 :])
    return AreaFound("", phrases)


def _without(phrases: tuple[str, ...], number: int, first: int, width: int) -> tuple[str, ...]:
    phrase = phrases[number]
    matches = list(_WORD.finditer(phrase))
    rest = (phrase[: matches[first].start()].strip(), phrase[matches[first + width - 1].end() :].strip())
    return phrases[:number] + tuple(part for part in rest if part) + phrases[number + 1 :]
