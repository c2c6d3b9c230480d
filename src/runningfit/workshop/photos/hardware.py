"""Verbs of photographed hardware: photograph, measure again, put away."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from django.db import transaction

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.photos.files import store
from runningfit.workshop.photos.hardware_models import PhotoRun, PrintedMat
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.photos.pictures import Picture
from runningfit.workshop.photos.running import start
from runningfit.workshop.photos.services import moment_of
from runningfit.workshop.pieces.models import Bag
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Entry, Hand, write

WORDS = "hardware on the mat"
Starter = Callable[[int], None]


def photograph(
    *,
    job: Job,
    picture: Picture,
    hand: Hand,
    mat: PrintedMat | None = None,
    bag: Bag | None = None,
    instead: PhotoRun | None = None,
    starter: Starter = start,
) -> tuple[PhotoRun, bool]:
    """Take in a photo of hardware on a mat, and have it measured.

    Parameters
    ----------
    job : Job
        The job that the pieces belong to.
    picture : Picture
        A photo that was read before.
    mat : PrintedMat or None
        The print that it shows; None is taken as one of full size, and cautioned of.
    bag : Bag or None
        The bag that the pieces came out of.
    instead : PhotoRun or None
        A photo that could not be measured, in whose place this one was taken; it is put away.
    starter : callable
        What sets the measuring going once the row is stored.

    Returns
    -------
    run : PhotoRun
        The measuring; the very photo sent before gives the measuring that there is.
    is_new : bool
        False where this very photo was sent before.

    Raises
    ------
    Conflict
        The bag belongs to another job.
    """
    names = store(picture)
    if bag is not None and bag.job_id != job.pk:
        raise Conflict(f"Bag {bag.code} belongs to another job.")
    earlier = _same_photo(job, picture.sha256)
    if earlier is not None:
        return earlier, False
    with write(verb="photograph_hardware", summary="photographed hardware", hand=hand, job=job) as entry:
        store(picture)
        photo = entry.create(
            Photo(
                job=job,
                bag=bag,
                **names,
                sha256=picture.sha256,
                width_px=picture.width_px,
                height_px=picture.height_px,
                words=WORDS,
                described=True,
                taken_at=moment_of(picture.taken_at, entry.at),
            )
        )
        run = _begin(entry, photo, mat, bag, starter)
        if instead is not None:
            _put_away_failed(entry, instead)
        entry.say("photographed hardware" + (f" of bag {bag.code}" if bag else ""))
    return run, True


def measure_again(*, run: PhotoRun, mat: PrintedMat | None, hand: Hand, starter: Starter = start) -> PhotoRun:
    """Measure a photo anew, by this mat; what was measured before is put away.

    Raises
    ------
    Conflict
        Its pieces are in the books.
    """
    with write(verb="measure_again", summary="measured a photo again", hand=hand, job=run.job) as entry:
        held = held_run(run)
        need_not_accepted(held)
        entry.change(held, withdrawn=True)
        return _begin(entry, held.photo, mat, held.bag, starter)


def put_run_away(*, run: PhotoRun, hand: Hand) -> None:
    """Put a measured photo away, as a blurred one; nothing of it was counted.

    Raises
    ------
    Conflict
        Its pieces are in the books.
    """
    with write(verb="put_run_away", summary="put a photo of hardware away", hand=hand, job=run.job) as entry:
        held = held_run(run)
        need_not_accepted(held)
        entry.change(held, withdrawn=True)
        entry.change(Photo.objects.select_for_update().get(pk=held.photo_id), withdrawn=True)


def _put_away_failed(entry: Entry, run: PhotoRun) -> None:
    """Put a photo away that could not be measured; one of which something came stays."""
    held = PhotoRun.objects.select_for_update().get(pk=run.pk)
    if held.job_id == entry.record.job_id and held.state in (PhotoRun.REFUSED, PhotoRun.BROKE):
        entry.change(held, withdrawn=True)
        entry.change(Photo.objects.select_for_update().get(pk=held.photo_id), withdrawn=True)


def held_run(run: PhotoRun) -> PhotoRun:
    """Return a run read afresh and held until the record is written.

    Raises
    ------
    Conflict
        It was put away meanwhile.
    """
    held = PhotoRun.objects.select_for_update(of=("self",)).select_related("job", "photo", "bag", "mat")
    fresh = held.get(pk=run.pk)
    if fresh.withdrawn:
        raise Conflict("That photo was put away or measured again meanwhile. Look at the list of photos.")
    return fresh


def need_not_accepted(run: PhotoRun) -> None:
    """Refuse what would change a photo whose pieces are in the books."""
    if run.accepted_by_id is not None:
        raise Conflict(
            "The pieces of this photo are in the books already. Change the lots, or take the acceptance back "
            "first: its act is in the history."
        )


def need_measured(run: PhotoRun) -> None:
    """Refuse what needs the pieces of a photo that was not measured yet, or could not be."""
    if run.state != PhotoRun.MEASURED:
        raise InvalidInput(
            "photo",
            needs="one that is measured",
            came=f"one that {run.get_state_display()}",
            remedy="Wait until it is measured, or photograph the pieces again.",
        )


def _begin(entry: Entry, photo: Photo, mat: PrintedMat | None, bag: Bag | None, starter: Starter) -> PhotoRun:
    run = entry.create(
        PhotoRun(
            job=photo.job,
            photo=photo,
            mat=mat,
            bag=bag,
            asked_at=entry.at,
            asked_by=entry.record.who,
            beat_at=entry.at,
        )
    )
    transaction.on_commit(partial(starter, run.pk))
    return run


def _same_photo(job: Job, sha256: str) -> PhotoRun | None:
    runs = PhotoRun.objects.filter(job=job, photo__sha256=sha256, withdrawn=False)
    return runs.select_related("job", "photo", "bag", "mat").order_by("-pk").first()
