"""Pages of photos: snap, inbox, and the files that are served only through the application."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from pictures_for_tests import MAKER, heic, jpeg
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.photos.services import take_in_photo
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
HAND = Hand(who="Ada")


def file(data: bytes, name: str = "one.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type="image/jpeg")


def content_of(answer: Any) -> bytes:
    """What a file's answer sends; read to its end, its file is closed."""
    return b"".join(answer.streaming_content)


def test_several_photos_are_kept_at_once_and_the_device_remembers_area_and_bag(
    client: Client, job: Job
) -> None:
    sent = client.post(
        f"/jobs/{job.pk}/snap",
        {
            "photo": [file(jpeg()), file(heic(), "two.heic")],
            "other_area": "Gear case",
            "bag": "+",
            "once": "a",
        },
    )
    assert sent.status_code == 302
    bag = Bag.objects.get()
    assert {photo.bag_id for photo in Photo.objects.all()} == {bag.pk}
    page = client.get(f"/jobs/{job.pk}/snap").content.decode()
    assert "2 photos kept: Gear case, bag" in page
    assert 'value="Gear case" checked' in page
    assert f'value="{bag.code}" checked' in page


def test_one_bad_file_does_not_hold_up_the_others(client: Client, job: Job) -> None:
    files = [file(jpeg()), file(b"%PDF-1.7", "notes.pdf")]
    page = client.post(f"/jobs/{job.pk}/snap", {"photo": files, "once": "a"}, follow=True).content.decode()
    assert Photo.objects.count() == 1
    assert "1 photo kept" in page
    assert "notes.pdf needs a photo: JPEG, PNG, WebP or HEIC" in page


def test_a_form_with_only_a_bad_file_comes_back_with_what_was_typed(client: Client, job: Job) -> None:
    page = client.post(
        f"/jobs/{job.pk}/snap", {"photo": file(b"no"), "other_area": "Sump", "words": "by the pump"}
    ).content.decode()
    assert "needs a photo: JPEG, PNG, WebP or HEIC" in page
    assert "Sump" in page
    assert "by the pump" in page
    assert not Photo.objects.exists()
    assert (
        "photos needs at least one photo"
        in client.post(f"/jobs/{job.pk}/snap", {"once": "b"}).content.decode()
    )


def test_the_script_sends_one_photo_at_a_time_and_a_second_sending_is_known(client: Client, job: Job) -> None:
    once = {"bag": "+", "once": "token-1"}
    first = client.post(f"/jobs/{job.pk}/snap/one", {"photo": file(jpeg()), **once})
    assert first.json()["bag"] == Bag.objects.get().code
    assert content_of(client.get(first.json()["thumb"])).startswith(b"\xff\xd8")
    assert client.post(f"/jobs/{job.pk}/snap/one", {"photo": file(jpeg()), **once}).json() == {
        "said": "kept before"
    }
    refused = client.post(f"/jobs/{job.pk}/snap/one", {"photo": file(b"no"), "once": "token-2"})
    assert refused.status_code == 400
    assert "JPEG, PNG, WebP or HEIC" in refused.json()["refused"]
    assert Photo.objects.count() == 1


def test_a_photo_is_served_without_its_data_and_its_original_only_as_a_download(
    client: Client, job: Job
) -> None:
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    for size in ("shown", "thumb"):
        answer = client.get(f"/photos/{photo.pk}/{size}")
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"].startswith("private")
        assert MAKER.encode() not in content_of(answer)
    original = client.get(f"/photos/{photo.pk}/original")
    assert content_of(original) == jpeg()
    assert original.headers["Content-Disposition"].startswith("attachment")
    assert client.get(f"/photos/{photo.pk}/other").status_code == 404
    assert client.get("/photos/999/shown").status_code == 404


def test_the_files_of_a_page_of_another_job_are_not_mixed_up(client: Client, job: Job) -> None:
    other = open_job(name="Other", engine_name="Other", hand=HAND)
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    assert client.get(f"/jobs/{other.pk}/photos/{photo.pk}").status_code == 404
    assert client.post(f"/jobs/{other.pk}/inbox/{photo.pk}/nothing").status_code == 404


def test_the_inbox_says_what_to_do_first(client: Client, job: Job) -> None:
    assert "No photo waits for its name" in client.get(f"/jobs/{job.pk}/inbox").content.decode()
    assert "No photos yet" in client.get(f"/jobs/{job.pk}/photos").content.decode()


def test_a_line_is_shown_as_understood_before_it_is_kept(client: Client, job: Job) -> None:
    photo = take_in_photo(job=job, data=jpeg(), hand=HAND)
    address, line = f"/jobs/{job.pk}/inbox/{photo.pk}", "9 hex bolts 5/16-24 UNF x 1 3/8"
    page = client.post(address, {"line": line}).content.decode()
    assert "understood:" in page
    assert f'name="shown" value="{line}"' in page
    assert not Lot.objects.exists()
    assert client.post(address, {"line": line, "shown": line, "once": "x"}).status_code == 302
    assert Lot.objects.get().photos.get() == photo


def test_an_inbox_photo_is_attached_set_aside_or_put_away(client: Client, job: Job) -> None:
    photos = [take_in_photo(job=job, data=jpeg(300 + number, 200), hand=HAND) for number in range(3)]
    bag = Bag.objects.create(job=job, code="T1")
    base = f"/jobs/{job.pk}/inbox"
    wrong = client.post(f"{base}/{photos[0].pk}/attach", {"bag": "T9", "once": "a"})
    assert "bag needs a bag of this job" in wrong.content.decode()
    assert client.post(f"{base}/{photos[0].pk}/attach", {"bag": "t1", "once": "b"}).status_code == 302
    assert client.post(f"{base}/{photos[1].pk}/nothing", {"once": "c"}).status_code == 302
    assert client.post(f"/jobs/{job.pk}/photos/{photos[2].pk}/away", {"once": "d"}).status_code == 302
    assert bag.photos.get() == photos[0]
    assert not Photo.objects.filter(described=False, withdrawn=False).exists()


def test_reading_a_page_writes_nothing(client: Client, job: Job) -> None:
    take_in_photo(job=job, data=jpeg(), hand=HAND)
    before = list(Photo.objects.values())
    for page in (
        "snap",
        "snap?bag=T1&area=new",
        "inbox",
        "inbox?photo=1",
        "inbox?photo=x",
        "photos",
        "photos?before=z",
    ):
        assert client.get(f"/jobs/{job.pk}/{page}").status_code == 200
    assert list(Photo.objects.values()) == before
    assert not Bag.objects.exists()
