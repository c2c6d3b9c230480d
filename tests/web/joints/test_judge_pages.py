"""The judge pages: what needs a person first, narrowed, a page at a time; the joint, and what is decided."""

from __future__ import annotations

import re
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.units import LengthUnit
from runningfit.core.units.said_torques import torques_in_both
from runningfit.core.verdicts import Outcome
from runningfit.web.joints.listing import A_PAGE
from runningfit.workshop.joints.models import JointDecision, KnownOfLot
from runningfit.workshop.joints.queries import judged_joint
from runningfit.workshop.joints.reading import SaidOfLot
from runningfit.workshop.joints.services import decide, say_of_lot, say_of_place
from runningfit.workshop.models import Area, Job, Lot, Place, Record, Shop
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.lots import change_lot
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.writing import Hand
from web.joints.judged_shop import ANN, SOUND, a_lot, a_place, text_of

pytestmark = pytest.mark.django_db


def judge(client: Client, job: Job, **asked: str | int) -> str:
    return text_of(client.get(reverse("judge", args=[job.pk]), asked))


def shown(client: Client, lot: Lot) -> str:
    """The verdict that the page of a joint carries in its form."""
    page = client.get(reverse("lot_joint", args=[lot.job_id, lot.number])).content.decode()
    (verdict,) = re.findall(r'name="verdict" value="([^"]+)"', page)
    return unescape(verdict)


def test_what_needs_a_person_stands_before_what_is_only_not_proven(
    client: Client, job: Job, lot: Lot, washers: Lot
) -> None:
    page = judge(client, job)
    order = [
        page.index(words)
        for words in ("Before anything is sent", "spring washers", "One more fact", "pump to case")
    ]
    assert order == sorted(order)
    assert "gear case" in page
    assert f"lot {lot.number}" in page


def test_a_place_without_a_lot_is_listed_and_has_its_page(client: Client, job: Job, place: Place) -> None:
    assert "no lot yet" in judge(client, job)
    page = text_of(client.get(reverse("place_joint", args=[job.pk, place.pk])))
    assert "pump to case" in page
    assert "no lot yet" in page
    assert "Decide" not in page


def test_a_place_with_one_lot_leads_to_it_and_with_two_shows_both(
    client: Client, job: Job, place: Place, lot: Lot
) -> None:
    address = reverse("place_joint", args=[job.pk, place.pk])
    assert client.get(address).headers["Location"] == reverse("lot_joint", args=[job.pk, lot.number])
    other = a_lot(job, place, count=1)
    page = text_of(client.get(address))
    assert f"lot {lot.number}" in page
    assert f"lot {other.number}" in page
    assert "filled by 2 lots" in page


def test_the_list_is_narrowed_by_area_by_question_and_by_group(
    client: Client, job: Job, lot: Lot, washers: Lot
) -> None:
    a_place(job, "dynamo strap", area="dynamo")
    dynamo = Area.objects.get(name="dynamo")
    narrowed = judge(client, job, area=dynamo.pk)
    assert ("dynamo strap" in narrowed, "pump to case" in narrowed) == (True, False)
    # An area is judged with its parts, and leads there.
    engine = Area.objects.create(job=job, name="electrics")
    Area.objects.filter(pk=dynamo.pk).update(parent=engine)
    whole = judge(client, job, area=engine.pk)
    assert ("dynamo strap" in whole, "pump to case" in whole) == (True, False)
    led = client.get(reverse("area", args=[job.pk, dynamo.pk])).content.decode()
    assert f"{reverse('judge', args=[job.pk])}?area={dynamo.pk}" in led
    asked = judge(client, job, question=Question.HYDROGEN.value)
    assert ("spring washers" in asked, "pump to case" in asked) == (True, False)
    needs = judge(client, job, group="needs")
    assert ("spring washers" in needs, "pump to case" in needs) == (True, False)
    for wrong in ({"area": "x"}, {"question": "why"}, {"group": "x"}, {"from": "-1"}, {"area": "9" * 40}):
        assert "pump to case" in judge(client, job, **wrong)


def test_a_large_job_is_paged_and_no_joint_is_lost_or_shown_twice(client: Client, job: Job) -> None:
    for number in range(A_PAGE + 7):
        a_place(job, f"hole {number:03}")
    address = reverse("judge", args=[job.pk])
    first = client.get(address).content.decode()
    (following,) = re.findall(r'href="(\?[^"]+)">The next joints', first)
    second = client.get(address + unescape(following)).content.decode()
    shown = [set(re.findall(r">hole (\d{3})<", page)) for page in (first, second)]
    assert [len(page) for page in shown] == [A_PAGE, 7]
    assert not shown[0] & shown[1]
    assert "The joints before" in second
    assert "The next joints" not in second


def test_a_job_without_threads_says_what_will_be_judged(client: Client, job: Job) -> None:
    assert "No threaded joint yet" in judge(client, job)


def test_the_page_of_a_joint_shows_drawing_checks_reasons_torque_and_the_ways_to_say_more(
    client: Client, job: Job, place: Place, lot: Lot
) -> None:
    say_of_place(place=place, said=SOUND, hand=ANN)
    say_of_lot(lot=lot, said=SaidOfLot(head_marking="3 radial lines", looks_sound=True), hand=ANN)
    answer = client.get(reverse("lot_joint", args=[job.pk, lot.number]))
    one = judged_joint(Place.objects.get(), Lot.objects.get())
    page = text_of(answer)
    assert torques_in_both(one.judgement.says, LengthUnit.INCH) in page
    for check in one.judgement.checks:
        assert torques_in_both(check.says, LengthUnit.INCH) in page
        for reason in check.verdict.reasons:
            assert torques_in_both(reason.text, LengthUnit.INCH) in page
            assert reason.source in page
    assert "15 lbf ft" in page
    assert "manual p. 12" in page
    assert 'aria-label="3/8-16 UNC in section: under the head' in answer.content.decode()
    for name, number in (("say_lot", lot.number), ("say_place", place.pk), ("lot", lot.number)):
        assert reverse(name, args=[job.pk, number]) in answer.content.decode()


@pytest.mark.parametrize(("unit", "said"), [("in", "15 lbf ft (20.3 N m)"), ("mm", "20.3 N m (15 lbf ft)")])
def test_the_joint_s_page_says_a_torque_in_the_shop_s_unit_with_the_other_beside(
    client: Client, job: Job, place: Place, lot: Lot, unit: str, said: str
) -> None:
    """1 lbf ft is 1.35582 N m (NIST SP 811, appendix B.8)."""
    Shop.objects.update_or_create(defaults={"unit": unit})
    say_of_place(place=place, said=SOUND, hand=ANN)
    page = text_of(client.get(reverse("lot_joint", args=[job.pk, lot.number])))
    assert f"At {said} it is stressed to" in page


def test_the_page_shows_the_areas_of_each_authority(client: Client, job: Job, place: Place, lot: Lot) -> None:
    say_of_place(place=place, said=SOUND, hand=ANN)
    page = text_of(client.get(reverse("lot_joint", args=[job.pk, lot.number])))
    assert "FED-STD-H28/2B, formulas 2a and 4a the verdict counts with this" in page
    assert page.count("ISO/TR 16224:2012, 4.2.3.1") == 2
    assert "nominal size" in page


def test_the_next_joint_that_needs_a_person_follows_in_judge_s_order_and_then_the_first_again(
    client: Client, job: Job, place: Place, lot: Lot, washers: Lot
) -> None:
    change_lot(lot=lot, defect="cracked under the head", hand=ANN)
    listed = client.get(reverse("judge", args=[job.pk]), {"group": "needs"}).content.decode()
    order = re.findall(r'class="tapline" href="([^"]+/joint)"', listed)
    assert len(order) == 2
    sound = a_lot(job)
    for here, then in ((order[0], order[1]), (order[1], order[0]), (None, order[0])):
        at = here or reverse("lot_joint", args=[job.pk, sound.number])
        page = client.get(at).content.decode()
        (following,) = re.findall(r'href="([^"]+)">Next joint that needs you', page)
        assert client.get(unescape(following)).headers["Location"] == then
    for one in (lot, washers):
        decide(lot=one, place=one.place, choice="replace", why="new ones are here", hand=ANN)
    answer = client.get(reverse("next_joint", args=[job.pk]), {"lot": "x", "place": "9" * 40})
    assert answer.headers["Location"] == reverse("judge", args=[job.pk])


def test_a_loose_lot_has_the_same_page_without_the_hole(client: Client, job: Job, washers: Lot) -> None:
    bolts = a_lot(job)
    page = client.get(reverse("lot_joint", args=[job.pk, bolts.number])).content.decode()
    assert "<svg viewBox" in page
    assert 'class="part' not in page
    assert "Tighten to" not in page
    plain = client.get(reverse("lot_joint", args=[job.pk, washers.number])).content.decode()
    assert "<svg viewBox" not in plain
    assert "Do not send." in plain


def test_lot_and_place_lead_to_their_joint(client: Client, job: Job, place: Place, lot: Lot) -> None:
    to_lot = reverse("lot_joint", args=[job.pk, lot.number])
    assert to_lot in client.get(reverse("lot", args=[job.pk, lot.number])).content.decode()
    to_place = reverse("place_joint", args=[job.pk, place.pk])
    assert to_place in client.get(reverse("place", args=[job.pk, place.pk])).content.decode()
    spacer = a_lot(job, kind="spacer", end_a=(), length_mm=10.0)
    assert "/joint" not in client.get(reverse("lot", args=[job.pk, spacer.number])).content.decode()


def test_pieces_that_only_wait_for_an_eye_are_told_in_one_tap_on_their_line(
    client: Client, job: Job, lot: Lot
) -> None:
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5", note="from bag 3"), hand=ANN)
    bolts = a_lot(job)
    address = reverse("looked_at", args=[job.pk, bolts.number])
    assert f'action="{address}"' in client.get(reverse("judge", args=[job.pk])).content.decode()
    line = client.post(address, headers={"HX-Request": "true"}).content.decode()
    assert line.count("<tr>") == 1
    assert "<html" not in line
    after = judged_joint(None, bolts).judgement
    assert after.outcome is Outcome.SOUND
    assert f"sound {after.says}" in " ".join(re.sub(r"<[^>]+>", " ", unescape(line)).split())
    assert KnownOfLot.objects.get(lot=bolts).looks_sound is True
    assert f'action="{address}"' not in client.get(reverse("judge", args=[job.pk])).content.decode()
    client.post(reverse("looked_at", args=[job.pk, lot.number]))
    known = KnownOfLot.objects.get(lot=lot)
    assert (known.looks_sound, known.grade, known.note) == (True, "SAE J429 5", "from bag 3")


def test_a_decision_stands_beside_the_verdict_and_says_where_they_disagree(
    client: Client, job: Job, washers: Lot
) -> None:
    address = reverse("decide_joint", args=[job.pk, washers.number])
    refused = client.post(address, {"choice": "use", "why": ""})
    assert "This field is required" in text_of(refused)
    assert not JointDecision.objects.exists()
    client.post(
        address, {"choice": "use", "why": "only on the <test> bed", "verdict": shown(client, washers)}
    )
    decision = JointDecision.objects.get()
    assert (decision.choice, decision.outcome) == ("use", Outcome.NOT_SOUND)
    page = text_of(client.get(reverse("lot_joint", args=[job.pk, washers.number])))
    assert "decided: use as it is" in page
    assert "only on the <test> bed" in page
    assert "against the verdict" in page
    listed = judge(client, job)
    assert "Decided by a person 1" in listed
    assert "against the verdict" in listed
    assert "Needs you" not in listed


def test_a_fault_that_was_not_on_the_screen_stands_again_on_judge_and_on_the_joint_s_page(
    client: Client, job: Job, place: Place, lot: Lot
) -> None:
    change_lot(lot=lot, thread_state="defective", hand=ANN)
    decide(lot=lot, place=place, choice="use", why="to try the thread", hand=ANN)
    assert "Decided by a person 1" in judge(client, job)
    change_lot(lot=Lot.objects.get(), defect="cracked under the head", hand=ANN)
    listed = judge(client, job)
    assert "Needs you 1" in listed
    assert "decided before this was known" in listed
    page = text_of(client.get(reverse("lot_joint", args=[job.pk, lot.number])))
    # At the decision, and at the answer itself.
    assert page.count("decided before this was known") == 2
    assert "What was on the screen then not sound: Its thread is damaged" in page


def test_what_was_not_sound_and_is_mended_leaves_the_decision_on_the_rest(
    client: Client, job: Job, place: Place, lot: Lot
) -> None:
    say_of_lot(lot=lot, said=SaidOfLot(looks_sound=True), hand=ANN)
    change_lot(lot=lot, thread_state="defective", hand=ANN)
    decide(lot=lot, place=place, choice="use", why="to try the thread", hand=ANN)
    change_lot(lot=Lot.objects.get(), thread_state="good", hand=ANN)
    listed = judge(client, job)
    assert "Decided by a person 1" in listed
    assert "decided before this was known" not in listed


def test_a_verdict_that_changed_while_the_page_was_open_is_not_decided_on(
    client: Client, job: Job, place: Place, lot: Lot
) -> None:
    address = reverse("decide_joint", args=[job.pk, lot.number])
    stale = shown(client, lot)
    change_lot(lot=lot, defect="cracked under the head", hand=ANN)
    sent = {"choice": "use", "why": "it looked good to me", "verdict": stale}
    answer = client.post(address, sent)
    page = text_of(answer)
    assert not JointDecision.objects.exists()
    assert "Nothing was decided: the verdict has changed since you saw it." in page
    assert "May it be used again? It was not proven , now it is not sound : A fault was seen on it" in page
    assert "it looked good to me</textarea>" in answer.content.decode()
    # The page that said so shows the new verdict: on that one may decide.
    fresh = re.findall(r'name="verdict" value="([^"]+)"', answer.content.decode())
    assert fresh != [stale]
    client.post(address, sent | {"verdict": fresh[0]})
    assert JointDecision.objects.get().outcome == Outcome.NOT_SOUND


def test_a_decision_on_nothing_that_was_shown_is_none(client: Client, job: Job, lot: Lot) -> None:
    for verdict in ("", "rubbish", "reuse:sound:0"):
        sent = {"choice": "use", "why": "it holds", "verdict": verdict}
        page = text_of(client.post(reverse("decide_joint", args=[job.pk, lot.number]), sent))
        assert "Nothing was decided" in page
    assert not JointDecision.objects.exists()


def test_a_decision_on_a_verdict_that_has_changed_since_needs_a_person_again(
    client: Client, job: Job, washers: Lot
) -> None:
    decide(lot=washers, place=None, choice="treat", why="as the plater says", hand=ANN)
    assert "Decided by a person 1" in judge(client, job)
    then = judged_joint(None, washers).judgement.says
    say_treatment(lots=[Lot.objects.get()], treatment="leave", hand=ANN)
    page = text_of(client.get(reverse("lot_joint", args=[job.pk, washers.number])))
    assert "the verdict has changed since" in page
    assert then in page
    assert "Decided by a person" not in judge(client, job)


def test_a_thread_that_no_table_has_is_told_and_not_drawn(client: Client, job: Job, lot: Lot) -> None:
    Lot.objects.update(end_a="5/16-99 XYZ")
    answer = client.get(reverse("lot_joint", args=[job.pk, lot.number]))
    assert answer.status_code == 200
    assert b"<svg viewBox" not in answer.content
    assert "5/16-99 XYZ" in text_of(answer)


def test_reading_the_pages_writes_nothing(
    client: Client, job: Job, place: Place, lot: Lot, washers: Lot
) -> None:
    written = Record.objects.count()
    for name, number in (("lot_joint", lot.number), ("say_lot", lot.number), ("lot_joint", washers.number)):
        assert client.get(reverse(name, args=[job.pk, number])).status_code == 200
    for name in ("place_joint", "say_place"):
        client.get(reverse(name, args=[job.pk, place.pk]))
    judge(client, job)
    assert Record.objects.count() == written
    assert not KnownOfLot.objects.exists()


def test_a_closed_job_is_read_and_refuses_to_be_told_more(client: Client, job: Job, lot: Lot) -> None:
    close_job(job=job, hand=Hand(who="Ann", why="delivered"))
    assert "pump to case" in judge(client, job)
    sent = {"head_marking": "6 radial lines", "role": "ordinary"}
    client.post(reverse("say_lot", args=[job.pk, lot.number]), sent)
    decided = {"choice": "use", "why": "it holds", "verdict": shown(client, lot)}
    client.post(reverse("decide_joint", args=[job.pk, lot.number]), decided)
    assert not KnownOfLot.objects.exists()
    assert not JointDecision.objects.exists()
