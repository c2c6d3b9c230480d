"""The one vocabulary of kinds of pieces, and how people say them."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum


class LengthBasis(StrEnum):
    """From where to where the length of a kind is measured."""

    UNDER_HEAD = "under_head"
    OVERALL = "overall"


class Kind(StrEnum):
    """What sort of piece it is."""

    HEX_BOLT = "hex_bolt"
    SETSCREW = "setscrew"
    STUD = "stud"
    NUT = "nut"
    DOMED_NUT = "domed_nut"
    PLAIN_WASHER = "plain_washer"
    SPRING_WASHER = "spring_washer"
    TAB_WASHER = "tab_washer"
    FIBRE_WASHER = "fibre_washer"
    SLOTTED_SCREW = "slotted_screw"
    GRUB_SCREW = "grub_screw"
    PLUG = "plug"
    UNION = "union"
    PIN = "pin"
    SPACER = "spacer"
    CLIP = "clip"
    OTHER = "other"

    @property
    def has_thread(self) -> bool:
        """Whether a size said of it is that of a thread of its own; plugs may be pressed in instead."""
        return self in _THREADED

    @property
    def is_externally_threaded(self) -> bool:
        """Whether its thread is on the outside; a union may have either."""
        return self in _THREADED_OUTSIDE

    @property
    def length_basis(self) -> LengthBasis | None:
        """From where its length is measured; none where the kind has no length to speak of."""
        return _BASES.get(self)


_THREADED_OUTSIDE = frozenset(
    {Kind.HEX_BOLT, Kind.SETSCREW, Kind.STUD, Kind.SLOTTED_SCREW, Kind.GRUB_SCREW, Kind.PLUG}
)
_THREADED = _THREADED_OUTSIDE | {Kind.NUT, Kind.DOMED_NUT, Kind.UNION, Kind.OTHER}
# Common practice, no source: bolts under the head, headless pieces over all.
_BASES: Mapping[Kind, LengthBasis] = {
    Kind.HEX_BOLT: LengthBasis.UNDER_HEAD,
    Kind.SETSCREW: LengthBasis.UNDER_HEAD,
    Kind.SLOTTED_SCREW: LengthBasis.UNDER_HEAD,
    Kind.STUD: LengthBasis.OVERALL,
    Kind.GRUB_SCREW: LengthBasis.OVERALL,
    Kind.PLUG: LengthBasis.OVERALL,
    Kind.PIN: LengthBasis.OVERALL,
    Kind.SPACER: LengthBasis.OVERALL,
}


@dataclass(frozen=True, slots=True)
class KindUnknown:
    """Words that name no one kind, why, and the kinds that they may mean."""

    text: str
    reason: str
    readings: tuple[Kind, ...] = ()


def label(kind: Kind, count: int) -> str:
    """Write a count with its kind.

    Parameters
    ----------
    kind : Kind
        The kind.
    count : int
        How many.

    Returns
    -------
    str
        `9 hex bolts`, `1 stud`, `3 other pieces`.
    """
    words = "other piece" if kind is Kind.OTHER else kind.value.replace("_", " ")
    if count == 1:
        return f"1 {words}"
    return f"{count} {words}es" if words.endswith("ch") else f"{count} {words}s"


# Nouns in the singular, and what they mean without any word before them.
_NOUNS: Mapping[str, Kind] = {
    "bolt": Kind.HEX_BOLT,
    "setscrew": Kind.SETSCREW,
    "setbolt": Kind.SETSCREW,
    "setpin": Kind.SETSCREW,
    "screw": Kind.SLOTTED_SCREW,
    "capscrew": Kind.HEX_BOLT,
    "hhcs": Kind.HEX_BOLT,
    "shcs": Kind.OTHER,
    "bhcs": Kind.OTHER,
    "fhcs": Kind.OTHER,
    "grubscrew": Kind.GRUB_SCREW,
    "grub": Kind.GRUB_SCREW,
    "stud": Kind.STUD,
    "studding": Kind.STUD,
    "nut": Kind.NUT,
    "locknut": Kind.NUT,
    "wingnut": Kind.NUT,
    "washer": Kind.PLAIN_WASHER,
    "lockwasher": Kind.SPRING_WASHER,
    "tabwasher": Kind.TAB_WASHER,
    "locktab": Kind.TAB_WASHER,
    "lockplate": Kind.TAB_WASHER,
    "plug": Kind.PLUG,
    "union": Kind.UNION,
    "adaptor": Kind.UNION,
    "adapter": Kind.UNION,
    "pin": Kind.PIN,
    "dowel": Kind.PIN,
    "cotter": Kind.PIN,
    "spacer": Kind.SPACER,
    "shim": Kind.SPACER,
    "collar": Kind.SPACER,
    "ferrule": Kind.SPACER,
    "sleeve": Kind.SPACER,
    "piece": Kind.OTHER,
    "tube": Kind.OTHER,
    "plate": Kind.OTHER,
    "tab": Kind.TAB_WASHER,
    "clip": Kind.CLIP,
    "circlip": Kind.CLIP,
    "clamp": Kind.OTHER,
    "ring": Kind.OTHER,
    "bush": Kind.OTHER,
    "bushing": Kind.OTHER,
    "key": Kind.OTHER,
    "rivet": Kind.OTHER,
    "spring": Kind.OTHER,
    "gasket": Kind.OTHER,
    "olive": Kind.OTHER,
    "bearing": Kind.OTHER,
    "seal": Kind.OTHER,
    "insert": Kind.OTHER,
    "elbow": Kind.UNION,
    "nipple": Kind.OTHER,
}
_ANY_PLUG = frozenset({"spark", "sparking", "glow"})
_SOCKET = frozenset({"socket", "caphead"})
# For each noun: words before it that change the kind, looked at in this order.
_BEFORE: Mapping[str, tuple[tuple[frozenset[str], Kind], ...]] = {
    "bolt": (
        (frozenset({"stud"}), Kind.STUD),
        (frozenset({"set"}), Kind.SETSCREW),
        (
            _SOCKET
            | {"banjo", "eye", "u", "j", "t", "coach", "carriage", "square", "expansion", "rag", "hook"},
            Kind.OTHER,
        ),
    ),
    "screw": (
        (frozenset({"grub", "headless"}), Kind.GRUB_SCREW),
        (_SOCKET | {"wood", "self", "coach", "thumb", "wing", "bleed"}, Kind.OTHER),
        (frozenset({"set", "hex"}), Kind.SETSCREW),
        (frozenset({"cap"}), Kind.HEX_BOLT),
    ),
    "setscrew": ((_SOCKET | {"grub", "headless"}, Kind.GRUB_SCREW),),
    "capscrew": ((_SOCKET, Kind.OTHER),),
    "nut": (
        (frozenset({"dome", "domed", "acorn", "cap", "blind"}), Kind.DOMED_NUT),
        (frozenset({"union", "gland", "olive"}), Kind.UNION),
    ),
    "washer": (
        (frozenset({"tab", "tabbed", "locktab", "ear", "eared"}), Kind.TAB_WASHER),
        (
            frozenset(
                {"spring", "lock", "locking", "split", "star", "toothed", "serrated", "crinkle"}
                | {"wave", "wavy", "disc", "coil", "internal-tooth", "external-tooth", "tooth"}
            ),
            Kind.SPRING_WASHER,
        ),
        (frozenset({"fibre", "vulcanised"}), Kind.FIBRE_WASHER),
        (frozenset({"distance", "spacing"}), Kind.SPACER),
        (
            frozenset({"thrust", "rubber", "nylon", "felt", "leather", "bonded", "plastic", "cork", "cup"}),
            Kind.OTHER,
        ),
    ),
    "tab": ((frozenset({"lock", "locking", "bent"}), Kind.TAB_WASHER),),
    "plate": ((frozenset({"lock", "locking"}), Kind.TAB_WASHER),),
    "plug": ((_ANY_PLUG, Kind.OTHER),),
    "pin": ((frozenset({"set"}), Kind.SETSCREW),),
    "piece": ((frozenset({"distance", "spacing", "spacer"}), Kind.SPACER),),
    "tube": ((frozenset({"distance", "spacer"}), Kind.SPACER),),
    "clamp": ((frozenset({"hose", "pipe", "band", "worm"}), Kind.CLIP),),
    "ring": ((frozenset({"snap", "retaining", "circlip"}), Kind.CLIP), (frozenset({"dowel"}), Kind.PIN)),
}
# A bolt with its thread all the way to the head is a setscrew, whatever it is called.
_FULLY_THREADED = re.compile(
    r"\b(?:fully|full) thread(?:ed)?\b|\bthread(?:ed)? to (?:the )?head\b|\ball thread\b"
)
# Heads that are spoken of without the word screw (cheese head, csk head), and that no bolt has.
_SCREW_HEADS = frozenset({"cheese", "countersunk", "fillister"})
# Two words that mean two things: in Britain a bolt threaded to the head, in America a screw without a head.
_SET_SCREW = re.compile(r"\bset[ -]screws?\b")
_SET_SCREW_SAID = frozenset({"hex", "socket", "grub", "headless", "bolt"})
_POINTS = re.compile(r"\b(?:cup|cone|dog|flat|oval)[ -]point(?:ed)?\b")
_ROD = re.compile(r"\bthreaded (?:rod|bar)\b")

_SAME_WORD: Mapping[str, str] = {
    "hexagon": "hex",
    "hexagonal": "hex",
    "hexhead": "hex",
    "hexheaded": "hex",
    "fiber": "fibre",
    "flat": "plain",
    "sq": "square",
    "csk": "countersunk",
    "ch": "cheese",
    "hd": "head",
    "wshr": "washer",
    "bushes": "bush",
}
_SEVERAL = frozenset(
    {"mixed", "assorted", "various", "misc", "miscellaneous", "sundry", "odd", "odds", "oddments"}
)
_VALUES = frozenset(Kind)
_PRESSED = frozenset({"cup", "core", "expansion", "frost", "freeze", "disc", "dished"})
_QUALIFIERS = frozenset().union(*(words for rules in _BEFORE.values() for words, _ in rules)) | {
    "hex", "plain", "hardened", "slotted", "cheese", "countersunk", "drain", "taper", "throw", "pivot",
    "split", "banjo", "spring", "point",
}  # fmt: skip
_JOINS = re.compile(r"\s(?:and|with|plus|or)\s|\s*[&+/]\s*|\s*;\s*")
_TURNS = re.compile(r"\s(?:for|from|off|out of|of|to|in|on|at)\s")
_LONGEST_TEXT = 200
# How alike two words must be, by difflib's ratio: a noun is looked for only where there is none.
_NOUN_ALIKE = 0.75
_QUALIFIER_ALIKE = 0.85


def _singular(word: str) -> str:
    word = _SAME_WORD.get(word, word)
    if word in _NOUNS or word in _QUALIFIERS:
        return word
    for ending in ("es", "s", "'s"):
        if word.endswith(ending) and (stem := word.removesuffix(ending)) in _NOUNS:
            return stem
    return word


def _corrected(word: str, known: Collection[str], cutoff: float) -> str:
    """Put a slip of the keyboard right, where a known word is near."""
    if len(word) < 4 or word in _NOUNS or word in _QUALIFIERS:
        return word
    from difflib import get_close_matches

    near = get_close_matches(word.removesuffix("s"), known, n=1, cutoff=cutoff)
    return near[0] if near else word


def kind_words(text: str) -> list[str]:
    """Part a phrase into words in the singular, joining the pairs that are one word.

    Parameters
    ----------
    text : str
        In small letters.

    Returns
    -------
    list of str
        As the vocabulary has them: csk is countersunk.
    """
    joined = re.sub(r"\bcap[ -]head(?:ed)?\b", "caphead", text)
    joined = re.sub(r"\b(set|grub|cap)[ -](screw|bolt|pin)(s?)\b", r"\1\2\3", joined)
    joined = joined.replace("capbolt", "cap bolt")
    joined = re.sub(r"\bcir[ -]clip", "circlip", joined)
    joined = re.sub(r"\bw/s\b", "washer", joined)
    return [_singular(word) for word in re.findall(r"[a-z]+", joined)]


def _turned_round(phrase: str) -> list[str]:
    """Put `washers, spring` the way it is spoken; part `bolt, nut` into two."""
    first, comma, rest = phrase.partition(",")
    if not comma:
        return [phrase]
    if any(word in _NOUNS and word not in _QUALIFIERS for word in kind_words(rest)):
        return [first, *_turned_round(rest.strip())]
    return [f"{rest} {first}"]


def _named(words: list[str]) -> Kind | None:
    """Take the last noun as what the piece is, and let the words before it say which sort."""
    places = [at for at, word in enumerate(words) if word in _NOUNS]
    if not places:
        return Kind.SLOTTED_SCREW if _SCREW_HEADS & set(words) and len(words) > 1 else None
    noun = words[places[-1]]
    before = frozenset(words[: places[-1]])
    for qualifiers, kind in _BEFORE.get(noun, ()):
        if qualifiers & before:
            return kind
    return _NOUNS[noun]


def read_kind(text: str) -> Kind | KindUnknown:
    """Read what sort of piece somebody means.

    Parameters
    ----------
    text : str
        One or many, in British or American words: `hexagon bolts`, `set-screw`, `lock washer`, `core plug`.

    Returns
    -------
    Kind or KindUnknown
        The kind, or why it cannot be told: nothing said, two kinds at once, a mixed lot, a word not known.

    Notes
    -----
    The last noun counts: a `head bolt washer` is a washer. British words where the two differ (common
    practice, no source): a `setscrew` has a hexagon and is threaded to the head; a bare `set screw` may be
    that or the American grub screw, and is asked about; a bare `screw` is slotted; `cap screw` is the
    American hex bolt, with a socket it is `other`, as are banjo, eye and U bolts, which never stand in for a
    plain bolt. A bare `washer` is a plain
    one, of copper too. Screws with a cross recess are slotted screws here.
    """
    plain = " ".join(text.lower().replace("’", "'").split()).strip(" .,;:?")
    if not plain:
        return KindUnknown(text, "no kind was said")
    if len(plain) > _LONGEST_TEXT:
        return KindUnknown(text, "that is too long for a kind: type the kind alone")
    if _ROD.search(plain):
        return Kind.STUD
    if _SET_SCREW.search(plain):
        if _POINTS.search(plain):
            return Kind.GRUB_SCREW
        if not _SET_SCREW_SAID & set(kind_words(plain)) and not _FULLY_THREADED.search(plain):
            return KindUnknown(
                text,
                "'set screw' means a setscrew with a hexagon to the British, a grub screw without a head to "
                "Americans: choose the kind",
                (Kind.SETSCREW, Kind.GRUB_SCREW),
            )
    if plain.replace(" ", "_") in _VALUES:
        return Kind(plain.replace(" ", "_"))
    phrases = [
        [_corrected(word, _QUALIFIERS, _QUALIFIER_ALIKE) for word in kind_words(part)]
        for phrase in _JOINS.split(plain)
        for part in _turned_round(_TURNS.split(phrase)[0])
    ]
    named = [kind for kind in map(_named, phrases) if kind is not None]
    if not named:
        phrases = [[_corrected(word, _NOUNS, _NOUN_ALIKE) for word in words] for words in phrases]
        named = [kind for kind in map(_named, phrases) if kind is not None]
    if any(word in _SEVERAL for words in phrases for word in words):
        return KindUnknown(text, "the lot is mixed: sort it first, then give each kind its own line")
    if not named:
        return KindUnknown(text, f"'{plain}' names no kind that is known here")
    if len(set(named)) > 1:
        return KindUnknown(text, "more than one kind was said: give each kind its own line")
    if named[0] in {Kind.HEX_BOLT, Kind.SLOTTED_SCREW} and _FULLY_THREADED.search(plain):
        return Kind.SETSCREW
    return named[0]


def is_pressed_plug(text: str) -> bool:
    """Tell whether a plug is one that is pressed in, so that its size is a diameter and no thread.

    Parameters
    ----------
    text : str
        The kind as said: `cup plug`, `core plugs`, `drain plug`.

    Returns
    -------
    bool
        True for core, cup, expansion and frost plugs.
    """
    words = kind_words(text.lower())
    return "plug" in words and bool(_PRESSED & set(words[: words.index("plug")]))
