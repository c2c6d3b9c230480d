"""Lots that belong nowhere: foreign ones, spare ones, and those that only fit a place that was assumed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from runningfit.core.plan.fit import FitVerdict, PieceSpec, PlaceNeed, kinds_for
from runningfit.core.plan.foreign import foreign, nearest_miss
from runningfit.core.plan.matching import matches
from runningfit.workshop.pieces.ledger import PRESENT, Counts, counts_of
from runningfit.workshop.pieces.models import Holding, Lot, Place
from runningfit.workshop.plan.fitting import SPEC_FIELDS, need_from, spec_from
from runningfit.workshop.records.models import Job

SHOWN = 30
A_PAGE = 100
LISTS = ("foreign", "doubtful", "open", "spare")


@dataclass(frozen=True, slots=True)
class Stranger:
    """A lot that belongs nowhere, or may, and why."""

    lot: Lot
    counts: Counts
    why: str


@dataclass(frozen=True, slots=True)
class Strangers:
    """The lots of a job by where they belong; each list is cut, its whole length is beside it.

    Parameters
    ----------
    foreign : tuple of Stranger
        They fit no place of any engine of the job.
    doubtful : tuple of Stranger
        They fit only places that were assumed from what came off, so they may be foreign all the same.
    open : tuple of Stranger
        Something must be found out first.
    spare : tuple of Stranger
        They fit a place, and are allotted to none.
    totals : dict of str to int
        How many lots each list has in all.
    described : int
        How many places the job has; with none nobody can tell.
    """

    foreign: tuple[Stranger, ...]
    doubtful: tuple[Stranger, ...]
    open: tuple[Stranger, ...]
    spare: tuple[Stranger, ...]
    totals: dict[str, int]
    described: int


def strangers_of(job: Job, *, only: str = "", after: int = 0) -> Strangers:
    """Return the lots of a job that are foreign, doubtful, still to be told, or spare.

    Parameters
    ----------
    only : str
        One of LISTS to go through that list page by page; empty shows the first of each.
    after : int
        With ``only``, the id of the lot after which the page begins.
    """
    known: dict[PlaceNeed, bool] = {}
    described = 0
    for *values, basis in Place.objects.filter(area__job=job, withdrawn=False).values_list(
        *SPEC_FIELDS, "basis"
    ):
        need = need_from((values[0], values[1], values[2], values[3], values[4], values[5]))
        known[need] = known.get(need, False) or basis != "assumed"
        described += 1
    by_spec: dict[PieceSpec, list[tuple[int, bool]]] = defaultdict(list)
    there = Holding.objects.filter(lot=OuterRef("pk"), account__in=PRESENT, count__gt=0)
    rows = Lot.objects.filter(Exists(there), job=job, withdrawn=False).order_by("number")
    for pk, place_id, *values in rows.values_list("pk", "place_id", *SPEC_FIELDS):
        spec = spec_from((values[0], values[1], values[2], values[3], values[4], values[5]))
        by_spec[spec].append((pk, place_id is not None))
    listed, asks = _sorted_out(by_spec, known)
    shown = {
        name: _shown(
            listed[name],
            _Reasons(asks, known) if name in ("foreign", "open") else None,
            after,
            A_PAGE if only else SHOWN,
        )
        if only in ("", name)
        else ()
        for name in LISTS
    }
    totals = {name: len(lots) for name, lots in listed.items()}
    return Strangers(**shown, totals=totals, described=described)


def _sorted_out(
    by_spec: dict[PieceSpec, list[tuple[int, bool]]], known: dict[PlaceNeed, bool]
) -> tuple[dict[str, list[tuple[int, PieceSpec]]], dict[PieceSpec, str]]:
    """Return the lots of each list, and by piece what must be found out where it may fit somewhere."""
    fits: dict[PieceSpec, bool] = {}
    asks: dict[PieceSpec, str] = {}
    for need, matched in matches(known, by_spec).items():
        for match in matched:
            if match.fit.verdict is FitVerdict.FITS:
                fits[match.piece] = fits.get(match.piece, False) or known[need]
            else:
                asks.setdefault(match.piece, match.fit.asks[0])
    kinds = {kind for need in known for kind in kinds_for(need.kind)}
    listed: dict[str, list[tuple[int, PieceSpec]]] = {"foreign": [], "doubtful": [], "open": [], "spare": []}
    for spec, lots in by_spec.items():
        every = [(pk, spec) for pk, _ in lots]
        if spec in fits:
            listed["spare"] += [(pk, spec) for pk, allotted in lots if not allotted]
            listed["doubtful"] += [] if fits[spec] else every
        else:
            listed["open" if spec in asks or spec.kind not in kinds else "foreign"] += every
    return listed, asks


def _shown(
    listed: list[tuple[int, PieceSpec]], reasons: _Reasons | None, after: int, most: int
) -> tuple[Stranger, ...]:
    specs = dict(sorted((row for row in listed if row[0] > after), key=lambda row: row[0])[:most])
    why = {spec: reasons.why(spec) for spec in set(specs.values())} if reasons else {}
    lots = list(
        Lot.objects.filter(pk__in=specs).select_related("bag", "area", "origin", "place").order_by("pk")
    )
    counts = counts_of(lots)
    return tuple(Stranger(lot, counts[lot.pk], why.get(specs[lot.pk], "")) for lot in lots)


@dataclass(frozen=True, slots=True)
class _Reasons:
    """Why a piece belongs nowhere, or what must be found out first; nothing while no place is described."""

    asks: dict[PieceSpec, str]
    known: dict[PlaceNeed, bool]

    def why(self, spec: PieceSpec) -> str:
        """Return it in a few words."""
        if not self.known:
            return ""
        if spec in self.asks:
            return f"find out {self.asks[spec]}"
        return nearest_miss(spec, self.known) or foreign(spec, self.known).why
