"""What the forms of this room offer to choose from."""

from __future__ import annotations

from runningfit.core.pieces.finishes import FinishProcess
from runningfit.core.pieces.kinds import Kind, label
from runningfit.workshop.pieces.ledger import CUSTODY_WORDS
from runningfit.workshop.pieces.models import LOOKS

Choices = list[tuple[str, str]]


def kind_choices(none: str = "") -> Choices:
    """Return the kinds, after an empty choice where one is named."""
    kinds = [(kind.value, label(kind, 1).partition(" ")[2]) for kind in Kind]
    return ([("", none)] if none else []) + kinds


def look_choices() -> Choices:
    """Return the looks of a finish, the unknown one first."""
    return [("unknown", "not known")] + [(look, look) for look in LOOKS if look != "unknown"]


def process_choices() -> Choices:
    """Return the processes, which are only known when somebody says so."""
    return [("", "nobody said")] + [(process.value, process.said) for process in FinishProcess]


def custody_choices(*custodies: str) -> Choices:
    """Return custodies in words, all of them or those named."""
    return [(name, CUSTODY_WORDS[name]) for name in custodies or CUSTODY_WORDS]
