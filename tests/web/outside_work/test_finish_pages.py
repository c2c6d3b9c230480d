"""Pages on which one says which finish came back: of a whole consignment, or of one lot."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from runningfit.core.pieces.finishes import FinishLook
from runningfit.workshop.joints.facts import finish_received
from runningfit.workshop.models import Discrepancy, Lot, Record
from web.joints.judged_shop import text_of
from workshop.outside_work.bucket import Shed, a_shed, back, group, sent

pytestmark = pytest.mark.django_db
PAGE = "/outside/1/finish"


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def came_back(shed: Shed) -> tuple[Lot, Lot]:
    """Nuts of two threads, asked cadmium, came yellow."""
    first, second = shed.nuts(6, treatment="cadmium"), shed.nuts(3, treatment="cadmium", thread="1/4-28 UNF")
    yellow = FinishLook.YELLOW
    back(sent(first, second), group(first, 6, look=yellow), group(second, 3, look=yellow))
    return Lot.objects.get(pk=first.pk), Lot.objects.get(pk=second.pk)


def worn(lot: Lot) -> str:
    return finish_received(Lot.objects.get(pk=lot.pk))


def test_a_consignment_that_came_back_asks_which_finish_came(client: Client, shed: Shed) -> None:
    lots = came_back(shed)
    page = client.get("/outside/1")
    assert "Of 2 lots nobody confirmed it" in text_of(page)
    assert PAGE in page.content.decode()
    form = client.get(PAGE)
    said = text_of(form)
    assert said.count("asked electroplate cadmium, yellow") == 2
    assert said.count("counted as yellow") == 2
    assert said.count("not confirmed") == 2
    assert form.content.decode().count(" checked") == 2

    sent_back = {"lot": [lots[0].pk], "process": "zinc", "how": "asked by phone", "said": "Odette"}
    answer = client.post(PAGE, sent_back, follow=True)
    assert answer.redirect_chain == [("/outside/1", 302)]
    said = text_of(answer)
    assert "It is not the finish that was asked for" in said
    assert "zinc came; electroplate cadmium, yellow was asked" in said
    assert "finish not as asked" in said
    assert "Of 1 lot nobody confirmed it" in said
    assert "electroplate cadmium, yellow confirmed zinc" in said
    assert (worn(lots[0]), worn(lots[1])) == ("zinc", "")
    assert Record.objects.latest("pk").why == "asked by phone: Odette"
    assert "zinc, confirmed" in text_of(client.get(PAGE))

    answer = client.post(
        PAGE, {"lot": [lots[1].pk], "process": "cadmium", "how": "a test of it"}, follow=True
    )
    assert "not the finish that was asked" not in text_of(answer)
    assert "nobody confirmed it" not in text_of(answer)
    assert "Finish that came" in text_of(answer)
    assert Discrepancy.objects.count() == 1


def test_nothing_is_kept_that_nobody_knows_and_nothing_typed_is_lost(client: Client, shed: Shed) -> None:
    lot, _ = came_back(shed)
    whole = {"lot": [lot.pk], "process": "zinc", "how": "otherwise", "said": "he told me"}
    for name, empty, wrong in (
        ("lot", [], "Tick the lots first."),
        ("process", "", "the colour does not tell"),
        ("how", "", "nobody can see a process"),
        ("said", " ", "Say how it is known"),
    ):
        answer = client.post(PAGE, {**whole, name: empty})
        assert wrong in text_of(answer), name
        if name != "said":
            assert 'value="he told me"' in answer.content.decode()
    stranger = shed.nuts(2, treatment="", thread="1/4-20 UNC")
    answer = client.post(PAGE, {**whole, "lot": [stranger.pk]})
    assert answer.status_code == 200
    assert worn(lot) == ""
    client.post(PAGE, whole)
    assert worn(lot) == "zinc"
    assert Record.objects.latest("pk").why == "he told me"


def test_bare_metal_is_said_without_a_process(client: Client, shed: Shed) -> None:
    lot, _ = came_back(shed)
    client.post(PAGE, {"lot": [lot.pk], "process": "bare", "how": "a test of it", "look": "yellow"})
    assert worn(lot) == "plain"


def test_one_lot_is_confirmed_from_its_own_page_and_leads_back_to_its_verdict(
    client: Client, shed: Shed
) -> None:
    lot, _ = came_back(shed)
    address = reverse("lot_finish", args=[shed.job.pk, lot.number])
    assert address in client.get(reverse("lot", args=[shed.job.pk, lot.number])).content.decode()
    answer = client.post(address, {"lot": [lot.pk], "process": "cadmium", "how": "the plater's paper"})
    assert answer.headers["Location"] == reverse("lot_joint", args=[shed.job.pk, lot.number])
    assert worn(lot) == "cadmium"
    page = text_of(client.get(reverse("lot", args=[shed.job.pk, lot.number])))
    assert "came back yellow, confirmed: cadmium" in page


def test_pages_ask_few_questions_whatever_the_number_of_lots(client: Client, shed: Shed) -> None:
    lots = [shed.nuts(2, treatment="cadmium", bag=f"N{number}") for number in range(20)]
    back(sent(*lots), group(lots[0], 40, look=FinishLook.YELLOW))
    for where, most in ((PAGE, 14), ("/outside/1", 18)):
        assert client.get(where).status_code == 200
        with CaptureQueriesContext(connection) as asked:
            client.get(where)
        assert len(asked) <= most, where
    assert text_of(client.get(PAGE)).count("not confirmed") == 20


def test_what_is_still_out_cannot_be_confirmed_yet(client: Client, shed: Shed) -> None:
    lot = shed.nuts(6, treatment="cadmium")
    sent(lot)
    assert "Nothing to confirm" in text_of(client.get(PAGE))
    address = reverse("lot_finish", args=[shed.job.pk, lot.number])
    assert "still to be treated, or still outside" in text_of(client.get(address))
    answer = client.post(address, {"lot": [lot.pk], "process": "cadmium", "how": "asked by phone"})
    assert answer.status_code in (200, 409)
    assert worn(lot) == ""
