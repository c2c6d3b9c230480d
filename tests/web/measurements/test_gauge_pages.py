"""The pages of the instrument cupboard: a gauge put in, checked, tried; what is refused stays in its form."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client

from runningfit.workshop.measurements.models import Calibration, Instrument

pytestmark = pytest.mark.django_db
GAUGE = {
    "name": "micrometer 3 to 4",
    "kind": "micrometer",
    "unit": "in",
    "step": "0.0001",
    "term": "12",
    "expansion": "11.5",
    "ring_expansion": "11.5",
    "ring_size": "3",
    "ring_uncertainty": "0.00003",
    "drift": "0.0001",
}


def put_in(client: Client, **other: str) -> Instrument:
    answer = client.post("/gauges/new", {**GAUGE, **other})
    assert answer.status_code == 302, answer.content.decode()[:4000]
    return Instrument.objects.latest("pk")


def text(client: Client, where: str) -> str:
    answer = client.get(where)
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_gauge_is_typed_in_its_own_unit_and_kept_as_typed(client: Client) -> None:
    one = put_in(client)
    assert one.resolution == pytest.approx(0.00254)
    assert one.ring_size == pytest.approx(76.2)
    assert one.typed["ring_size"] == "3 in"
    page = text(client, f"/gauges/{one.pk}")
    assert 'value="0.0001"' in page
    assert "never checked" in page
    assert "setting ring" in page
    listed = text(client, "/gauges")
    assert "<b>1 needs a check:</b>" in listed
    assert "micrometer 3 to 4" in listed
    assert "is shared by all its readings" in listed


def test_what_a_gauge_spans_is_typed_and_what_is_no_span_is_named(client: Client) -> None:
    one = put_in(client, span_least="3", span_most="4")
    assert (one.span_least_mm, one.span_most_mm) == pytest.approx((76.2, 101.6))
    page = text(client, f"/gauges/{one.pk}")
    assert "3 in to 4 in" in page
    assert 'name="span_least" value="3"' in page
    answer = client.post("/gauges/new", {**GAUGE, "span_least": "4", "span_most": "3"})
    assert answer.status_code == 400
    said = answer.content.decode()
    assert "more than the smallest, 4 in" in said
    assert 'name="span_most" value="3"' in said
    assert Instrument.objects.count() == 1


def test_a_check_on_the_ring_gives_the_error_and_two_show_a_drift(client: Client) -> None:
    one = put_in(client)
    for on, read in (("2025-03-01", "3.0002"), ("2026-03-01", "3.0003")):
        sent = {"on": on, "reading": read, "ring_size": "3", "readings": "3"}
        assert client.post(f"/gauges/{one.pk}/check", sent).status_code == 302
    errors = list(Calibration.objects.order_by("on").values_list("error", flat=True))
    assert errors == pytest.approx([0.0002 * 25.4, 0.0003 * 25.4])
    page = text(client, f"/gauges/{one.pk}")
    assert "Errors of its checks. 1 Mar 2025: +0.0002 in; 1 Mar 2026: +0.0003 in" in page
    assert 'read <span class="num">3.0003 in</span>' in page


def test_a_certificate_says_a_negative_error_and_its_k(client: Client) -> None:
    one = put_in(client)
    sent = {"on": "2026-03-01", "error": "-0.0002", "uncertainty": "0.0001", "coverage_factor": "2.1"}
    client.post(f"/gauges/{one.pk}/check?way=certificate", sent)
    check = Calibration.objects.get()
    assert check.error == pytest.approx(-0.00508)
    assert check.coverage_k == 2.1
    assert "k = 2.1" in text(client, f"/gauges/{one.pk}")


def test_ten_readings_make_its_scatter(client: Client) -> None:
    one = put_in(client)
    lines = "\n".join(f"3.000{end}" for end in (1, 2, 1, 3, 2, 2, 1, 2, 3, 2))
    client.post(f"/gauges/{one.pk}/scatter", {"readings": lines})
    one.refresh_from_db()
    # Of 1 2 1 3 2 2 1 2 3 2 the mean is 1.9 and the sum of squares 4.9: s = √(4.9 / 9) = 0.738.
    assert one.repeat_u == pytest.approx(0.0000738 * 25.4, rel=0.001)
    assert "tried: 10 readings of one place" in text(client, f"/gauges/{one.pk}")


def test_a_reading_that_is_none_is_named_by_its_line_and_the_rest_stays(client: Client) -> None:
    one = put_in(client)
    page = client.post(f"/gauges/{one.pk}/scatter", {"readings": "3.0001\n\nabc\n3.0002"}).content.decode()
    assert "in line 3" in page
    assert "3.0002</textarea>" in page


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"step": "0"}, "step needs more than nothing"),
        ({"step": "fine"}, "step needs"),
        ({"ring_uncertainty": "-0.001"}, "ring uncertainty needs more than nothing"),
        ({"expansion": "115"}, "expansion needs 0 to 1e-4"),
        ({"degrees_of_freedom": "0"}, "degrees of freedom needs 1 or more"),
    ],
)
def test_what_no_gauge_has_stands_at_its_field(client: Client, other: dict[str, str], said: str) -> None:
    page = client.post("/gauges/new", {**GAUGE, **other}).content.decode()
    assert said in page
    assert 'value="micrometer 3 to 4"' in page
    assert not Instrument.objects.exists()


def test_a_balance_is_checked_with_a_weight(client: Client) -> None:
    blank = dict.fromkeys(("ring_size", "ring_uncertainty", "drift"), "")
    one = put_in(client, name="balance", kind="balance", unit="g", step="0.1", **blank)
    sent = {"on": "2026-03-01", "reading": "200.3", "ring_size": "200", "readings": "1"}
    client.post(f"/gauges/{one.pk}/check", sent)
    assert Calibration.objects.get().error == pytest.approx(0.3)
    client.post(
        f"/gauges/{one.pk}/check?way=certificate", {"on": "2026-03-02", "error": "0", "coverage_factor": "2"}
    )
    assert Calibration.objects.latest("pk").error == 0


def test_a_bore_gauge_is_set_in_the_micrometer(client: Client) -> None:
    outside = put_in(client)
    blank = dict.fromkeys(("ring_size", "ring_uncertainty"), "")
    inside = put_in(client, name="bore gauge", kind="bore_gauge", set_with=str(outside.pk), **blank)
    assert "set in micrometer 3 to 4" in text(client, "/gauges")
    assert "all that is unsure of one reading of that" in text(client, f"/gauges/{inside.pk}")
    assert "Set in it:" in text(client, f"/gauges/{outside.pk}")
    assert "check that one on its ring" in text(client, f"/gauges/{inside.pk}/check")
    refused = client.post(f"/gauges/{outside.pk}/out-of-use")
    assert refused.status_code == 409
    client.post(f"/gauges/{inside.pk}/out-of-use")
    text(client, "/gauges")
    assert "bore gauge" not in text(client, "/gauges")


def test_an_overdue_gauge_says_so_wherever_it_stands(client: Client) -> None:
    one = put_in(client)
    sent = {"on": "2020-01-31", "error": "0", "uncertainty": "0.0001", "coverage_factor": "2"}
    client.post(f"/gauges/{one.pk}/check?way=certificate", sent)
    assert "overdue since 31 Jan 2021" in text(client, "/gauges")
    assert "micrometer 3 to 4: the gauge was calibrated" in text(client, f"/gauges/{one.pk}")
    check = Calibration.objects.get()
    client.post(f"/gauges/{one.pk}/checks/{check.pk}/take-back")
    assert "never checked" in text(client, "/gauges")
    assert check.on == dt.date(2020, 1, 31)


@pytest.mark.parametrize("where", ["/gauges/77", "/gauges/77/check", "/gauges/77/scatter"])
def test_a_gauge_that_is_not_there_is_said_to_be_none(client: Client, where: str) -> None:
    answer = client.get(where)
    assert answer.status_code == 404
    assert "There is no gauge 77" in answer.content.decode()
