"""The plain list of treatments a lot can be given; judging them comes later and elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook, FinishProcess
from runningfit.core.treatments import cautions as say
from runningfit.core.verdicts import Caution


@dataclass(frozen=True, slots=True)
class Treatment:
    """One thing that can be done to the pieces of a lot.

    Parameters
    ----------
    key : str
        The name under which it is kept.
    label : str
        What the trade calls it.
    goes_outside : bool
        True when an outside shop usually does it (common practice, no source); any lot may still go.
    look : FinishLook or None
        The look it is asked to give; None when the piece keeps the look it has, or has none yet.
    process : FinishProcess or None
        The process of that finish.
    must_not : tuple of str
        What must not be done to the pieces unless the shop says otherwise (common practice, no source).
    cautions : tuple of Caution
        What to mind, on the screen and on the paper that goes along.
    """

    key: str
    label: str
    goes_outside: bool = False
    look: FinishLook | None = None
    process: FinishProcess | None = None
    must_not: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()


_KEEP_COUNT = "Do not mix the bags, and do not add or replace pieces: every piece is counted out and back."
_NO_WIRE_WHEEL = "Do not wire-wheel, grind or tumble threads, heads or marks."
_BAKE = "Do not plate hardened pieces without the baking they need; where it is not said, ask which are hard."
_NO_ACID = "Do not leave in acid longer than the scale needs."
_NO_ACID_AT_ALL = (
    "Do not clean in acid: hardened pieces are among them, and this coat is chosen for their sake."
)
_MASK = "Do not coat threads, bores, seats or bearing faces."

_PLATING = (_KEEP_COUNT, _NO_WIRE_WHEEL, _NO_ACID, _BAKE)
_PLATED = (say.EMBRITTLEMENT, say.CADMIUM, say.THREADS, say.CRITICAL)


def _plating(key: str, label: str, look: FinishLook, process: FinishProcess) -> Treatment:
    return Treatment(key, label, True, look, process, _PLATING, _PLATED)


_ALL = (
    Treatment("leave", "leave as it is"),
    Treatment("clean", "clean", cautions=(say.SLUDGE,)),
    Treatment("degrease", "degrease and dry", cautions=(say.SLUDGE, say.BATHS)),
    Treatment(
        "derust",
        "derust",
        must_not=(_NO_WIRE_WHEEL, _NO_ACID),
        cautions=(say.BATHS, say.ELECTROLYSIS, say.EMBRITTLEMENT),
    ),
    Treatment("bead_blast", "bead blast", must_not=(_MASK,), cautions=(say.BLASTING, say.CADMIUM)),
    _plating("zinc_clear", "electroplate zinc, clear", FinishLook.CLEAR, FinishProcess.ZINC),
    _plating("zinc_yellow", "electroplate zinc, yellow", FinishLook.YELLOW, FinishProcess.ZINC),
    _plating("cadmium", "electroplate cadmium, yellow", FinishLook.YELLOW, FinishProcess.CADMIUM),
    Treatment(
        "mechanical_zinc",
        "mechanically plate zinc",
        True,
        FinishLook.CLEAR,
        FinishProcess.MECHANICAL_ZINC,
        (_KEEP_COUNT, _NO_WIRE_WHEEL, _NO_ACID_AT_ALL),
        (say.CADMIUM, say.THREADS, say.CRITICAL),
    ),
    Treatment(
        "zinc_flake",
        "zinc flake",
        True,
        FinishLook.CLEAR,
        FinishProcess.ZINC_FLAKE,
        (_KEEP_COUNT, _NO_WIRE_WHEEL, _NO_ACID_AT_ALL),
        (say.CADMIUM, say.THREADS, say.HEAT, say.CRITICAL),
    ),
    Treatment(
        "black_oxide",
        "black oxide",
        True,
        FinishLook.BLACK,
        FinishProcess.OXIDE,
        (_KEEP_COUNT, _NO_WIRE_WHEEL, "Do not put aluminium, brass or zinc into the hot caustic bath."),
        (say.BATHS, say.CADMIUM, say.CRITICAL),
    ),
    Treatment(
        "phosphate",
        "phosphate",
        True,
        FinishLook.BLACK,
        FinishProcess.PHOSPHATE,
        (_KEEP_COUNT, _NO_WIRE_WHEEL, _NO_ACID, _BAKE),
        (say.EMBRITTLEMENT, say.BATHS, say.CADMIUM, say.THREADS, say.CRITICAL),
    ),
    _plating("nickel", "electroplate nickel", FinishLook.NICKEL, FinishProcess.NICKEL),
    _plating("chrome", "electroplate chrome", FinishLook.CHROME, FinishProcess.CHROMIUM),
    Treatment(
        "paint",
        "powder coat or paint",
        True,
        FinishLook.PAINT,
        FinishProcess.PAINT,
        (_KEEP_COUNT, _MASK, "Do not blast before asking what is plated."),
        (say.PAINTS, say.BLASTING, say.CADMIUM, say.HEAT),
    ),
    Treatment(
        "machine",
        "machine",
        True,
        must_not=("Do not take off more than the drawing or the words say; ring first.",),
        cautions=(say.CADMIUM, say.CRITICAL),
    ),
    Treatment(
        "crack_test",
        "crack test",
        True,
        must_not=("Do not paint over a mark or a crack; send the report with the piece.",),
        cautions=(say.BATHS, say.CRITICAL),
    ),
    Treatment("thread_insert", "fit a thread insert in the hole", cautions=(say.INSERTS, say.CRITICAL)),
    Treatment("replace", "replace with a new one", cautions=(say.CRITICAL,)),
    Treatment("swap_donor", "swap with a donor's", cautions=(say.DONOR, say.CRITICAL)),
    Treatment("scrap", "scrap", cautions=(say.CADMIUM,)),
)
_BY_KEY = {one.key: one for one in _ALL}


def all_treatments() -> tuple[Treatment, ...]:
    """Return every treatment of the plain list, in the order people look for them."""
    return _ALL


def treatment(key: str) -> Treatment:
    """Return a treatment by its key.

    Parameters
    ----------
    key : str
        Such as ``zinc_clear``.

    Returns
    -------
    Treatment

    Raises
    ------
    InvalidInput
        No treatment has that key; the message lists them.
    """
    found = _BY_KEY.get(key)
    if found is None:
        raise InvalidInput("treatment", needs=f"one of {', '.join(_BY_KEY)}", came=key)
    return found
