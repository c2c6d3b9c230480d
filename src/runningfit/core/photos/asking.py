"""The one thing that would settle what a photo leaves open about a piece."""

from __future__ import annotations

from collections.abc import Mapping

from runningfit.core.photos.items import Sizes
from runningfit.core.photos.naming import NamedThread
from runningfit.core.pieces.kinds import Kind

_SURE_KIND = 0.7
# A length is good enough to buy by within half a millimetre.
_LENGTH_U_MM = 0.5
_SAID: Mapping[Kind, str] = {
    Kind.HEX_BOLT: "a bolt",
    Kind.SETSCREW: "a setscrew",
    Kind.STUD: "a stud",
    Kind.NUT: "a nut",
    Kind.DOMED_NUT: "a domed nut",
    Kind.PLAIN_WASHER: "a plain washer",
    Kind.SPRING_WASHER: "a spring washer",
    Kind.TAB_WASHER: "a tab washer",
    Kind.SPACER: "a spacer",
    Kind.GRUB_SCREW: "a grub screw",
    Kind.SLOTTED_SCREW: "a slotted screw",
    Kind.OTHER: "something else",
}


def asked(kinds: Mapping[Kind, float], sizes: Sizes, named: NamedThread | None) -> str:
    """Ask for the one thing that would settle most, or nothing.

    Parameters
    ----------
    kinds : mapping of Kind to float
        Probability of each kind, the likeliest first.
    sizes : Sizes
        What was measured.
    named : NamedThread or None
        What its thread may be; None for a piece without one.

    Returns
    -------
    str
        A sentence, or nothing where all is settled.
    """
    # A bolt or a setscrew is told by where its thread ends: that is no question of what the piece is.
    bolts = kinds.get(Kind.HEX_BOLT, 0.0) + kinds.get(Kind.SETSCREW, 0.0)
    (first, most), (second, _) = list(kinds.items())[:2] if len(kinds) > 1 else [*kinds.items()] * 2
    if max(most, bolts) < _SURE_KIND:
        return f"Say what it is: {_SAID.get(first, first)} or {_SAID.get(second, second)}."
    if named is not None and named.ask:
        return named.ask
    if sizes.length is not None and sizes.length.u_mm > _LENGTH_U_MM:
        return "Measure its length with a caliper."
    return ""
