"""Verbs of the plan: allot pieces to places, take them out of the plan again, keep a whole proposal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused
from runningfit.core.plan.fit import FitVerdict
from runningfit.workshop.pieces.inheriting import inherit
from runningfit.workshop.pieces.ledger import count_of, move, need_count
from runningfit.workshop.pieces.lots import WORK, LotFacts, describe, next_number, split_off
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.pieces.threads import doubt_mates
from runningfit.workshop.plan.filling import filled
from runningfit.workshop.plan.fitting import fit_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Entry, Hand, write

HERE = ("bench", "store")


@dataclass(frozen=True, slots=True)
class Allotment:
    """n pieces of a lot for a place."""

    place: Place
    lot: Lot
    count: int


def allot(*, lot: Lot, place: Place, count: int, hand: Hand, over: bool = False) -> Lot:
    """Allot n pieces of a lot to a place; the lot splits where not all of it goes there.

    Parameters
    ----------
    lot : Lot
        A lot of the job, of its donors, or of the loose stock; pieces of stock become a lot of the job.
    place : Place
        Where they belong from now on.
    count : int
        How many.
    over : bool
        True to allot more than the place needs.
    hand : Hand
        Its reason is required where the lot does not fit by the rules.

    Returns
    -------
    Lot
        The lot that is allotted: the same one, or the new one that was split off.

    Raises
    ------
    InvalidInput
        The place does not need that many.
    Conflict
        The lot does not fit and no reason was given, or it belongs to another job.
    LedgerRefused
        There are not that many pieces here to part from the lot.
    """
    job = place.area.job
    with write(verb="allot", summary=f"allotted to {place.name}", hand=hand, job=job) as entry:
        given = allot_in(entry, Allotment(place, lot, count), why=hand.why, over=over)
        entry.say(f"allotted {count} {describe(given)} (lot {given.number}) to {place.name}")
    return given


def allot_many(*, job: Job, allotments: Sequence[Allotment], hand: Hand) -> list[Lot]:
    """Keep a whole proposal in one record; returns the lots that are allotted now.

    Raises
    ------
    InvalidInput
        Nothing was chosen, or a place does not need that many any more.
    Conflict
        A lot does not fit, or somebody moved it meanwhile.
    """
    if not allotments:
        raise InvalidInput(
            "the proposal", needs="at least one line", came="none", remedy="Tick what to keep."
        )
    with write(verb="allot_many", summary="allotted as proposed", hand=hand, job=job) as entry:
        lots = [allot_in(entry, allotment, why=hand.why) for allotment in allotments]
        pieces = sum(allotment.count for allotment in allotments)
        places = len({allotment.place.pk for allotment in allotments})
        entry.say(f"allotted {pieces} pieces to {places} place{'s' if places != 1 else ''} as proposed")
    return lots


def allot_in(entry: Entry, allotment: Allotment, *, why: str = "", over: bool = False) -> Lot:
    """Allot pieces inside an open record, by the same rules as the verb."""
    place, count = allotment.place, need_count(allotment.count)
    lot = Lot.objects.select_for_update(of=("self",)).select_related("job").get(pk=allotment.lot.pk)
    job = place.area.job
    if lot.withdrawn or place.withdrawn:
        raise Conflict(f"Lot {lot.number} or the place {place.name} was withdrawn meanwhile.")
    if lot.job_id != job.pk and not lot.job.is_stock:
        raise Conflict(f"Lot {lot.number} belongs to the job {lot.job.name}, not to {job.name}.")
    if lot.place_id == place.pk:
        raise Conflict(f"Lot {lot.number} is allotted to {place.name} already.")
    answer = fit_of(place, lot)
    if answer.verdict is FitVerdict.NOT and not why.strip():
        raise Conflict(
            f"Lot {lot.number} does not fit {place.name}: {answer.reasons[0]}. "
            "Say why, if it shall go there all the same."
        )
    wanted = max(0, place.count - filled(place))
    if count > wanted and not over:
        raise InvalidInput(
            "count",
            needs=f"at most {wanted}, since {place.name} needs {place.count} in all",
            came=count,
            remedy="Say that it shall have more than it needs, or allot fewer.",
        )
    entry.refer(place)
    if lot.job_id != job.pk:
        return bring_over(entry, lot, count=count, place=place)
    counts = count_of(lot)
    if count == counts.usable:
        given = entry.change(lot, place=place)
    else:
        given = part_from(entry, lot, count=count, place=place)
    if given.thread_state == "defective":
        # Where a piece with a bad thread belongs is known only now, and so is the hole it may have spoilt.
        doubt_mates(entry, given)
    return given


def part_from(entry: Entry, lot: Lot, *, count: int, place: Place | None) -> Lot:
    """Split n pieces that are here off a lot, from the bench first and then the store."""
    taken = _from_where(lot, count)
    (first, there), *rest = taken
    new = split_off(entry, lot, count=there, custody=first, place=place)
    for custody, further in rest:
        move(entry, lot, count=further, from_account=custody, to_account=custody, to_lot=new)
    return new


def bring_over(entry: Entry, lot: Lot, *, count: int, place: Place) -> Lot:
    """Bring n pieces of the loose stock into the place's job as a new lot; the counts go with them."""
    taken = _from_where(lot, count)
    job = place.area.job
    kept = {name: getattr(lot, name) for name in LotFacts.__dataclass_fields__ if name != "count"}
    before = f"{lot.origin_said}; " if lot.origin_said else ""
    bag = f", bag {lot.bag.code}" if lot.bag else ""
    kept |= {
        "area": place.area,
        "bag": None,
        "place": place,
        "origin_said": f"{before}loose stock, lot {lot.number}{bag}"[:200],
    }
    new = entry.create(
        Lot(
            job=job,
            number=next_number(job),
            parent=lot,
            **{name: getattr(lot, name) for name in WORK},
            **kept,
        )
    )
    inherit(entry, lot, new)
    for custody, part in taken:
        move(entry, lot, count=part, from_account=custody, to_account=custody, to_lot=new)
    return new


def unallot(*, lot: Lot, hand: Hand, count: int | None = None) -> Lot:
    """Take a lot, or n pieces of it, out of its place in the plan; returns the lot that is free now.

    Raises
    ------
    Conflict
        It is allotted to no place, or pieces of it are fitted.
    """
    with write(verb="unallot", summary=f"freed lot {lot.number}", hand=hand, job=lot.job) as entry:
        lot = Lot.objects.select_for_update(of=("self",)).select_related("place").get(pk=lot.pk)
        if lot.place is None:
            raise Conflict(f"Lot {lot.number} is allotted to no place.")
        place = lot.place
        counts = count_of(lot)
        if count is None or count == counts.usable:
            if counts.fitted:
                raise Conflict(
                    f"{counts.fitted} of lot {lot.number} are fitted in {place.name}. "
                    "Take them out of the engine first."
                )
            free = entry.change(lot, place=None)
            taken = counts.usable
        else:
            free = part_from(entry, lot, count=need_count(count), place=None)
            taken = count
        entry.say(f"freed {taken} {describe(free)} (lot {free.number}) from {place.name}")
    return free


def _from_where(lot: Lot, count: int) -> list[tuple[str, int]]:
    """Return how many to take from which custody; only pieces that are loose in the shop can be parted."""
    counts = count_of(lot)
    taken: list[tuple[str, int]] = []
    left = count
    for custody in HERE:
        part = min(left, getattr(counts, custody))
        if part:
            taken.append((custody, part))
            left -= part
    if left:
        away = f"; {counts.outside} are outside" if counts.outside else ""
        away += f"; {counts.fitted} are fitted" if counts.fitted else ""
        raise LedgerRefused(
            f"Lot {lot.number} has {counts.here} loose in the shop{away}, so {count} cannot be parted "
            "from it. Take fewer, or the whole lot."
        )
    return taken
