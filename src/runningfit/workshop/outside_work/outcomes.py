"""How a discrepancy of each kind can end, as a person reads it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outcome:
    """One way a discrepancy can end, as a person reads it."""

    key: str
    label: str


OUTCOMES: dict[str, tuple[Outcome, ...]] = {
    "short": (
        Outcome("found", "found: it is on the bench now"),
        Outcome("lost", "lost: count it as missing"),
        Outcome("never_sent", "never sent: we counted wrong at the start"),
    ),
    "over": (
        Outcome("kept", "keep it as a lot of its own"),
        Outcome("given_back", "given back to the shop"),
    ),
    "damaged": (
        Outcome("accepted", "accept it as it is"),
        Outcome("scrapped", "scrap the damaged ones"),
    ),
    "swapped": (
        Outcome("put_right", "put right: ours came, the other went back"),
        Outcome("kept", "ours is lost; keep the other"),
        Outcome("lost", "ours is lost; the other went back"),
    ),
    "indistinct": (
        Outcome("accepted", "accept it: which engine stays lost"),
        Outcome("told_apart", "told apart after all: each lot has its engine again"),
    ),
    "finish": (
        Outcome("accepted", "accept the finish as it came"),
        Outcome("again", "it goes out again for the finish asked"),
    ),
}
