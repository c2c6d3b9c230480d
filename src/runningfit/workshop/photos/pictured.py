"""What a photo shows, as a form or another room says it."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.workshop.pieces.models import Area, Bag, Finding, Lot, Place


@dataclass(frozen=True, slots=True)
class Pictured:
    """What a photo shows, as far as it is known when it is taken in."""

    area: Area | None = None
    bag: Bag | None = None
    lot: Lot | None = None
    place: Place | None = None
    finding: Finding | None = None
    words: str = ""
