"""What a person says of the state of a lot, and how many of its pieces are defective."""

from __future__ import annotations

import re
from dataclasses import dataclass

from runningfit.core.units import in_figures


@dataclass(frozen=True, slots=True)
class Defect:
    """A fault of some pieces of a lot.

    Parameters
    ----------
    count : int or None
        How many pieces have it; none when that was not said.
    what : str
        The fault, in the writer's words.
    """

    count: int | None
    what: str


@dataclass(frozen=True, slots=True)
class ConditionReading:
    """The condition as written, its defects, and what cannot be right about them.

    Parameters
    ----------
    condition : str
        What was written, with single spaces.
    defects : tuple of Defect
        The faults, in the order they were written.
    problems : tuple of str
        Sentences for a person: more defective pieces than there are, a number that was not said.
    """

    condition: str
    defects: tuple[Defect, ...]
    problems: tuple[str, ...]


# Faults that end a part's use as it is.
_FUNCTIONAL = re.compile(
    r"\b(?:sheared|broken|snapped|cracked|split(?!\s+(?:pins?|cotters?|rings?|washers?|collars?|collets?)\b)"
    r"|bent|buckled|twisted|stripped(?!\s+(?:of|down|clean)\b)|pulled(?!\s+(?:from|off|out)\b)|torn|wasted|worn"
    r"|chewed|dished|weeping|leaking|rounded|necked|stretched|seized|perished|crushed|flattened|burnt|burred"
    r"|crossed|cross[- ]threaded|damaged"
    r"|mangled|ruined|scrap|missing|rotten|hammered|gouged|scored|eaten|u/s|unusable"
    r"|(?:rusted|corroded|rotted|worn|burnt) (?:through|away|out))\b"
)
# Faults of the surface; whether they matter is for the person at the bench to say. Marked F is no fault.
_SURFACE = re.compile(
    r"\b(?:pitted|pitting|corroded|scratched|scuffed|dented|chipped|nicked|fretted|marked(?=\s+by\b|$))\b"
)
_SOUND = re.compile(
    r"\b(?:ok|okay|good|fine|sound|perfect|new|as new|used|re-?usable|serviceable|clean|unused|nos|usable)\b"
)
_DENIED = re.compile(r"\b(?:no|not|none|nothing|never|un|without|free of|0)\b")
_SOME = re.compile(r"^(?:some|a few|several|most|many|a couple|couple)\b(?:\s+of\s+(?:them|the lot))?\s*")
# A number of these is a size or a mark, not a number of pieces.
_NO_COUNT = re.compile(
    r"^(?:thou|mm|cm|in|inch|inches|\"|deg|degrees|°|tpi|marks?|radial|times?|years?|coats?|turns?"
    r"|threads? (?:left|good)"
    r"|off\b.*\bsize|across|to the inch|per inch|pitch(?:es)?|bsw|bsf|ba|unf|unc|x|/|\.)"
)
_ODD_NUMBER = re.compile(r"^(?P<number>-\s*[0-9.,]+|[0-9]+[.,][0-9]+)\s+(?P<rest>.+)$")
_HALF = re.compile(r"^(?:a\s+)?(?:1/2|half)(?:\s+of)?(?:\s+(?:them|the\s+lot))?\s+(?P<rest>.+)$")
_COUNTED = re.compile(
    r"^(?:(?P<count>[0-9]{1,6})(?![0-9./])|(?P<all>all|both|each|every\s+one)\b)"
    r"(?:\s*(?:off|pcs|x)\b)?(?:\s+of\s+(?:them|the\s+(?:lot|bolts|nuts)|[0-9]+))?\s*(?P<rest>.*)$"
)
_COUNT_LAST = re.compile(r"^(?P<what>[^0-9]+?)\s*(?:[:=]|\bx|\(|\bon)\s*(?P<count>[0-9]{1,6})\s*\)?$")
_LINKING = re.compile(r"^(?:with|have|has|had|having|are|is|were|was|being|look|looks|got)\s+(?:an?\s+)?")
_PARTS = re.compile(
    r"\s*[;+&]\s*|\s*,\s*|\s*\.\s+|\s+(?:and|but|plus)\s+(?=[0-9]+\b|all\b|both\b|some\b|the rest\b)"
)


def _splits(text: str) -> list[str]:
    """Part a condition at its commas and before each new number."""
    return [part.strip(" .,;") for part in _PARTS.split(text) if part and part.strip(" .,;")]


def _is_sound(what: str) -> bool:
    """Tell whether words deny a fault or praise the piece, and name no fault."""
    faulty = _FUNCTIONAL.search(what) or _SURFACE.search(what)
    if faulty is None:
        return bool(_SOUND.search(what)) or not what
    return bool(_DENIED.search(what[: faulty.start()]))


def _defect_of(part: str, count: int | None, in_remarks: bool) -> tuple[Defect | None, str]:
    """Read one part of a condition: a defect or none, and a problem or nothing."""
    known = bool(_FUNCTIONAL.search(part) or _SURFACE.search(part))
    if (found := _HALF.match(part)) and (known or not in_remarks):
        return _half(part, found["rest"], count)
    if known and (found := _ODD_NUMBER.match(part)):
        what = _LINKING.sub("", found["rest"])
        return Defect(None, what), f"'{found['number']}' is no number of pieces: how many are {what}?"
    if in_remarks and not known:
        return None, ""
    if found := _COUNTED.match(part):
        rest = found["rest"]
        what = _LINKING.sub("", rest)
        if found["count"] is not None and _NO_COUNT.match(rest):
            return _unnumbered(part, count)
        if _is_sound(what):
            return None, ""
        many = _number(found, count)
        unequal = found["all"] == "both" and count not in {None, 2}
        problem = f"'{part}' says two, but the lot has {count}: count them." if unequal else ""
        return (None, "") if many == 0 else (Defect(many, what), problem)
    if known and (found := _COUNT_LAST.match(part)):
        return Defect(int(found["count"]), found["what"].strip()), ""
    if found := _SOME.match(part):
        what = _LINKING.sub("", part[found.end() :])
        if not what or _is_sound(what):
            return None, ""
        return Defect(None, what), f"'{part}' does not say how many: count them."
    return _unnumbered(part, count)


def _number(found: re.Match[str], count: int | None) -> int | None:
    if found["count"] is not None:
        return int(found["count"])
    return 2 if found["all"] == "both" else count


def _half(part: str, rest: str, count: int | None) -> tuple[Defect | None, str]:
    """Read a fault of half the lot, which must then be even."""
    what = _LINKING.sub("", rest)
    if _is_sound(what):
        return None, ""
    if count is None or count % 2:
        of = "an unknown count" if count is None else str(count)
        return Defect(None, what), f"'{part}' is no whole number of {of}: count them."
    return Defect(count // 2, what), ""


def _unnumbered(part: str, count: int | None) -> tuple[Defect | None, str]:
    """Read a fault that was said of the lot as a whole."""
    what = _LINKING.sub("", part)
    if _is_sound(what):
        return None, ""
    return (Defect(count, what), "") if _FUNCTIONAL.search(what) or _SURFACE.search(what) else (None, "")


def read_condition(text: str, count: int | None, *, in_remarks: bool = False) -> ConditionReading:
    """Read the defects out of what a person says of a lot.

    Parameters
    ----------
    text : str
        `2 with pulled threads`, `3 wasted where the water was`, `ok`, `rusted through`; may be empty.
    count : int or None
        How many pieces the lot has, where that is known.
    in_remarks : bool
        The text is a remark, where a number counts pieces only beside a word for a fault.

    Returns
    -------
    ConditionReading
        The defects with their numbers. A fault said without a number is said of the whole lot and has its
        count, doubted or not (`cracked?`), be it of use (sheared, perished, worn) or of the surface (pitted).
        Plain rust, dirt and dullness without a number are no defects: they come off. A count is None only
        where the lot's is not known, or beside a problem (`some bent`).
        Whatever a number was given for is a defect, unless it is praise. More defects than pieces is a
        problem.
    """
    condition = " ".join(text.split())
    defects: list[Defect] = []
    problems: list[str] = []
    for part in _splits(in_figures(condition).lower()):
        defect, problem = _defect_of(part, count, in_remarks)
        if defect is not None:
            defects.append(defect)
        if problem:
            problems.append(problem)
        if defect is not None and defect.count is not None and count is not None and defect.count > count:
            problems.append(f"{defect.count} are said to be {defect.what}, but the lot has {count}.")
    return ConditionReading(condition, tuple(defects), tuple(problems))
