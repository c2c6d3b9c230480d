"""Verbs of building: fit pieces into the engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Sum

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.measurements.inspecting import gates_of_areas
from runningfit.workshop.pieces.ledger import count_of, move, need_count
from runningfit.workshop.pieces.models import Holding, Lot, Place
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Entry, Hand, write


@dataclass(frozen=True, slots=True)
class Fitting:
    """n pieces of a lot to fit into the place that it is allotted to."""

    lot: Lot
    count: int


def fit_pieces(*, job: Job, fittings: Sequence[Fitting], hand: Hand) -> int:
    """Mark pieces as fitted, in one record; returns how many.

    Parameters
    ----------
    fittings : sequence of Fitting
        Which pieces; each lot must be allotted to a place and be here.
    hand : Hand
        Its reason is required where a thread is defective or not proven, or a test that the area waits for
        has not passed.

    Raises
    ------
    InvalidInput
        Nothing was chosen.
    Conflict
        A lot is allotted to no place, a thread or test is in doubt and no reason was given, or the place is
        full.
    LedgerRefused
        The pieces are not in the shop.
    """
    if not fittings:
        raise InvalidInput(
            "what is fitted", needs="at least one line", came="none", remedy="Tick what is in its place now."
        )
    with write(verb="fit_pieces", summary="fitted pieces", hand=hand, job=job) as entry:
        if not hand.why.strip():
            _refuse_untested(fittings)
        fitted = sum(_fit(entry, fitting, why=hand.why) for fitting in fittings)
        first = Lot.objects.select_related("place__area").get(pk=fittings[0].lot.pk)
        where = first.place.area.name if first.place else job.name
        entry.say(f"fitted {fitted} piece{'s' if fitted != 1 else ''} in {where}")
    return fitted


def _refuse_untested(fittings: Sequence[Fitting]) -> None:
    lots = Lot.objects.filter(pk__in=[fitting.lot.pk for fitting in fittings], place__isnull=False)
    areas = [area_id for area_id in lots.values_list("place__area", flat=True) if area_id is not None]
    for gate in (gate for gates in gates_of_areas(areas).values() for gate in gates):
        word = "has failed" if gate.failed else "is still to be done"
        raise Conflict(f"{gate.said} {word}. Test first, or say why it is fitted all the same.")


def _fit(entry: Entry, fitting: Fitting, *, why: str) -> int:
    count = need_count(fitting.count)
    lot = Lot.objects.select_for_update(of=("self",)).select_related("place").get(pk=fitting.lot.pk)
    if lot.place is None:
        raise Conflict(f"Lot {lot.number} is allotted to no place yet. Allot it first.")
    place = lot.place
    for what, state in (
        (f"lot {lot.number}", lot.thread_state),
        (f"the hole of {place.name}", place.thread_state),
    ):
        if state in ("defective", "not_proven") and not why.strip():
            word = "defective" if state == "defective" else "not proven"
            raise Conflict(
                f"The thread of {what} is {word}. Prove it first, or say why it is fitted all the same."
            )
    there = _fitted(place)
    if there + count > place.count:
        raise Conflict(
            f"{place.name} needs {place.count}, {there} are fitted already; {count} more do not go in."
        )
    entry.refer(place)
    left = count
    counts = count_of(lot)
    for custody in ("bench", "store"):
        part = min(left, getattr(counts, custody))
        if part:
            move(entry, lot, count=part, from_account=custody, to_account="fitted")
            left -= part
    if left:
        # The ledger says how many there are, in its own words.
        move(entry, lot, count=left, from_account="bench", to_account="fitted")
    return count


def _fitted(place: Place) -> int:
    held = Holding.objects.filter(lot__place=place, lot__withdrawn=False, account="fitted")
    return held.aggregate(Sum("count"))["count__sum"] or 0
