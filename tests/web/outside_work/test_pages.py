"""The pages of outside work as plain forms, without script."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client

from runningfit.workshop.outside_work.models import Consignment, CountBack, Discrepancy, PhoneCall
from runningfit.workshop.pieces.models import Lot
from workshop.outside_work.bucket import Shed, a_shed, back, counts, group, sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def fields_of(client: Client, url: str) -> dict[str, str]:
    """The fields that a browser would send back from the page's last count row form, hidden ones included."""
    form = client.get(url).context["form"]
    return {"state": form.outside.state, "finished": "yes"} | {f"n-{row.key}": "" for row in form.rows}


def key_of(client: Client, url: str, words: str) -> str:
    rows = client.get(url).context["form"].rows
    return str(next(row.key for row in rows if words in row.words))


def test_every_page_of_an_empty_shop_says_what_to_do_first(client: Client) -> None:
    for url, words in (
        ("/outside", "Nothing has gone out yet"),
        ("/outside/shops", "No outside shop yet"),
        ("/outside/discrepancies", "Nothing is open"),
        ("/outside/new", "To which shop?"),
    ):
        assert words in client.get(url).content.decode(), url


def test_a_job_without_lots_is_sent_to_strip_first(client: Client, shed: Shed) -> None:
    assert "No lots yet" in client.get(f"/jobs/{shed.job.pk}/send").content.decode()
    assert "Nothing is open" in client.get(f"/jobs/{shed.job.pk}/discrepancies").content.decode()


def test_many_lots_get_a_treatment_and_go_on_a_new_consignment(client: Client, shed: Shed) -> None:
    lots = [shed.lot(4, treatment=""), shed.nuts(6, treatment="")]
    ids = [lot.pk for lot in lots]
    answer = client.post(
        f"/jobs/{shed.job.pk}/send/treat", {"lot": ids, "treatment": "zinc_clear", "show": "undecided"}
    )
    assert answer.headers["Location"] == f"/jobs/{shed.job.pk}/send?show=undecided"
    page = client.post("/outside/new", {"lot": ids, "begin": "1"}).content.decode()
    assert f'name="count-{ids[0]}" value="4"' in page
    assert Consignment.objects.count() == 0
    answer = client.post(
        "/outside/new",
        {"lot": ids, "shop_name": "The plater", f"count-{ids[0]}": "3", f"count-{ids[1]}": "6"},
    )
    assert answer.headers["Location"] == "/outside/1"
    page = client.get("/outside/1").content.decode()
    assert "9 pieces of 2 lots" in page
    assert "hydrogen embrittlement" in page
    client.post("/outside/1/gone", {"sent_on": "2026-03-02", "due_on": "2026-03-20"})
    assert counts(lots[1]).outside == 6
    assert "9 of 9 out" in client.get("/outside/1").content.decode()
    assert "The plater, consignment 1" in client.get("/outside").content.decode()


def test_nothing_ticked_or_nothing_chosen_comes_back_with_a_sentence(client: Client, shed: Shed) -> None:
    lot = shed.lot(4, treatment="")
    url = f"/jobs/{shed.job.pk}/send/treat"
    assert "Tick the lots first." in client.post(url, {"treatment": "clean"}).content.decode()
    page = client.post(url, {"lot": [lot.pk], "treatment": "", "show": "undecided"}).content.decode()
    assert "Choose what is to be done with them." in page
    assert f'value="{lot.pk}" checked' in page


def test_a_call_takes_one_form(client: Client, shed: Shed) -> None:
    sent(shed.lot(4))
    assert "Call with The plater" in client.get("/outside/1/call").content.decode()
    client.post("/outside/1/call", {"said": "Tuesday", "price": "12.50", "new_due_on": "2026-05-01"})
    assert PhoneCall.objects.get().said == "Tuesday"
    assert Consignment.objects.get().quoted == Decimal("12.50")
    assert "needs a few words" in client.post("/outside/1/call", {"said": ""}).content.decode()


def test_all_here_is_one_tap_for_a_bag_and_the_next_bag_follows(client: Client, shed: Shed) -> None:
    first, second = shed.lot(4), shed.nuts(6, bag="T2")
    sent(first, second)
    url = "/outside/1/count-back"
    page = client.get(url)
    bag = page.context["chosen"]
    state = page.context["outside"].state
    answer = client.post(url, {"bag": bag, "state": state, "finished": "yes", "step": "all"})
    assert answer.headers["Location"] == url
    assert counts(first).bench == 4
    assert client.get(url).context["scope"].bag.code == "T2"
    answer = client.post(
        url, fields_of(client, url) | {"bag": client.get(url).context["chosen"], "step": "all"}
    )
    assert answer.headers["Location"] == "/outside/1"
    assert "accounted for" in client.get("/outside/1").content.decode()


def test_a_bag_that_is_short_shows_what_it_comes_to_before_it_is_kept(client: Client, shed: Shed) -> None:
    lot = shed.lot(4)
    sent(lot)
    url = "/outside/1/count-back"
    typed = fields_of(client, url) | {f"n-{key_of(client, url, '1 3/8')}": "3", "bag": str(shed.bag("T1").pk)}
    page = client.post(url, typed | {"step": "propose"}).content.decode()
    assert "1 hex bolt 5/16-24 UNF x 1 3/8 in short of 4 sent in bag T1 (lot 1)." in page
    assert CountBack.objects.count() == 0
    assert client.post(url, typed | {"step": "keep"}).headers["Location"] == "/outside/1"
    assert counts(lot).bench == 3


def test_a_bucket_that_came_in_parts_can_be_counted_again_before_keeping(client: Client, shed: Shed) -> None:
    lot = shed.lot(4)
    sent(lot)
    key = key_of(client, "/outside/1/bucket", "1 3/8")
    typed = fields_of(client, "/outside/1/bucket") | {f"n-{key}": "3", "finished": "no"}
    page = client.post("/outside/1/bucket", typed | {"step": "propose"}).content.decode()
    assert "more may still come" in page
    again = client.post("/outside/1/bucket", typed | {"step": "again"}).content.decode()
    assert 'value="3"' in again
    client.post("/outside/1/bucket", typed | {"step": "keep"})
    assert counts(lot).outside == 1
    assert Discrepancy.objects.count() == 0


def test_counts_that_are_none_come_back_with_what_was_typed(client: Client, shed: Shed) -> None:
    sent(shed.lot(4))
    key = key_of(client, "/outside/1/bucket", "1 3/8")
    for value, text in (
        ("-1", "greater than or equal to 0"),
        ("2.5", "Enter a whole number"),
        ("some", "Enter a whole number"),
    ):
        typed = fields_of(client, "/outside/1/bucket") | {f"n-{key}": value, "step": "propose"}
        page = client.post("/outside/1/bucket", typed).content.decode()
        assert text in page
        assert f'value="{value}"' in page
    typed = fields_of(client, "/outside/1/bucket") | {f"n-{key}": "2", f"d-{key}": "3", "step": "propose"}
    assert "damaged needs at most the 2 counted" in client.post("/outside/1/bucket", typed).content.decode()
    typed = fields_of(client, "/outside/1/bucket") | {"others": "some things", "step": "propose"}
    page = client.post("/outside/1/bucket", typed).content.decode()
    assert "others needs how many and what" in page
    assert "some things" in page


def test_a_count_begun_before_somebody_else_counted_is_not_kept(client: Client, shed: Shed) -> None:
    lot = shed.lot(4)
    consignment = sent(lot)
    key = key_of(client, "/outside/1/bucket", "1 3/8")
    typed = fields_of(client, "/outside/1/bucket") | {f"n-{key}": "4", "step": "keep"}
    back(consignment, group(lot, 1), finished=False)
    page = client.post("/outside/1/bucket", typed).content.decode()
    assert "Somebody counted back on consignment 1" in page
    assert counts(lot).bench == 1


def test_the_same_form_twice_keeps_once_and_says_so(client: Client, shed: Shed) -> None:
    lot = shed.lot(4)
    sent(lot)
    typed = fields_of(client, "/outside/1/bucket") | {"finished": "no", "step": "keep", "once": "a" * 32}
    typed[f"n-{key_of(client, '/outside/1/bucket', '1 3/8')}"] = "2"
    client.post("/outside/1/bucket", typed)
    answer = client.post("/outside/1/bucket", typed, follow=True)
    assert "nothing was done twice" in answer.content.decode()
    assert counts(lot).bench == 2


def test_a_discrepancy_is_closed_with_an_end_and_a_reason(client: Client, shed: Shed) -> None:
    lot = shed.lot(4)
    consignment = sent(lot)
    back(consignment, group(lot, 3))
    row = Discrepancy.objects.get()
    url = f"/outside/discrepancies/{row.pk}"
    assert "1 hex bolt" in client.get(f"/jobs/{shed.job.pk}/discrepancies").content.decode()
    assert "lost: count it as missing" in client.get(url).content.decode()
    assert "This field is required" in client.post(url, {"outcome": "lost", "why": ""}).content.decode()
    answer = client.post(url, {"outcome": "lost", "why": "not in the bath", "next": "/outside/discrepancies"})
    assert answer.headers["Location"] == "/outside/discrepancies"
    assert counts(lot).missing == 1
    assert "not in the bath" in client.get("/outside/discrepancies").content.decode()


def test_lots_are_put_on_and_taken_off_before_it_goes(client: Client, shed: Shed) -> None:
    lot = shed.lot(4)
    client.post("/outside/new", {"shop_name": "The plater"})
    client.post("/outside/1/add", {"lot": [lot.pk]})
    line = Consignment.objects.get().lines.get()
    client.post(f"/outside/1/lines/{line.pk}", {"must_not": "never blast", "price": "4.00"})
    page = client.get("/outside/1").content.decode()
    assert "never blast" in page
    assert "£4.00" in page
    client.post(f"/outside/1/lines/{line.pk}/off")
    assert "No lots on it yet" in client.get("/outside/1").content.decode()
    assert client.get(f"/outside/1/lines/{line.pk}").status_code == 404
    assert client.get("/outside/9").status_code == 404


def test_what_is_done_here_is_said_so(client: Client, shed: Shed) -> None:
    lot = shed.lot(4, treatment="derust")
    client.post(f"/jobs/{shed.job.pk}/send/done", {"lot": [lot.pk], "look": "none", "show": "here"})
    assert Lot.objects.get(pk=lot.pk).finish_received_look == "none"
    assert "done here" in client.get(f"/jobs/{shed.job.pk}/send?show=done").content.decode()


def test_shops_and_money_are_said_by_plain_forms(client: Client, shed: Shed) -> None:
    plater = sent(shed.lot(4)).shop
    client.post("/outside/shops", {"name": "The machine shop", "trade": "machining"})
    client.post(f"/outside/shops/{plater.pk}", {"name": "The plater", "phone": "01632 960 123"})
    assert "tel:01632 960 123" in client.get("/outside/1").content.decode()
    client.post("/outside/1/said", {"quoted": "80", "paid": "80", "asked": "same shade"})
    assert "£80.00 paid" in client.get("/outside/1").content.decode()


def test_the_note_comes_as_a_pdf(client: Client, shed: Shed) -> None:
    sent(shed.lot(4))
    answer = client.get("/outside/1/note.pdf")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
