"""Reads of photos that several pages share."""

from __future__ import annotations

from django.db.models import Count, QuerySet

from runningfit.core.errors import NotFound
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import Limit, attach, prepared


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


def inbox_page(job: Job, *, most: int) -> list[Photo]:
    """Return so many of the photos that nobody has described yet, the oldest first."""
    photos = _waiting(job.pk, Limit(most))
    attach(photos, "area", "bag")
    return photos


def inbox_count(job: Job) -> int:
    """Return how many photos nobody has described yet."""
    return sum(count for _, count in _count_waiting(job.pk))


def photos_of(job: Job, *, most: int, before: int | None = None) -> list[Photo]:
    """Return so many photos of a job, the newest first, from before a given id."""
    photos = _photos(job.pk, before, Limit(most))
    attach(photos, "area", "bag", "lot")
    return photos


def photos_of_bag(bag: Bag, *, most: int) -> list[Photo]:
    """Return so many photos of a bag, the newest first."""
    return _of_bag(bag.pk, Limit(most))


def photos_of_lot(lot: Lot) -> list[Photo]:
    """Return the photos of a lot, the oldest first."""
    return _of_lot(lot.pk)


@prepared
def _waiting(job_id: int, most: Limit) -> QuerySet[Photo]:
    return Photo.objects.filter(job=job_id, described=False, withdrawn=False).order_by("pk")[:most]


@prepared
def _count_waiting(job_id: int) -> QuerySet[Photo, tuple[int, int]]:
    photos = Photo.objects.filter(job=job_id, described=False, withdrawn=False).order_by()
    return photos.values_list("job").annotate(Count("pk"))


@prepared
def _photos(job_id: int, before: int | None, most: Limit) -> QuerySet[Photo]:
    photos = Photo.objects.filter(job=job_id, withdrawn=False)
    return (photos if before is None else photos.filter(pk__lt=before)).order_by("-pk")[:most]


@prepared
def _of_bag(bag: int, most: Limit) -> QuerySet[Photo]:
    return Photo.objects.filter(bag=bag, withdrawn=False).order_by("-pk")[:most]


@prepared
def _of_lot(lot: int) -> QuerySet[Photo]:
    return Photo.objects.filter(lot=lot, withdrawn=False).order_by("pk")
