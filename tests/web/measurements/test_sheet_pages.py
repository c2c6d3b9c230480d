"""Pages of the reading sheet over the wire: begun, walked as plain forms, limits, the queue of a gauge."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.measurements.queries import set_state, sets_of_job
from runningfit.workshop.measurements.sets import begin_sheet
from runningfit.workshop.models import FeatureLimit, FeatureSet, Instrument, Job, Reading
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
COUNTS = {"cylinders": "4", "main_bearings": "3", "valves_each": "2", "bore_length": "120 mm"}
SET = {
    "name": "rocker shafts", "kind": "shaft", "features": "front, rear", "depths": "20, 80",
    "angles": "0, 90", "places": "1",
}  # fmt: skip


@pytest.fixture
def bores(job: Job) -> FeatureSet:
    layout = EngineLayout(cylinders=2, main_bearings=3)
    made = begin_sheet(job=job, engine=None, layout=layout, keys=["bores", "ring_gaps"], hand=ANN)[0]
    FeatureSet.objects.filter(pk=made.pk).update(nominal=79.375)
    return made


def page_of(client: Client, one: FeatureSet, **asked: str) -> str:
    return client.get(reverse("feature_set", args=[one.job_id, one.pk]), asked).content.decode()


def press(client: Client, one: FeatureSet, typed: str, point: str = "10@0", **more: str) -> Any:
    feature = one.features.order_by("position")[0]
    return client.post(
        reverse("feature_set", args=[one.job_id, one.pk]),
        {"feature": feature.pk, "point": point, "typed": typed, "round": "0", **more},
    )


def send(client: Client, one: FeatureSet, *items: dict[str, Any]) -> Any:
    feature = one.features.order_by("position")[0]
    whole = [{"feature": feature.pk, "point": "10@0", "unit": "mm", "round": "0", **item} for item in items]
    return client.post(
        reverse("take_readings", args=[one.job_id, one.pk]),
        json.dumps({"items": whole}),
        content_type="application/json",
    )


def chosen(client: Client, one: FeatureSet, **values: str) -> Any:
    return client.post(reverse("read_with", args=[one.job_id, one.pk]), {"unit": "mm", **values})


def test_an_empty_sheet_asks_what_there_is_and_is_made_of_the_answer(client: Client, job: Job) -> None:
    where = reverse("measure", args=[job.pk])
    page = client.get(where).content.decode()
    assert "What is there to measure?" in page
    assert re.search(r'value="bores" checked', page)
    assert re.search(r'value="lash">', page)
    assert client.post(where, {**COUNTS, "keys": ["bores", "guides"]})["Location"] == where
    assert [one.name for one in sets_of_job(job)] == ["cylinder bores", "valve guides"]
    page = client.get(where).content.decode()
    assert "of 72 points read" in page
    assert "Go on: cylinder bores, 1" in page
    assert 'value="bores"' not in client.get(where, {"more": "1"}).content.decode()


def test_an_engine_without_valves_has_no_guides_and_nothing_ticked_is_said(client: Client, job: Job) -> None:
    where = reverse("measure", args=[job.pk])
    client.post(where, {**COUNTS, "valves_each": "0", "keys": ["bores", "guides"]})
    assert [one.name for one in sets_of_job(job)] == ["cylinder bores"]
    answer = client.post(where, {**COUNTS, "cylinders": "6"})
    assert answer.status_code == 400
    assert "Tick what there is to measure." in answer.content.decode()
    assert 'value="6"' in answer.content.decode()
    answer = client.post(where, {**COUNTS, "bore_length": "long", "keys": ["mains"]})
    assert 'value="long"' in answer.content.decode()


def test_a_plain_phone_walks_from_point_to_point(client: Client, bores: FeatureSet) -> None:
    chosen(client, bores)
    page = page_of(client, bores)
    assert "10 mm down, along the crank" in page
    assert 'data-at="10@0"' in page
    where = press(client, bores, "79.413")["Location"]
    assert where.endswith("10@90")
    assert "79.413 mm (3.12650 in)" in client.get(where).content.decode()
    assert Reading.objects.get().value == 79.413
    again = page_of(client, bores, at=f"{bores.features.order_by('position')[0].pk}:10@0")
    assert "Stands there" in again
    press(client, bores, "79.415", kind="repeat")
    assert "mean of 2" in page_of(client, bores)
    press(client, bores, "", strike="1")
    assert set_state(bores).read_count == 0


def test_a_doubtful_reading_is_asked_about_and_both_answers_work(client: Client, bores: FeatureSet) -> None:
    chosen(client, bores)
    page = press(client, bores, "7.94").content.decode()
    assert "a slipped decimal point?" in page
    assert ">79.400 mm</button>" in page
    assert 'value="7.94"' in page
    assert not Reading.objects.exists()
    press(client, bores, "79.4 mm", surely="typed 7.94")
    assert (Reading.objects.get().value, Reading.objects.get().why) == (79.4, "typed 7.94")
    press(client, bores, "7.94", point="60@0", surely="read twice")
    page = page_of(client, bores)
    assert "Kept: read twice." in page
    assert "doubtful" in client.get(reverse("measure", args=[bores.job_id])).content.decode()


def test_a_sheet_in_the_other_unit_is_said_once_as_a_plain_form(client: Client, bores: FeatureSet) -> None:
    chosen(client, bores)
    page = press(client, bores, "3.1255").content.decode()
    assert "The whole sheet is read in inches" in page
    assert 'name="typed" value="3.1255"' in page
    # What was typed stays as it was typed; what follows is read in inches without being asked.
    assert press(client, bores, "3.1255", read_in="in").status_code == 302
    assert press(client, bores, "3.1262", point="10@90").status_code == 302
    rows = list(Reading.objects.order_by("pk").values_list("typed", "unit", "why"))
    assert rows == [("3.1255", "in", ""), ("3.1262", "in", "")]
    assert "Reading in inches" in page_of(client, bores)
    # A slipped point is no matter of the unit, nor is what a comparing gauge shows.
    assert "The whole sheet" not in press(client, bores, "31.25", point="60@0").content.decode()
    chosen(client, bores, set_at="3.126 mm")
    page = press(client, bores, "+0.001", point="60@0").content.decode()
    assert "typed in inches?" in page
    assert "The whole sheet" not in page


def test_a_gauge_that_cannot_span_the_bores_is_not_offered_and_the_page_says_why(
    client: Client, bores: FeatureSet
) -> None:
    for name, least, most in (("bore gauge 18-35", 18.0, 35.0), ("bore gauge 50-100", 50.0, 100.0)):
        Instrument.objects.create(
            name=name, kind="bore_gauge", unit="mm", resolution=0.01, span_least_mm=least, span_most_mm=most,
            typed={"span_least": f"{least:g} mm", "span_most": f"{most:g} mm"},
        )  # fmt: skip
    Instrument.objects.create(name="kitchen scales", kind="balance", unit="g", resolution=1)
    page = page_of(client, bores)
    assert ">bore gauge 50-100</option>" in page
    assert ">bore gauge 18-35</option>" not in page
    assert "Not offered: bore gauge 18-35 spans 18 mm to 35 mm, and this is 79.375 mm." in page
    assert "kitchen scales" not in page
    small = Instrument.objects.get(name="bore gauge 18-35")
    assert chosen(client, bores, instrument=str(small.pk)).status_code == 400
    # Typed as a set of one's own, the gauge is refused at its field, and what was typed stays.
    sent = {**SET, "nominal": "79.4 mm", "instrument": str(small.pk)}
    answer = client.post(reverse("add_feature_set", args=[bores.job_id]), sent)
    assert answer.status_code == 400
    assert "a gauge that spans the size" in answer.content.decode()
    assert 'value="79.4 mm"' in answer.content.decode()


def test_what_cannot_be_read_is_refused_with_what_was_typed(client: Client, bores: FeatureSet) -> None:
    for typed in ("about so", ""):
        answer = press(client, bores, typed)
        assert answer.status_code == 400
        assert "Not taken" in answer.content.decode()
        assert f'value="{typed}"' in answer.content.decode() or not typed


def test_a_gauge_its_unit_its_setting_and_the_warmth_are_chosen_once(
    client: Client, bores: FeatureSet
) -> None:
    gauge = Instrument.objects.create(name="bore gauge 50-100", kind="bore_gauge", unit="mm", resolution=0.01)
    chosen(client, bores, instrument=str(gauge.pk), set_at="79.4", temperature="18,5")
    page = page_of(client, bores)
    assert "bore gauge 50-100 · reads mm · compares with 79.4 mm · piece at 18.5 °C" in page
    press(client, bores, "+0.01")
    row = Reading.objects.get()
    assert (row.instrument, row.temperature_c, row.set_at_mm) == (gauge, 18.5, 79.4)
    assert row.value == pytest.approx(79.41)
    assert "bore gauge 50-100 was never checked" in page_of(client, bores)
    for wrong in ({"temperature": "200"}, {"temperature": "warm"}, {"set_at": "about"}, {"unit": "g"}):
        answer = chosen(client, bores, **wrong)
        assert answer.status_code == 400, wrong
        name, typed = next(iter(wrong.items()))
        assert name == "unit" or f'value="{typed}"' in answer.content.decode()


def test_a_queue_is_taken_in_order_and_sent_twice_it_counts_once(client: Client, bores: FeatureSet) -> None:
    queue: tuple[dict[str, Any], ...] = (
        {"token": "a1", "typed": "79.41"},
        {"token": "a2", "typed": "3.1260", "unit": "in", "point": "10@90"},
        {"token": "a3", "typed": "7.94", "point": "60@0"},
        {"token": "a4", "typed": "??", "point": "60@90"},
        {"token": "a5", "typed": "79.4", "point": "60@90", "temperature": "hot"},
        {"token": "a6", "typed": "0.02", "setat": "79.4", "point": "60@90", "temperature": "20"},
    )
    for _sending in range(2):
        answer = send(client, bores, *queue).json()
        assert [one["kept"] for one in answer["answers"]] == [True, True, False, False, False, True]
        assert [one["asked"] for one in answer["answers"]] == [False, False, True, False, False, False]
        assert answer["answers"][2]["instead_typed"] == "79.4 mm"
        assert "3 of 12 read" in answer["shown"]
    values = list(Reading.objects.order_by("pk").values_list("value", flat=True))
    assert values == pytest.approx([79.41, 3.126 * 25.4, 79.42])


def test_a_queue_for_a_closed_job_or_of_nonsense_says_so(client: Client, bores: FeatureSet) -> None:
    where = reverse("take_readings", args=[bores.job_id, bores.pk])
    for body in ("no", "[]", '{"items": [{"typed": "79.4"}]}'):
        assert client.post(where, body, content_type="application/json").status_code == 400
    close_job(job=bores.job, hand=ANN)
    answer = send(client, bores, {"token": "a", "typed": "79.41"})
    assert (answer.status_code, "was closed on" in answer.json()["why"]) == (409, True)
    assert "was closed on" in press(client, bores, "79.41").content.decode()
    assert not Reading.objects.exists()


def test_when_all_is_read_the_page_goes_on_to_the_next_set(client: Client, bores: FeatureSet) -> None:
    state = set_state(bores)
    for feature in state.features:
        items = [
            {"token": f"{feature.feature.pk}{n}", "feature": feature.feature.pk, "point": point.key,
             "typed": f"79.4{n}"}
            for n, point in enumerate(state.points)
        ]  # fmt: skip
        send(client, bores, *items)
    page = page_of(client, bores)
    assert "Go on: top ring gaps" in page
    assert "12 of 12 read" in page
    assert "Go on: top ring gaps, 1" in client.get(reverse("measure", args=[bores.job_id])).content.decode()


def test_rounds_can_be_chosen_only_where_there_are_any(client: Client, bores: FeatureSet) -> None:
    assert "after machining" not in page_of(client, bores).lower()
    send(client, bores, {"token": "after", "typed": "79.885", "round": "1"})
    page = page_of(client, bores)
    assert "After machining" in page
    assert "1 of 12 read" in page
    assert "0 of 12 read" in page_of(client, bores, round="0")


def test_a_set_of_ones_own_is_made_changed_and_taken_off(client: Client, job: Job) -> None:
    new = reverse("add_feature_set", args=[job.pk])
    answer = client.post(new, {**SET, "depths": "20,80"})
    assert answer.status_code == 400
    assert 'value="20,80"' in answer.content.decode()
    made = client.post(new, {**SET, "nominal": "5/8 in", "material": "steel"})["Location"]
    one = FeatureSet.objects.get()
    assert one.nominal == pytest.approx(15.875)
    assert (one.typed["nominal"], one.places) == ("5/8 in", 1)
    assert "20 mm along, at 0°" in client.get(made).content.decode()
    change = reverse("change_feature_set", args=[job.pk, one.pk])
    page = client.get(change).content.decode()
    assert 'value="front, rear"' in page
    assert 'value="20, 80"' in page
    assert client.post(change, {**SET, "name": "shafts", "lot": "77"}).status_code == 400
    client.post(change, {**SET, "name": "shafts"})
    client.post(reverse("take_off_set", args=[job.pk, one.pk]))
    assert "What is there to measure?" in client.get(reverse("measure", args=[job.pk])).content.decode()
    assert client.get(made).status_code == 404


def test_limits_are_typed_with_their_page_and_taken_back(client: Client, bores: FeatureSet) -> None:
    where = reverse("feature_set_limits", args=[bores.job_id, bores.pk])
    assert "No limit yet." in client.get(where).content.decode()
    said = {
        "what": "size",
        "state": "wear",
        "lower": "79.3 mm",
        "upper": "79.2 mm",
        "basis": "manual",
        "source": "p. 3",
    }
    answer = client.post(where, said)
    assert "upside down" in answer.content.decode()
    assert 'value="79.2 mm"' in answer.content.decode()
    client.post(where, {**said, "upper": "3.13 in"})
    limit = FeatureLimit.objects.get()
    assert limit.upper == pytest.approx(79.502)
    for page in (client.get(where).content.decode(), page_of(client, bores)):
        assert "79.3 mm to 3.13 in" in page
    client.post(where, {"take_back": limit.pk})
    assert "No limit yet." in client.get(where).content.decode()


def test_a_sheet_of_limits_is_shown_kept_and_its_faulty_rows_stay(client: Client, bores: FeatureSet) -> None:
    where = reverse("import_limits", args=[bores.job_id])
    rows = "set,state,lower,upper,page\nbores,wear,79.3 mm,79.5 mm,p. 3\nnothing,new,1,2,p. 4\n"
    page = client.post(where, {"file": SimpleUploadedFile("limits.csv", rows.encode())}).content.decode()
    assert "1 can be kept, 1 cannot" in page
    assert "is on no set of this sheet" in page
    assert not FeatureLimit.objects.exists()
    page = client.post(where, {"pasted": rows, "keep": "1"}).content.decode()
    assert FeatureLimit.objects.get().basis == "sheet"
    assert "nothing;new;1;2;p. 4" in page
    assert "bores;wear" not in page
    answer = client.post(where, {"pasted": "bores;79"})
    assert (answer.status_code, "bores;79" in answer.content.decode()) == (400, True)
    assert client.post(where, {"pasted": rows.split("nothing")[0], "keep": "1"})["Location"]
