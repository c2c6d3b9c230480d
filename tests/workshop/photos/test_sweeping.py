"""Files that no row names are set aside, never those of a photo, and never what may still get its row."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from pictures_for_tests import jpeg, png
from runningfit.core.errors import Conflict
from runningfit.workshop.photos.files import path_of, store
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.services import take_in_photo, withdraw_photo
from runningfit.workshop.photos.sweeping import A_DAY_S, SET_ASIDE_S, UNNAMED, sweep
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ADA = Hand(who="Ada")


def files(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def grown_old(folder: Path) -> None:
    old = time.time() - 2 * A_DAY_S
    for path in folder.rglob("*.*"):
        if path.is_file():
            os.utime(path, (old, old))


def test_what_was_stored_for_a_row_that_failed_is_set_aside_and_later_thrown_away(
    job: Job, data_folder: Path
) -> None:
    photos = data_folder / "photos"
    kept = take_in_photo(job=job, data=jpeg(), hand=ADA)
    put_away = withdraw_photo(photo=take_in_photo(job=job, data=png(), hand=ADA), hand=ADA)
    named = files(photos)
    close_job(job=job, hand=ADA)
    with pytest.raises(Conflict, match="was closed on"):
        take_in_photo(job=job, data=jpeg(300, 200), hand=ADA)
    orphans = files(photos) - named
    assert len(orphans) == 3
    assert sweep() == 0
    grown_old(photos)
    assert sweep() == 3
    assert files(photos) == named
    aside = data_folder / UNNAMED
    assert files(aside) == orphans
    for photo in (kept, put_away):
        for size in ("original", "shown", "thumb"):
            assert path_of(photo, size).is_file()
    sweep(now=time.time() + SET_ASIDE_S - A_DAY_S)
    assert files(aside) == orphans
    sweep(now=time.time() + SET_ASIDE_S + A_DAY_S)
    assert (files(aside), files(photos)) == (set(), named)


def test_a_file_half_written_is_set_aside_too(job: Job, data_folder: Path) -> None:
    half = data_folder / "photos" / "shown" / "ab" / ".half-1"
    half.parent.mkdir(parents=True)
    half.write_bytes(b"\xff\xd8")
    grown_old(data_folder)
    os.utime(half, (1, 1))
    assert sweep() == 1
    assert not half.exists()


def test_an_orphan_that_is_sent_again_gets_its_row_and_stays(job: Job, data_folder: Path) -> None:
    picture = read_picture(jpeg(), filename="a.jpg")
    store(picture)
    grown_old(data_folder)
    photo = take_in_photo(job=job, data=jpeg(), hand=ADA)
    assert sweep() == 0
    assert path_of(photo, "original").is_file()


def test_a_sweep_between_storing_and_keeping_loses_nothing(
    job: Job, data_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stored_and_swept(picture):  # type: ignore[no-untyped-def]
        names = store(picture)
        grown_old(data_folder)
        sweep()
        monkeypatch.undo()
        return names

    monkeypatch.setattr("runningfit.workshop.photos.services.store", stored_and_swept)
    photo = take_in_photo(job=job, data=jpeg(), hand=ADA)
    assert Photo.objects.get() == photo
    for size in ("original", "shown", "thumb"):
        assert path_of(photo, size).is_file()


def test_a_folder_without_photos_is_nothing_to_sweep(data_folder: Path) -> None:
    assert sweep() == 0
