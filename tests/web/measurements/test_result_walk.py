"""A person reads what sets come to, finds the worst, reads it again and says pits: at both sizes."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from browsing import follow, no_serious_faults, nothing_beside
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.measurements.sets import SaidLimit, SaidOfSet, add_limit, add_set, begin_sheet
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import Feature, FeatureSet, Job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ANN = Hand(who="Ann")
KEYS = ["bores", "mains", "pistons", "runout", "end_float", "rods", "piston_weights", "head_face", "springs"]


def looked_at(page: Page) -> None:
    no_serious_faults(page)
    nothing_beside(page)


def typed(value: float, unit: str) -> TypedNumber:
    return TypedNumber(value, f"{value:g} {unit}")


def limit(one: FeatureSet, state: str, lower: float | None, upper: float, unit: str, **more: float) -> None:
    at = typed(more["at"], "mm") if "at" in more else None
    said = SaidLimit(
        "size", state, typed(lower, unit) if lower else None, typed(upper, unit), "manual", "page 31", at
    )
    add_limit(feature_set=one, said=said, hand=ANN)


def take(one: FeatureSet, feature: Feature, readings: dict[str, float]) -> None:
    taken = [
        Taken(f"{feature.pk} {point}", feature.pk, point, f"{value:.3f}", surely="read twice")
        for point, value in readings.items()
    ]
    unit = FeatureKind(one.kind).quantity.unit
    assert all(one.kept for one in take_readings(feature_set=one, readings=taken, hand=ANN, unit=unit))


def read_sheet(job: Job) -> dict[str, FeatureSet]:
    """A worn four-cylinder engine: bores, journals and more of each kind, the last bore read in part."""
    layout = EngineLayout(cylinders=4, main_bearings=3)
    sets = {one.purpose: one for one in begin_sheet(job=job, engine=None, layout=layout, keys=KEYS, hand=ANN)}
    limit(sets["bores"], "wear", 79.35, 79.55, "mm")
    limit(sets["bores"], "new", 79.37, 79.40, "mm")
    limit(sets["mains"], "wear", 51.9, 52.0, "mm")
    limit(sets["pistons"], "new", 79.30, 79.34, "mm")
    limit(sets["springs"], "wear", 190.0, 240.0, "N", at=38.0)
    limit(sets["springs"], "wear", 400.0, 460.0, "N", at=30.0)
    for number, feature in enumerate(sets["bores"].features.order_by("position")):
        worn = (0.002, 0.05, 0.3, 0.0)[number]
        read = {
            f"{depth}@{angle}": 79.382 + worn * (110 - depth) / 100 * (0.7 if angle else 0.4)
            for depth in (10, 60, 110)
            for angle in (0, 90)
        }
        take(sets["bores"], feature, read if number < 3 else {"10@0": 79.39, "10@90": 79.395})
    for number, feature in enumerate(sets["mains"].features.order_by("position")):
        read = {
            f"{d}@{a}": 51.96 - 0.004 * number * d / 25 - 0.003 * a / 90 for d in (5, 25) for a in (0, 90)
        }
        take(sets["mains"], feature, read)
    for number, feature in enumerate(sets["springs"].features.order_by("position")):
        take(sets["springs"], feature, {"38": 212.0 - 4 * number, "30": 431.0 - 8 * number})
    for key, value in (("pistons", 79.33), ("rods", 152.41), ("piston_weights", 381.5)):
        for number, feature in enumerate(sets[key].features.order_by("position")):
            take(sets[key], feature, {"40@90" if key == "pistons" else "1": value + 0.01 * number})
    take(
        sets["runout"],
        sets["runout"].features.get(),
        {f"@{a}": abs(a - 180) / 3000 for a in range(0, 360, 45)},
    )
    take(sets["end_float"], sets["end_float"].features.get(), {"1": 0.18})
    face = {
        f"{row}{column}": 0.02 + 0.02 * ((column + ord(row)) % 3) for row in "ABC" for column in (1, 2, 3, 4)
    }
    take(sets["head_face"], sets["head_face"].features.get(), face)
    pattern = Pattern(places=3)
    said = SaidOfSet("thrust washers", FeatureKind.LENGTH, ("front", "rear"), pattern)
    sets["own"] = add_set(job=job, engine=None, said=said, hand=ANN)
    limit(sets["own"], "wear", 2.30, 2.40, "mm")
    for feature in sets["own"].features.order_by("position"):
        take(sets["own"], feature, {"1": 2.36, "2": 2.35, "3": 2.34})
    return sets


def test_from_the_sheet_to_the_worst_bore_read_again_with_its_pits(any_size: Page, job: Job) -> None:
    sets = read_sheet(job)
    page = any_size
    page.goto(f"/jobs/{job.pk}/judge")
    expect(page.get_by_text("Measured:")).to_be_visible()
    looked_at(page)
    page.goto(f"/jobs/{job.pk}/measure")
    looked_at(page)
    follow(page.get_by_role("link", name="cylinder bores: not sound"))
    looked_at(page)
    expect(page.get_by_role("img", name="Ring at 10 mm").first).to_be_visible()
    expect(page.get_by_text("Cannot tell yet: 2 of 6 points read.")).to_be_visible()
    # The worst is open; another one opens by its number above.
    second = page.get_by_role("region", name="No. 2")
    expect(second.get_by_role("img", name="Ring at 10 mm")).to_be_hidden()
    page.locator(".among").get_by_role("link", name="2", exact=True).click()
    expect(second.get_by_role("img", name="Ring at 10 mm")).to_be_visible()
    third = page.get_by_role("region", name="No. 3")
    expect(third.locator(".stamp").first).to_have_text("not sound")
    third.get_by_text("Why: No. 3").click()
    third.get_by_text("caution: No. 3").click()
    expect(third.get_by_text("Bore 3:")).to_be_visible()
    third.get_by_text("Pits and scores").click()
    third.get_by_label("Depth of the deepest pit").fill("0.04 mm")
    third.get_by_label("How sure that is").fill("0.02 mm")
    looked_at(page)
    follow(third.get_by_role("button", name="Keep the pits of No. 3"))
    expect(page.get_by_text("Pits and scores: 0.04 mm deep, sure to 0.02 mm")).to_be_visible()
    follow(third.get_by_role("link", name="Every reading of No. 3"))
    expect(third.get_by_role("cell", name="counts")).to_have_count(6)
    looked_at(page)
    follow(third.get_by_role("link", name="Read the worst again: 10 mm down, across it (thrust)"))
    expect(page.locator("#its-point")).to_have_text("10 mm down, across it (thrust)")
    expect(page.locator("#stands")).to_contain_text("79.592")
    assert sets["bores"].features.get(position=2).pit_mm == 0.04


def test_every_kind_of_set_shows_what_it_comes_to(any_size: Page, job: Job) -> None:
    page = any_size
    for one in read_sheet(job).values():
        page.goto(f"/jobs/{job.pk}/measure/sets/{one.pk}/result")
        expect(page.locator("figure.came svg").first).to_be_visible()
        looked_at(page)
