"""The torque sheet as a PDF: figures in both units, refusals, and that a usual area fits two pages."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from printed_papers import count_pages, words_of
from runningfit.core.units import LengthUnit
from runningfit.reports.torque_sheet import torque_sheet
from runningfit.reports.torque_words import TorqueWords, torque_words
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace
from runningfit.workshop.joints.services import say_of_lot, say_of_place
from runningfit.workshop.joints.torques import torque_sheet_of
from runningfit.workshop.models import Area, Job, Lot, Place
from runningfit.workshop.outside_work.treating import say_treatment
from runningfit.workshop.pieces.lots import change_lot
from web.joints.judged_shop import ANN, SOUND, a_lot, a_place

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 3, 10)


def tightened(job: Job, name: str, *, process: str, look: str, **said: str) -> Place:
    """A place with bolts of grade 5 that wear a finish."""
    place = a_place(job, name)
    values = {**{one: getattr(SOUND, one) for one in SOUND.__dataclass_fields__}, **said}
    say_of_place(place=place, said=SaidOfPlace(**values), hand=ANN)
    lot = a_lot(job, Place.objects.get(pk=place.pk))
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 5", looks_sound=True), hand=ANN)
    change_lot(lot=lot, finish_process=process, finish_look=look, hand=ANN)
    return Place.objects.get(pk=place.pk)


def words(area: Area, unit: LengthUnit = LengthUnit.INCH) -> list[TorqueWords]:
    return [torque_words(line, unit, area=area.pk) for line in torque_sheet_of(area).tightened]


def paper(area: Area) -> str:
    return words_of(torque_sheet(torque_sheet_of(area), today=DAY))


def test_the_maker_s_own_figure_stands_as_it_is_in_both_units(job: Job) -> None:
    place = tightened(job, "pump to case", process="", look="none")
    (line,) = words(place.area)
    assert line.figures == (("15 lbf ft", ""), ("20.3 N m", ""))
    assert "The maker's own figure" in line.why
    assert (line.refused, line.kept) == ("", "")
    (metric,) = words(place.area, LengthUnit.MM)
    assert metric.figures == tuple(reversed(line.figures))
    said = paper(place.area)
    for part in (
        "Torque sheet: gear case", "10 Mar 2026", "pump to case", "15 lbf ft", "20.3 N m", "lot 1",
        "3/8-16 UNC", "manual p. 12", "plain, oil", "done, by", "the maker's method",
    ):  # fmt: skip
        assert part in said


def test_another_finish_has_another_figure_with_its_range_and_what_the_old_one_would_do(job: Job) -> None:
    dry = {"torque_assumed": "zinc, dry", "lubricant": "dry"}
    slippery = tightened(job, "pump to case", process="cadmium", look="yellow", **dry)
    (line,) = words(slippery.area)
    figure, spread = line.figures[0]
    low, high = (float(end) for end in spread.split(" to "))
    assert low < float(figure.split()[0]) < high
    assert float(figure.split()[0]) < 15
    assert "made for zinc, dry" in line.maker
    assert line.now == "cadmium, dry"
    assert "in the condition of now" in line.why
    assert "15 lbf ft kept gives" in line.kept
    assert "overstretched" in line.kept
    assert line.figures[1][0].endswith(" N m")
    assert figure in paper(slippery.area)


def test_where_none_is_safe_it_says_so_with_both_ends_in_the_unit_of_the_shop(job: Job) -> None:
    dry = {"torque_assumed": "cadmium, dry", "lubricant": "dry", "torque": "28 lbf ft"}
    place = tightened(job, "pump to case", process="zinc", look="yellow", **dry)
    (line,) = words(place.area)
    assert line.figures == ()
    assert line.refused.startswith("No torque is given: ")
    assert " lbf ft (" in line.refused
    (metric,) = words(place.area, LengthUnit.MM)
    assert re.search(r"given: [0-9.]+ N m \([0-9.]+ lbf ft\) is the least", metric.refused)
    assert "work loose" in line.kept
    said = paper(place.area)
    assert "No torque is given" in said
    assert "0 with a figure, 1 without" in said


def test_before_the_finish_is_confirmed_there_is_no_figure(job: Job) -> None:
    place = tightened(job, "pump to case", process="", look="yellow")
    (line,) = words(place.area)
    assert line.waits
    assert line.refused.startswith("No figure until")
    assert line.now == "finish not confirmed, oil"
    say_treatment(lots=list(Lot.objects.all()), treatment="zinc_clear", hand=ANN)
    (line,) = words(place.area)
    assert "electroplate zinc, clear is still to come" in line.pieces
    assert "No figure until" in paper(place.area)


def test_what_is_not_proven_or_safety_critical_is_said_beside_the_figure(job: Job) -> None:
    place = tightened(job, "lifting eye", process="", look="none", role="safety_critical")
    (line,) = words(place.area)
    assert line.stamp == "safety-critical"
    assert line.figures
    assert "Looks alone never pass it" in line.doubt
    assert "Not proven:" in paper(place.area)


def test_a_part_of_the_area_and_missing_pieces_are_named(job: Job) -> None:
    place = tightened(job, "pump to case", process="", look="none")
    engine = Area.objects.create(job=job, name="engine")
    Area.objects.filter(pk=place.area_id).update(parent=engine)
    Place.objects.filter(pk=place.pk).update(count=9)
    (line,) = words(engine)
    assert (line.part, line.count) == ("gear case", 4)
    assert "9 needed" in line.pieces
    assert "(gear case)" in paper(engine)


def test_a_usual_area_fits_on_two_pages(job: Job) -> None:
    dry = {"torque_assumed": "zinc, dry", "lubricant": "dry"}
    for number in range(12):
        place = tightened(job, f"cover bolt hole {number}", process="cadmium", look="yellow", **dry)
    a_place(job, "vent")
    made = torque_sheet(torque_sheet_of(place.area), today=DAY)
    assert count_pages(made) <= 2
    assert "vent (4)" in words_of(made)


def test_words_that_look_like_commands_are_printed_as_words(job: Job) -> None:
    hostile = '#panic("out") $x^2$ *bold* \\ "quoted" #read("/etc/passwd")'
    place = a_place(job, hostile, torque_typed="20 lbf ft", torque_nm=27.1)
    assert '#panic("out") $x^2$ *bold*' in paper(place.area)


def test_an_area_without_a_torque_prints_too(job: Job) -> None:
    area = Area.objects.create(job=job, name="governor")
    assert "No place of this area has a torque" in paper(area)


def test_a_bake_that_nobody_ordered_is_asked_about_beside_the_figure(job: Job) -> None:
    """Nobody knows how hard they are, so that they may have needed one."""
    place = a_place(job, "pump to case")
    say_of_place(
        place=place,
        said=SaidOfPlace(torque="15 lbf ft", torque_assumed="zinc, oil", lubricant="oil"),
        hand=ANN,
    )
    lot = a_lot(job, Place.objects.get(pk=place.pk))
    say_of_lot(lot=lot, said=SaidOfLot(is_new=True), hand=ANN)
    Lot.objects.filter(pk=lot.pk).update(treatment_done="zinc_clear", finish_received_process="zinc")
    (line,) = words(place.area)
    assert line.figures
    assert "nobody said whether it had it. Ask the shop" in line.doubt
    Lot.objects.filter(pk=lot.pk).update(done_chain="zinc_clear|bake|yes|zinc")
    (line,) = words(place.area)
    assert "nobody said" not in line.doubt
