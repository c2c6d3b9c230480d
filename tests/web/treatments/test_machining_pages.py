"""The pages of machining: the choice in words and money, the decision, the order, what came back."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from printed_papers import words_of
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.treatments.machining.choosing import Choice
from runningfit.web.treatments.machining_saying import besides
from runningfit.workshop.measurements.inspecting import SaidOfInspection, want_inspection
from runningfit.workshop.measurements.sets import SaidLimit, SaidOfSet, add_limit, add_set
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import (
    Consignment,
    FeatureSet,
    Job,
    MachiningDecision,
    MachiningOperation,
    MachiningPlan,
)
from runningfit.workshop.outside_work.services import send
from runningfit.workshop.records.services import close_job, say_shop
from runningfit.workshop.treatments.machining import decide_step, make_order, say_machining
from runningfit.workshop.treatments.machining_choice import machining_choice
from workshop.treatments.worn_engine import ANN, JOURNALS_SAID, SAID, features, journals_of, read, worn

pytestmark = pytest.mark.django_db
# What a person types into the form of the plan.
TYPED = {
    "steps": "0.25, 0.50, 0.75, 1.00 mm", "parts": "180, 180, 195, 195", "hone": "0.05 mm", "axis": "worn",
    "price_each": "45", "price_visit": "30", "last_resort": "a liner", "price_last_resort": "260",
    "tolerance": "0.010 mm",
}  # fmt: skip


@pytest.fixture
def bores(job: Job) -> FeatureSet:
    say_shop(hand=ANN, unit="mm")
    return worn(job)


def page(bores: FeatureSet, act: str = "") -> str:
    return f"/jobs/{bores.job_id}/measure/sets/{bores.pk}/machining{act}"


def seen(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def planned(bores: FeatureSet) -> None:
    say_machining(feature_set=bores, said=SAID, hand=ANN)


def decided(bores: FeatureSet, step: float = 0.25) -> None:
    planned(bores)
    steps = dict.fromkeys([one.pk for one in features(bores)], step)
    decide_step(feature_set=bores, steps=steps, hand=ANN.because("as computed"))


def ordered(bores: FeatureSet) -> Consignment:
    decided(bores)
    return make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="cylinder block")


def test_a_set_without_a_plan_asks_for_its_steps(client: Client, bores: FeatureSet) -> None:
    said = seen(client, page(bores))
    assert "Nobody said which steps can be had." in said
    assert "Oversizes that can be had" in said
    answer = client.post(page(bores, "/said"), TYPED)
    assert answer.status_code == 302
    assert MachiningPlan.objects.get().typed["hone"] == "0.05 mm"


def test_what_is_typed_wrongly_stays_and_is_named_at_its_field(client: Client, bores: FeatureSet) -> None:
    answer = client.post(page(bores, "/said"), {**TYPED, "parts": "180, 195", "surface": "cross-hatch"})
    assert answer.status_code == 400
    said = answer.content.decode()
    assert "one price for all steps, or 4" in said
    assert 'value="180, 195"' in said
    assert 'value="cross-hatch"' in said


def test_the_recommendation_is_one_sentence_with_its_money(client: Client, bores: FeatureSet) -> None:
    planned(bores)
    said = seen(client, page(bores))
    assert re.search(r"Start at 0\.25 mm over: £9\d\d on average with all that may follow\.", said)
    assert "recommended" in said
    assert "Second best: 0.50 mm, dearer by £" in said
    assert "go on to 0.50 mm" in said
    assert "a liner" in said
    # Four steps, each with a drawn chance for all and for each of the four.
    assert client.get(page(bores)).content.decode().count('<svg class="chance"') == 4 * 5


@pytest.mark.parametrize(
    ("price", "advised", "worth"),
    [
        ("1", True, r"To find the old axis first is worth £[\d,]+ on average: do it first\."),
        (None, True, r"To find the old axis first is worth £[\d,]+ on average; nobody said what it costs\."),
        (
            "500",
            False,
            r"To find the old axis first is worth £[\d,]+ on average, not worth its price: cut with",
        ),
    ],
)
def test_the_reading_that_closes_an_open_range_is_advised_where_it_is_worth_its_price(
    client: Client, job: Job, price: str | None, advised: bool, worth: str
) -> None:
    deep = worn(job)
    priced = None if price is None else Decimal(price)
    say_machining(feature_set=deep, said=replace(SAID, axis="original", price_reading=priced), hand=ANN)
    said = seen(client, page(deep))
    assert ("Read the radius to both sides of the worst place from the unworn rim" in said) is advised
    assert re.search(worth, said)
    assert re.search(r"\d+ % \((&lt;1|\d+) to (&gt;99|\d+) %\)", said)


def test_deciding_with_the_computation_needs_no_reason_and_against_it_one(
    client: Client, bores: FeatureSet
) -> None:
    planned(bores)
    answer = client.post(page(bores, "/decide"), {"step": "0.5"})
    assert answer.status_code == 400
    assert "a reason against the computation" in answer.content.decode()
    assert 'value="0.5" checked' in answer.content.decode()
    assert client.post(page(bores, "/decide"), {"step": "0.25"}).status_code == 302
    assert client.post(page(bores, "/decide"), {"step": "0.5", "why": "in the drawer"}).status_code == 302
    assert [row.why for row in MachiningDecision.objects.order_by("pk")] == ["", "in the drawer"]
    said = seen(client, page(bores))
    assert "decided 0.50 mm over" in said
    assert "Computed then: 0.25 mm over" in said


def test_each_may_be_decided_by_itself_where_the_plan_says_so(client: Client, bores: FeatureSet) -> None:
    say_machining(feature_set=bores, said=replace(SAID, own_step_each=True), hand=ANN)
    keys = [f"step-{one.pk}" for one in features(bores)]
    answer = client.post(page(bores, "/decide"), {**dict.fromkeys(keys, "0.25"), keys[2]: "0.5", "why": "x"})
    assert answer.status_code == 302
    assert sorted(MachiningDecision.objects.get().steps.values()) == [0.25, 0.25, 0.25, 0.5]
    assert "1, 2, 4: 0.25 mm over; 3: 0.50 mm over" in seen(client, page(bores))


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        ({"due_on": "soon"}, "Promised for needs a day, such as "),
        ({"due_on": "2020-01-01"}, "due on needs today or a day to come; &#x27;1 Jan 2020&#x27; came."),
        ({"quoted": "-5"}, "Quoted for all of it needs an amount from 0, such as 420 or 420.50; -5 came."),
        ({"quoted": "1,200"}, "such as 420 or 420.50; 1,200 came. Leave the commas"),
        ({"quoted": "99999999999999"}, "such as 420 or 420.50; 99999999999999 came."),
        ({"shop_name": ""}, "shop name needs the machine shop that it goes to; nothing came."),
        ({"piece": ""}, "piece needs what carries them"),
        ({"consignment": "77"}, "Goes with needs a consignment that has not gone yet; 77 came."),
    ],
)
def test_a_bad_order_is_named_at_its_field_and_what_was_typed_stays(
    client: Client, bores: FeatureSet, bad: dict[str, str], said: str
) -> None:
    decided(bores)
    due = f"{timezone.localdate() + dt.timedelta(days=14):%Y-%m-%d}"
    good = {"shop_name": "Hillside", "piece": "cylinder block", "due_on": due, "quoted": "420.50"}
    answer = client.post(page(bores, "/order"), {**good, **bad})
    assert answer.status_code == 400
    shown = answer.content.decode()
    assert said in shown
    assert not MachiningOperation.objects.exists()
    for name, value in {**good, **bad}.items():
        if value and name != "consignment":
            assert re.search(rf'name="{name}"[^>]*value="{re.escape(value)}"', shown), name
    assert client.post(page(bores, "/order"), good).status_code == 302


def test_single_ones_may_be_left_as_they_are(client: Client, bores: FeatureSet) -> None:
    planned(bores)
    assert "To leave single ones as they are" in seen(client, page(bores))
    assert "leave it as it is" not in seen(client, page(bores))
    say_machining(feature_set=bores, said=replace(SAID, own_step_each=True), hand=ANN)
    computed = machining_choice(bores).recommended
    sent = {f"step-{key}": f"{step:g}" for key, step in computed.items()}
    sent[f"step-{features(bores)[3].pk}"] = "0"
    # Nobody typed a limit: that it may stay is not shown, so it needs a word.
    answer = client.post(page(bores, "/decide"), sent)
    assert answer.status_code == 400
    said = answer.content.decode()
    assert "4 would be left as it is, and it is not proven." in said
    assert '<option value="0" selected>leave it as it is</option>' in said
    wear = SaidLimit("size", "wear", None, TypedNumber(79.7, "79.7 mm"), "manual", "p. 31")
    add_limit(feature_set=bores, said=wear, hand=ANN)
    # By the wear limit it is sound: no word is needed any more.
    assert client.post(page(bores, "/decide"), sent).status_code == 302
    assert re.search(r"3: 0\.\d\d mm over; 4: left as it is", seen(client, page(bores)))
    order = {"shop_name": "Hillside", "piece": "cylinder block"}
    assert client.post(page(bores, "/order"), order).status_code == 302
    assert [row.feature.name for row in MachiningOperation.objects.order_by("feature__position")] == [
        "1", "2", "3",
    ]  # fmt: skip
    number = Consignment.objects.get().number
    words = words_of(client.get(f"/outside/{number}/machine-sheet.pdf").content)
    assert re.search(r"leave as it is\s+No. 4", words)


def test_where_all_are_left_there_is_nothing_to_order(client: Client, bores: FeatureSet) -> None:
    say_machining(feature_set=bores, said=replace(SAID, own_step_each=True), hand=ANN)
    sent = {f"step-{one.pk}": "0" for one in features(bores)}
    assert client.post(page(bores, "/decide"), {**sent, "why": "it is sold as it is"}).status_code == 302
    said = seen(client, page(bores))
    assert "left as it is" in said
    assert "Order it" not in said
    answer = client.post(page(bores, "/order"), {"shop_name": "Hillside", "piece": "cylinder block"})
    assert answer.status_code == 400
    assert "there is nothing to order" in answer.content.decode()


def test_what_came_back_right_is_left_as_it_is_the_next_time(client: Client, bores: FeatureSet) -> None:
    say_machining(feature_set=bores, said=replace(SAID, own_step_each=True), hand=ANN)
    steps = dict.fromkeys([one.pk for one in features(bores)], 0.25)
    decide_step(feature_set=bores, steps=steps, hand=ANN.because("as computed"))
    went = make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="cylinder block")
    send(consignment=went, hand=ANN)
    right, short = [79.625] * 6, [79.60] * 6
    read(bores, [right, right, right, short], round=1, token="back")
    said = client.get(page(bores)).content.decode()
    assert said.count('<option value="0" selected>leave it as it is</option>') == 3


def test_money_below_a_pound_is_no_nought(bores: FeatureSet) -> None:
    say_machining(
        feature_set=bores, said=replace(SAID, axis="original", price_reading=SAID.price_visit), hand=ANN
    )
    choice = machining_choice(bores)
    assert isinstance(choice.choice, Choice)
    little = replace(choice, choice=replace(choice.choice, side_worth=0.3, dearer_by=0.2))
    said = " ".join(besides(little, "£"))
    assert "is worth less than £1 on average" in said
    assert "dearer by less than £1" in said
    assert "is worth £7 on average" in " ".join(
        besides(replace(choice, choice=replace(choice.choice, side_worth=7.2)), "£")
    )


def test_a_decision_on_other_readings_says_so_and_cannot_be_ordered(
    client: Client, bores: FeatureSet
) -> None:
    decided(bores)
    assert "Order it" in seen(client, page(bores))
    read(bores, [[79.6] * 6] * 4, token="again", only=(1,))
    said = seen(client, page(bores))
    assert "This decision was made on other readings." in said
    assert "Order it" not in said


def test_from_the_decision_to_the_sheet(client: Client, bores: FeatureSet) -> None:
    decided(bores)
    said = seen(client, page(bores))
    assert "79.625 mm" in said
    assert "79.615 to 79.635 mm" in said
    form = {"shop_name": "Hillside", "piece": "cylinder block", "quoted": "210", "due_on": "2030-05-01"}
    answer = client.post(page(bores, "/order"), form, follow=True)
    assert answer.redirect_chain[-1][0] == f"/jobs/{bores.job_id}/machining"
    orders = seen(client, f"/jobs/{bores.job_id}/machining")
    for part in ("Consignment 1: Hillside", "not gone yet", "£210.00", "1 May 2030", "Cylinder bores",
                 "bore and hone, 0.25 mm over", "not gone"):  # fmt: skip
        assert part in orders, part
    assert "Machine-shop sheet" in seen(client, "/outside/1")
    paper = client.get("/outside/1/machine-sheet.pdf")
    assert paper["Content-Type"] == "application/pdf"
    assert "79.615 to 79.635 mm" in words_of(paper.content)
    assert "ordered consignment 1, Hillside" in seen(client, page(bores))


def test_an_open_test_is_named_and_needs_a_reason(client: Client, bores: FeatureSet) -> None:
    decided(bores)
    want_inspection(
        job=bores.job, said=SaidOfInspection("crack_test", "cylinder block", gates="machining"), hand=ANN
    )
    assert "Machining waits for a test: cylinder block" in seen(client, page(bores))
    form = {"shop_name": "Hillside", "piece": "cylinder block"}
    answer = client.post(page(bores, "/order"), form)
    assert answer.status_code == 400
    assert "a reason to order before the test" in answer.content.decode()
    assert client.post(page(bores, "/order"), {**form, "why": "tested there"}).status_code == 302
    assert "tested there" in seen(client, f"/jobs/{bores.job_id}/machining")


def test_what_came_back_is_judged_and_marks_are_said(client: Client, bores: FeatureSet) -> None:
    made = ordered(bores)
    send(consignment=made, hand=ANN)
    orders = f"/jobs/{bores.job_id}/machining"
    assert "outside" in seen(client, orders)
    assert f"sets/{bores.pk}?round=1" in client.get(orders).content.decode()
    rows = list(MachiningOperation.objects.order_by("feature__position"))
    read(bores, [[row.target_mm + (0.04 if place == 1 else 0.0)] * 6 for place, row in enumerate(rows)],
         round=1, token="back")  # fmt: skip
    prefix = f"set-{bores.pk}-1"
    answer = client.post(
        f"{orders}/{made.number}/sets/{bores.pk}",
        {f"{prefix}-done_on": "2026-02-01", f"{prefix}-marks_left": [str(rows[3].pk)],
         f"{prefix}-came_with": "4 dark at the top"},
    )  # fmt: skip
    assert answer.status_code == 302
    said = seen(client, orders)
    for part in ("within", "outside its limits", "not cleaned up", "Marks are left", "Too much was taken off",
                 "4 dark at the top"):  # fmt: skip
        assert part in said, part
    answer = client.post(f"{orders}/{made.number}/sets/{bores.pk}", {f"{prefix}-done_on": "2999-01-01"})
    assert answer.status_code == 400
    assert "a day that has been" in answer.content.decode()
    assert client.post(f"{orders}/99/sets/{bores.pk}", {}).status_code == 404


def test_a_closed_job_shows_all_and_keeps_nothing(client: Client, bores: FeatureSet) -> None:
    decided(bores)
    close_job(job=bores.job, hand=ANN)
    assert "Start at 0.25 mm" in seen(client, page(bores))
    answer = client.post(page(bores, "/order"), {"shop_name": "Hillside", "piece": "block"})
    assert answer.status_code == 400
    assert "closed" in answer.content.decode()
    assert not Consignment.objects.exists()


def test_a_face_says_that_it_is_not_machined_to_a_step(client: Client, job: Job) -> None:
    said = SaidOfSet("deck", FeatureKind.FACE, ("deck",), Pattern((0.0, 50.0), (0.0, 50.0)))
    deck = add_set(job=job, engine=None, said=said, hand=ANN)
    assert "Only bores and journals" in seen(client, page(deck))
    assert client.post(page(deck, "/said"), TYPED).status_code == 400


def test_an_empty_sheet_of_orders_says_what_to_do(client: Client, job: Job) -> None:
    assert "Nothing is ordered yet." in seen(client, f"/jobs/{job.pk}/machining")
    mains = journals_of(job)
    assert "Main journals" in seen(client, f"/jobs/{job.pk}/machining")
    say_machining(feature_set=mains, said=JOURNALS_SAID, hand=ANN)
    assert "under" in seen(client, page(mains))


def test_the_pages_ask_few_questions_of_the_database(client: Client, bores: FeatureSet) -> None:
    decided(bores)
    for path, most in ((page(bores), 30), (f"/jobs/{bores.job_id}/machining", 16)):
        client.get(path)
        with CaptureQueriesContext(connection) as asked:
            client.get(path)
        assert len(asked) <= most, [query["sql"][:200] for query in asked]
    ordered_page = f"/jobs/{bores.job_id}/machining"
    make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="cylinder block")
    with CaptureQueriesContext(connection) as asked:
        client.get(ordered_page)
    assert len(asked) <= 22, [query["sql"][:200] for query in asked]
