"""The places of a job that a piece would fit, as far as is known what it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from runningfit.core.photos.items import Estimate
from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.fit import Fit, FitVerdict
from runningfit.core.plan.washer_holes import screws_through
from runningfit.workshop.pieces.models import Fastener, Place
from runningfit.workshop.plan.filling import EMPTY, filling_of_job
from runningfit.workshop.plan.fitting import SPEC_FIELDS, kept_fit, need_of, spec_from
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import attach, prepared

_BY_HOLE = frozenset(
    kind.value for kind in (Kind.PLAIN_WASHER, Kind.SPRING_WASHER, Kind.TAB_WASHER, Kind.FIBRE_WASHER)
)


@dataclass(frozen=True, slots=True)
class PlaceThatFits:
    """A place that a piece fits or may fit, and how many pieces it still needs."""

    place: Place
    fit: Fit
    missing: int


def places_for(
    job: Job, pieces: Sequence[Fastener], holes: Sequence[Estimate | None] = ()
) -> list[list[PlaceThatFits]]:
    """Return for each piece the places of the job that it fits, those that are short of pieces first.

    Parameters
    ----------
    job : Job
        Whose places.
    pieces : sequence of Fastener
        Anything with kind, threads and length.
    holes : sequence of Estimate or None
        For each piece the diameter of the hole that was measured in it, by which a washer of no said size
        is placed.
    """
    places = _places(job.pk) if pieces else []
    attach(places, "area")
    filling = filling_of_job(job) if places else {}
    missing = {place.pk: max(0, place.count - filling.get(place.pk, EMPTY).filled) for place in places}
    measured = holes or [None] * len(pieces)
    return [_fitting(piece, hole, places, missing) for piece, hole in zip(pieces, measured, strict=True)]


@prepared
def _places(job_id: int) -> QuerySet[Place]:
    return Place.objects.filter(area__job=job_id, withdrawn=False).order_by("pk")


def _fitting(
    piece: Fastener, hole: Estimate | None, places: Sequence[Place], missing: dict[int, int]
) -> list[PlaceThatFits]:
    values = tuple(getattr(piece, name) for name in SPEC_FIELDS)
    kind, end_a, end_b, length_mm, basis, size_said = values
    if hole is not None and not end_a and not size_said and kind in _BY_HOLE:
        end_a = "|".join(screws_through(hole.value_mm, hole.u_mm))
    spec = spec_from((kind, end_a, end_b, length_mm, basis, size_said))
    found = [PlaceThatFits(place, kept_fit(need_of(place), spec), missing[place.pk]) for place in places]
    fitting = [one for one in found if one.fit.verdict is not FitVerdict.NOT]
    return sorted(fitting, key=lambda one: (not one.fit.fits, not one.missing, one.place.pk))
