"""A proposal of what goes where: own pieces first, then donors', then the shop's loose stock."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from runningfit.core.plan.fit import Fit, PieceSpec
from runningfit.core.plan.matching import matches
from runningfit.workshop.pieces.ledger import PRESENT
from runningfit.workshop.pieces.models import Holding, Lot, Place
from runningfit.workshop.plan.filling import EMPTY, filling_of_job
from runningfit.workshop.plan.fitting import need_of, spec_of
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import loose_stock

OWN, DONOR, STOCK = "this engine", "donor", "loose stock"
NOT_TO_USE = ("scrap", "replace", "swap_donor")
_RANK = {OWN: 0, DONOR: 1, STOCK: 2}


@dataclass(frozen=True, slots=True)
class Proposed:
    """n pieces of a lot proposed for a place, and what to mind."""

    place: Place
    lot: Lot
    count: int
    fit: Fit
    origin: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """What goes where, and which places stay short.

    Parameters
    ----------
    lines : tuple of Proposed
        In the order of the places.
    short : tuple of (Place, int)
        Places that stay short, and by how many.
    """

    lines: tuple[Proposed, ...]
    short: tuple[tuple[Place, int], ...]

    @property
    def pieces(self) -> int:
        """Return how many pieces it allots."""
        return sum(line.count for line in self.lines)


def suggest_allotment(*, job: Job) -> Proposal:
    """Propose pieces for every short place of a job; nothing is kept by it.

    Only what fits without a question is proposed. A place with few fitting pieces is served before one with
    many, and its own kind everywhere before any stand-in.
    """
    filling = filling_of_job(job)
    places = [
        place
        for place in Place.objects.filter(area__job=job, withdrawn=False)
        .select_related("area")
        .order_by("pk")
        if filling.get(place.pk, EMPTY).filled < place.count
    ]
    wanted = {place.pk: place.count - filling.get(place.pk, EMPTY).filled for place in places}
    free = _free_lots(job)
    by_spec: dict[PieceSpec, list[_Free]] = defaultdict(list)
    for lot in free:
        by_spec[spec_of(lot.lot)].append(lot)
    found = matches((need_of(place) for place in places), by_spec)
    lines: list[Proposed] = []
    for own_kind in (True, False):
        offers = {
            place.pk: [
                (lot, match.fit)
                for match in found[need_of(place)]
                if match.fit.fits and (match.piece.kind == place.kind) is own_kind
                for lot in by_spec[match.piece]
            ]
            for place in places
        }
        for place in sorted(
            places, key=lambda place: sum(lot.free for lot, _ in offers[place.pk]) - place.count
        ):
            lines += _serve(place, wanted, offers[place.pk])
    order = {place.pk: (place.area.name, place.pk) for place in places}
    return Proposal(
        lines=tuple(sorted(lines, key=lambda line: order[line.place.pk])),
        short=tuple((place, wanted[place.pk]) for place in places if wanted[place.pk]),
    )


@dataclass(slots=True)
class _Free:
    """A lot that is allotted to no place, and how many of it are still to be had."""

    lot: Lot
    origin: str
    here: int
    outside: int

    @property
    def free(self) -> int:
        """Return how many are to be had at most."""
        return self.here + self.outside

    def take(self, wanted: int) -> int:
        """Return how many to take: the whole lot with those outside, or some of those that are here."""
        whole = self.free <= wanted
        taken = self.free if whole else min(wanted, self.here)
        self.here = 0 if whole else self.here - taken
        # What is outside goes with the whole lot only, so that its consignment still finds it.
        self.outside = 0
        return taken


def _serve(place: Place, wanted: dict[int, int], offers: Sequence[tuple[_Free, Fit]]) -> list[Proposed]:
    lines = []
    for free, fit in sorted(offers, key=lambda offer: _preference(place, offer[0])):
        if not wanted[place.pk]:
            break
        count = free.take(wanted[place.pk])
        if count:
            wanted[place.pk] -= count
            lines.append(Proposed(place, free.lot, count, fit, free.origin))
    return lines


def _preference(place: Place, free: _Free) -> tuple[int, bool, bool, bool, int]:
    lot = free.lot
    return (
        _RANK[free.origin],
        lot.thread_state == "not_proven" or bool(lot.defect),
        lot.area_id != place.area_id,
        place.finish_wanted not in ("unknown", lot.finish_look),
        lot.number,
    )


def _free_lots(job: Job) -> list[_Free]:
    stock = loose_stock()
    jobs = [job.pk] + ([stock.pk] if stock else [])
    of_lots = Q(lot__job__in=jobs, lot__place__isnull=True, lot__withdrawn=False)
    counts: dict[int, dict[str, int]] = defaultdict(lambda: defaultdict(int))
    for lot_id, account, count in Holding.objects.filter(
        of_lots, account__in=PRESENT, count__gt=0
    ).values_list("lot_id", "account", "count"):
        counts[lot_id][account] = count
    lots = Lot.objects.filter(job__in=jobs, place__isnull=True, withdrawn=False).select_related(
        "origin", "bag", "area", "job"
    )
    free = []
    for lot in lots:
        held = counts[lot.pk]
        whole = lot.job_id == job.pk and not held["fitted"]
        row = _Free(
            lot, origin_word(lot, job), held["bench"] + held["store"], held["outside"] if whole else 0
        )
        if row.free and lot.treatment not in NOT_TO_USE:
            free.append(row)
    return free


def origin_word(lot: Lot, job: Job) -> str:
    """Say whether a lot is of this engine, of a donor, or of the loose stock."""
    if lot.job_id != job.pk:
        return STOCK
    return DONOR if lot.origin is not None and lot.origin.role == Engine.DONOR else OWN
