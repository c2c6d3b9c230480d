"""Reads of photographed hardware that several pages share."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence

from django.db.models import Count, Q

from runningfit.core.errors import NotFound
from runningfit.workshop.photos.hardware_models import PhotoCorrection, PhotoPiece, PhotoRun
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Change, Job


def run_of_job(job: Job, run_id: int) -> PhotoRun:
    """Return a run of this very job, or raise NotFound saying so."""
    runs = PhotoRun.objects.select_related("job", "photo", "mat", "bag", "accepted_by")
    run = runs.filter(job=job, pk=run_id, withdrawn=False).first()
    if run is None:
        raise NotFound(
            f"There is no hardware photo {run_id} in {job.name}, or it was put away or measured again. "
            "Look at the list of its hardware photos."
        )
    return run


def runs_of(job: Job, *, most: int, bag: Bag | None = None) -> list[PhotoRun]:
    """Return so many runs of a job, or of one bag of it, the newest first, each with its number of pieces."""
    runs = PhotoRun.objects.filter(job=job, withdrawn=False).select_related("photo", "bag", "mat")
    if bag is not None:
        runs = runs.filter(bag=bag)
    counted = runs.annotate(seen=Count("pieces", filter=Q(pieces__withdrawn=False, pieces__fate="")))
    return list(counted.order_by("-pk")[:most])


def measured_runs(job: Job, *, most: int, bag: Bag | None = None) -> list[PhotoRun]:
    """Return so many runs that were measured, the newest first."""
    return [run for run in runs_of(job, most=most, bag=bag) if run.state == PhotoRun.MEASURED]


def measured_since(
    jobs: Collection[int], day: dt.date, *, most: int, bag: Bag | None = None
) -> list[PhotoRun]:
    """Return so many measured photos of these jobs since a day that are in no books, the newest first."""
    runs = PhotoRun.objects.filter(
        job__in=jobs,
        withdrawn=False,
        state=PhotoRun.MEASURED,
        accepted_by__isnull=True,
        asked_at__date__gte=day,
    )
    if bag is not None:
        runs = runs.filter(bag=bag)
    counted = runs.annotate(seen=Count("pieces", filter=Q(pieces__withdrawn=False, pieces__fate="")))
    return list(counted.select_related("job", "bag").order_by("-pk")[:most])


def pieces_of_runs(runs: Sequence[PhotoRun]) -> dict[int, list[PhotoPiece]]:
    """Return everything seen in each of several photos, by the id of its run."""
    by_run: dict[int, list[PhotoPiece]] = {run.pk: [] for run in runs}
    rows = PhotoPiece.objects.filter(run__in=list(by_run), withdrawn=False).order_by("run_id", "number")
    for row in rows:
        by_run[row.run_id].append(row)
    return by_run


def pieces_of(run: PhotoRun) -> list[PhotoPiece]:
    """Return everything seen in a photo by number, what is set aside too."""
    rows = PhotoPiece.objects.filter(run=run, withdrawn=False).select_related("part_of", "split_off")
    return list(rows.order_by("number"))


def piece_by_number(run: PhotoRun, number: int) -> PhotoPiece:
    """Return a piece of a photo, or raise NotFound saying so."""
    piece = PhotoPiece.objects.filter(run=run, number=number, withdrawn=False).first()
    if piece is None:
        raise NotFound(f"There is no piece {number} in this photo. Look at the photo, and press the piece.")
    piece.run = run
    return piece


def to_settle(pieces: Sequence[PhotoPiece]) -> list[PhotoPiece]:
    """Return the pieces that a person should look at."""
    return [piece for piece in pieces if piece.unsure and not piece.settled and not piece.fate]


def corrections_of(piece: PhotoPiece) -> list[PhotoCorrection]:
    """Return what was said of a piece, the newest first."""
    return list(PhotoCorrection.objects.filter(piece=piece, withdrawn=False).order_by("-pk"))


def lots_accepted(run: PhotoRun) -> list[Lot]:
    """Return the lots that a photo's pieces became, while its acceptance stands."""
    if run.accepted_by_id is None:
        return []
    made = Change.objects.filter(record=run.accepted_by_id, model="Lot", kind=Change.CREATED)
    lots = Lot.objects.filter(pk__in=made.values("object_id"), withdrawn=False).select_related("bag", "place")
    return list(lots.order_by("number"))
