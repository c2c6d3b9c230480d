"""The one vocabulary of kinds of pieces."""

from __future__ import annotations

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
        raise NotImplementedError

    @property
    def is_externally_threaded(self) -> bool:
        raise NotImplementedError

    @property
    def length_basis(self) -> LengthBasis | None:
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class KindUnknown:
    """A word that names no kind, and why."""

    text: str
    reason: str


def read_kind(text: str) -> Kind | KindUnknown:
    raise NotImplementedError


def label(kind: Kind, count: int) -> str:
    raise NotImplementedError


def is_pressed_plug(text: str) -> bool:
    raise NotImplementedError
