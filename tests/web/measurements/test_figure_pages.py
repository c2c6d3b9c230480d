"""The page of the engine figures: published examples typed in, what lacks is said, wrong input stays."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.measurements.figure_models import MakersFigure, TimingReading
from runningfit.workshop.measurements.models import EngineSizes
from runningfit.workshop.models import Engine, FeatureSet, Job
from runningfit.workshop.records.queries import the_shop
from web.joints.judged_shop import text_of
from web.joints.matched_shop import a_read_set

pytestmark = pytest.mark.django_db
ENGINES = Path(__file__).resolve().parents[2] / "published" / "running_fits" / "engines.csv"
PUBLISHED = {row["source"]: row for row in csv.DictReader(ENGINES.read_text(encoding="utf-8").splitlines())}
FLAT = {"stroke": "86.00 mm", "gasket": "0 mm", "gasket_bore": "86 mm", "deck": "0.00 mm", "piston": "0",
        "chamber": "55.50", "speed": "6000", "source": "the example"}  # fmt: skip
WHEEL = {"cylinder": "1", "before": "330", "after": "30", "inlet_opens": "350", "inlet_closes": "230",
         "exhaust_opens": "130", "exhaust_closes": "12", "sure": "0.5", "rocker_ratio": "1.4",
         "inlet_lift": "6.0 mm", "clearance": "0.3 mm"}  # fmt: skip


@pytest.fixture
def engine(job: Job) -> Engine:
    shop = the_shop()
    shop.unit = "mm"
    shop.save()
    return Engine.objects.get(job=job)


def at(engine: Engine, page: str = "") -> str:
    return f"/jobs/{engine.job_id}/engines/{engine.pk}/figures{page}"


def four_bores(job: Job, typed: str = "86.000") -> None:
    a_read_set(job, "cylinder bores", FeatureKind.BORE, (typed,) * 4, "bores")


def test_with_nothing_known_the_page_says_what_it_needs(client: Client, engine: Engine) -> None:
    told = text_of(client.get(at(engine)))
    assert "What the figures still need" in told
    assert "the bores, read on the sheet" in told
    assert "the chambers, by burette or as one figure" in told
    for page in ("/sizes", "/timing", "/maker"):
        assert client.get(at(engine, page)).status_code == 200
    assert not EngineSizes.objects.exists()


def test_the_published_square_engine_comes_out_on_the_page(client: Client, job: Job, engine: Engine) -> None:
    four_bores(job)
    assert client.post(at(engine, "/sizes"), FLAT).status_code == 302
    told = text_of(client.get(at(engine)))
    swept = float(next(v for k, v in PUBLISHED.items() if k.startswith("common knowledge: four"))["answer"])
    assert swept == pytest.approx(1998.2, abs=0.5)
    assert "1998.2 ±" in told
    ratio = next(v for k, v in PUBLISHED.items() if k.startswith("one ninth"))["answer"]
    assert f"No. 1 ratio {float(ratio):.2f} ±" in told
    speed = next(v for k, v in PUBLISHED.items() if k.startswith("twice the stroke"))["answer"]
    assert f"{float(speed):.2f} ±" in told
    # A gasket 0.25 mm thick adds 5.8088 × 0.25 = 1.452 ml: 1 + 499.56 / 56.952.
    assert "gasket thicker by 0.25 mm ratio 9.77" in told
    # The readings of four equal cylinders do not show a difference.
    assert "do not show to be a difference" in told


def test_an_uncertainty_smaller_than_the_last_place_is_said_by_that_place(
    client: Client, job: Job, engine: Engine
) -> None:
    four_bores(job)
    client.post(at(engine, "/sizes"), {**FLAT, "stroke": "86.00 mm ± 0.01 mm"})
    told = text_of(client.get(at(engine)))
    # 0.01 mm of 86 mm of 17.2 m/s is 0.002 m/s.
    assert "17.20 ± 0.01 m/s" in told
    assert "± 0.00 " not in told
    assert "± 0.0 " not in told


def test_the_gap_beside_the_top_land_is_drawn_apart_from_the_crown(
    client: Client, job: Job, engine: Engine
) -> None:
    four_bores(job)
    client.post(at(engine, "/sizes"), {**FLAT, "crevice": "0.6"})
    page = client.get(at(engine)).content.decode()
    assert ">beside the top land 0.6 ml</text>" in page
    assert ">flat piston</text>" in page
    assert ">dish " not in page
    client.post(at(engine, "/sizes"), {**FLAT, "piston": "3.0", "crevice": "0.6"})
    assert ">dish 3.0 ml</text>" in client.get(at(engine)).content.decode()
    client.post(at(engine, "/sizes"), {**FLAT, "piston": "-2.5", "crevice": ""})
    page = client.get(at(engine)).content.decode()
    assert ">dome 2.5 ml</text>" in page
    assert "beside the top land" not in page.partition("</svg>")[0].partition("<svg")[2]


def test_what_is_outside_the_makers_figures_stands_first_and_the_rest_is_folded(
    client: Client, job: Job, engine: Engine
) -> None:
    four_bores(job)
    client.post(at(engine, "/sizes"), FLAT)
    client.post(at(engine, "/timing"), WHEEL)
    for what, lower, upper in (("ratio", "9.5", "10.5"), ("IVO", "18", "22")):
        client.post(at(engine, "/maker"), {"what": what, "lower": lower, "upper": upper, "source": "p. 6"})
    page = client.get(at(engine)).content.decode()
    outside, within = page.index(">outside</span>"), page.index(">within</span>")
    assert page.index('id="h-maker"') < outside < within < page.index('id="h-ratio"')
    assert "<details open>" not in page[outside:within]
    folded = page[page.index('id="h-change"') - 120 :]
    assert "<details open>" not in folded
    assert "inlet opens 10° before top dead centre, inlet closes 50° after bottom dead centre" in folded


def test_the_wanted_ratio_says_skim_and_room(client: Client, job: Job, engine: Engine) -> None:
    four_bores(job)
    client.post(at(engine, "/sizes"), {**FLAT, "deck": "0.50 mm", "gasket": "1.20 mm", "ratio_wanted": "11"})
    told = text_of(client.get(at(engine)))
    # By hand: 5808.80 mm² of bore; 55.5 + 5.8088 × 1.7 = 65.375 ml above, 49.956 wanted: 15.419 ml, 2.65 mm.
    assert "head skimmed by 2.65 mm" in told
    assert "would leave -0.95 mm between piston and head" in told
    assert "brings the valves nearer" in told


def test_chambers_by_burette_tell_the_cylinders_apart(client: Client, job: Job, engine: Engine) -> None:
    four_bores(job)
    a_read_set(job, "chambers", FeatureKind.VOLUME, ("55.5", "53.0", "55.4", ""), "chambers", unit="ml")
    client.post(at(engine, "/sizes"), {**FLAT, "chamber": ""})
    told = text_of(client.get(at(engine)))
    assert "Cylinder 4 is left out: its bore or its chamber is not read." in told
    assert "No. 2 ratio 10.43 ±" in told
    # 55.5 - 53.0, as all else is alike.
    assert "to grow 2.5 ±" in told
    assert "The cylinders differ by 0.42" in told


def test_valve_timing_from_the_wheel_and_the_lift(client: Client, engine: Engine) -> None:
    assert client.post(at(engine, "/timing"), WHEEL).status_code == 302
    told = text_of(client.get(at(engine)))
    # Top at 0°: 10 before top, 50 after bottom, 50 before bottom, 12 after top; overlap 22; inlet 240.
    for said in ("inlet opens 10.0 ±", "inlet closes 50.0 ±", "exhaust opens 50.0 ±",
                 "exhaust closes 12.0 ±", "overlap 22.0 ±", "inlet open for 240.0 ±"):  # fmt: skip
        assert said in told
    # 6.0 × 1.4 - 0.3.
    assert "inlet lift 8.100 mm" in told
    # A later reading of the same cylinder takes its place; both stay.
    client.post(at(engine, "/timing"), {**WHEEL, "inlet_opens": "345"})
    assert "inlet opens 15.0 ±" in text_of(client.get(at(engine)))
    assert TimingReading.objects.count() == 2
    latest = TimingReading.objects.latest("pk")
    assert client.post(at(engine, f"/timing/{latest.pk}/take-back")).status_code == 302
    assert "inlet opens 10.0 ±" in text_of(client.get(at(engine)))
    assert client.post(at(engine, f"/timing/{latest.pk}/take-back")).status_code == 409


def test_a_figure_from_memory_is_never_a_pass(client: Client, job: Job, engine: Engine) -> None:
    four_bores(job)
    client.post(at(engine, "/sizes"), FLAT)
    client.post(at(engine, "/timing"), WHEEL)
    maker = {"what": "ratio", "lower": "9.5", "upper": "10.5", "source": ""}
    assert client.post(at(engine, "/maker"), maker).status_code == 302
    told = text_of(client.get(at(engine)))
    assert "page not said" in told
    assert "so it is not a pass" in told
    assert 'class="stamp good"' not in client.get(at(engine)).content.decode()
    client.post(at(engine, "/maker"), {**maker, "source": "manual p. 6"})
    assert MakersFigure.objects.filter(withdrawn=False).count() == 1
    page = client.get(at(engine)).content.decode()
    assert page.count('<span class="stamp good">within</span>') == 4
    client.post(at(engine, "/maker"), {"what": "IVO", "lower": "18", "upper": "22", "source": "manual p. 9"})
    assert '<span class="stamp bad">outside</span>' in client.get(at(engine)).content.decode()
    one = MakersFigure.objects.filter(withdrawn=False).latest("pk")
    assert client.post(at(engine, f"/maker/{one.pk}/take-back")).status_code == 302
    assert client.post(at(engine, f"/maker/{one.pk}/take-back")).status_code == 409


def test_a_size_says_how_sure_it_is_and_keeps_its_unit(client: Client, job: Job, engine: Engine) -> None:
    four_bores(job)
    client.post(at(engine, "/sizes"), {**FLAT, "stroke": "3 3/8 in ± 0.01 in", "piston": "-2.5 ± 0.5"})
    held = EngineSizes.objects.get()
    assert held.stroke_mm == pytest.approx(85.725)
    assert held.piston_ml == -2.5
    assert held.typed["stroke"] == "3 3/8 in ± 0.01 in"
    page = client.get(at(engine, "/sizes")).content.decode()
    assert 'value="3 3/8 in ± 0.01 in"' in page
    # 0.254 mm / √3 of 85.725 mm of stroke, and 0.012 mm twice of 86 mm of bore: 3.41 and 0.55 of 1991.8 ml.
    told = text_of(client.get(at(engine)))
    assert "1991.8 ± 6.9 ml" in told


@pytest.mark.parametrize(
    ("page", "sent", "said", "stays"),
    [
        ("/sizes", {**FLAT, "stroke": "long"}, "stroke needs", "long"),
        ("/sizes", {**FLAT, "stroke": "3.125 mm"}, "10 to 1000 mm", "3.125 mm"),
        ("/sizes", {**FLAT, "ratio_wanted": "85"}, "2 to 30", "85"),
        ("/sizes", {**FLAT, "gasket": "1.2 ± thin"}, "gasket needs", "1.2 ± thin"),
        ("/timing", {**WHEEL, "after": "331"}, "2 to 170 degrees apart", "331"),
        ("/timing", {**WHEEL, "inlet_opens": "170"}, "an angle near its place", "170"),
        ("/timing", {**WHEEL, "inlet_lift": "high"}, "inlet lift needs", "high"),
        ("/maker", {"what": "ratio", "lower": "9", "upper": "8"}, "upside down", "9"),
        ("/maker", {"what": "ratio", "lower": "", "upper": ""}, "at least one of both limits", "ratio"),
        ("/maker", {"what": "swept", "lower": "big", "upper": ""}, "lower needs", "big"),
    ],
)
def test_wrong_input_stays_in_its_form(
    client: Client, engine: Engine, page: str, sent: dict[str, str], said: str, stays: str
) -> None:
    answer = client.post(at(engine, page), sent)
    assert answer.status_code == 400
    shown = answer.content.decode()
    assert said in shown
    assert f'value="{stays}"' in shown


def test_sizes_that_contradict_the_bores_are_said(client: Client, job: Job, engine: Engine) -> None:
    four_bores(job)
    client.post(at(engine, "/sizes"), {**FLAT, "gasket_bore": "60 mm"})
    assert "about the bore or more" in text_of(client.get(at(engine)))


def test_the_page_asks_as_little_for_twelve_cylinders_as_for_one(
    client: Client, job: Job, engine: Engine
) -> None:
    asked = []
    client.post(at(engine, "/sizes"), {**FLAT, "chamber": ""})
    for count in (1, 12):
        for one in FeatureSet.objects.filter(job=job, withdrawn=False):
            one.withdrawn = True
            one.save()
        a_read_set(job, "cylinder bores", FeatureKind.BORE, ("86.000",) * count, "bores")
        a_read_set(job, "chambers", FeatureKind.VOLUME, ("55.5",) * count, "chambers", unit="ml")
        for cylinder in range(count):
            client.post(at(engine, "/timing"), {**WHEEL, "cylinder": str(cylinder + 1)})
        client.post(at(engine, "/maker"), {"what": "ratio", "lower": "9", "upper": "", "source": "p. 6"})
        with CaptureQueriesContext(connection) as questions:
            page = client.get(at(engine)).content.decode()
        assert page.count(">within</span>") == count
        asked.append(len(questions))
    assert asked[0] == asked[1]
    assert asked[0] <= 18
