"""Saying what a thread is like; a defective thread makes its mate not proven until somebody proves it."""

from __future__ import annotations

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.kinds import Kind
from runningfit.workshop.pieces.ledger import count_of, need_count
from runningfit.workshop.pieces.lots import split_off
from runningfit.workshop.pieces.models import THREAD_STATES, Lot, Place
from runningfit.workshop.records.writing import Entry, Hand, write

STATE_WORDS = dict(THREAD_STATES)


def say_thread(*, lot: Lot, state: str, hand: Hand, count: int | None = None) -> Lot:
    """Say that the threads of a lot, or of some of its pieces, are good, defective or not proven.

    Parameters
    ----------
    state : str
        good, defective, not_proven, or empty for not looked at.
    count : int or None
        How many pieces; fewer than the lot holds splits them off. None means all.

    Returns
    -------
    Lot
        The lot that has the state: the given one, or the one split off.

    Raises
    ------
    InvalidInput
        The state is none of those, or a doubted thread is called good without saying how that was proven.
    """
    if state not in STATE_WORDS:
        raise InvalidInput("thread", needs="good, defective or not proven", came=state)
    with write(
        verb="say_thread", summary=f"looked at the threads of lot {lot.number}", hand=hand, job=lot.job
    ) as entry:
        lot = Lot.objects.select_for_update().get(pk=lot.pk)
        if state == "good" and lot.thread_state in ("defective", "not_proven"):
            need_proof(hand)
        if state == "defective":
            marked, mates = mark_defective(entry, lot, count=count)
        else:
            marked, mates = part_of(entry, lot, count), []
            entry.change(marked, thread_state=state)
        entry.say(f"lot {marked.number}: threads {STATE_WORDS[state]}{_also(mates)}")
    return marked


def prove_thread(*, thing: Lot | Place, hand: Hand) -> None:
    """Say that a doubted thread, of a lot or of the holes of a place, was proven good; why says how.

    Raises
    ------
    InvalidInput
        It is not said how that was proven.
    """
    need_proof(hand)
    job = thing.job if isinstance(thing, Lot) else thing.area.job
    with write(verb="prove_thread", summary=f"proved the threads of {thing}", hand=hand, job=job) as entry:
        entry.change(thing, thread_state="good")


def mark_defective(entry: Entry, lot: Lot, *, count: int | None) -> tuple[Lot, list[str]]:
    """Mark the threads of a lot, or of some pieces split off it, defective, inside an open record.

    Returns
    -------
    marked : Lot
        The lot whose threads are defective.
    mates : list of str
        What became not proven by it, in words.
    """
    marked = part_of(entry, lot, count)
    entry.change(marked, thread_state="defective", defect=marked.defect or "thread defective")
    return marked, doubt_mates(entry, marked)


def mark_place_defective(entry: Entry, place: Place) -> list[str]:
    """Mark the holes of a place defective inside an open record; returns what became not proven by it."""
    entry.change(place, thread_state="defective")
    mates = Lot.objects.filter(place=place, withdrawn=False).order_by("number")
    return [
        _doubt(entry, mate)
        for mate in mates
        if Kind(mate.kind).has_thread and mate.thread_state != "defective"
    ]


def doubt_mates(entry: Entry, lot: Lot) -> list[str]:
    """Make what a defective thread was screwed to not proven, inside an open record.

    That is the hole of the lot's place, and in the same place the lots that its thread screws together with:
    nuts for studs and bolts, studs and bolts for nuts. A thread already known as defective stays so.

    Returns
    -------
    list of str
        What became not proven, in words.
    """
    if lot.place is None or not Kind(lot.kind).has_thread:
        return []
    doubted: list[str] = []
    if lot.place.thread_state not in ("defective", "not_proven"):
        entry.change(lot.place, thread_state="not_proven")
        doubted.append(f"the hole at {lot.place.name}")
    others = Lot.objects.filter(place=lot.place, withdrawn=False).exclude(pk=lot.pk).order_by("number")
    for other in others:
        if _screw_together(lot, other) and other.thread_state not in ("defective", "not_proven"):
            doubted.append(_doubt(entry, other))
    return doubted


def part_of(entry: Entry, lot: Lot, count: int | None) -> Lot:
    """Return the lot, or so many of its pieces split off it, inside an open record; None means all."""
    held = count_of(lot).usable
    if count is None or count == held:
        return lot
    need_count(count)
    if count > held:
        raise InvalidInput(
            "count",
            needs=f"at most {held}, as many as lot {lot.number} has",
            came=count,
            remedy="Count them again.",
        )
    return split_off(entry, lot, count=count)


def need_proof(hand: Hand) -> None:
    """Refuse to call a doubted thread good without saying how that is known."""
    if not hand.why.strip():
        raise InvalidInput(
            "why",
            needs="how the thread was proven",
            came="",
            remedy="Such as: gauge goes in by hand all the way.",
        )


def _doubt(entry: Entry, lot: Lot) -> str:
    entry.change(lot, thread_state="not_proven")
    return f"lot {lot.number}"


def _screw_together(one: Lot, other: Lot) -> bool:
    kinds = Kind(one.kind), Kind(other.kind)
    if (
        not all(kind.has_thread for kind in kinds)
        or kinds[0].is_externally_threaded == kinds[1].is_externally_threaded
    ):
        return False
    threads = [
        {end for ends in (lot.end_a, lot.end_b) for end in ends.split("|") if end} for lot in (one, other)
    ]
    return not all(threads) or bool(threads[0] & threads[1])


def _also(mates: list[str]) -> str:
    return f"; not proven by it: {', '.join(mates)}" if mates else ""
