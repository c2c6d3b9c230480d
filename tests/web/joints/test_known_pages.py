"""What is known of lots and places is said by taps and words; what cannot be read is told and stays."""

from __future__ import annotations

import re
from dataclasses import fields

import pytest
from django.test import Client
from django.urls import reverse

from runningfit.core.joints.grade_names import grades_of_marking
from runningfit.web.joints.forms import KnownOfLotForm, KnownOfPlaceForm, sections
from runningfit.web.joints.head_marks import OTHER, mark_choices
from runningfit.workshop.joints.models import KnownOfLot, KnownOfPlace
from runningfit.workshop.joints.queries import judged_joint
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace
from runningfit.workshop.joints.services import say_of_place
from runningfit.workshop.models import Job, Lot, Place
from web.joints.judged_shop import ANN, SOUND, text_of

pytestmark = pytest.mark.django_db


def test_a_mark_that_is_tapped_is_kept_and_changes_what_is_judged(
    client: Client, job: Job, place: Place, lot: Lot
) -> None:
    say_of_place(place=place, said=SOUND, hand=ANN)
    before = judged_joint(Place.objects.get(), Lot.objects.get()).judgement
    sent = {"head_marking": "6 radial lines", "role": "ordinary", "looks_sound": "yes", "stretch": "2 thou"}
    answer = client.post(reverse("say_lot", args=[job.pk, lot.number]), sent, follow=True)
    known = KnownOfLot.objects.get()
    assert (known.head_marking, known.looks_sound, known.crack_tested) == ("6 radial lines", True, None)
    assert known.stretch_mm == pytest.approx(0.0508)
    after = judged_joint(Place.objects.get(), Lot.objects.get()).judgement
    assert after != before
    assert after.says in text_of(answer)
    form = client.get(reverse("say_lot", args=[job.pk, lot.number])).content.decode()
    assert re.search(r'value="6 radial lines"[^>]* checked', form)
    assert 'value="2 thou"' in form


def test_a_mark_that_is_not_drawn_is_typed_and_comes_back(client: Client, job: Job, lot: Lot) -> None:
    address = reverse("say_lot", args=[job.pk, lot.number])
    client.post(address, {"head_marking": OTHER, "other_marking": "4.8", "role": "ordinary"})
    assert KnownOfLot.objects.get().head_marking == "4.8"
    form = client.get(address).content.decode()
    assert re.search(rf'value="{OTHER}"[^>]* checked', form)
    assert 'value="4.8"' in form


def test_what_cannot_be_read_of_a_lot_is_told_at_its_field_and_all_that_was_typed_stays(
    client: Client, job: Job, lot: Lot
) -> None:
    sent = {
        "head_marking": "6 radial lines",
        "role": "ordinary",
        "hardness": "42",
        "own_steps": "acid rust remover",
        "note": "from the <blue> box",
    }
    page = client.post(reverse("say_lot", args=[job.pk, lot.number]), sent).content.decode()
    assert "write HRC, HRB, HV or HB behind it" in page
    for typed in ('value="42"', 'value="acid rust remover"', 'value="from the &lt;blue&gt; box"'):
        assert typed in page
    assert re.search(r'value="6 radial lines"[^>]* checked', page)
    assert not KnownOfLot.objects.exists()


def test_an_error_in_a_folded_section_opens_it(client: Client, job: Job, lot: Lot) -> None:
    sent = {"head_marking": "", "role": "ordinary", "own_steps": "a prayer"}
    page = client.post(reverse("say_lot", args=[job.pk, lot.number]), sent).content.decode()
    assert "<details open><summary>Cleaning and coating</summary>" in page
    assert "<details><summary>Material, thread, note</summary>" in page


def test_what_is_known_of_a_place_is_kept_with_its_hole_and_its_torque(
    client: Client, job: Job, place: Place, lot: Lot
) -> None:
    sent = {
        "mate": "tapped_hole",
        "material": "LM25-TF",
        "blind": "blind",
        "depth": "7/8",
        "clamped": "10 mm",
        "washer": "0",
        "torque": "24 lbf ft",
        "torque_page": "manual p. 44",
        "role": "ordinary",
    }
    answer = client.post(reverse("say_place", args=[job.pk, place.pk]), sent, follow=True)
    assert "Kept." in text_of(answer)
    place.refresh_from_db()
    known = KnownOfPlace.objects.get()
    assert (place.hole_material, place.hole_blind) == ("LM25-TF", "blind")
    assert place.hole_depth_mm == pytest.approx(22.225)
    assert (known.clamped_mm, known.washer_mm, known.torque_page) == (10.0, 0.0, "manual p. 44")
    form = client.get(reverse("say_place", args=[job.pk, place.pk])).content.decode()
    for typed in ('value="10 mm"', 'value="24 lbf ft"', 'value="LM25-TF"'):
        assert typed in form


def test_what_cannot_be_read_of_a_place_is_told_at_its_field_and_all_that_was_typed_stays(
    client: Client, job: Job, place: Place
) -> None:
    sent = {
        "mate": "tapped_hole",
        "depth": "deep",
        "clamped": "10 mm",
        "torque": "24 lbf ft",
        "role": "ordinary",
    }
    page = client.post(reverse("say_place", args=[job.pk, place.pk]), sent).content.decode()
    assert re.search(r'name="depth" value="deep".*?class="wrong" role="alert">depth needs', page, re.DOTALL)
    for typed in ('value="deep"', 'value="10 mm"', 'value="24 lbf ft"'):
        assert typed in page
    assert not KnownOfPlace.objects.exists()


def test_the_fact_that_was_asked_for_comes_first_on_the_form(client: Client, job: Job, lot: Lot) -> None:
    page = client.get(reverse("say_lot", args=[job.pk, lot.number]), {"first": "own_steps"}).content.decode()
    assert page.index('name="own_steps"') < page.index('name="head_marking"')
    assert re.search(r'name="own_steps"[^>]* autofocus', page)
    plain = client.get(reverse("say_lot", args=[job.pk, lot.number]), {"first": "<b>"}).content.decode()
    assert plain.index('name="head_marking"') < plain.index('name="own_steps"')


@pytest.mark.parametrize("form", [KnownOfLotForm, KnownOfPlaceForm])
def test_every_field_stands_once_on_its_form_whatever_comes_first(
    form: type[KnownOfLotForm | KnownOfPlaceForm],
) -> None:
    for first in ("", *form.base_fields):
        shown = [name for section in sections(form(), first) for name in section.names]
        assert sorted(shown) == sorted(form.base_fields), first
        assert not first or shown[0] == first or shown[:2] == ["head_marking", "other_marking"]


def test_a_form_has_every_field_that_is_kept_so_that_nothing_is_emptied_unseen() -> None:
    assert set(KnownOfLotForm.base_fields) - {"other_marking"} == {one.name for one in fields(SaidOfLot)}
    assert set(KnownOfPlaceForm.base_fields) == {one.name for one in fields(SaidOfPlace)}


@pytest.mark.parametrize("mark", [mark for mark, _ in mark_choices() if mark not in ("", OTHER)])
def test_every_mark_that_is_drawn_is_one_that_is_read(mark: str) -> None:
    assert grades_of_marking(mark)
