"""A count-back filled in from a photo of the bag that came back; the person looks it through and keeps it."""

from __future__ import annotations

import pytest
from django.test import Client
from pytest_django.fixtures import DjangoAssertNumQueries, Settings

import hardware_for_tests as hardware
from hardware_for_tests import TOUCHING, bolt, measured, shot
from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.pieces.kinds import Kind
from runningfit.workshop.models import Discrepancy, PhotoRun
from runningfit.workshop.photos.hardware_reads import pieces_of
from workshop.outside_work.bucket import Shed, a_shed, counts, sent

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
URL = "/outside/1/count-back"
BUCKET = "/outside/1/bucket"
CAME = (
    *(bolt(n, at=(30 + 40 * n, 40)) for n in range(1, 4)),
    bolt(4, at=(60, 90), length_mm=50.6),
    bolt(5, at=(160, 90), threads={"M6": 1.0}, length_mm=20.0),
    bolt(6, at=(60, 130), could_not=TOUCHING),
)


@pytest.fixture
def shed(settings: Settings) -> Shed:
    settings.HARDWARE_MEASURER = hardware.MEASURER
    return a_shed()


def photographed(shed: Shed) -> PhotoRun:
    return shot(shed.job, measured(*CAME), bag=shed.bag("T1"))


def test_a_photo_fills_in_what_came_and_names_the_strangers(client: Client, shed: Shed) -> None:
    bolts, long = shed.lot(4), shed.lot(2, length="2 in", length_mm=50.8)
    sent(bolts, long)
    run = photographed(shed)
    page = client.get(URL)
    chosen = page.context["chosen"]
    assert f"?bag={chosen}&amp;photo={run.pk}" in page.content.decode()
    page = client.get(f"{URL}?bag={chosen}&photo={run.pk}")
    form = page.context["form"]
    assert {row.words: form[f"n-{row.key}"].value() for row in form.rows} == {
        "5/16-24 UNF x 1 3/8 in": 3, "5/16-24 UNF x 2 in": 1,
    }  # fmt: skip
    assert form["others"].value() == "1 hex bolt M6 x 20 mm"
    told = page.content.decode()
    assert f"hardware photo {run.pk}</a>: look it through before you keep it." in told
    assert "1 piece could not be measured and is counted nowhere." in told
    values = {f"n-{row.key}": form[f"n-{row.key}"].value() for row in form.rows}
    sending = {"bag": chosen, "state": page.context["outside"].state, "finished": "yes", **values}
    client.post(URL, {**sending, "others": "", "step": "propose"})
    assert counts(bolts).bench == 0
    client.post(URL, {**sending, "others": "", "step": "keep"})
    assert (counts(bolts).bench, counts(long).bench) == (3, 1)
    assert sorted(Discrepancy.objects.values_list("kind", "count")) == [("short", 1), ("short", 1)]


def test_more_than_went_is_counted_with_the_nearest_and_kept_as_over(client: Client, shed: Shed) -> None:
    sent(shed.lot(2))
    run = photographed(shed)
    form = client.get(f"{URL}?photo={run.pk}").context["form"]
    assert [form[f"n-{row.key}"].value() for row in form.rows] == [3]
    assert form["others"].value().splitlines() == ["1 hex bolt 5/16-24 UNF x 2 in", "1 hex bolt M6 x 20 mm"]


def test_a_photo_of_another_bag_fills_in_nothing(client: Client, shed: Shed) -> None:
    sent(shed.lot(4, bag="T2"))
    run = photographed(shed)
    form = client.get(f"{URL}?photo={run.pk}").context["form"]
    assert [form[f"n-{row.key}"].value() for row in form.rows] == [None]
    assert all(piece.fate == "" for piece in pieces_of(run))


def test_several_photos_count_a_whole_consignment_and_name_the_difference_by_lot(
    client: Client, shed: Shed
) -> None:
    bolts = shed.lot(4)
    long = shed.lot(2, length="2 in", length_mm=50.8, bag="T2")
    nuts = shed.nuts(3, bag="T3")
    sent(bolts, long, nuts)
    first = shot(shed.job, measured(*(bolt(n, at=(30 + 40 * n, 40)) for n in range(1, 4))))
    second = shot(
        shed.job,
        measured(
            bolt(1, at=(60, 90), length_mm=50.6),
            bolt(2, at=(60, 130), length_mm=38.1),
            bolt(3, at=(160, 90), threads={"M6": 1.0}, length_mm=20.0, kind=Kind.STUD),
        ),
    )
    page = client.get(BUCKET)
    assert [run.pk for run in page.context["photos"].offered] == [second.pk, first.pk]
    page = client.get(f"{BUCKET}?photo={first.pk}&photo={second.pk}")
    form = page.context["form"]
    assert {row.words: form[f"n-{row.key}"].value() for row in form.rows} == {
        "5/16-24 UNF x 1 3/8 in": 3, "5/16-24 UNF x 2 in": 1, "5/16-24 UNF": 0,
    }  # fmt: skip
    told = page.content.decode()
    differs = page.context["differs"]
    assert [one for one in differs.missing if f"(lot {nuts.number})" in one]
    assert [one for one in differs.swapped if "x 1 1/2 in came where 1 hex bolt" in one]
    assert [one for one in differs.added if "stud M6" in one]
    assert "<b>Missing</b> 3 nuts 5/16-24 UNF short of 3 sent in bag T3" in told
    assert counts(bolts).bench == 0
    values = {f"n-{row.key}": form[f"n-{row.key}"].value() for row in form.rows}
    sending = {"state": page.context["outside"].state, "finished": "yes", **values}
    client.post(BUCKET, {**sending, "others": form["others"].value(), "step": "keep"})
    assert (counts(bolts).bench, counts(long).bench, counts(nuts).bench) == (3, 1, 0)
    assert Discrepancy.objects.filter(kind="short", line__lot=nuts, count=3).exists()


def test_two_photos_of_the_same_pieces_are_cautioned_of(client: Client, shed: Shed) -> None:
    sent(shed.lot(6))
    once = shot(shed.job, measured(*(bolt(n, at=(30 + 40 * n, 40)) for n in range(1, 4))))
    anew = shot(shed.job, measured(*(bolt(n, at=(30 + 40 * n, 120)) for n in range(1, 4))))
    told = client.get(f"{BUCKET}?photo={once.pk}&photo={anew.pk}").content.decode()
    assert f"Photos {once.pk} and {anew.pk} may show the same pieces" in told


def test_photos_in_the_books_and_photos_from_before_it_went_are_not_offered(
    client: Client, shed: Shed
) -> None:
    consignment = sent(shed.lot(4))
    run = shot(shed.job, measured(*CAME))
    assert (
        f"/outside/1/bucket?photo={run.pk}"
        in client.get(f"/jobs/{shed.job.pk}/hardware/{run.pk}").content.decode()
    )
    PhotoRun.objects.update(asked_at="2020-01-01T00:00:00Z")
    page = client.get(BUCKET)
    assert page.context["photos"].offered == []
    assert "Photograph what came back" in page.content.decode()
    assert consignment.number == 1


def test_the_photo_of_a_bag_before_it_left_does_not_count_it_back(client: Client, shed: Shed) -> None:
    before = photographed(shed)
    PhotoRun.objects.update(asked_at="2020-01-01T00:00:00Z")
    sent(shed.lot(4))
    after = shot(shed.job, measured(bolt(1, at=(200, 150))), bag=shed.bag("T1"))
    page = client.get(URL)
    assert [run.pk for run in page.context["photos"].offered] == [after.pk]
    form = client.get(f"{URL}?photo={before.pk}").context["form"]
    assert [form[f"n-{row.key}"].value() for row in form.rows] == [None]


def test_a_length_read_a_little_off_and_a_bolt_taken_for_a_setscrew_fill_what_is_missing(
    client: Client, shed: Shed
) -> None:
    sent(shed.lot(3))
    rough = Sizes(length=Estimate(36.4, 1.0), major=Estimate(7.9, 0.3))
    run = shot(
        shed.job,
        measured(
            bolt(1, at=(40, 40)),
            bolt(2, at=(40, 80), length_mm=36.4, sizes=rough),
            bolt(3, at=(40, 120), kind=Kind.SETSCREW),
            bolt(4, at=(40, 160), kind=Kind.SETSCREW),
        ),
    )
    form = client.get(f"{BUCKET}?photo={run.pk}").context["form"]
    assert [form[f"n-{row.key}"].value() for row in form.rows] == [3]
    assert form["others"].value() == "1 setscrew 5/16-24 UNF x 1 3/8 in"


def test_a_bucket_of_many_photos_asks_the_database_no_more_than_one(
    client: Client, shed: Shed, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    sent(shed.lot(4), shed.lot(2, length="2 in", length_mm=50.8, bag="T2"))
    runs = [shot(shed.job, measured(bolt(1, at=(30 + 10 * n, 40))), mark=str(n)) for n in range(8)]
    where = f"{BUCKET}?" + "&".join(f"photo={run.pk}" for run in runs)
    client.get(where)
    for address in (f"{BUCKET}?photo={runs[0].pk}", where):
        with django_assert_max_num_queries(20):
            client.get(address)
