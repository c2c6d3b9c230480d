"""Pages of what readings come to: every kind drawn and said, empty, partly read, pits, a point's past."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.measurements.sets import SaidLimit, add_limit, begin_sheet
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import Feature, FeatureSet, Job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


def made(job: Job, key: str) -> FeatureSet:
    layout = EngineLayout(cylinders=2, main_bearings=3)
    return begin_sheet(job=job, engine=None, layout=layout, keys=[key], hand=ANN)[0]


def take(one: FeatureSet, feature: Feature, readings: dict[str, str], kind: str = "reading") -> None:
    taken = [
        Taken(
            f"{feature.pk} {point} {typed} {kind}", feature.pk, point, typed, kind=kind, surely="read twice"
        )
        for point, typed in readings.items()
    ]
    answers = take_readings(feature_set=one, readings=taken, hand=ANN)
    assert all(answer.kept for answer in answers), answers


def limit(
    one: FeatureSet, upper: float, what: str = "size", state: str = "wear", lower: float | None = None
) -> None:
    said = SaidLimit(
        what=what, state=state, upper=TypedNumber(upper, f"{upper:g} mm"), source="page 31", basis="manual",
        lower=TypedNumber(lower, f"{lower:g} mm") if lower is not None else None,
    )  # fmt: skip
    add_limit(feature_set=one, said=said, hand=ANN)


def bore(one: FeatureSet, number: int, size: float, worn: float = 0.0) -> Feature:
    feature = one.features.order_by("position")[number]
    points = {f"{depth}@{angle}": size for depth in (10, 60, 110) for angle in (0, 90)}
    points["10@90"] += worn
    take(one, feature, {point: f"{value:.3f}" for point, value in points.items()})
    return feature


def page_of(client: Client, one: FeatureSet, **asked: str) -> str:
    return client.get(reverse("set_result", args=[one.job_id, one.pk]), asked).content.decode()


def test_a_set_that_nobody_read_says_so_and_leads_to_the_first_point(client: Client, job: Job) -> None:
    one = made(job, "bores")
    page = page_of(client, one)
    assert page.count(">not read<") == 3
    assert "Read it<" in page
    assert "at=" in page


def test_bores_are_rings_with_their_limits_magnified_and_the_worst_marked(client: Client, job: Job) -> None:
    one = made(job, "bores")
    limit(one, 79.55, lower=79.3)
    limit(one, 79.39, state="new", lower=79.37)
    bore(one, 0, 79.38)
    bore(one, 1, 79.40, worn=0.4)
    page = page_of(client, one)
    assert page.count('aria-label="Ring at 10 mm') == 2
    assert re.search(r"is drawn [\d,]+ times as large", page)
    assert "Heavy: wear limit." in page
    assert ">worst<" in page
    # The worst stands first.
    second, first = page.split('<section class="come-to"')[1:]
    assert ">sound<" in first
    assert ">not sound<" in second
    assert ">broken</span> <b>Wear limits</b>" in second
    assert "Limits for new parts" in first
    assert "taper, not shown" in first
    assert "tapered, wider at the least depth by" in second
    assert "Read the worst again: 10 mm down, across it (thrust)" in second
    assert "3.1252 in" in first
    assert "(79.380 mm)" in first


def test_the_worst_is_open_and_the_others_are_one_line_each(client: Client, job: Job) -> None:
    one = made(job, "bores")
    limit(one, 79.55, lower=79.3)
    limit(one, 79.39, state="new", lower=79.37)
    good, bad = bore(one, 0, 79.45), bore(one, 1, 79.40, worn=0.4)
    page = page_of(client, one)
    worst, rest = page.split('<section class="come-to"')[1:]
    assert "<details open>" in worst.partition("<h2")[0]
    assert "<details>" in rest.partition("<h2")[0]
    assert re.search(r'class="brief">3\.14\d+ in · too large<', worst)
    assert re.search(r'class="brief">3\.12\d+ in · kept with more than 99\.9 %<', rest)
    # What is beyond the limits for new parts, and keeps the wear limit, raises no alarm.
    assert '<span class="stamp open">not kept</span> <b>Limits for new parts</b>' in rest
    assert 'class="stamp bad"' not in rest
    asked = page_of(client, one, past=str(good.pk))
    assert "<details open>" in asked.split('<section class="come-to"')[2].partition("<h2")[0]
    sent = client.post(
        reverse("set_result", args=[job.pk, one.pk]), {"feature": good.pk, "depth": "deep", "u": ""}
    )
    assert "<details open>" in sent.content.decode().split('<section class="come-to"')[2].partition("<h2")[0]
    assert bad.pk != good.pk


def test_the_next_step_of_a_set_stands_on_top(client: Client, job: Job) -> None:
    one = made(job, "bores")
    first = one.features.order_by("position")[0]
    machining = reverse("set_machining", args=[job.pk, one.pk])

    def step(page: str) -> str:
        return page.partition('<section class="come-to"')[0].partition("</h1>")[2]

    assert f"at={first.pk}:10@0" in step(page_of(client, one))
    assert machining in page_of(client, one)
    assert reverse("set_result", args=[job.pk, one.pk]) in client.get(machining).content.decode()
    limit(one, 79.55, lower=79.3)
    bore(one, 0, 79.40)
    assert ">Read it: No. 2</a>" in step(page_of(client, one))
    bore(one, 1, 79.40, worn=0.4)
    assert f'href="{machining}">Choose the machining</a>' in step(page_of(client, one))
    rods = made(job, "rods")
    limit(rods, 152.40, lower=152.0)
    for feature in rods.features.all():
        take(rods, feature, {"1": "152.80"})
    page = page_of(client, rods)
    assert ">No. 1: Read the worst again" in step(page) or ">No. 1: Read it again" in step(page)
    assert reverse("set_machining", args=[job.pk, rods.pk]) not in page


def test_without_limits_another_makers_are_shown_for_what_they_are(client: Client, job: Job) -> None:
    one = made(job, "bores")
    bore(one, 0, 79.38)
    bore(one, 1, 79.38)
    page = page_of(client, one)
    assert "Wear limits, not this engine" in page
    assert ">looks kept<" in page
    assert "another maker&#x27;s or common practice" in page
    assert ">sound<" not in page


def test_nothing_to_compare_with_says_what_to_type(client: Client, job: Job) -> None:
    one = made(job, "rods")
    for feature in one.features.all():
        take(one, feature, {"1": "152.41"})
    page = page_of(client, one)
    assert "nothing to compare with" in page
    assert "Type the wear limit of the manual" in page
    assert "152.410 mm" in page


def test_what_is_partly_read_cannot_be_told_and_leads_to_what_is_missing(client: Client, job: Job) -> None:
    one = made(job, "bores")
    feature = one.features.order_by("position")[0]
    take(one, feature, {"10@0": "79.38", "10@90": "79.39", "60@0": "79.38"})
    page = page_of(client, one)
    assert "Cannot tell yet: 3 of 6 points read." in page
    assert f"at={feature.pk}:60@90" in page


@pytest.mark.parametrize(
    ("key", "readings", "drawn"),
    [
        ("mains", {"5@0": "51.98", "5@90": "51.97", "25@0": "51.98", "25@90": "51.98"}, "Profile."),
        ("pistons", {"40@90": "79.33"}, "79.330"),
        ("springs", {"38": "210", "30": "420"}, "Loads over height."),
        ("runout", {f"@{angle}": f"{angle % 90 / 2250:.2f}" for angle in range(0, 360, 45)}, "over a turn"),
        ("chambers", {"1": "41.2"}, "41.2"),
        ("rod_weights", {"1": "612"}, "612"),
        ("ring_gaps", {"1": "0.35"}, "0.350"),
        ("head_face", {f"{row}{column}": "0.05" if column == 2 else "0.02"
                       for row in "ABC" for column in range(1, 5)}, "The face from above."),
    ],
)  # fmt: skip
def test_each_kind_is_drawn_with_its_figures(
    client: Client, job: Job, key: str, readings: dict[str, str], drawn: str
) -> None:
    one = made(job, key)
    for feature in one.features.all():
        take(one, feature, readings)
    page = page_of(client, one)
    assert drawn in page
    assert page.count('class="facts sized"') == one.features.count()


def test_pits_are_said_of_one_feature_and_a_wrong_depth_is_asked_about(client: Client, job: Job) -> None:
    one = made(job, "bores")
    feature = one.features.order_by("position")[1]
    where = reverse("set_result", args=[job.pk, one.pk])
    sent = client.post(where, {"feature": feature.pk, "depth": "-0.1", "u": ""})
    assert sent.status_code == 400
    assert "-0.1" in sent.content.decode()
    sent = client.post(where, {"feature": feature.pk, "depth": "deep", "u": ""})
    assert sent.status_code == 400
    sent = client.post(where, {"feature": feature.pk, "depth": "0.05 mm", "u": "0.02 mm"})
    assert sent["Location"] == f"{where}#f{feature.pk}"
    assert "0.05 mm deep, sure to 0.02 mm" in page_of(client, one)
    feature.refresh_from_db()
    assert (feature.pit_mm, feature.pit_u_mm) == (0.05, 0.02)


def test_the_past_of_a_feature_shows_what_gave_way_who_read_it_and_when(client: Client, job: Job) -> None:
    one = made(job, "bores")
    feature = one.features.order_by("position")[0]
    take(one, feature, {"10@0": "79.38"})
    take(one, feature, {"10@0": "79.41"})
    take(one, feature, {"10@0": "79.42"}, kind="repeat")
    assert "gave way" not in page_of(client, one)
    page = page_of(client, one, past=str(feature.pk))
    assert re.search(r"79\.38 mm</td><td>gave way", page)
    assert re.search(r"79\.41 mm</td><td>counts", page)
    assert re.search(r"79\.42 mm</td><td>averaged", page)
    assert ", Ann</td>" in page
    assert client.get(reverse("set_result", args=[job.pk, one.pk]), {"past": "x" * 40}).status_code == 200


def test_the_sheet_says_the_worst_of_each_set_and_judge_what_needs_a_person(client: Client, job: Job) -> None:
    one = made(job, "bores")
    judge = reverse("judge", args=[job.pk])
    assert "Measured" not in client.get(judge).content.decode()
    limit(one, 79.45, lower=79.3)
    bore(one, 0, 79.38)
    bore(one, 1, 79.40, worn=0.4)
    page = client.get(reverse("measure", args=[job.pk])).content.decode()
    assert ">not sound</span>" in page
    assert reverse("set_result", args=[job.pk, one.pk]) in page
    page = client.get(judge).content.decode()
    assert "Measured" in page
    assert reverse("set_result", args=[job.pk, one.pk]) in page
    assert ">not sound</span>" in page


def test_a_set_of_many_features_asks_no_more_of_the_database_than_one_of_two(
    client: Client, job: Job
) -> None:
    counts = []
    for cylinders in (1, 12):
        layout = EngineLayout(cylinders=cylinders, main_bearings=3)
        one = begin_sheet(job=job, engine=None, layout=layout, keys=["piston_weights"], hand=ANN)[0]
        limit(one, 400.0, what="spread")
        for feature in one.features.all():
            take(one, feature, {"1": "380"})
        page_of(client, one)
        with CaptureQueriesContext(connection) as asked:
            page_of(client, one)
        counts.append(len(asked))
        one.withdrawn = True
        one.save()
    assert counts[0] == counts[1]
    assert counts[1] <= 20
