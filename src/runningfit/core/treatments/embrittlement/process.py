"""The chain of steps that a piece goes through, the shop's own included, and which of them bring hydrogen."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows

_BRINGING = frozenset({"acid", "cathodic", "electroplate", "phosphate"})


@dataclass(frozen=True, slots=True)
class ProcessStep:
    """One step of cleaning or coating.

    Parameters
    ----------
    key : str
        Its name: `acid_pickle`, `zinc_electroplate`.
    typed : str
        What was typed of it.
    does : str
        `acid`, `cathodic`, `electroplate`, `phosphate`, `none`, `passivate`, `bake` or `stress_relief`.
    metal : str
        What it lays on; empty where nothing, or not said.
    note : str
        Why it counts as it does.
    status, source : str
        How sure that is, and where it was read.
    """

    key: str
    typed: str
    does: str
    metal: str
    note: str
    status: str
    source: str

    @property
    def brings_hydrogen(self) -> bool:
        """Whether it can put hydrogen into steel."""
        return self.does in _BRINGING

    @property
    def label(self) -> str:
        """Its name as it is shown."""
        return self.key.replace("_", " ")


_PARTS = re.compile(r"\s*(?:->|→|[,;+>&])\s*|\s+(?:and\s+then|then|and|followed\s+by)\s+")
_PLATED = re.compile(r"\b(electro)?plat(?:ing|ed)\b")
_BESIDES = re.compile(r"\s+(after|following|before|prior\s+to)\s+")
_EARLIER = frozenset({"after", "following"})
_DENIED = re.compile(r"\b(?:no|not|never|without)\b")
_LONGEST_TEXT = 400


@cache
def _by_words() -> Mapping[str, Mapping[str, str]]:
    """Every way to call a step, the longest first, so that `acid rust remover` is not taken for `acid`."""
    found = {
        _PLATED.sub(r"\1plate", word): row
        for row in rows("hydrogen_by_process_collected_2026")
        for word in (row["process"].replace("_", " "), *row["words"].replace("_", " ").split(";"))
    }
    return {word: found[word] for word in sorted(found, key=len, reverse=True)}


def known_steps() -> tuple[str, ...]:
    """Name every step that is known.

    Returns
    -------
    tuple of str
        As the table has them.
    """
    return tuple(row["process"].replace("_", " ") for row in rows("hydrogen_by_process_collected_2026"))


def _refuse(text: str, remedy: str) -> InvalidInput:
    return InvalidInput(
        "process",
        needs='the steps in their order, parted by commas, such as "acid pickle, zinc electroplate"',
        came=text,
        remedy=remedy,
    )


def _steps(part: str) -> list[ProcessStep]:
    """Find every step that a part names, the longest name first, each word used once; in order."""
    plain = " ".join(part.replace("_", " ").replace("-", " ").split())
    plain = _PLATED.sub(r"\1plate", plain)
    left = f" {plain} "
    found: dict[int, ProcessStep] = {}
    for word, row in _by_words().items():
        at = left.find(f" {word} ")
        if at >= 0:
            found[at] = ProcessStep(
                key=row["process"],
                typed=part,
                does=row["does"],
                metal=row["metal"],
                note=row["note"],
                status=row["status"],
                source=row["source"],
            )
            left = f"{left[: at + 1]}{'.' * len(word)}{left[at + 1 + len(word) :]}"
    if not found:
        raise _refuse(part, f"Steps known here: {', '.join(known_steps())}.")
    steps = [found[at] for at in sorted(found)]
    # Who strips zinc plates none; who says acid and clean cleans in acid; zinc and plate are one plating.
    if any(step.key == "acid_strip" for step in steps):
        steps = [step for step in steps if step.does != "electroplate"]
    if any(step.key != "electroplate" and step.does == "electroplate" for step in steps):
        steps = [step for step in steps if step.key != "electroplate"]
    telling = [step for step in steps if step.does != "none"]
    return telling or steps


@lru_cache(maxsize=1024)
def read_process(text: str) -> tuple[ProcessStep, ...]:
    """Read a chain of steps.

    Parameters
    ----------
    text : str
        `acid pickle, zinc electroplate, passivate`; parted by commas, plus signs, arrows, `then` or `and`.

    Returns
    -------
    tuple of ProcessStep
        In the order that was typed.

    Raises
    ------
    InvalidInput
        Nothing typed, a step that is denied (`no acid`), or one that is not known; the known ones are named.
    """
    if len(text) > _LONGEST_TEXT:
        raise _refuse(text[:40] + "…", "Type the steps alone.")
    parts = [part for part in _PARTS.split(text.lower().strip(" .,;")) if part]
    if not parts:
        raise _refuse(text, f"Steps known here: {', '.join(known_steps())}.")
    for part in parts:
        if _DENIED.search(part):
            raise _refuse(part, "Leave out what is not done.")
    chain = [piece for part in parts for piece in _by_the_clock(part)]
    done = {step.does for named, beside in chain if not beside for step in _steps(named)}
    # A step that is named only to say when another comes is done all the same, but once.
    return tuple(
        step for named, beside in chain for step in _steps(named) if not beside or step.does not in done
    )


def _by_the_clock(part: str) -> list[tuple[str, bool]]:
    """What a part names, in the order of the work, and whether it only says when another is done.

    `paint after acid dip` is acid dip, paint; `pickle before plating` is pickle, plating.
    """
    first, *behind = _BESIDES.split(part)
    named = [(first, False)]
    for word, beside in zip(behind[::2], behind[1::2], strict=True):
        named.insert(0 if word in _EARLIER else len(named), (beside, True))
    return named
