"""What the words for a piece say beyond its kind: whether it has a thread, from where it is measured."""

from __future__ import annotations

import re

from runningfit.core.pieces.kinds import Kind, LengthBasis, is_pressed_plug, kind_words, read_kind

# Pieces of the kind `other` whose size is never that of a thread.
_NEVER_THREADED = frozenset(
    {"key", "rivet", "spring", "gasket", "olive", "bearing", "seal", "bush", "bushing", "tube", "plate"}
)
_CAP_SCREW = re.compile(r"\bcap[ -]?screws?\b")


def length_basis_of(kind: Kind | None, text: str) -> LengthBasis | None:
    """Tell from where the length of a piece is measured.

    Parameters
    ----------
    kind : Kind or None
        The kind as understood.
    text : str
        The kind as said: a countersunk screw is measured over all, other screws under the head.

    Returns
    -------
    LengthBasis or None
        None where the kind is not known or has no length to speak of.
    """
    if kind is None:
        return None
    if kind is Kind.SLOTTED_SCREW and "countersunk" in kind_words(text.lower()):
        return LengthBasis.OVERALL
    return kind.length_basis


def may_have_thread(kind: Kind | None, text: str) -> bool:
    """Tell whether a size said of a piece may be that of a thread of its own.

    Parameters
    ----------
    kind : Kind or None
        The kind as understood.
    text : str
        The kind as said: a core plug is pressed in, and keys, olives and seals have no thread.

    Returns
    -------
    bool
        True where the kind is not known.
    """
    if kind is Kind.OTHER:
        return not _NEVER_THREADED & set(kind_words(text.lower())[-1:])
    return kind is None or (kind.has_thread and not is_pressed_plug(text))


def kind_doubt(text: str) -> str:
    """Say what to look at where a kind was read of words that some people mean otherwise; else nothing.

    Parameters
    ----------
    text : str
        The kind as said: a bare `cap screw` has a hexagon for some, a socket for others.
    """
    plain = text.lower()
    if _CAP_SCREW.search(plain) and read_kind(text) is Kind.HEX_BOLT and "hex" not in kind_words(plain):
        return (
            "'cap screw' was read as a hex bolt. Look at its head: with a socket it is a socket cap screw, "
            "which is none."
        )
    return ""
