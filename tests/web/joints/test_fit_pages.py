"""Pages of fits over the wire: proposed and added, listed, one pair with its numbers, what is known of it."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fits_to_judge import (
    ANN,
    gauges,
    main_bearings,
    number,
    piston_fit,
    pistons_in_bores,
    read_set,
    shells_fit,
)
from runningfit.core.errors import Conflict
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.joints.fit_fitted import say_fitted_shells
from runningfit.workshop.joints.fit_typed import TypedSpan, typed_grades
from runningfit.workshop.joints.fits import SaidOfFit, add_fit
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import Job, MachiningPlan, RunningFit, Shop
from runningfit.workshop.records.queries import the_shop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def millimetres() -> None:
    shop = the_shop()
    shop.unit = "mm"
    shop.save()


def page_of(client: Client, name: str, *arguments: int, **asked: str) -> str:
    found = client.get(reverse(name, args=arguments), asked)
    assert found.status_code == 200
    return found.content.decode()


def typed_for(fit: RunningFit, **values: str) -> dict[str, Any]:
    return {
        "name": fit.name, "kind": fit.kind, "hole_set": fit.hole_set_id, "shaft_set": fit.shaft_set_id,
        **values,
    }  # fmt: skip


def test_the_usual_fits_are_added_in_one_press(client: Client, job: Job) -> None:
    pistons_in_bores(job)
    page = page_of(client, "fits", job.pk)
    assert "Pistons in their bores" in page
    assert client.post(reverse("fits", args=[job.pk]), {"why": ""}).status_code == 400
    key = page.split('name="keys" value="')[1].split('"')[0]
    client.post(reverse("fits", args=[job.pk]), {"keys": key})
    assert RunningFit.objects.get().kind == "piston"
    again = client.post(reverse("fits", args=[job.pk]), {"keys": key})
    assert again.status_code == 400


def test_the_list_has_what_needs_a_person_first(client: Client, job: Job) -> None:
    piston_fit(job)
    page = page_of(client, "fits", job.pk)
    order = [page.index(word) for word in ("Needs you", "Cannot tell yet", ">Sound <")]
    assert order == sorted(order)
    assert "0.050 to 0.052 mm" in page
    assert '<span class="phoneword">new </span>0.030 to 0.070 mm' in page
    # What needs a person is open; what is sound is one line of its pairs, folded.
    needs, untold, sound = page.split('<section class="part folded"')[1:]
    assert "<details open>" in needs
    assert "<details open>" not in untold + sound
    assert 'class="brief">pistons in their bores 1</span>' in sound
    assert "3 of the pistons is not read yet." in page
    assert page.index("bores, 2<") < page.index("bores, 3<") < page.index("bores, 1<")


def test_a_pair_is_drawn_with_its_numbers_and_why(client: Client, job: Job) -> None:
    fit = piston_fit(job)
    worst = page_of(client, "fit", job.pk, fit.pk)
    assert "pistons in their bores, 2</h1>" in worst
    page = page_of(client, "fit", job.pk, fit.pk, pair="1")
    assert 'aria-label="piston in bore: 0.050 to 0.052 mm at 20 °C"' in page
    for said in (
        "79.4000 mm",
        "79.3500 mm",
        "clearance as the gauges said it",
        "page 12",
        "Limits for worn parts",
    ):
        assert said in page
    untold = page_of(client, "fit", job.pk, fit.pk, pair="3")
    assert "cannot tell yet" in untold
    assert "is not read yet" in untold


def test_what_is_known_is_kept_as_typed_and_shown_again(client: Client, job: Job) -> None:
    fit = piston_fit(job)
    address = reverse("change_fit", args=[job.pk, fit.pk])
    sent = typed_for(
        fit, new_lower="0.0015 in", new_upper="0.003 in", basis="manual", source="p. 14",
        hole_hot="100 to 120", shaft_hot="140 °C",
    )  # fmt: skip
    assert client.post(address, sent).status_code == 302
    fit.refresh_from_db()
    assert fit.new_upper_mm == pytest.approx(0.0762)
    assert (fit.hole_hot_low_c, fit.hole_hot_high_c, fit.shaft_hot_high_c) == (100, 120, 140)
    form = client.get(address).content.decode()
    for typed in ("0.0015 in", "0.003 in", "100 to 120 °C", "140 °C", "p. 14"):
        assert f'value="{typed}"' in form
    assert "clearance hot" in page_of(client, "fit", job.pk, fit.pk, pair="1")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"new_lower": "0.07", "new_upper": "0.03", "basis": "practice"}, "They are upside down"),
        ({"new_lower": "wide"}, "new lower needs"),
        ({"hole_hot": "warm"}, "hole hot needs"),
        ({"shell_grades": "red; thin; thick"}, "line 1: red; thin; thick"),
        ({"new_upper": "0.06", "basis": "manual"}, "source needs the page"),
    ],
)
def test_what_cannot_be_read_comes_back_with_the_form(
    client: Client, job: Job, typed: dict[str, str], said: str
) -> None:
    fit = piston_fit(job)
    found = client.post(reverse("change_fit", args=[job.pk, fit.pk]), typed_for(fit, **typed))
    page = found.content.decode()
    assert found.status_code == 400
    assert said in page
    assert all(value in page for value in typed.values())
    fit.refresh_from_db()
    assert fit.new_upper_mm == pytest.approx(0.070)


def test_a_fit_of_ones_own_is_added_and_taken_off(client: Client, job: Job) -> None:
    housings, mains = main_bearings(job)
    sent = {"name": "mains with shells in", "kind": "bush", "hole_set": housings.pk, "shaft_set": mains.pk}
    made = client.post(reverse("add_fit", args=[job.pk]), sent)
    fit = RunningFit.objects.get()
    assert made["Location"] == reverse("fit", args=[job.pk, fit.pk])
    # 63.690 around 59.990 is no bearing without its shells.
    assert "cannot tell yet" in page_of(client, "fit", job.pk, fit.pk)
    client.post(reverse("take_off_fit", args=[job.pk, fit.pk]))
    assert client.get(reverse("fit", args=[job.pk, fit.pk])).status_code == 404


def test_shells_are_proposed_by_grade(client: Client, job: Job) -> None:
    housings, mains = main_bearings(job)
    grades, typed = typed_grades("shell grades", "red 1.826 1.829\nblue 1.830 1.833", unit="mm")
    said = SaidOfFit(
        "bearing", "main bearings", housings, mains, new_lower=number(0.03), new_upper=number(0.06),
        basis="manual", source="page 40", shell_grades=grades, shell_grades_typed=typed,
    )  # fmt: skip
    fit = add_fit(job=job, said=said, hand=ANN)
    page = page_of(client, "fit", job.pk, fit.pk)
    assert "Which shells" in page
    assert page.index("<b>red</b>") < page.index("<b>blue</b>")


def test_the_shells_that_were_fitted_are_said_and_judged(client: Client, job: Job) -> None:
    grades, typed = typed_grades("shell grades", "red 1.826 1.829\nblue 1.830 1.833", unit="mm")
    fit = shells_fit(job, shell_grades=grades, shell_grades_typed=typed)
    where = reverse("fitted_shells", args=[job.pk, fit.pk])
    assert "are taken here" in page_of(client, "fit", job.pk, fit.pk, pair="1")
    # Only one of two shells, and a grade that nobody typed.
    for sent, said in (
        ({"upper": "red", "lower": ""}, "the other shell too"),
        ({"upper": "green", "lower": "red"}, "Select a valid choice"),
        ({"upper": "red", "lower": "red", "pair": "9"}, "bearing needs one of 1, 2"),
    ):
        answer = client.post(where, {"pair": "1", **sent})
        assert answer.status_code == 400
        assert said in answer.content.decode()
    fitted = client.post(where, {"pair": "1", "upper": "red", "lower": "blue"})
    assert fitted["Location"] == f"{reverse('fit', args=[job.pk, fit.pk])}?pair=1"
    fit.refresh_from_db()
    assert fit.fitted_shells == {"1": ["red", "blue"]}
    page = page_of(client, "fit", job.pk, fit.pk, pair="1")
    assert "Shells fitted in 1: red above, blue below" in page
    assert "Fitted are shells of grade red, 1.8260 to 1.8290 mm, and blue, 1.8300 to 1.8330 mm" in page
    # Housing 63.690, journal 59.990, shells in the middle of their grades: 63.690 - 59.990 - 1.8275 - 1.8315.
    assert "0.041 mm" in page or "0.041 to" in page
    assert "one shell, grade blue" in page
    assert "are taken here" in page_of(client, "fit", job.pk, fit.pk, pair="2")
    # A grade that is fitted is not lost with the table of those that can be had.
    change = reverse("change_fit", args=[job.pk, fit.pk])
    answer = client.post(change, typed_for(fit, shell_grades="red 1.826 1.829"))
    assert answer.status_code == 400
    assert "the grade blue, which is fitted in 1" in answer.content.decode()
    assert "red 1.826 1.829" in answer.content.decode()
    assert client.post(where, {"pair": "1", "upper": "", "lower": ""}).status_code == 302
    fit.refresh_from_db()
    assert fit.fitted_shells == {}


def test_a_fit_without_shells_has_none_to_be_fitted(client: Client, job: Job) -> None:
    fit = piston_fit(job)
    assert "Shells fitted" not in page_of(client, "fit", job.pk, fit.pk)
    answer = client.post(reverse("fitted_shells", args=[job.pk, fit.pk]), {"pair": "1"})
    assert answer.status_code == 400
    with pytest.raises(Conflict, match="has no shells to be fitted"):
        say_fitted_shells(fit=fit, bearing="1", upper="red", lower="red", hand=ANN)


def test_each_step_of_a_machining_plan_says_what_it_would_give(client: Client, job: Job) -> None:
    fit = piston_fit(job)
    MachiningPlan.objects.create(
        feature_set=fit.hole_set, steps=[{"step_mm": 0.25}, {"step_mm": 0.5}], target_tolerance_mm=0.01
    )
    page = page_of(client, "fit", job.pk, fit.pk, pair="1")
    # 79.4 and 79.35 of nominal, 0.01 either way; all of that lies within 0.030 to 0.070.
    assert "What machining cylinder bores would give" in page
    for said in ("79.6500 mm", "79.9000 mm", "0.040 to 0.060 mm", "more than 99.9 %"):
        assert said in page


def test_a_ring_gap_an_end_float_and_a_press_fit_have_their_pages(client: Client, job: Job) -> None:
    outside, inside = gauges()
    sets = {
        "bores": read_set(job, FeatureKind.BORE, "bores", {"1": (80.00, 80.10)}, inside),
        "gaps": read_set(job, FeatureKind.GAP, "ring gaps", {"1": (0.40,)}, outside),
        "between": read_set(job, FeatureKind.LENGTH, "between cheeks", {"1": (40.20,)}, outside),
        "width": read_set(job, FeatureKind.LENGTH, "rod width", {"1": (40.00,)}, outside),
        "holes": read_set(job, FeatureKind.BORE, "guide holes", {"1": (13.000,)}, inside),
        "guides": read_set(job, FeatureKind.SHAFT, "guides", {"1": (13.035,)}, outside, material="steel"),
    }
    made = {
        "top_ring": ("bores", "gaps", {}),
        "end_float": ("between", "width", {}),
        "press": (
            "holes", "guides",
            {"outer": number(30), "length": number(40), "friction": TypedSpan(0.1, 0.15, "0.10 to 0.15")},
        ),
    }  # fmt: skip
    pages = {}
    for kind, (hole, shaft, known) in made.items():
        said = SaidOfFit(kind, kind, sets[hole], sets[shaft], **known)  # type: ignore[arg-type]
        pages[kind] = page_of(client, "fit", job.pk, add_fit(job=job, said=said, hand=ANN).pk)
    assert "0.400 to 0.714 mm" in pages["top_ring"]
    assert "0.200 mm" in pages["end_float"]
    for words in (
        "0.035 mm tight",
        "heat the outer part alone to",
        "pushes out at",
        "overlap",
        "interference as the gauges",
    ):
        assert words in pages["press"]
    assert "0.035 mm tight" in page_of(client, "fits", job.pk)


def test_the_oil_film_is_shown_as_a_check(client: Client, job: Job) -> None:
    housings, mains = main_bearings(job)
    said = SaidOfFit(
        "bearing", "main bearings", housings, mains, shell=number(1.828), shell_spread=number(0.002),
        length=number(25), load=TypedNumber(9000, "9 kN"), speed=TypedNumber(3000, "3000 1/min"),
        viscosity=TypedNumber(10, "10 mPa s"),
    )  # fmt: skip
    fit = add_fit(job=job, said=said, hand=ANN)
    page = page_of(client, "fit", job.pk, fit.pk)
    assert "A check of the oil film" in page
    assert "a check, no pass" in page
    assert 'value="9 kN"' in page_of(client, "change_fit", job.pk, fit.pk)


def test_an_inch_shop_reads_inches(client: Client, job: Job) -> None:
    piston_fit(job)
    Shop.objects.update(unit="in")
    assert "0.0020 in" in page_of(client, "fits", job.pk)


def test_fits_are_counted_where_one_measures_and_judges(client: Client, job: Job) -> None:
    piston_fit(job)
    for name in ("measure", "judge"):
        page = page_of(client, name, job.pk)
        assert "1 needs you" in page
        assert "1 of 3 pairs sound, 0 not proven, 1 not told yet" in page


def test_the_pages_ask_little_of_the_database(client: Client, job: Job) -> None:
    fit = piston_fit(job)
    for name, arguments, most in (("fits", [job.pk], 14), ("fit", [job.pk, fit.pk], 14)):
        address = reverse(name, args=arguments)
        client.get(address)
        with CaptureQueriesContext(connection) as asked:
            client.get(address)
        assert len(asked) <= most, [one["sql"][:120] for one in asked]
