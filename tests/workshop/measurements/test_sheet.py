"""The reading sheet of a job: begun with the usual sets, changed, limited by hand and by a sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.measurements import sets
from runningfit.workshop.measurements.limit_sheets import keep_limits, read_limit_sheet
from runningfit.workshop.measurements.queries import set_state, sets_of_job
from runningfit.workshop.measurements.sets import SaidLimit, SaidOfSet
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.measurements.typed import TypedNumber, typed_list, typed_number
from runningfit.workshop.models import FeatureLimit, FeatureSet, Instrument, Job, Record
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
LAYOUT = EngineLayout(cylinders=4, main_bearings=3)
SHAFTS = SaidOfSet("rocker shafts", FeatureKind.SHAFT, ("front", "rear"), Pattern((20.0, 80.0), (0.0, 90.0)))
SHEET = """set,what,state,lower,upper,page
cylinder bores,size,wear,3.1245 in,3.1255 in,p. 12
bores,out of round,wear,,0.05,p. 12
gudgeon eyes,size,new,20,21,p. 13
cylinder bores,size,new,79.4,79.3,p. 14
cylinder bores,size,new,79.3,79.4,
"""


def test_a_sheet_begins_with_what_was_chosen_and_grows_by_what_is_not_there(job: Job) -> None:
    made = sets.begin_sheet(job=job, engine=None, layout=LAYOUT, keys=["bores", "mains"], hand=ANN)
    assert [(one.name, set_state(one).point_count) for one in made] == [
        ("cylinder bores", 24),
        ("main journals", 12),
    ]
    more = sets.begin_sheet(job=job, engine=None, layout=LAYOUT, keys=["bores", "deck"], hand=ANN)
    assert [one.name for one in more] == ["block deck"]
    with pytest.raises(Conflict, match="on the sheet already"):
        sets.begin_sheet(job=job, engine=None, layout=LAYOUT, keys=["bores"], hand=ANN)
    with pytest.raises(InvalidInput, match="what to measure needs one or more of those offered"):
        sets.begin_sheet(job=job, engine=None, layout=LAYOUT, keys=["wheels"], hand=ANN)


def test_a_set_of_ones_own_is_added_changed_and_taken_off(job: Job) -> None:
    one = sets.add_set(job=job, engine=None, said=SHAFTS, hand=ANN)
    said = replace(SHAFTS, features=("front", "middle", "rear"), nominal=TypedNumber(16.0, "16 mm"))
    sets.change_set(feature_set=one, said=said, hand=ANN)
    state = set_state(FeatureSet.objects.get())
    assert [feature.feature.name for feature in state.features] == ["front", "middle", "rear"]
    sets.withdraw_set(feature_set=one, hand=ANN)
    assert sets_of_job(job) == []
    with pytest.raises(Conflict, match="taken off the sheet meanwhile"):
        sets.change_set(feature_set=one, said=said, hand=ANN)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"name": " "}, "name needs"),
        ({"features": ()}, "features needs 1 to 64"),
        ({"features": ("1", "1")}, "each name only once"),
        ({"nominal": TypedNumber(0.0, "0")}, "nominal needs more than nothing"),
        ({"pattern": Pattern((), (0.0,))}, "at least one depth"),
        ({"pattern": Pattern((1.0,), ())}, "at least one direction"),
    ],
)
def test_a_set_that_nobody_can_read_is_refused(job: Job, change: dict[str, object], match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        sets.add_set(job=job, engine=None, said=replace(SHAFTS, **change), hand=ANN)  # type: ignore[arg-type]
    assert not FeatureSet.objects.exists()


def test_a_set_that_was_read_keeps_its_kind_and_its_read_features(bores: FeatureSet) -> None:
    last = bores.features.order_by("position").last()
    assert last is not None
    take_readings(feature_set=bores, readings=[Taken("t", last.pk, "10@0", "79.4")], hand=ANN, unit="mm")
    said = SaidOfSet("cylinder bores", FeatureKind.BORE, ("1", "2", "3"), Pattern((10.0,), (0.0, 90.0)))
    with pytest.raises(Conflict, match="has readings: it cannot be taken off"):
        sets.change_set(feature_set=bores, said=said, hand=ANN)
    with pytest.raises(Conflict, match="its kind cannot change"):
        sets.change_set(feature_set=bores, said=replace(said, kind=FeatureKind.SHAFT), hand=ANN)


def test_the_gauge_of_a_set_and_its_setting_are_said_with_a_record(bores: FeatureSet) -> None:
    gauge = Instrument.objects.create(name="bore gauge", kind="bore_gauge", unit="mm", resolution=0.01)
    sets.use_gauge(
        feature_set=bores, instrument=gauge, set_at=typed_number("set", "79.4", unit="mm"), hand=ANN
    )
    bores.refresh_from_db()
    assert (bores.instrument, bores.set_at_mm, bores.typed["set_at"]) == (gauge, 79.4, "79.4 mm")
    assert Record.objects.latest("pk").summary == "reads cylinder bores with bore gauge"
    sets.use_gauge(feature_set=bores, instrument=gauge, set_at=None, hand=ANN)
    bores.refresh_from_db()
    assert (bores.set_at_mm, "set_at" in bores.typed) == (None, False)


def test_a_limit_gives_way_to_a_newer_one_for_the_same_thing(bores: FeatureSet) -> None:
    wear = SaidLimit("size", "wear", None, TypedNumber(79.5, "79.5 mm"), "manual", "p. 12")
    first = sets.add_limit(feature_set=bores, said=wear, hand=ANN)
    sets.add_limit(feature_set=bores, said=replace(wear, state="new"), hand=ANN)
    sets.add_limit(feature_set=bores, said=replace(wear, upper=TypedNumber(79.6, "79.6 mm")), hand=ANN)
    assert [(one.state, one.upper) for one in set_state(bores).limits] == [("new", 79.5), ("wear", 79.6)]
    assert FeatureLimit.objects.get(pk=first.pk).withdrawn


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"upper": None}, "a lower limit, an upper limit or both"),
        ({"lower": TypedNumber(79.6, "79.6")}, "upside down"),
        ({"source": " "}, "the page it stands on"),
        ({"what": "shine"}, "what needs one of size"),
        ({"state": "old"}, "state needs one of"),
        ({"basis": "dream"}, "basis needs one of"),
    ],
)
def test_a_limit_that_limits_nothing_or_comes_from_nowhere_is_refused(
    bores: FeatureSet, change: dict[str, object], match: str
) -> None:
    wear = SaidLimit("size", "wear", None, TypedNumber(79.5, "79.5 mm"), "manual", "p. 12")
    with pytest.raises(InvalidInput, match=match):
        sets.add_limit(feature_set=bores, said=replace(wear, **change), hand=ANN)  # type: ignore[arg-type]


def test_a_sheet_of_limits_is_understood_row_by_row_and_loses_none(bores: FeatureSet) -> None:
    sheet = read_limit_sheet(job=bores.job, data=SHEET.encode(), filename="limits.csv", unit="mm")
    assert [(one.row.line_number, one.said is not None) for one in sheet.rows] == [
        (2, True), (3, True), (4, False), (5, False), (6, False),
    ]  # fmt: skip
    faults = [" ".join(one.faults) for one in sheet.rows if one.said is None]
    for fault, said in zip(faults, ("on no set of this sheet", "upside down", "names no page"), strict=True):
        assert said in fault
    assert not FeatureLimit.objects.exists()
    keep_limits(job=bores.job, rows=sheet.rows, source="limits.csv", hand=ANN)
    kept = {one.what: one for one in set_state(bores).limits}
    assert kept["size"].lower == pytest.approx(3.1245 * 25.4)
    assert (kept["out_of_round"].upper, kept["out_of_round"].typed["upper"]) == (0.05, "0.05 mm")
    left = sheet.left
    again = read_limit_sheet(job=bores.job, data=left.text.encode(), filename="left", unit="mm")
    assert [one.row.cells["page"] for one in again.rows] == ["p. 13", "p. 14", ""]
    with pytest.raises(InvalidInput, match="at least one row that can be kept"):
        keep_limits(job=bores.job, rows=left.rows, source="left", hand=ANN)


def test_nothing_of_a_closed_job_is_changed(bores: FeatureSet) -> None:
    close_job(job=bores.job, hand=ANN)
    with pytest.raises(Conflict, match="was closed on"):
        sets.withdraw_set(feature_set=bores, hand=ANN)


@pytest.mark.parametrize(
    ("text", "unit", "values"),
    [
        ("10, 60, 110", "mm", (10.0, 60.0, 110.0)),
        ("10 60 110", "mm", (10.0, 60.0, 110.0)),
        ("10;60,5;110", "mm", (10.0, 60.5, 110.0)),
        ("0,45,90", "", (0.0, 45.0, 90.0)),
        ("1 in; 2 in", "mm", (25.4, 50.8)),
        ("", "", ()),
    ],
)
def test_a_row_of_numbers_is_read_as_people_write_it(text: str, unit: str, values: tuple[float, ...]) -> None:
    assert typed_list("depths", text, unit=unit) == pytest.approx(values)


@pytest.mark.parametrize("text", ["10,60", "ten; x"])
def test_a_row_of_numbers_that_may_mean_two_things_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match="depths needs"):
        typed_list("depths", text, unit="mm")
