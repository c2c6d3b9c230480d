"""Reads of photos that several pages share."""

from __future__ import annotations

from django.db.models import QuerySet

from runningfit.core.errors import NotFound
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Job


def photo_by_id(photo_id: int) -> Photo:
    """Return a photo that was not put away, or raise NotFound saying so."""
    photo = (
        Photo.objects.select_related("job", "area", "bag", "lot").filter(pk=photo_id, withdrawn=False).first()
    )
    if photo is None:
        raise NotFound(f"There is no photo {photo_id} in this data folder, or it was put away.")
    return photo


def photo_of_job(job_id: int, photo_id: int) -> Photo:
    """Return a photo of this very job, or raise NotFound."""
    photo = photo_by_id(photo_id)
    if photo.job_id != job_id:
        raise NotFound(f"Photo {photo_id} belongs to another job.")
    return photo


def inbox(job: Job) -> QuerySet[Photo]:
    """Return the photos that nobody has described yet, the oldest first."""
    return (
        Photo.objects.filter(job=job, described=False, withdrawn=False)
        .select_related("area", "bag")
        .order_by("pk")
    )


def photos_of(job: Job, *, before: int | None = None) -> QuerySet[Photo]:
    """Return the photos of a job, the newest first, from before a given id."""
    photos = Photo.objects.filter(job=job, withdrawn=False).select_related("area", "bag", "lot")
    return (photos if before is None else photos.filter(pk__lt=before)).order_by("-pk")


def photos_of_bag(bag: Bag) -> QuerySet[Photo]:
    """Return the photos of a bag, the newest first."""
    return Photo.objects.filter(bag=bag, withdrawn=False).order_by("-pk")


def photos_of_lot(lot: Lot) -> QuerySet[Photo]:
    """Return the photos of a lot, the newest first."""
    return Photo.objects.filter(lot=lot, withdrawn=False).order_by("-pk")
