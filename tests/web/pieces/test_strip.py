"""The first page of a job: say it, see it as understood, keep it; lots area by area."""

from __future__ import annotations

import pytest
from django.test import Client

from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.services import add_donor
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
LINE = "9 hex bolts 5/16-24 x inch and three eighths, clear, gear case, bag T1"


def keep(job: Job, line: str) -> None:
    keep_understood(job=job, line=understand_line(job=job, text=line), hand=ANN)


def test_an_empty_job_says_what_to_do_first(client: Client, job: Job) -> None:
    answer = client.get(f"/jobs/{job.pk}", follow=True)
    assert answer.redirect_chain == [(f"/jobs/{job.pk}/strip", 302)]
    assert b"Say the first lot in the line above" in answer.content


def test_a_line_is_shown_as_understood_while_it_is_typed_and_nothing_is_written(
    client: Client, job: Job
) -> None:
    before = Record.objects.count()
    answer = client.get(f"/jobs/{job.pk}/strip/look", {"line": LINE}).content.decode()
    assert "9 hex bolts" in answer
    assert "5/16-24 UNF" in answer
    assert "1 3/8 in (34.925 mm) under the head" in answer
    assert (Record.objects.count(), Lot.objects.count()) == (before, 0)


def test_a_line_not_yet_shown_is_shown_first_and_then_kept(client: Client, job: Job) -> None:
    first = client.post(f"/jobs/{job.pk}/strip/keep", {"line": LINE})
    assert (first.status_code, Lot.objects.count()) == (200, 0)
    assert f'name="shown" value="{LINE}"' in first.content.decode()
    second = client.post(f"/jobs/{job.pk}/strip/keep", {"line": LINE, "shown": LINE}, follow=True)
    assert b"Kept as lot 1." in second.content
    lot = Lot.objects.get()
    assert lot.bag is not None
    assert (lot.end_a, lot.length_nominal, lot.bag.code) == ("5/16-24 UNF", "1 3/8 in", "T1")


def test_the_same_form_sent_twice_keeps_one_lot(client: Client, job: Job) -> None:
    form = {"line": LINE, "shown": LINE, "once": "a" * 32}
    client.post(f"/jobs/{job.pk}/strip/keep", form)
    answer = client.post(f"/jobs/{job.pk}/strip/keep", form, follow=True)
    assert Lot.objects.count() == 1
    assert "nothing was done twice" in answer.content.decode()


def test_a_changed_line_is_shown_again_before_it_is_kept(client: Client, job: Job) -> None:
    client.post(f"/jobs/{job.pk}/strip/keep", {"line": LINE + ", worn", "shown": LINE})
    assert not Lot.objects.exists()


def test_an_open_thread_is_tapped_or_kept_open(client: Client, job: Job) -> None:
    line = "4 bolts 1/4-20 x 3/4"
    shown = client.get(f"/jobs/{job.pk}/strip/look", {"line": line, "end0": "1/4-20 BSW"}).content.decode()
    assert 'name="end0" value="1/4-20 BSW" checked' in shown
    client.post(f"/jobs/{job.pk}/strip/keep", {"line": line, "shown": line, "end0": ""})
    client.post(f"/jobs/{job.pk}/strip/keep", {"line": line, "shown": line, "end0": "1/4-20 BSW"})
    assert [lot.end_a for lot in Lot.objects.order_by("number")] == ["1/4-20 UNC|1/4-20 BSW", "1/4-20 BSW"]
    assert [len(lot.questions) for lot in Lot.objects.order_by("number")] == [1, 0]


def test_a_missing_count_is_asked_in_place_and_nothing_typed_is_lost(client: Client, job: Job) -> None:
    line = "bolts 1/4-20 x 1.3/8 gear case"
    page = client.post(f"/jobs/{job.pk}/strip/keep", {"line": line, "shown": line}).content.decode()
    assert "How many are there?" in page
    assert f'value="{line}"' in page
    assert "The length can be read in two ways" in page
    form = {"line": line, "shown": line, "count": "6", "length": "1 3/8 in (34.925 mm)"}
    client.post(f"/jobs/{job.pk}/strip/keep", form)
    assert Lot.objects.get().length_nominal == "1 3/8 in"


@pytest.mark.parametrize("count", ["-4", "0", "some", "2.5"])
def test_a_count_that_is_none_is_refused_beside_its_field(client: Client, job: Job, count: str) -> None:
    line = "bolts 5/16-24 x 1"
    page = client.post(f"/jobs/{job.pk}/strip/keep", {"line": line, "shown": line, "count": count})
    assert (page.status_code, Lot.objects.count()) == (200, 0)
    assert b'class="wrong"' in page.content


def test_the_engine_said_last_is_offered_again(client: Client, job: Job) -> None:
    donor = add_donor(job=job, name="Barge", hand=ANN)
    client.post(f"/jobs/{job.pk}/strip/keep", {"line": LINE, "shown": LINE, "origin": donor.pk})
    assert Lot.objects.get().origin == donor
    page = client.get(f"/jobs/{job.pk}/strip").content.decode()
    assert f'<option value="{donor.pk}" selected>Barge</option>' in page


def test_lots_stand_area_by_area_and_pages_follow_without_gap_or_double(client: Client, job: Job) -> None:
    for number in range(1, 131):
        keep(job, f"{number} hex bolts 5/16-24 x 1, {'gear case' if number % 2 else 'oil tray'}")
    first = client.get(f"/jobs/{job.pk}/strip")
    pages = [first.context["lots"]]
    while pages[-1].after:
        answer = client.get(f"/jobs/{job.pk}/strip", {"after": pages[-1].after})
        pages.append(answer.context["lots"])
    numbers = [line.lot.number for page in pages for section in page.sections for line in section.lines]
    assert (len(numbers), len(set(numbers)), len(pages)) == (130, 130, 3)
    assert [section.area.name for section in pages[1].sections] == ["gear case", "oil tray"]


def test_lots_are_narrowed_to_an_area_or_a_bag(client: Client, job: Job) -> None:
    keep(job, LINE)
    keep(job, "6 studs 5/16-18/24 x 2 1/4, cylinder head, bag T2")
    lot = Lot.objects.get(number=2)
    for narrowed in ({"area": str(lot.area_id)}, {"bag": "T2"}):
        sections = client.get(f"/jobs/{job.pk}/strip", narrowed).context["lots"].sections
        assert [line.lot.number for section in sections for line in section.lines] == [2]


def test_the_page_asks_few_questions_of_the_database_however_many_lots(
    client: Client, job: Job, django_assert_max_num_queries: object
) -> None:
    for number in range(60):
        keep(job, f"{number + 1} hex bolts 5/16-24 x 1, area {number % 5} case, bag T{number}")
    with django_assert_max_num_queries(30):  # type: ignore[operator]
        client.get(f"/jobs/{job.pk}/strip")


def test_a_job_that_is_not_there_says_so(client: Client, db: None) -> None:
    answer = client.get("/jobs/999/strip")
    assert (answer.status_code, b"There is no job 999" in answer.content) == (404, True)


def test_an_engine_is_changed_from_the_first_page(client: Client, job: Job) -> None:
    engine = job.engines.get()
    form = {"engine_name": "Tern II", "built_from": "1960-01-01", "built_to": "1959-01-01"}
    refused = client.post(f"/jobs/{job.pk}/engines/{engine.pk}", form)
    assert b"built_to needs a date not before" in refused.content
    client.post(f"/jobs/{job.pk}/engines/{engine.pk}", form | {"built_to": "1960-06-01"})
    engine.refresh_from_db()
    assert engine.name == "Tern II"
    assert client.get(f"/jobs/{job.pk}/engines/99999").status_code == 404
