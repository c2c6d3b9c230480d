"""The work that a lot is given: its chain of steps, the shop's own included, and the coat it leaves."""

from __future__ import annotations

import re
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishProcess
from runningfit.core.standards.tables import rows
from runningfit.core.treatments.embrittlement import ProcessStep, read_process
from runningfit.core.treatments.plain import Treatment, treatment
from runningfit.core.treatments.plating import TANK_UNEVENNESS, Coat, coat_of_class, read_coat
from runningfit.core.treatments.threaded_joint.facts import PieceFacts
from runningfit.core.treatments.threaded_joint.reading import finish_said

# What an outside shop or the bench does for each treatment, as far as hydrogen minds. That platers pickle in
# acid is usual and is taken for granted until they say otherwise (common practice, no source).
_CHAIN = {
    "degrease": "degrease",
    "clean": "degrease",
    "derust": "derust",
    "bead_blast": "blast",
    "zinc_clear": "acid pickle, zinc electroplate, passivate",
    "zinc_yellow": "acid pickle, zinc electroplate, passivate",
    "cadmium": "acid pickle, cadmium electroplate, passivate",
    "nickel": "acid pickle, nickel electroplate",
    "chrome": "acid pickle, chrome electroplate",
    "mechanical_zinc": "mechanical zinc",
    "zinc_flake": "zinc flake",
    "black_oxide": "black oxide",
    "phosphate": "acid pickle, phosphate, oil",
    "paint": "paint",
}
# Plating that is taken off before another coat goes on.
_PLATINGS = frozenset({"zinc", "cadmium", "hot-dip galvanised"})
# What a bath of each metal does, where it came in place of what was asked for.
_BATHS = {
    "zinc": "zinc_clear",
    "cadmium": "cadmium",
    "nickel": "nickel",
    "chrome": "chrome",
    "chromium": "chrome",
}
_BATHS_ASKED = frozenset({*_BATHS.values(), "zinc_yellow"})
_PLATINGS_UNFIGURED = frozenset({"nickel", "chrome", "chromium", "tin", "copper"})
# Black oxide changes the surface itself, and paint is kept off threads.
_NO_ROOM = frozenset({None, FinishProcess.OXIDE, FinishProcess.PAINT})
# Treatments after which the very piece is not used again.
REPLACED = frozenset({"replace", "swap_donor", "scrap"})
# Coats of which no table here gives a thickness: both ends from memory.
FROM_MEMORY_UM = {
    "nickel": (5.0, 25.0),
    "chrome": (5.0, 25.0),
    "zinc_flake": (4.0, 24.0),
    "phosphate": (2.0, 10.0),
}
# Classes that are made for threads; heavier ones are for other work.
_USUAL_CLASSES = {
    "zinc_clear": ("ASTM F1941", "Fe/Zn 3", "Fe/Zn 12"),
    "zinc_yellow": ("ASTM F1941", "Fe/Zn 3", "Fe/Zn 12"),
    "mechanical_zinc": ("ASTM F1941", "Fe/Zn 3", "Fe/Zn 12"),
    "cadmium": ("QQ-P-416", "3", "1"),
}
_CLASS_WORDS = re.compile(r"(?:astm|qq|fe\s*/?\s*zn|sc\s*[1-4]|class|type)", re.IGNORECASE)


def treatment_of(piece: PieceFacts) -> Treatment:
    """Look up the treatment of a piece.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    Treatment
        `leave` where none is chosen.

    Raises
    ------
    InvalidInput
        No such treatment is known.
    """
    return treatment(piece.treatment or "leave")


def gives_finish(piece: PieceFacts) -> bool:
    """Tell whether the treatment of a piece gives it another finish.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    bool
        False where it keeps the finish it has.
    """
    return treatment_of(piece).process is not None


def is_done(piece: PieceFacts) -> bool:
    """Tell whether the treatment of a piece gave it its finish already.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    bool
        By the finish that was confirmed.
    """
    return bool(piece.finish_received) and gives_finish(piece)


def finishes_asked(piece: PieceFacts) -> frozenset[str]:
    """Name the finishes that answer what was asked for.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    frozenset of str
        As conditions name them; empty where no finish was asked for.
    """
    chosen = treatment_of(piece)
    if chosen.process is None:
        return frozenset()
    asked = finish_said(chosen.process.said)
    return frozenset({asked.finish or asked.unfigured, chosen.key.replace("_", " ")})


def is_coated_by(piece: PieceFacts) -> bool:
    """Tell whether the treatment of a piece lays on a coat that takes room in a thread.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    bool
        False for black oxide, which changes the surface itself, and for all that leaves none.
    """
    return treatment_of(piece).process not in _NO_ROOM


def is_plated_now(piece: PieceFacts) -> bool:
    """Tell whether a piece is known to wear a plating.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    bool
        False too where nobody knows.
    """
    if is_done(piece):
        # What it wears now is the new coat.
        return False
    if piece.old_coat.strip():
        return True
    worn = finish_said(piece.finish_now)
    return worn.finish in _PLATINGS or worn.unfigured in _PLATINGS_UNFIGURED


def may_be_plated(piece: PieceFacts) -> bool:
    """Tell whether a piece may wear an old plating of which nobody knows, stripped before its new coat.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    bool
        False where its finish is known, or no coat is laid on.
    """
    if is_done(piece) or is_plated_now(piece) or not gives_finish(piece):
        return False
    worn = finish_said(piece.finish_now)
    return worn.finish is None and not worn.unfigured


def chain_of(piece: PieceFacts) -> tuple[ProcessStep, ...]:
    """Put together every step that a piece goes through.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    tuple of ProcessStep
        What was done before, the shop's own steps, the stripping of an old plating, the steps of the
        treatment; a bake that was ordered stands behind the plating. Empty where nothing is done.

    Raises
    ------
    InvalidInput
        Steps that cannot be read.
    """
    parts = [read_process(said) for said in (piece.done_steps, piece.own_steps) if said.strip()]
    chosen = treatment_of(piece)
    if is_plated_now(piece) and (chosen.process is not None or chosen.key == "derust"):
        parts.append(read_process("strip plating"))
    parts.append(_around_the_oven(_another_bath(piece) or chosen.key, _ordered(piece)))
    return tuple(step for part in parts for step in part)


def _around_the_oven(key: str, ordered: tuple[ProcessStep, ...]) -> tuple[ProcessStep, ...]:
    """The steps of a treatment with what was ordered beside it; passivation and oil come after the oven."""
    steps = read_process(_CHAIN[key]) if key in _CHAIN else ()
    before = tuple(step for step in steps if step.does != "passivate" and step.key != "oil")
    return (*before, *ordered, *steps[len(before) :])


def steps_done(key: str, *, came: str = "", ordered: str = "", baked: str = "") -> str:
    """Say the steps of a work that was done, so that no later work hides them.

    Parameters
    ----------
    key : str
        Key of the treatment.
    came : str
        The process that was confirmed; where it is an electroplating that was not asked for, its bath counts.
    ordered : str
        Steps that were ordered beside it.
    baked : str
        `yes` or `certificate` where the bake was done; a bake of which nobody said so does not count.

    Returns
    -------
    str
        Steps that `read_process` reads; empty where the work has none.
    """
    steps = read_process(ordered) if ordered.strip() else ()
    if baked not in {"yes", "certificate"}:
        steps = tuple(step for step in steps if step.does != "bake")
    asked = treatment(key)
    bath = _BATHS.get(came, "") if asked.process is None or came != asked.process.value else ""
    return ", ".join(step.label for step in _around_the_oven(bath or key, steps))


def is_bake_ordered(piece: PieceFacts) -> bool:
    """Tell whether somebody said that a piece is baked after its coat.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    bool
        By the steps ordered of the outside shop.
    """
    return any(step.does == "bake" for step in _ordered(piece))


def _ordered(piece: PieceFacts) -> tuple[ProcessStep, ...]:
    """What was ordered beside the usual steps; the bake of another coat is not that of the bath that came."""
    if not piece.ordered_steps.strip():
        return ()
    steps = read_process(piece.ordered_steps)
    if _another_bath(piece) and treatment_of(piece).key not in _BATHS_ASKED:
        return tuple(step for step in steps if step.does != "bake")
    return steps


def _another_bath(piece: PieceFacts) -> str:
    """The electroplating that a piece came back with in place of what was asked for; empty where none did."""
    if not is_done(piece):
        return ""
    came = finish_said(piece.finish_received)
    named = came.finish or came.unfigured or ""
    return "" if named in finishes_asked(piece) else _BATHS.get(named, "")


@cache
def _usual(key: str) -> Coat:
    if key in _USUAL_CLASSES:
        standard, thinnest, thickest = _USUAL_CLASSES[key]
        low, high = coat_of_class(standard, thinnest), coat_of_class(standard, thickest)
        note = f"Nobody said how thick: anywhere from {standard} {thinnest} to {thickest}. {high.note}"
        said = f"{1000 * low.low_mm:.3g} to {1000 * high.high_mm:.3g} µm"
        return Coat(low.low_mm, high.high_mm, TANK_UNEVENNESS, said, note)
    thin, thick = FROM_MEMORY_UM[key]
    return Coat(
        thin / 1000,
        thick / 1000,
        TANK_UNEVENNESS,
        f"{thin:g} to {thick:g} µm",
        "nobody said how thick; the range is from memory",
    )


def coat_said(text: str, key: str) -> Coat:
    """Read how thick a new coat will be.

    Parameters
    ----------
    text : str
        `5..8um`, `0.0003 in`, `Fe/Zn 5`, `SC2`, `ASTM B766 8`, `QQ-P-416 class 2`; empty is not said.
    key : str
        Key of the treatment.

    Returns
    -------
    Coat
        Where nobody said, the classes that are usual on threads, from the least of the thinnest to the most
        of the thickest.

    Raises
    ------
    InvalidInput
        Neither a thickness nor a class of the tables.
    """
    plain = " ".join(text.split())
    if not plain:
        return _usual(key)
    return _of_class(plain, key) if _CLASS_WORDS.search(plain) else read_coat(plain, argument="coat")


def _of_class(text: str, key: str) -> Coat:
    """A class of a standard; where the standard was not said, the first of the metal that has the class."""
    folded = text.lower().replace(" ", "")
    metal = "cadmium" if key == "cadmium" else "zinc"
    table = rows("plating_thickness_classes_collected_2026")
    for row in sorted(table, key=lambda one: one["metal"] != metal):
        standard, name = row["standard"].lower().replace(" ", ""), row["class"].lower().replace(" ", "")
        # QQ-P-416F: the edition stands behind the name.
        rest = folded.removeprefix(f"{standard}f" if standard.startswith("qq") else standard)
        rest = rest.removeprefix(standard).removeprefix(",")
        if rest.removeprefix("class").removeprefix("type") == name and (
            folded.startswith(standard) or not name.isdigit()
        ):
            return coat_of_class(row["standard"], row["class"])
    known = ", ".join(dict.fromkeys(f"{row['standard']} {row['class']}" for row in table))
    raise InvalidInput(
        "coat",
        needs="a thickness such as 5..8um, or a class of the tables",
        came=text,
        remedy=f"Classes: {known}.",
    )


def is_coat_from_memory(piece: PieceFacts) -> bool:
    """Tell whether the thickness of the new coat rests on memory, so that no pass may rest on it.

    Parameters
    ----------
    piece : PieceFacts
        The piece.

    Returns
    -------
    bool
        False where somebody said how thick, or a table has the classes.
    """
    return not piece.coat.strip() and treatment_of(piece).key in FROM_MEMORY_UM
