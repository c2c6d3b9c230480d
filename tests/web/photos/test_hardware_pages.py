"""Pages of hardware on the mat: the shot, what came of it, one piece, the books, two photos, mats."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from hardware_for_tests import BLURRED, photo_of, shot
from hardware_for_tests import SMALL_TRAY as TRAY
from runningfit.core.photos.picture_files import LARGEST_BYTES
from runningfit.workshop.models import Area, Lot, PhotoPiece, PhotoRun, Place, Record
from runningfit.workshop.photos.hardware import photograph
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.printed_mats import keep_mat
from runningfit.workshop.photos.running import compute
from runningfit.workshop.pieces.bags import make_bag
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand
from web.photos.hardware_pages import at, file, page_of, told

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


def test_the_way_to_the_shot_stands_on_the_first_page_of_the_job(client: Client, job: Job) -> None:
    assert f'href="{at(job)}">Photograph the hardware</a>' in page_of(client, f"/jobs/{job.pk}/strip")
    assert "No mat is kept yet." in page_of(client, at(job))


def test_a_photo_sent_by_the_plain_form_is_measured_by_the_usual_mat(client: Client, job: Job) -> None:
    mat = keep_mat(paper="A4", scale="0.985", where="on the bench", hand=ANN)
    bag = make_bag(job=job, hand=ANN)
    page = page_of(client, at(job))
    assert f'<option value="{mat.pk}" selected>A4 on the bench, scale 0.985</option>' in page
    sent = client.post(
        at(job), {"photo": file(photo_of(TRAY)), "mat": mat.pk, "bag": bag.code.lower(), "once": "a"}
    )
    run = PhotoRun.objects.get()
    assert (sent.status_code, sent.headers["Location"]) == (302, at(job, f"/{run.pk}"))
    assert (run.mat, run.bag, run.state) == (mat, bag, "waiting")
    assert "Waits its turn" in page_of(client, at(job, f"/{run.pk}"))
    assert f'value="{bag.code}"' in page_of(client, at(job))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (None, "The photo needs a file; none came. Take a photo first"),
        (b"", "empty"),
        (b"%PDF-1.7 a list", "tray.jpg needs a photo: JPEG, PNG, WebP or HEIC; 'another kind of file' came."),
        (b"\xff\xd8\xff" + b"0" * (LARGEST_BYTES + 1), "tray.jpg needs at most 40 MB; '40 MB' came."),
        (b"\xff\xd8\xff cut", "a whole photo"),
    ],
)
def test_a_file_that_is_no_photo_is_refused_with_what_to_do(
    client: Client, job: Job, data: bytes | None, said: str
) -> None:
    bag = make_bag(job=job, hand=ANN)
    form: dict[str, Any] = {"mat": "", "bag": bag.code, "once": "a"}
    if data is not None:
        form["photo"] = file(data)
    page = client.post(at(job), form).content.decode()
    assert said in told(page)
    assert f'value="{bag.code}"' in page
    if data is not None:
        form["photo"] = file(data)
    answer = client.post(at(job, "/shot"), form)
    assert (answer.status_code, said in answer.json()["refused"]) == (400, True)
    assert PhotoRun.objects.count() == 0


def test_a_bag_that_is_not_there_is_refused_and_what_was_typed_stays(client: Client, job: Job) -> None:
    form = {"photo": file(photo_of(TRAY)), "mat": "", "bag": "Z9", "once": "a"}
    page = client.post(at(job), form).content.decode()
    assert "bag needs a bag of this job, or nothing; &#x27;Z9&#x27; came. Leave it empty" in page
    assert 'value="Z9"' in page


def test_the_script_is_told_where_the_photo_is_measured(client: Client, job: Job) -> None:
    data = photo_of(TRAY)
    first = client.post(at(job, "/shot"), {"photo": file(data), "mat": "", "bag": "", "once": "a"})
    run = PhotoRun.objects.get()
    assert first.json() == {"to": at(job, f"/{run.pk}")}
    again = client.post(at(job, "/shot"), {"photo": file(data), "mat": "", "bag": "", "once": "a"})
    assert again.json() == first.json()
    assert PhotoRun.objects.count() == 1
    assert "This very photo was sent before." in page_of(client, at(job, f"/{run.pk}"))


def test_the_state_is_polled_until_the_photo_is_through(client: Client, job: Job) -> None:
    run, _ = photograph(job=job, picture=read_picture(photo_of(TRAY)), hand=ANN)
    PhotoRun.objects.update(state="running", step="outlining the pieces", share=0.6)
    answer = client.get(at(job, f"/{run.pk}/state"))
    assert "Outlining the pieces…" in answer.content.decode()
    assert 'value="0.600"' in answer.content.decode()
    assert "HX-Refresh" not in answer.headers
    PhotoRun.objects.update(state="waiting")
    compute(run.pk)
    assert client.get(at(job, f"/{run.pk}/state")).headers["HX-Refresh"] == "true"


def test_a_run_that_died_says_so_and_is_measured_again(client: Client, job: Job) -> None:
    run, _ = photograph(job=job, picture=read_picture(photo_of(TRAY)), hand=ANN)
    PhotoRun.objects.update(state="running", beat_at="2026-01-01T00:00:00Z")
    page = page_of(client, at(job, f"/{run.pk}"))
    assert "The measuring broke off:" in page
    assert client.get(at(job, f"/{run.pk}/state")).headers["HX-Refresh"] == "true"
    assert "broke off" in page_of(client, at(job))
    sent = client.post(at(job, f"/{run.pk}/again"), {"mat": "", "once": "a"})
    new = PhotoRun.objects.get(withdrawn=False)
    assert sent.headers["Location"] == at(job, f"/{new.pk}")
    compute(new.pk)
    assert "What lies on the mat" in page_of(client, at(job, f"/{new.pk}"))


def test_a_running_photo_is_not_accepted(client: Client, job: Job) -> None:
    run, _ = photograph(job=job, picture=read_picture(photo_of(TRAY)), hand=ANN)
    sent = client.post(at(job, f"/{run.pk}"), {"state": "x", "once": "a"})
    assert (sent.status_code, Lot.objects.count()) == (200, 0)
    assert "Being measured" in sent.content.decode()
    piece = client.post(at(job, f"/{run.pk}/so"), {"piece": "1", "once": "b"})
    assert "photo needs one that is measured" in piece.content.decode()


def test_what_was_wrong_with_a_shot_stands_above_the_next_one(client: Client, job: Job) -> None:
    run = shot(job, BLURRED)
    page = page_of(client, at(job, f"/{run.pk}"))
    assert "That could not be measured" in page
    assert BLURRED.reason in page
    assert BLURRED.remedy in page
    assert "Take it again" in page
    client.post(
        at(job, "/shot"),
        {"photo": file(photo_of(TRAY)), "mat": "", "bag": "", "instead": run.pk, "once": "a"},
    )
    assert PhotoRun.objects.get(withdrawn=False).pk != run.pk


def test_every_piece_is_outlined_named_and_the_unsure_ones_come_first(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    page = page_of(client, at(job, f"/{run.pk}"))
    # Each once in the picture, and one of each lot beside it.
    assert page.count('<polygon points="') == len(TRAY.items) + 4
    assert ">1</text>" in page
    assert "bolt 5/16-24 UNF × 1 3/8 in</text>" in page
    assert ">3?</text>" in page
    assert "Screw an M8x1 nut on it." in told(page)
    assert page.index("2 to look at") < page.index("<h2>The rest</h2>") < page.index("Into the books")
    assert "1 piece that nobody has named is not ticked" in told(page)
    assert TRAY.cautions[0] in page


def test_a_piece_is_corrected_by_one_tap_and_all_alike_with_it(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    where = at(job, f"/{run.pk}/pieces/1")
    page = page_of(client, where)
    assert "length 34.9 mm , 34.6 to 35.2 mm" in told(page)
    assert "Say the same of the other one that is taken for the very same" in page
    form = {"kind": "setscrew", "thread_tap": "M8x1", "thread": "", "length": "35 mm", "look": "yellow"}
    sent = client.post(where, {**form, "all_alike": "on", "once": "a"})
    assert sent.headers["Location"] == at(job, f"/{run.pk}") + "#settle"
    said = PhotoPiece.objects.filter(run=run, kind="setscrew").values_list(
        "number", "end_a", "length_nominal"
    )
    assert sorted(said) == [(1, "M8x1", "35 mm"), (2, "M8x1", "35 mm")]
    assert "What was said of it" in page_of(client, where)


def test_a_thread_that_cannot_be_read_is_said_beside_what_was_typed(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    form = {
        "kind": "hex_bolt",
        "thread_tap": "",
        "thread": "no idea",
        "length": "long",
        "look": "clear",
        "once": "a",
    }
    answer = client.post(at(job, f"/{run.pk}/pieces/1"), form)
    page = answer.content.decode()
    assert (answer.status_code, 'value="no idea"' in page, 'value="long"' in page) == (400, True, True)
    assert "thread needs a standard thread or size; &#x27;no idea&#x27; came." in page


def test_a_piece_is_set_aside_joined_and_split_from_its_page(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    client.post(at(job, f"/{run.pk}/pieces/5/fate"), {"what": "split", "count": "2", "once": "a"})
    client.post(at(job, f"/{run.pk}/pieces/6/fate"), {"what": "aside", "once": "b"})
    client.post(at(job, f"/{run.pk}/pieces/4/fate"), {"what": "join", "into": "3", "once": "c"})
    assert dict(PhotoPiece.objects.filter(run=run).values_list("number", "fate")) == {
        1: "", 2: "", 3: "", 4: "part", 5: "", 6: "aside",
    }  # fmt: skip
    assert "No. 4, part of 3" in told(page_of(client, at(job, f"/{run.pk}")))
    client.post(at(job, f"/{run.pk}/pieces/4/fate"), {"what": "piece", "once": "d"})
    assert PhotoPiece.objects.get(run=run, number=4).fate == ""
    wrong = client.post(at(job, f"/{run.pk}/pieces/1/fate"), {"what": "join", "into": "99", "once": "e"})
    assert (
        "the piece needs the number of a piece in this photo; &#x27;99&#x27; came." in wrong.content.decode()
    )


def test_a_washer_is_placed_by_its_hole(client: Client, job: Job) -> None:
    area = Area.objects.create(job=job, name="Rocker box")
    for size in ("5/16", "1/2"):
        Place.objects.create(area=area, name=f"{size} washers", count=4, kind="plain_washer", size_said=size)
    run = shot(job, TRAY)
    page = told(page_of(client, at(job, f"/{run.pk}/pieces/4")))
    assert "5/16 washers , Rocker box: 4 of 4 missing may fit which size it is: 5/16 or M7 or M8" in page
    assert "1/2 washers" not in page


def test_where_a_piece_would_fit_stands_on_its_page(client: Client, job: Job, place: Place) -> None:
    run = shot(job, TRAY)
    assert "cover bolts , Gear case: 9 of 9 missing fits" in told(
        page_of(client, at(job, f"/{run.pk}/pieces/1"))
    )
    assert "may fit whether its thread is 5/16-24 UNF or M8x1" in told(
        page_of(client, at(job, f"/{run.pk}/pieces/3"))
    )
    assert "No place of this job needs such a piece" in page_of(client, at(job, f"/{run.pk}/pieces/4"))
    assert "Say what it is first." in page_of(client, at(job, f"/{run.pk}/pieces/5"))


def test_a_photo_of_another_job_is_not_shown(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    other = open_job(name="Other", engine_name="Tern", hand=ANN)
    for rest in ("", "/state", "/pieces/1"):
        assert client.get(at(other, f"/{run.pk}{rest}")).status_code == 404
    assert client.post(at(other, f"/{run.pk}/away"), {"once": "a"}).status_code == 404


def test_a_photo_is_put_away_and_brought_back(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    client.post(at(job, f"/{run.pk}/away"), {"once": "a"})
    assert client.get(at(job, f"/{run.pk}")).status_code == 404
    client.post(f"/history/{Record.objects.latest('pk').pk}", {"why": "needed", "once": "b"})
    assert client.get(at(job, f"/{run.pk}")).status_code == 200


def test_an_open_thread_stays_open_where_only_the_look_was_wrong(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    page = page_of(client, at(job, f"/{run.pk}/pieces/3"))
    assert "leave it open: 5/16-24 UNF or M8x1" in page
    form = {"kind": "hex_bolt", "thread_tap": "open", "thread": "", "length": "34.9 mm", "look": "black"}
    client.post(at(job, f"/{run.pk}/pieces/3"), {**form, "once": "a"})
    piece = PhotoPiece.objects.get(run=run, number=3)
    assert (piece.end_a, piece.finish_look, piece.settled) == ("5/16-24 UNF|M8x1", "black", True)


def test_the_history_says_a_correction_in_words(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    client.post(at(job, f"/{run.pk}/pieces/3/fate"), {"what": "split", "count": "2", "once": "a"})
    page = told(page_of(client, f"/history/{Record.objects.latest('pk').pk}"))
    assert f"piece 3 of hardware photo {run.pk} is 2 pieces" in page
    assert "Say what it is: it was not measured by itself." in page
    assert "outline" not in page
