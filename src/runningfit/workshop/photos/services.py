"""Verbs of photos: take in, describe as a lot, attach, set aside."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.understood import UnderstoodLine
from runningfit.workshop.photos.files import store
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.photos.pictured import Pictured
from runningfit.workshop.photos.pictures import Picture, read_picture
from runningfit.workshop.pieces.bag_codes import normal_code
from runningfit.workshop.pieces.bags import make_bag_inside
from runningfit.workshop.pieces.models import Area, Bag, Finding, Lot, Place
from runningfit.workshop.pieces.understanding import AreasByName, BagsByCode, keep_understood_lots, said_of
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Entry, Hand, write

LONGEST_WORDS = 300


def take_in_photo(
    *,
    job: Job,
    data: bytes,
    hand: Hand,
    filename: str = "photo",
    pictured: Pictured | None = None,
) -> Photo:
    """Take in one photo; it waits in the inbox unless it shows a lot, a place or a finding.

    Parameters
    ----------
    job : Job
        The job it belongs to.
    data : bytes
        The file as the device sent it.
    filename : str
        What the device calls it, for an error.
    pictured : Pictured or None
        What it shows.

    Raises
    ------
    InvalidInput
        It cannot be used as a photo.
    """
    picture = read_picture(data, filename=filename)
    names = store(picture)
    with write(verb="take_in_photo", summary="took in a photo", hand=hand, job=job) as entry:
        return keep_photo(entry, job=job, picture=picture, names=names, pictured=pictured or Pictured())


def snap(
    *,
    job: Job,
    pictures: Sequence[Picture],
    hand: Hand,
    area: str = "",
    bag: str = "",
    new_bag: bool = False,
    words: str = "",
    lot: Lot | None = None,
    finding: Finding | None = None,
) -> list[Photo]:
    """Take in photos with the area and the bag they show, both by name; new ones are made.

    Parameters
    ----------
    job : Job
        The job they belong to.
    pictures : sequence of Picture
        Photos that were read before.
    area, bag : str
        The name of the area and the code of the bag; either may be empty.
    new_bag : bool
        True makes the next bag for them, whatever its code will be.
    lot : Lot or None
        The lot they show, where that is known already.
    finding : Finding or None
        The finding they show.
    """
    if not pictures:
        raise InvalidInput("photos", needs="at least one photo", came="none", remedy="Take one first.")
    code = normal_code(bag) if bag.strip() else ""
    # Decoding and the disk come before the transaction, so that nobody waits for them.
    stored = [(picture, store(picture)) for picture in pictures]
    with write(verb="snap", summary="took in photos", hand=hand, job=job) as entry:
        areas, bags = AreasByName(entry, job, None), BagsByCode(entry, job)
        shown_area = areas.named(area)
        if new_bag and not code:
            shown_bag: Bag | None = make_bag_inside(entry, job=job, area=shown_area)
        else:
            shown_bag, _question = bags.coded(code, shown_area)
        pictured = Pictured(area=shown_area, bag=shown_bag, lot=lot, finding=finding, words=words)
        photos = [
            keep_photo(entry, job=job, picture=picture, names=names, pictured=pictured)
            for picture, names in stored
        ]
        what = "a photo" if len(photos) == 1 else f"{len(photos)} photos"
        of = f" of lot {lot.number}" if lot else " of a finding" if finding else ""
        entry.say(f"took in {what}{of}" + (f" of bag {shown_bag.code}" if shown_bag and not of else ""))
    return photos


def keep_photo(
    entry: Entry, *, job: Job, picture: Picture, names: dict[str, str], pictured: Pictured
) -> Photo:
    """Keep the row of a stored photo inside an open record.

    The very same photo that still waits in the job's inbox is not kept twice; it learns what it shows.
    """
    # A sweep may have set old files of the same photo aside since they were stored; here it waits.
    store(picture)
    shown = {name: getattr(pictured, name) for name in ("area", "bag", "lot", "place", "finding")}
    shown = {name: row for name, row in shown.items() if row is not None}
    for row in shown.values():
        _need_same_job(job, row)
        entry.refer(row)
    described = any(name in shown for name in ("lot", "place", "finding"))
    words = pictured.words.strip()[:LONGEST_WORDS]
    waiting = Photo.objects.filter(job=job, sha256=picture.sha256, described=False, withdrawn=False).first()
    if waiting is not None:
        return entry.change(waiting, **shown, described=described, words=words or waiting.words)
    return entry.create(
        Photo(
            job=job,
            **shown,
            **names,
            sha256=picture.sha256,
            width_px=picture.width_px,
            height_px=picture.height_px,
            words=words,
            described=described,
            taken_at=moment_of(picture.taken_at, entry.at),
        )
    )


def describe_photo(
    *, photo: Photo, line: UnderstoodLine, hand: Hand, origin: Engine | None = None, more: bool = False
) -> list[Lot]:
    """Make the lots that a photo of the inbox shows, from a quick line; the good pieces come first.

    Parameters
    ----------
    photo : Photo
        It carries the first of the lots from now on.
    line : UnderstoodLine
        What it shows; the photo's area and bag hold where the line names none.
    more : bool
        True when it shows still other pieces: it stays in the inbox, and the lot gets a row of its own.

    Raises
    ------
    Conflict
        Somebody described the photo meanwhile.
    InvalidInput
        The line has no count.
    """
    with write(verb="describe_photo", summary="described a photo", hand=hand, job=photo.job) as entry:
        photo = _still_waiting(photo)
        (lots,) = keep_understood_lots(
            entry, job=photo.job, understood=[line], origin=origin, area=photo.area, bag=photo.bag
        )
        shows: dict[str, object] = {
            "lot": lots[0],
            "area": lots[0].area,
            "bag": lots[0].bag,
            "described": True,
            "words": photo.words or line.text[:LONGEST_WORDS],
        }
        if more:
            entry.create(_again(photo, shows))
        else:
            entry.change(photo, **shows)
        entry.say(f"{said_of(lots, line)}, from a photo")
    return lots


def attach_photo(*, photo: Photo, hand: Hand, pictured: Pictured) -> Photo:
    """Say what a photo shows that is already in the books; described or not, it may be said anew."""
    shown = {name: getattr(pictured, name) for name in ("area", "bag", "lot", "place", "finding")}
    shown = {name: row for name, row in shown.items() if row is not None}
    if not shown:
        raise InvalidInput("what it shows", needs="a lot, bag, place, area or finding", came="nothing")
    with write(verb="attach_photo", summary="said what a photo shows", hand=hand, job=photo.job) as entry:
        photo = Photo.objects.select_for_update().get(pk=photo.pk)
        for row in shown.values():
            _need_same_job(photo.job, row)
            entry.refer(row)
        words = pictured.words.strip()[:LONGEST_WORDS] or photo.words
        entry.change(photo, **shown, described=True, words=words)
        entry.say(f"a photo shows {' and '.join(_named(row) for row in shown.values())}")
    return photo


def nothing_to_keep(*, photo: Photo, hand: Hand) -> Photo:
    """Say that a photo shows no pieces to catalogue; it stays a photo of its area and bag."""
    with write(
        verb="nothing_to_keep", summary="a photo shows nothing to catalogue", hand=hand, job=photo.job
    ) as entry:
        return entry.change(_still_waiting(photo), described=True)


def withdraw_photo(*, photo: Photo, hand: Hand) -> Photo:
    """Put a photo away, as a blurred one; its file stays and this can be taken back."""
    with write(verb="withdraw_photo", summary="put a photo away", hand=hand, job=photo.job) as entry:
        return entry.change(Photo.objects.select_for_update().get(pk=photo.pk), withdrawn=True)


def _again(photo: Photo, shows: dict[str, object]) -> Photo:
    """Return a second row for the same stored photo."""
    same = ("job", "original", "shown", "thumb", "sha256", "width_px", "height_px", "taken_at")
    return Photo(**{name: getattr(photo, name) for name in same}, **shows)


def _still_waiting(photo: Photo) -> Photo:
    waiting = Photo.objects.select_for_update(of=("self",))
    fresh = waiting.select_related("job", "area", "bag", "lot").get(pk=photo.pk)
    if fresh.withdrawn:
        raise Conflict("That photo was put away meanwhile.")
    if fresh.described:
        shown = f" as lot {fresh.lot.number}" if fresh.lot else ""
        raise Conflict(f"That photo was described meanwhile{shown}. Look at it before you add another lot.")
    return fresh


def _need_same_job(job: Job, row: Area | Bag | Lot | Place | Finding) -> None:
    row_job = row.area.job_id if isinstance(row, Place) else row.job_id
    if row_job != job.pk:
        raise Conflict(f"A photo and {_named(row)} have to belong to one job.")


def _named(row: Area | Bag | Lot | Place | Finding) -> str:
    if isinstance(row, Bag):
        return f"bag {row.code}"
    return "a finding" if isinstance(row, Finding) else str(row)


def moment_of(written: dt.datetime | None, now: dt.datetime) -> dt.datetime:
    """Return the camera's moment where its clock can be believed, else the moment of taking in."""
    if written is None:
        return now
    said = timezone.make_aware(written)
    return said if dt.timedelta(0) <= now - said < dt.timedelta(days=365 * 20) else now
