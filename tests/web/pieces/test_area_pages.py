"""Pages of areas, places and findings."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from runningfit.workshop.pieces.models import Area, Finding, Lot, Place
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
PLACE = {
    "name": "cover, upper row",
    "count": "9",
    "basis": "holes_counted",
    "kind": "hex_bolt",
    "thread": "5/16-24",
    "length": "1 3/8",
    "finish": "clear",
    "torque": "18",
    "hole_depth": "7/8",
}
ROWS = "area;place;count\nGear case;dowels;2\nGear case;plug;some\n"


@pytest.fixture
def job() -> Job:
    job = open_job(name="Launch", engine_name="Tern", hand=ANN)
    line = "9 hex bolts 5/16-24 x 1 3/8, clear, gear case, bag T1"
    keep_understood(job=job, line=understand_line(job=job, text=line), hand=ANN)
    return job


@pytest.fixture
def area(job: Job) -> Area:
    return Area.objects.get(job=job)


def test_an_area_is_added_and_renamed(client: Client, job: Job) -> None:
    client.post(f"/jobs/{job.pk}/areas/new", {"name": "Oil tray"})
    added = Area.objects.get(name="Oil tray")
    again = client.post(f"/jobs/{job.pk}/areas/new", {"name": "oil tray"})
    assert b"That area is there already" in again.content
    client.post(f"/jobs/{job.pk}/areas/{added.pk}/change", {"name": "Sump"})
    page = client.get(f"/jobs/{job.pk}/areas").content
    assert (b"Sump" in page, b"Oil tray" in page) == (True, False)


def test_a_place_is_added_shown_and_changed(client: Client, job: Job, area: Area) -> None:
    client.post(f"/jobs/{job.pk}/areas/{area.pk}/places/new", PLACE)
    place = Place.objects.get()
    page = client.get(f"/jobs/{job.pk}/places/{place.pk}").content.decode()
    assert "holes counted" in page
    assert "24.4 N m" in page
    assert "cannot show" not in page
    changed = PLACE | {"count": "10", "torque": "25 N m"}
    client.post(f"/jobs/{job.pk}/places/{place.pk}/change", changed)
    place.refresh_from_db()
    assert (place.count, place.end_a) == (10, "5/16-24 UNF")
    assert place.torque_nm == pytest.approx(25.0)
    refused = client.post(f"/jobs/{job.pk}/places/{place.pk}/change", PLACE | {"torque": "some"})
    assert b"torque needs" in refused.content


def test_places_from_what_came_off_say_that_losses_cannot_show(client: Client, job: Job) -> None:
    shown = client.get(f"/jobs/{job.pk}/places/from-lots").content.decode()
    assert "cannot show" in shown
    client.post(f"/jobs/{job.pk}/places/from-lots")
    place = Place.objects.get()
    page = client.get(f"/jobs/{job.pk}/places/{place.pk}").content.decode()
    assert "cannot show" in page
    client.post(
        f"/jobs/{job.pk}/places/{place.pk}/known", {"basis-basis": "holes_counted", "basis-count": "10"}
    )
    place.refresh_from_db()
    assert (place.count, place.basis) == (10, "holes_counted")


@pytest.mark.parametrize("as_file", [True, False])
def test_a_list_is_looked_at_then_kept_and_its_bad_rows_stay(client: Client, job: Job, as_file: bool) -> None:
    sent: dict[str, object] = {"basis": "parts_list", "basis_said": "1958, page 14"}
    sent |= {"file": SimpleUploadedFile("places.csv", ROWS.encode())} if as_file else {"text": ROWS}
    shown = client.post(f"/jobs/{job.pk}/places/from-list", sent)
    assert (Place.objects.count(), b"not understood" in shown.content) == (0, True)
    text = shown.context["form"].data["text"]
    again = {"basis": "parts_list", "basis_said": "1958, page 14", "text": text, "keep": "1"}
    left = client.post(f"/jobs/{job.pk}/places/from-list", again)
    assert Place.objects.get().name == "dowels"
    assert left.context["form"].data["text"].split("\n")[1].split("\t") == ["Gear case", "plug", "some"]


def test_a_list_that_is_none_says_what_it_needs(client: Client, job: Job) -> None:
    for sent in ({"text": ""}, {"text": "one;two\n1;2\n"}):
        page = client.post(f"/jobs/{job.pk}/places/from-list", sent | {"basis": "holes_counted"}).content
        assert b'class="wrong"' in page


def test_a_finding_is_two_taps_from_the_first_page(client: Client, job: Job, area: Area) -> None:
    page = client.get(f"/jobs/{job.pk}/strip").content.decode()
    assert f"/jobs/{job.pk}/findings/new" in page
    client.post(f"/jobs/{job.pk}/findings/new", {"what": "stuck", "area": area.pk})
    finding = Finding.objects.get()
    assert (finding.what, finding.area) == ("stuck", area)
    client.post(f"/jobs/{job.pk}/findings/{finding.pk}", {"why": "came free"})
    finding.refresh_from_db()
    assert finding.settled


def test_a_defective_thread_stands_among_the_threads_in_doubt(client: Client, job: Job) -> None:
    client.post(f"/jobs/{job.pk}/places/from-lots")
    said = client.post(
        f"/jobs/{job.pk}/findings/new", {"what": "thread_defective", "lot": "1", "count": "2"}, follow=True
    ).content.decode()
    assert "what it was screwed to is not proven either" in said
    assert "Threads in doubt" in said
    place = Place.objects.get()
    assert place.thread_state == "not_proven"
    client.post(f"/jobs/{job.pk}/places/{place.pk}/prove", {"proof-why": "gauge goes in"})
    place.refresh_from_db()
    assert (place.thread_state, Lot.objects.get(number=2).thread_state) == ("good", "defective")


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"note": "x"}, "This field is required"),
        ({"what": "stuck"}, "note needs where or what it is"),
        ({"what": "stuck", "lot": "99"}, "There is no lot 99"),
        ({"what": "broken", "lot": "1", "count": "10"}, "count needs at most 9"),
    ],
)
def test_a_finding_that_says_too_little_is_asked_again(
    client: Client, job: Job, sent: dict[str, str], said: str
) -> None:
    page = client.post(f"/jobs/{job.pk}/findings/new", sent).content.decode()
    assert (said in page, Finding.objects.count()) == (True, 0)


def test_find_reaches_every_kind_of_row(client: Client, job: Job, area: Area) -> None:
    client.post(f"/jobs/{job.pk}/areas/{area.pk}/places/new", PLACE)
    for text, said in (
        ("t1", "bag T1"),
        ("gear", "gear case"),
        ("upper row", "cover, upper row"),
        ("5/16x24", "hex bolts"),
    ):
        assert said in client.get("/find", {"q": text}).content.decode()
    assert b"Nothing is found by that" in client.get("/find", {"q": "xyzzy"}).content
    assert b"Type a bag" in client.get("/find").content


@pytest.mark.parametrize("path", ["areas/999", "places/999", "findings/999", "areas/999/places/new"])
def test_what_is_not_there_says_so(client: Client, job: Job, path: str) -> None:
    answer = client.get(f"/jobs/{job.pk}/{path}")
    assert (answer.status_code, b"There is no" in answer.content) == (404, True)
