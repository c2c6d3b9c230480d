"""A small job with a joint or two, and the words of a page, for the tests of the judge pages."""

from __future__ import annotations

import re
from html import unescape
from typing import Any, Protocol

from runningfit.workshop.joints.reading import SaidOfPlace
from runningfit.workshop.models import Area, Job, Lot, Place
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.records.writing import Hand

ANN = Hand(who="Ann")
SOUND = SaidOfPlace(
    mate="tapped_hole",
    material="steel",
    blind="through",
    depth="1 in",
    clamped="1/2",
    washer="0",
    chamfer="0",
    torque="15 lbf ft",
    torque_page="manual p. 12",
    torque_assumed="plain, oil",
    lubricant="oil",
)


class Answer(Protocol):
    """What a page answered."""

    @property
    def content(self) -> bytes: ...


def text_of(answer: Answer) -> str:
    """The words of a page, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def a_place(job: Job, name: str, area: str = "gear case", **said: Any) -> Place:
    where, _ = Area.objects.get_or_create(job=job, name=area)
    fields: dict[str, Any] = {
        "count": 4,
        "basis": "holes_counted",
        "kind": "hex_bolt",
        "end_a": "3/8-16 UNC",
    } | said
    return Place.objects.create(area=where, name=name, **fields)


def a_lot(job: Job, place: Place | None = None, **said: Any) -> Lot:
    facts: dict[str, Any] = {
        "count": 4,
        "kind": "hex_bolt",
        "end_a": ("3/8-16 UNC",),
        "length_mm": 38.1,
        "place": place,
    } | said
    return keep_lot(job=job, facts=LotFacts(**facts), hand=ANN)
