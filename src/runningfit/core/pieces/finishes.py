"""How a finish looks, kept apart from the process that nobody can see."""

from __future__ import annotations

import re
from collections.abc import Mapping
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
    ZINC_FLAKE = "zinc flake"
    MECHANICAL_ZINC = "mechanical zinc"
    CADMIUM = "cadmium"
    OXIDE = "oxide"
    PHOSPHATE = "phosphate"
    NICKEL = "nickel"
    CHROMIUM = "chromium"
    TIN = "tin"
    PAINT = "paint"

    @property
    def said(self) -> str:
        """The finish as the trade and the tables of friction name it."""
        return {"oxide": "black oxide", "chromium": "chrome"}.get(self.value, self.value)


@dataclass(frozen=True, slots=True)
class FinishReading:
    """A finish as understood.

    Parameters
    ----------
    look : FinishLook
        What it looks like; unknown where that was not said.
    process : FinishProcess or None
        The process, where it was named.
    doubt : bool
        Whether the writer was not sure.
    note : str
        What was said beyond that, or why the look stays unknown; empty when nothing.
    """

    look: FinishLook
    process: FinishProcess | None
    doubt: bool
    note: str


_LOOKS: Mapping[str, FinishLook] = {
    **dict.fromkeys(("clear", "bzp", "silvery"), FinishLook.CLEAR),
    **dict.fromkeys(("yellow", "gold", "golden", "goldish", "iridescent", "yellowish"), FinishLook.YELLOW),
    **dict.fromkeys(("black", "blacked", "blackened", "blackish", "blued", "blueing"), FinishLook.BLACK),
    **dict.fromkeys(("brass", "brassy"), FinishLook.BRASS),
    **dict.fromkeys(("bronze", "gunmetal"), FinishLook.BRONZE),
    **dict.fromkeys(("copper", "coppered"), FinishLook.COPPER),
    **dict.fromkeys(("chrome", "chromed", "chromium"), FinishLook.CHROME),
    **dict.fromkeys(("nickel", "nickeled", "nickelled"), FinishLook.NICKEL),
    **dict.fromkeys(("paint", "painted", "enamel", "enamelled", "lacquered", "powder"), FinishLook.PAINT),
    **dict.fromkeys(
        (
            "none",
            "bare",
            "plain",
            "raw",
            "natural",
            "nil",
            "unplated",
            "uncoated",
            "unfinished",
            "steel",
            "bright",
        ),
        FinishLook.NONE,
    ),
}
_PROCESSES: Mapping[str, FinishProcess] = {
    **dict.fromkeys(("zinc", "bzp", "zn", "galvanised", "galvanized", "galv"), FinishProcess.ZINC),
    **dict.fromkeys(("cad", "cadmium", "cd"), FinishProcess.CADMIUM),
    **dict.fromkeys(("oxide", "oxidised", "oxidized", "blued", "blueing", "chemiblack"), FinishProcess.OXIDE),
    **dict.fromkeys(("phosphate", "phosphated"), FinishProcess.PHOSPHATE),
    **dict.fromkeys(("tin", "tinned"), FinishProcess.TIN),
    **dict.fromkeys(("paint", "painted", "enamel", "enamelled", "powder"), FinishProcess.PAINT),
}
# These name a look by themselves; the process only together with "plated".
_PLATED: Mapping[str, FinishProcess] = {
    **dict.fromkeys(("chrome", "chromium"), FinishProcess.CHROMIUM),
    "nickel": FinishProcess.NICKEL,
}
_BARE = re.compile(
    r"\b(?:not plated|no plating|no finish|not finished|self[ -]colou?r(?:ed)?|as machined"
    r"|bright steel|stainless)\b"
)
_CLEAR_PAIR = re.compile(
    r"\b(?:bright|blue|white|silver)[ -](?:zinc|zn|blue|white|cad|cadmium|passivated?|plat(?:ed|ing|e))\b"
)
# Zinc laid on without a bath is another coat than electroplated zinc.
_NO_BATH: Mapping[str, FinishProcess] = {
    **dict.fromkeys(("flake", "flaked"), FinishProcess.ZINC_FLAKE),
    **dict.fromkeys(("mechanical", "mechanically"), FinishProcess.MECHANICAL_ZINC),
}
_DOUBT = re.compile(r"\?|\b(?:maybe|perhaps|probably|possibly|think|looks like)\b")
_SEVERAL = re.compile(r"\b(?:mixed|various|assorted|all sorts|different)\b")
_PLATING = re.compile(r"\bplat(?:ed|ing|e)\b")
# An alloy that is plated as one metal; it looks like neither by its name.
_ALLOY = re.compile(r"\bzinc[ /-]nickel\b")
_OVER = re.compile(r"\s+(?:on|over)\s+(?:the\s+)?")
_BLANK = frozenset(
    {"", "-", "--", "?", "n/a", "na", "unknown", "not known", "don't know", "dont know", "tbc", "tba"}
)


def _look(plain: str, words: list[str]) -> tuple[FinishLook, str]:
    """Find the one look that was said; two different ones leave it unknown."""
    if _BARE.search(plain):
        return FinishLook.NONE, "stainless was said: a material" if "stainless" in words else ""
    if _CLEAR_PAIR.search(plain):
        return FinishLook.CLEAR, ""
    looks = list(dict.fromkeys(_LOOKS[word] for word in words if word in _LOOKS))
    if FinishLook.PAINT in looks:
        colours = " ".join(
            word for word in words if _LOOKS.get(word, FinishLook.PAINT) is not FinishLook.PAINT
        )
        return FinishLook.PAINT, f"{colours} was said" if colours else ""
    if FinishLook.NONE in looks and len(looks) > 1:
        looks.remove(FinishLook.NONE)
    if len(looks) > 1:
        return FinishLook.UNKNOWN, f"two looks were said: {' and '.join(looks)}"
    if looks:
        return looks[0], ""
    return FinishLook.UNKNOWN, ""


def _process(plated: bool, words: list[str]) -> tuple[FinishProcess | None, str]:
    """Find the one process that was named."""
    named = [_PROCESSES[word] for word in words if word in _PROCESSES]
    if plated:
        named += [_PLATED[word] for word in words if word in _PLATED]
    if "chromium" in words and not plated:
        named.append(FinishProcess.CHROMIUM)
    no_bath = [_NO_BATH[word] for word in words if word in _NO_BATH]
    if no_bath and FinishProcess.ZINC in named:
        named = [*(one for one in named if one is not FinishProcess.ZINC), *no_bath]
    several = list(dict.fromkeys(named))
    if len(several) > 1:
        return None, f"two processes were said: {' and '.join(several)}"
    return (several[0] if several else None), ""


def _why_unknown(plain: str, plated: bool, process: FinishProcess | None) -> str:
    if process is not None:
        return f"{process} was said, not how it looks"
    return "plating was said, not how it looks" if plated else f"'{plain}' tells no look"


def read_finish(text: str) -> FinishReading:
    """Read a finish as somebody describes it.

    Parameters
    ----------
    text : str
        `clear plated`, `black?`, `yellow zinc`, `chrome on brass`, `self colour`; may be empty.

    Returns
    -------
    FinishReading
        The look, and the process only where it was named: clear plating may be zinc, cadmium or tin. `plated`
        and `dark` leave the look unknown and say so in the note. `bright` alone is bare machined steel,
        `blued` looks black (common practice, no source). Silver, grey and blue are no looks here.
    """
    plain = " ".join(text.lower().replace("_", " ").split()).strip(" .,;:")
    plain = _ALLOY.sub("zinc", plain)
    if plain in _BLANK:
        return FinishReading(FinishLook.UNKNOWN, None, False, "" if not plain else f"'{plain}' was written")
    doubt = bool(_DOUBT.search(plain))
    if _SEVERAL.search(plain):
        return FinishReading(FinishLook.UNKNOWN, None, doubt, "the lot is mixed: one finish cannot be told")
    upper, *under = _OVER.split(plain, maxsplit=1)
    words = re.findall(r"[a-z]+", upper)
    bare = bool(_BARE.search(upper))
    plated = not bare and bool(_PLATING.search(upper))
    look, note = _look(upper, words)
    process, clash = (None, "") if bare else _process(plated, words)
    notes = [note, clash]
    if look is FinishLook.UNKNOWN and not note:
        notes.append(_why_unknown(plain.rstrip("? "), plated, process))
    if under:
        notes.append(f"on {under[0].rstrip('? ')}")
    return FinishReading(look, process, doubt, "; ".join(part for part in notes if part))
