"""What the demo's people know of its threaded joints, what they had confirmed, and what they decided."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from runningfit.cli.demo.shelf import Shelf
from runningfit.cli.demo.story import DATA
from runningfit.workshop.joints.queries import said_of_place
from runningfit.workshop.joints.reading import SaidOfLot
from runningfit.workshop.joints.services import decide, say_of_lot, say_of_place
from runningfit.workshop.outside_work.confirming import confirm_finish
from runningfit.workshop.records.writing import Hand


@dataclass(frozen=True, slots=True)
class KnownPlace:
    """What is known of the joint at a place, beyond what the list of places says."""

    place: str
    said: dict[str, Any]


@dataclass(frozen=True, slots=True)
class KnownLots:
    """What is known of some lots."""

    lots: list[str]
    said: SaidOfLot


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A finish that somebody asked about."""

    lot: str
    process: str
    look: str
    why: str


@dataclass(frozen=True, slots=True)
class Decided:
    """What a person decided of a lot where it belongs."""

    lot: str
    choice: str
    why: str


@dataclass(frozen=True, slots=True)
class Joints:
    """Everything that is said of the joints, in the order in which it is kept."""

    places: tuple[KnownPlace, ...]
    lots: tuple[KnownLots, ...]
    confirmed: tuple[Confirmed, ...]
    decided: tuple[Decided, ...]


@cache
def the_joints() -> Joints:
    """Return what is known of the joints, read from the data file."""
    told: dict[str, Any] = tomllib.loads((DATA / "joints.toml").read_text(encoding="utf-8"))
    return Joints(
        places=tuple(KnownPlace(row.pop("place"), row) for row in told["place"]),
        lots=tuple(KnownLots(row.pop("lots"), SaidOfLot(**row)) for row in told["lot"]),
        confirmed=tuple(Confirmed(**row) for row in told["confirmed"]),
        decided=tuple(Decided(**row) for row in told["decided"]),
    )


def say_what_is_known(shelf: Shelf, hand: Hand) -> None:
    """Say what is known of places and lots."""
    for known in the_joints().places:
        place = shelf.place(known.place)
        say_of_place(place=place, said=replace(said_of_place(place), **known.said), hand=hand)
    for group in the_joints().lots:
        for name in group.lots:
            say_of_lot(lot=shelf.lot(name), said=group.said, hand=hand)


def confirm_and_decide(shelf: Shelf, hand: Hand) -> None:
    """Confirm what came back, and decide what is to be done with some pieces."""
    for asked in the_joints().confirmed:
        lot = shelf.lot(asked.lot)
        confirm_finish(lots=[lot], process=asked.process, look=asked.look, why=asked.why, hand=hand)
    for one in the_joints().decided:
        lot = shelf.lot(one.lot)
        decide(lot=lot, place=lot.place, choice=one.choice, why=one.why, hand=hand)
