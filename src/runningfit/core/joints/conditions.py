"""The finish and the lubricant of a joint: read as people say them, and open where nobody did."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows

FRICTION_TABLE = "thread_friction_collected_2026"
ANY, NOT_STATED, DRY, OIL, ALUMINIUM = "any", "not stated", "dry", "oil", "aluminium"
# What steel bolts of an engine wear unless the eye says otherwise (common practice, no source).
USUAL_FINISHES = frozenset({"plain", "black oxide", "zinc", "cadmium", "phosphate"})

_FINISH_WORDS: Mapping[str, str] = {
    **dict.fromkeys(
        ("plain", "bare", "self colour", "uncoated", "unplated", "bright steel", "steel"), "plain"
    ),
    **dict.fromkeys(("black oxide", "black", "blacked", "blued", "oxide", "chemical black"), "black oxide"),
    **dict.fromkeys(("zinc", "zinc electroplate", "electroplated zinc", "bzp"), "zinc"),
    **dict.fromkeys(("zinc yellow", "yellow zinc", "zinc clear", "clear zinc", "bright zinc"), "zinc"),
    **dict.fromkeys(("cadmium", "cad", "cadmium yellow", "yellow cadmium"), "cadmium"),
    **dict.fromkeys(("phosphate", "phosphated"), "phosphate"),
    **dict.fromkeys(("hot-dip galvanised", "hot dip galvanised", "galvanised"), "hot-dip galvanised"),
    **dict.fromkeys(("hot-dip galvanized", "hot dip galvanized", "galvanized"), "hot-dip galvanised"),
    **dict.fromkeys(("stainless", "stainless steel", "austenitic", "austenitic stainless"), "stainless"),
}
_NO_FIGURES = frozenset(
    {
        "nickel",
        "chrome",
        "chromium",
        "tin",
        "paint",
        "painted",
        "zinc flake",
        "mechanical zinc",
        "copper",
        "brass",
    }
)
_LUBRICANT_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("dry", "clean and dry", "degreased", "no lubricant", "unlubricated"), DRY),
    **dict.fromkeys(
        (
            "oil",
            "oiled",
            "engine oil",
            "motor oil",
            "light oil",
            "lightly oiled",
            "slightly oiled",
            "machine oil",
            "lubricated",
        ),
        OIL,
    ),
    **dict.fromkeys(("grease", "greased"), "grease"),
    **dict.fromkeys(
        ("anti-seize", "antiseize", "anti seize", "copper anti-seize", "copper grease"), "anti-seize"
    ),
    **dict.fromkeys(
        ("molybdenum disulphide", "molybdenum disulfide", "mos2", "moly", "moly grease", "graphite", "ptfe"),
        "molybdenum disulphide",
    ),
    **dict.fromkeys(("wax", "waxed"), "wax"),
}
# Which part turns: the other one's face rubs on nothing.
_TURNING_WORDS = {
    **dict.fromkeys(("nut turns", "nut turned", "turned at the nut"), True),
    **dict.fromkeys(("head turns", "head turned", "bolt turns", "turned at the head"), False),
}
_OF_THE_MATE = (" nut", " hole", " mate")
# The surface on which head or nut turns, where it is not steel.
_SURFACE_WORDS = frozenset({"on aluminium", "on aluminum", "aluminium", "aluminum", "on alloy"})
_UNKNOWN_WORDS = frozenset({"", "unknown", "not known", "not stated", "?", "as received", "don't know"})


@dataclass(frozen=True, slots=True)
class Condition:
    """The finish and the lubricant of a joint, as far as anybody said.

    Parameters
    ----------
    finish : str or None
        Finish of the bolt; none where it is not known.
    lubricant : str or None
        Lubricant, or `dry`; none where it is not known.
    unfigured : str
        A finish that was said and of which no friction was found; empty otherwise.
    on_aluminium : bool
        Whether head or nut turns on bare aluminium or magnesium, not on steel or a washer.
    mate : str or None
        Finish of the nut or hole where it is another than the bolt's; none where nobody said so.
    nut_turns : bool or None
        Whether the nut is turned and not the head; none where nobody knows.
    """

    finish: str | None = None
    lubricant: str | None = None
    unfigured: str = ""
    on_aluminium: bool = False
    mate: str | None = None
    nut_turns: bool | None = False

    @property
    def said(self) -> str:
        """The condition in words."""
        finish = self.unfigured or self.finish or "finish not known"
        besides = [f"{self.mate} nut"] * (self.mate is not None) + ["nut turns"] * bool(self.nut_turns)
        besides += ["on aluminium"] * self.on_aluminium
        return ", ".join([finish, self.lubricant or "lubricant not known", *besides])


def known_finishes() -> tuple[str, ...]:
    """The finishes of which friction is known.

    Returns
    -------
    tuple of str
        In the order of the table.
    """
    named = dict.fromkeys(row["finish"] for row in rows(FRICTION_TABLE))
    return tuple(finish for finish in named if finish not in {ANY, ALUMINIUM})


def known_lubricants() -> tuple[str, ...]:
    """The lubricants of which friction is known, dry among them.

    Returns
    -------
    tuple of str
        In the order of the table.
    """
    return tuple(
        dict.fromkeys(row["lubricant"] for row in rows(FRICTION_TABLE) if row["lubricant"] != NOT_STATED)
    )


_SAID_OF_ANY = re.compile(r"[ -](?:plated|plating|plate|coated|coating|finish)$")


def _word(text: str) -> str:
    """A part of what was said, in plain words: `Zinc-plated` is zinc."""
    plain = " ".join(text.lower().replace("_", " ").split()).strip(" .;:")
    return _SAID_OF_ANY.sub("", plain)


def _part(text: str, condition: Condition) -> Condition:
    """Add one part of what was said to the condition."""
    if text in _UNKNOWN_WORDS:
        return condition
    if text in _SURFACE_WORDS and not condition.on_aluminium:
        return replace(condition, on_aluminium=True)
    if text in _TURNING_WORDS:
        return replace(condition, nut_turns=_TURNING_WORDS[text])
    mate = _finish_of_the_mate(text)
    if mate is not None and condition.mate is None:
        return replace(condition, mate=mate)
    finish, lubricant = _FINISH_WORDS.get(text), _LUBRICANT_WORDS.get(text)
    if text in _NO_FIGURES and not condition.unfigured and condition.finish is None:
        return replace(condition, unfigured=text)
    if finish is not None and condition.finish is None and not condition.unfigured:
        return replace(condition, finish=finish)
    if lubricant is not None and condition.lubricant is None:
        return replace(condition, lubricant=lubricant)
    remedy = (
        "Only one finish and one lubricant can be said."
        if finish or lubricant or text in _NO_FIGURES
        else f"Finishes: {', '.join(known_finishes())}. Lubricants: {', '.join(known_lubricants())}. "
        "Say unknown where it is not known."
    )
    raise InvalidInput(
        "condition", needs="a finish and a lubricant such as 'black oxide, dry'", came=text, remedy=remedy
    )


def _finish_of_the_mate(text: str) -> str | None:
    """The finish of a nut or hole: `zinc plated nut` is zinc."""
    for behind in _OF_THE_MATE:
        if text.endswith(behind):
            return _FINISH_WORDS.get(_word(text.removesuffix(behind)))
    return None


def read_condition(text: str) -> Condition:
    """Read a finish and a lubricant.

    Parameters
    ----------
    text : str
        `black oxide, dry`, `cadmium plated, oiled`, `zinc, dry, on aluminium`, `zinc dry`, `unknown`,
        `cadmium, oil, plain nut, nut turns`.

    Returns
    -------
    Condition
        What was not said stays open.

    Raises
    ------
    InvalidInput
        A word that is no finish and no lubricant here, or two of a kind.
    """
    condition = Condition()
    for piece in text.replace("/", ",").replace(" with ", ",").replace(" and ", ",").split(","):
        for part in _parted(_word(piece)):
            condition = _part(part, condition)
    return condition


def _is_known(text: str) -> bool:
    kept = (_FINISH_WORDS, _LUBRICANT_WORDS, _NO_FIGURES, _SURFACE_WORDS, _UNKNOWN_WORDS)
    return any(text in words for words in kept)


def _parted(text: str) -> tuple[str, ...]:
    """Part `zinc plated dry` into its finish and its lubricant where no comma does."""
    words = text.split()
    if not _is_known(text):
        for at in range(1, len(words)):
            pair = _word(" ".join(words[:at])), " ".join(words[at:])
            if all(_is_known(one) for one in pair):
                return pair
    return (text,)


def condition_of(finish: str | None, lubricant: str | None) -> Condition:
    """Read a finish and a lubricant that were said apart.

    Parameters
    ----------
    finish, lubricant : str or None
        As in `read_condition`; none where nothing was said.

    Returns
    -------
    Condition
        What was not said stays open.

    Raises
    ------
    InvalidInput
        A word that is no finish or no lubricant here.
    """
    condition = read_condition(finish or "")
    said = read_condition(lubricant or "")
    if said.finish or said.unfigured or (said.lubricant and condition.lubricant):
        raise InvalidInput(
            "lubricant",
            needs=f"one of {', '.join(known_lubricants())}",
            came=lubricant or "",
            remedy="Name the finish as the finish.",
        )
    return replace(condition, lubricant=condition.lubricant or said.lubricant)


def members(condition: Condition) -> tuple[Condition, ...]:
    """Give the single conditions that an open one may turn out to be.

    Parameters
    ----------
    condition : Condition
        A condition, open or not.

    Returns
    -------
    tuple of Condition
        Itself where finish and lubricant are known.
    """
    finishes = (condition.finish,) if condition.finish else tuple(sorted(USUAL_FINISHES))
    lubricants = (condition.lubricant,) if condition.lubricant else (DRY, OIL)
    return tuple(
        replace(condition, finish=finish, lubricant=lubricant, unfigured="")
        for finish in finishes
        for lubricant in lubricants
    )
