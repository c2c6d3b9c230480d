"""The page on which photographed pieces go into the books: once, into their bag and place."""

from __future__ import annotations

import pytest
from django.test import Client
from pytest_django.fixtures import DjangoAssertNumQueries, Settings

import hardware_for_tests as hardware
from hardware_for_tests import SMALL_TRAY as TRAY
from hardware_for_tests import bolt, measured, shot, washer
from runningfit.web.photos.hardware_forms import MOST_DRAWN
from runningfit.workshop.models import Bag, Lot, PhotoPiece, Place
from runningfit.workshop.photos.correcting import set_aside
from runningfit.workshop.photos.grouping import grouped
from runningfit.workshop.photos.hardware_reads import pieces_of
from runningfit.workshop.pieces.bags import make_bag
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand
from web.photos.hardware_pages import accept_form, at, page_of, told

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")
LAID = measured(
    bolt(1, at=(40, 30)),
    bolt(2, at=(120, 30)),
    bolt(3, at=(40, 60), length_mm=50.6),
    washer(4, at=(60, 100)),
)
LAID_ANEW = measured(
    bolt(1, at=(200, 140)),
    bolt(2, at=(60, 130), length_mm=50.9),
    washer(3, at=(150, 60)),
    bolt(4, at=(200, 30), length_mm=34.7),
)


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


def test_a_page_where_nothing_is_left_says_what_to_do(client: Client, job: Job) -> None:
    run = shot(job, measured(bolt(1, at=(40, 40))))
    set_aside(run=run, number=1, hand=ANN)
    page = page_of(client, at(job, f"/{run.pk}"))
    assert "Nothing is left to keep:" in page
    assert "Into the books" not in page


def test_the_lots_go_into_a_new_bag_and_their_place(client: Client, job: Job, place: Place) -> None:
    run = shot(job, TRAY)
    groups = {group.first.number: group for group in grouped(pieces_of(run))}
    page = page_of(client, at(job, f"/{run.pk}"))
    assert f'<option value="{place.pk}">cover bolts, Gear case (9 of 9 missing)</option>' in page
    form = accept_form(run, area="Gear case")
    form[f"n-{groups[4].key}"] = 3
    form[f"p-{groups[1].key}"] = place.pk
    del form[f"k-{groups[5].key}"]
    sent = client.post(at(job, f"/{run.pk}"), form)
    assert sent.status_code == 302
    bag = Bag.objects.get()
    lots = list(Lot.objects.order_by("number"))
    assert [(lot.kind, count_of(lot).bench, lot.bag, lot.place) for lot in lots] == [
        ("hex_bolt", 2, bag, place), ("hex_bolt", 1, bag, None), ("plain_washer", 3, bag, None),
    ]  # fmt: skip
    page = page_of(client, at(job, f"/{run.pk}"))
    assert f"Lots 1, 2, 3 are in the books, in bag {bag.code}." in page
    assert "Take this back" in page
    assert "This photo is in the books." in page_of(client, at(job, f"/{run.pk}/pieces/1"))
    lot = page_of(client, f"/jobs/{job.pk}/lots/1")
    assert f'src="/photos/{lots[0].photos.get().pk}/thumb"' in lot


def test_what_is_wrong_with_what_was_typed_loses_nothing(client: Client, job: Job) -> None:
    run = shot(job, TRAY)
    key = grouped(pieces_of(run))[0].key
    form = accept_form(run, other_bag="!!", area="Sump")
    form[f"n-{key}"] = ""
    page = client.post(at(job, f"/{run.pk}"), form)
    assert page.status_code == 400
    assert "Say how many, or take the tick away." in page.content.decode()
    assert 'value="Sump"' in page.content.decode()
    nothing = {name: value for name, value in accept_form(run).items() if not name.startswith("k-")}
    page = client.post(at(job, f"/{run.pk}"), nothing)
    assert "lots needs at least one line that is ticked" in page.content.decode()
    assert Lot.objects.count() == 0


def test_pieces_counted_before_are_refused_until_somebody_says_which_they_are(
    client: Client, job: Job
) -> None:
    first = shot(job, TRAY)
    client.post(at(job, f"/{first.pk}"), accept_form(first))
    second = shot(job, TRAY, mark="again")
    page = told(page_of(client, at(job, f"/{second.pk}")))
    assert (
        f"5 of these 5 pieces lie on the mat where pieces of the same size lay in hardware photo {first.pk}"
        in page
    )
    assert "They are the same ones: count nothing" in page
    lots = Lot.objects.count()
    refused = client.post(at(job, f"/{second.pk}"), accept_form(second, once="b"))
    assert "Nothing was counted." in refused.content.decode()
    same = client.post(at(job, f"/{second.pk}"), accept_form(second, once="c", twice="same"), follow=True)
    assert "Nothing was counted. The photo is kept" in same.content.decode()
    assert Lot.objects.count() == lots
    client.post(at(job, f"/{second.pk}"), accept_form(second, once="d", twice="others"))
    assert Lot.objects.count() == 2 * lots


def test_pieces_that_were_laid_out_anew_are_noticed_in_any_job(client: Client, job: Job) -> None:
    first = shot(job, LAID)
    client.post(at(job, f"/{first.pk}"), accept_form(first))
    other = open_job(name="Other", engine_name="Tern", hand=ANN)
    anew = shot(other, LAID_ANEW)
    page = told(page_of(client, at(other, f"/{anew.pk}")))
    assert f"4 of these 4 pieces are like the 4 of hardware photo {first.pk} of {job.name}" in page
    refused = client.post(at(other, f"/{anew.pk}"), accept_form(anew, once="b"))
    assert "Say below whether these are the same ones, or others." in refused.content.decode()
    assert Lot.objects.filter(job=other).count() == 0


def test_a_bag_whose_pieces_are_in_the_books_is_not_counted_twice(client: Client, job: Job) -> None:
    bag = make_bag(job=job, hand=ANN)
    out = shot(job, TRAY, bag=bag)
    assert "in the books already" not in page_of(client, at(job, f"/{out.pk}"))
    client.post(at(job, f"/{out.pk}"), accept_form(out, bag=bag.code))
    lots = Lot.objects.count()
    back = shot(job, measured(bolt(1, at=(200, 150), length_mm=70.0)), bag=bag)
    page = told(page_of(client, at(job, f"/{back.pk}")))
    assert f"Bag {bag.code} holds 5 pieces in the books already." in page
    refused = client.post(at(job, f"/{back.pk}"), accept_form(back, once="b", bag=bag.code))
    assert "They may be in the books already. Nothing was counted." in told(refused.content.decode())
    assert Lot.objects.count() == lots
    client.post(at(job, f"/{back.pk}"), accept_form(back, once="c", bag=bag.code, twice="others"))
    assert Lot.objects.count() == lots + 1


def test_the_next_shot_is_not_taken_for_the_bag_that_the_last_pieces_went_into(
    client: Client, job: Job
) -> None:
    run = shot(job, TRAY)
    client.post(at(job, f"/{run.pk}"), accept_form(run))
    assert "; out of bag" not in page_of(client, at(job))
    again = shot(job, measured(bolt(1, at=(40, 40), length_mm=70.0)))
    assert f'value="{Bag.objects.get().code}" checked' in page_of(client, at(job, f"/{again.pk}"))


def test_all_unsure_pieces_of_a_lot_are_left_as_they_are_in_one_press(client: Client, job: Job) -> None:
    run = shot(job, measured(*(bolt(n, at=(40, 20 * n), ask="Hold a caliper to it.") for n in range(1, 5))))
    page = told(page_of(client, at(job, f"/{run.pk}")))
    assert "4 to look at" in page
    assert "They are so" in page
    client.post(at(job, f"/{run.pk}/so"), {"piece": "1,2,3,4", "once": "a"})
    assert not PhotoPiece.objects.filter(settled=False).exists()
    wrong = client.post(at(job, f"/{run.pk}/so"), {"piece": "1,x", "once": "b"})
    assert "the piece needs the number of a piece in this photo" in wrong.content.decode()


def test_a_photo_of_150_pieces_asks_the_database_no_more_than_one_of_five(
    client: Client, job: Job, place: Place, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    many = measured(
        *(
            bolt(n, at=(20 + 15 * (n % 15), 30 + 12 * (n // 15)), ask="Look at it." if n % 3 else "")
            for n in range(1, 151)
        )
    )
    run = shot(job, many)
    few = shot(job, TRAY)
    for one in (run, few):
        page_of(client, at(job, f"/{one.pk}"))
        with django_assert_max_num_queries(16):
            page_of(client, at(job, f"/{one.pk}"))
    with django_assert_max_num_queries(16):
        page_of(client, at(job, f"/{run.pk}/pieces/7"))
    with django_assert_max_num_queries(10):
        page_of(client, at(job))


def test_a_photo_of_many_sorts_asks_the_database_no_more_than_one_of_few(
    client: Client, job: Job, place: Place, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    before = shot(job, LAID)
    client.post(at(job, f"/{before.pk}"), accept_form(before))
    spots = ((20 + 15 * (n % 15), 30 + 12 * (n // 15)) for n in range(60))
    many = measured(*(bolt(n + 1, at=at_mm, length_mm=10 + n, ask="?") for n, at_mm in enumerate(spots)))
    run = shot(job, many)
    page_of(client, at(job, f"/{run.pk}"))
    with django_assert_max_num_queries(18):
        page = page_of(client, at(job, f"/{run.pk}"))
    # The photo is drawn beside the first lots only: a phone has to draw it whole for each.
    assert page.count('class="lot-row') > 40
    assert page.count('class="cutout"') == MOST_DRAWN
