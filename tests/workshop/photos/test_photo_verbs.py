"""Taking photos in, naming them, and the files behind them."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from pictures_for_tests import jpeg
from runningfit.core.errors import AlreadyDone, Conflict, DataFolderError, InvalidInput, NotFound
from runningfit.workshop.photos.files import path_of, read
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.photos.pictured import Pictured
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.queries import inbox, photo_by_id
from runningfit.workshop.photos.services import (
    attach_photo,
    describe_photo,
    nothing_to_keep,
    snap,
    take_in_photo,
    withdraw_photo,
)
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.models import Area, Bag
from runningfit.workshop.pieces.understanding import understand_line
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
HAND = Hand(who="Ada")


def test_a_photo_lies_in_the_folder_by_its_sha_and_waits_in_the_inbox(job: Job, data_folder: Path) -> None:
    data = jpeg()
    photo = take_in_photo(job=job, data=data, hand=HAND)
    assert path_of(photo, "original").read_bytes() == data
    assert photo.sha256 in path_of(photo, "original").name
    assert read(photo, "thumb").startswith(b"\xff\xd8")
    assert list(inbox(job)) == [photo]
    assert not list(data_folder.rglob(".half-*"))


def test_the_same_photo_twice_is_stored_once_and_waits_once(job: Job, data_folder: Path) -> None:
    first = take_in_photo(job=job, data=jpeg(), hand=HAND)
    area = Area.objects.create(job=job, name="gear case")
    again = take_in_photo(job=job, data=jpeg(), hand=HAND, pictured=Pictured(area=area))
    assert again.pk == first.pk
    assert again.area == area
    assert len(list(data_folder.rglob("*.jpg"))) == 3
    describe_photo(photo=again, line=understand_line(job=job, text="3 nuts 1/4-20 UNC"), hand=HAND)
    assert take_in_photo(job=job, data=jpeg(), hand=HAND).pk != first.pk
    assert len(list(data_folder.rglob("*.jpg"))) == 3


def test_snapping_makes_the_area_and_the_bag_it_names(job: Job) -> None:
    photos = snap(
        job=job,
        pictures=[read_picture(jpeg()), read_picture(jpeg(300, 200))],
        area="Gear case",
        bag="t 1",
        hand=HAND,
    )
    assert [photo.bag.code for photo in photos if photo.bag] == ["T1", "T1"]
    assert {photo.area.name for photo in photos if photo.area} == {"Gear case"}
    (again,) = snap(job=job, pictures=[read_picture(jpeg(310, 200))], area="gear CASE", bag="T1", hand=HAND)
    assert again.area_id == photos[0].area_id
    assert Bag.objects.filter(job=job).count() == 1


def test_snapping_into_a_new_bag_takes_the_next_code(job: Job) -> None:
    (photo,) = snap(job=job, pictures=[read_picture(jpeg())], new_bag=True, hand=HAND)
    assert photo.bag is not None
    assert len(photo.bag.code) == 2


def test_a_form_sent_twice_keeps_its_photos_once(job: Job) -> None:
    hand = Hand(who="Ada", token="once")
    snap(job=job, pictures=[read_picture(jpeg())], hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        snap(job=job, pictures=[read_picture(jpeg(200, 200))], hand=hand)
    assert Photo.objects.count() == 1


def test_a_bag_that_cannot_be_a_code_keeps_nothing(job: Job) -> None:
    with pytest.raises(InvalidInput, match="a code of letters and figures"):
        snap(job=job, pictures=[read_picture(jpeg())], bag="under the bench!", hand=HAND)
    assert not Photo.objects.exists()


def test_a_full_disk_leaves_nothing_half(
    job: Job, data_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("runningfit.workshop.photos.files.os.fsync", full)
    with pytest.raises(DataFolderError, match="Make room on the disk and send it again; nothing was kept"):
        take_in_photo(job=job, data=jpeg(), hand=HAND)
    assert not Photo.objects.exists()
    assert not [path for path in data_folder.rglob("*") if path.is_file()]


def test_a_quick_line_makes_a_lot_that_carries_the_photo(job: Job) -> None:
    (photo,) = snap(job=job, pictures=[read_picture(jpeg())], area="gear case", bag="T1", hand=HAND)
    line = understand_line(job=job, text="9 hex bolts 5/16-24 UNF x 1 3/8, clear, 2 with pulled threads")
    good, bad = describe_photo(photo=photo, line=line, hand=HAND)
    photo.refresh_from_db()
    assert photo.described
    assert photo.lot == good
    assert good.bag == photo.bag
    assert good.area == photo.area
    assert (count_of(good).bench, count_of(bad).bench) == (7, 2)
    assert not inbox(job)


def test_a_photo_with_more_on_it_stays_in_the_inbox(job: Job) -> None:
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    line = understand_line(job=job, text="4 nuts 5/16-24 UNF")
    (lot,) = describe_photo(photo=photo, line=line, more=True, hand=HAND)
    assert list(inbox(job)) == [photo]
    carried = lot.photos.get()
    assert carried.pk != photo.pk
    assert carried.original == photo.original


def test_two_people_naming_one_photo_do_not_count_its_pieces_twice(job: Job) -> None:
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    line = understand_line(job=job, text="4 nuts 5/16-24 UNF")
    describe_photo(photo=photo, line=line, hand=HAND)
    with pytest.raises(Conflict, match="described meanwhile as lot 1"):
        describe_photo(photo=photo, line=line, hand=Hand(who="Ben"))
    assert job.lots.count() == 1


def test_a_line_without_a_count_is_asked_for_and_the_photo_waits(job: Job) -> None:
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    with pytest.raises(InvalidInput, match="count needs a whole number of pieces"):
        describe_photo(photo=photo, line=understand_line(job=job, text="hex bolts 5/16-24 UNF"), hand=HAND)
    assert list(inbox(job)) == [photo]


def test_naming_a_photo_can_be_taken_back(job: Job) -> None:
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    describe_photo(photo=photo, line=understand_line(job=job, text="4 nuts 5/16-24 UNF"), hand=HAND)
    take_back(record=Record.objects.get(verb="describe_photo"), hand=HAND.because("wrong photo"))
    assert [one.pk for one in inbox(job)] == [photo.pk]
    assert not job.lots.filter(withdrawn=False).exists()


def test_a_photo_is_attached_to_what_is_in_the_books(job: Job) -> None:
    lot = keep_lot(job=job, facts=LotFacts(count=3, kind="nut"), hand=HAND)
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    attach_photo(photo=photo, pictured=Pictured(lot=lot, words="after cleaning"), hand=HAND)
    photo.refresh_from_db()
    assert (photo.lot, photo.words, photo.described) == (lot, "after cleaning", True)
    with pytest.raises(InvalidInput, match="a lot, bag, place, area or finding"):
        attach_photo(photo=photo, pictured=Pictured(), hand=HAND)


def test_a_photo_and_a_lot_of_another_job_do_not_go_together(job: Job) -> None:
    other = open_job(name="Other", engine_name="Other engine", hand=HAND)
    lot = keep_lot(job=other, facts=LotFacts(count=3), hand=HAND)
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    with pytest.raises(Conflict, match="belong to one job"):
        attach_photo(photo=photo, pictured=Pictured(lot=lot), hand=HAND)


def test_a_photo_with_nothing_to_keep_leaves_the_inbox_and_one_put_away_is_gone(job: Job) -> None:
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    nothing_to_keep(photo=photo, hand=HAND)
    assert not inbox(job)
    withdraw_photo(photo=photo, hand=HAND)
    with pytest.raises(NotFound, match="or it was put away"):
        photo_by_id(photo.pk)
