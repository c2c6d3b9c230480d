"""Small photos in rows, each with what it shows."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from runningfit.web.addresses import address
from runningfit.workshop.photos.models import Photo


def photo_figures(photos: Iterable[Photo], job_id: int) -> str:
    """Draw photos of a job, each as the way to its page."""
    return "".join(
        _figure(photo, address("photo_page", job_id, photo.pk), _lot(photo) + " " + _bag_area(photo))
        for photo in photos
    )


def waiting_figures(photos: Iterable[Photo], shown: Photo) -> str:
    """Draw photos that wait for their names, but for the one that is shown large."""
    return "".join(
        _figure(photo, f"?photo={photo.pk}", _bag_area(photo)) for photo in photos if photo.pk != shown.pk
    )


def _figure(photo: Photo, to: str, said: str) -> str:
    return (
        f'<figure class="small"><a href="{to}"><img src="{address("photo", photo.pk, "thumb")}" '
        f'alt="photo {photo.pk}" loading="lazy"></a><figcaption>{said}</figcaption></figure>'
    )


def _lot(photo: Photo) -> str:
    return f'lot <span class="num">{photo.lot.number}</span>' if photo.lot else ""


def _bag_area(photo: Photo) -> str:
    bag = f'<span class="code">{escape(photo.bag.code)}</span> ' if photo.bag else ""
    return bag + (escape(photo.area.name) if photo.area else "")
