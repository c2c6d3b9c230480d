"""What is said of lots and places for their joints: read at once, refused by its name, kept as typed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from runningfit.core.errors import Conflict, InvalidInput, NothingChanged
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.workshop.joints.queries import (
    judged_joint,
    judged_lot,
    known_of_lot,
    said_of_lot,
    said_of_place,
)
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace, read_diameter
from runningfit.workshop.joints.services import say_of_lot, say_of_place
from runningfit.workshop.models import Area, Job, KnownOfLot, KnownOfPlace, Lot, Place, Record, Shop
from runningfit.workshop.pieces.lots import LotFacts, keep_lot, split_lot
from runningfit.workshop.records.services import close_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
THREAD = "3/8-16 UNC"


@pytest.fixture
def place(job: Job) -> Place:
    area = Area.objects.create(job=job, name="gear case")
    return Place.objects.create(
        area=area, name="pump", count=4, basis="holes_counted", kind="hex_bolt", end_a=THREAD
    )


@pytest.fixture
def lot(job: Job, place: Place) -> Lot:
    facts = LotFacts(count=4, kind="hex_bolt", end_a=(THREAD,), area=place.area, place=place)
    return keep_lot(job=job, facts=facts, hand=ANN)


OF_LOT = SaidOfLot(
    head_marking="3 radial lines",
    grade="SAE J429 5",
    hardness="28 HRC",
    material="hardened steel",
    thread_class="2A",
    role="safety_critical",
    stretch="4 thou",
    stretch_most="0.2 mm",
    neck="0.5 thou",
    neck_most="0.05 mm",
    thread_length="3/4",
    over_ten="15.90 mm",
    rust="2 thou",
    lost="1..4um",
    looks_sound=True,
    old_coat="5..8um",
    own_steps="acid rust remover",
    coat="ASTM B633 SC2",
    note="from the locker",
)
OF_PLACE = SaidOfPlace(
    mate="tapped_hole",
    material="LM25-TF",
    mate_class="2B",
    mate_finish="cadmium",
    mate_coat="5..8um",
    turned="head",
    blind="blind",
    depth="9/16",
    chamfer="1/32",
    clamped="1 1/8",
    washer="none",
    engaged="10 mm",
    prevailing="2 lbf ft",
    damaged_turns="1.5",
    hole_minor="8.00 mm ± 0.02 mm",
    torque="20 lbf ft",
    torque_page="manual p. 44",
    torque_assumed="zinc, dry",
    lubricant="oil",
    scatter="25 %",
    wanted_clamp="12 kN",
)


def test_what_is_said_of_a_lot_is_kept_as_meant_and_as_typed(lot: Lot) -> None:
    kept = say_of_lot(lot=lot, said=OF_LOT, hand=ANN)
    assert (kept.material, kept.role, kept.stretch_mm) == ("hardened_steel", "safety_critical", 0.1016)
    assert (kept.neck_mm, kept.neck_most_mm) == (0.0127, 0.05)
    assert kept.thread_length_mm == pytest.approx(19.05)
    assert kept.typed == {
        "stretch": "4 thou",
        "stretch_most": "0.2 mm",
        "neck": "0.5 thou",
        "neck_most": "0.05 mm",
        "rust": "2 thou",
        "thread_length": "3/4",
        "over_ten": "15.90 mm",
    }
    assert said_of_lot(lot) == OF_LOT
    piece = judged_lot(lot).facts.piece
    assert (piece.neck_mm, piece.neck_most_mm, piece.thread_length_mm) == (
        kept.neck_mm,
        kept.neck_most_mm,
        kept.thread_length_mm,
    )
    assert (piece.over_ten_mm, piece.rust_mm, piece.lost) == (15.9, kept.rust_mm, "1..4um")
    assert Record.objects.latest("pk").summary == "said what is known of lot 1"


def test_what_is_said_of_a_place_is_kept_as_meant_and_as_typed(place: Place) -> None:
    kept = say_of_place(place=place, said=OF_PLACE, hand=ANN)
    place.refresh_from_db()
    assert (place.hole_material, place.hole_blind, place.hole_depth_mm) == ("LM25-TF", "blind", 14.2875)
    assert place.torque_nm == pytest.approx(27.1164, abs=1e-4)
    assert (kept.clamped_mm, kept.washer_mm, kept.engaged_mm, kept.damaged_turns) == (28.575, 0.0, 10.0, 1.5)
    assert (kept.scatter, kept.wanted_clamp_n) == (0.25, 12000.0)
    assert kept.prevailing_nm == pytest.approx(2.7116, abs=1e-4)
    assert judged_joint(place, None).facts.mate.prevailing_nm == kept.prevailing_nm
    mate = judged_joint(place, None).facts.mate
    assert (mate.finish, mate.coat, mate.turned) == ("cadmium", "5..8um", "head")
    assert read_diameter(kept.hole_minor_typed) == Measured(8.0, 0.01)
    assert said_of_place(place) == replace(OF_PLACE, depth="14.2875 mm")


def in_unit(unit: str) -> None:
    shop, _ = Shop.objects.get_or_create()
    shop.unit = unit
    shop.save()


def test_a_bare_number_stays_the_same_size_when_the_shop_s_unit_changes(lot: Lot, place: Place) -> None:
    """An inch is 25.4 mm (international inch, 1959), a lbf ft 1.35582 N m (NIST SP 811, appendix B.8)."""
    in_unit("in")
    bare = SaidOfPlace(
        clamped="1.5", hole_minor="0.31 ± 0.002", torque="20", prevailing="2", damaged_turns="2"
    )
    kept = say_of_place(place=place, said=bare, hand=ANN)
    of_lot = say_of_lot(lot=lot, said=SaidOfLot(rust="0.01", thread_length="0.75"), hand=ANN)
    place.refresh_from_db()
    assert kept.clamped_mm == pytest.approx(38.1)
    assert place.torque_nm == pytest.approx(27.1164, abs=1e-4)
    # A torque sheet prints it: with its unit.
    assert said_of_place(place) == replace(bare, torque="20 lbf ft")
    in_unit("mm")
    shown = said_of_place(place)
    assert shown.clamped == "1.5 in"
    assert (shown.hole_minor, shown.prevailing) == ("0.31 in ± 0.002 in", "2 lbf ft")
    assert (shown.torque, shown.damaged_turns) == ("20 lbf ft", "2")
    # Kept again with a word more, as a form sends all of it back: nothing has another size.
    again = say_of_place(place=place, said=replace(shown, note="seen twice"), hand=ANN)
    place.refresh_from_db()
    assert (again.clamped_mm, again.prevailing_nm) == (kept.clamped_mm, kept.prevailing_nm)
    assert again.hole_minor_typed == kept.hole_minor_typed
    assert place.torque_nm == pytest.approx(27.1164, abs=1e-4)
    assert said_of_lot(lot).rust == "0.01 in"
    told = say_of_lot(lot=lot, said=replace(said_of_lot(lot), note="seen twice"), hand=ANN)
    assert (told.rust_mm, told.thread_length_mm) == (of_lot.rust_mm, of_lot.thread_length_mm)


def test_saying_again_what_a_form_showed_changes_nothing(lot: Lot, place: Place) -> None:
    say_of_lot(lot=lot, said=OF_LOT, hand=ANN)
    say_of_place(place=place, said=OF_PLACE, hand=ANN)
    place.refresh_from_db()
    before = Record.objects.count()
    with pytest.raises(NothingChanged, match="Nothing was changed"):
        say_of_lot(lot=lot, said=said_of_lot(lot), hand=ANN)
    with pytest.raises(NothingChanged, match="Nothing was changed"):
        say_of_place(place=place, said=said_of_place(place), hand=ANN)
    assert Record.objects.count() == before


@pytest.mark.parametrize(
    ("said", "needs"),
    [
        ({"head_marking": "a crown"}, "head_marking needs a head marking"),
        ({"grade": "SAE J429 9"}, "grade needs"),
        ({"grade": "ISO 898-1 8.8"}, "grade needs one made for 3/8-16 UNC"),
        ({"hardness": "42"}, "hardness needs a number and its scale"),
        ({"hardness": "320 HRC"}, "hardness needs 20 to 68 on the scale HRC"),
        ({"material": "unobtainium"}, "material needs one of steel, hardened steel"),
        ({"thread_class": "6g"}, "thread_class needs a class of 3/8-16 UNC"),
        ({"role": "vital"}, "role needs one of ordinary"),
        ({"stretch": "-0.1 mm"}, "stretch needs nothing or more"),
        ({"stretch_most": "a lot"}, "stretch_most needs"),
        ({"neck": "-0.1 mm"}, "neck needs nothing or more"),
        ({"neck_most": "hardly"}, "neck_most needs"),
        ({"thread_length": "short"}, "thread_length needs a length"),
        ({"over_ten": "eleven crests"}, "over_ten needs a length"),
        ({"rust": "-1 mm"}, "rust needs nothing or more"),
        ({"lost": "some"}, "lost needs a coat such as"),
        ({"old_coat": "8"}, "old_coat needs a coat such as"),
        ({"coat": "ASTM B633 SC9"}, "coat needs"),
        ({"own_steps": "magic"}, "own_steps needs the steps in their order"),
        ({"note": "x" * 301}, "note needs at most 300 characters"),
    ],
)
def test_a_value_that_cannot_be_read_is_refused_by_the_name_of_its_field(
    lot: Lot, said: dict[str, Any], needs: str
) -> None:
    with pytest.raises(InvalidInput, match=needs):
        say_of_lot(lot=lot, said=SaidOfLot(**said), hand=ANN)
    assert not KnownOfLot.objects.exists()


@pytest.mark.parametrize(
    ("said", "needs"),
    [
        ({"mate": "glue"}, "mate needs one of tapped_hole"),
        ({"material": "cheese"}, "material needs one of aluminium casting"),
        ({"blind": "one-eyed"}, "blind needs blind or through"),
        ({"depth": "deep"}, "depth needs a length"),
        ({"engaged": "-2 mm"}, "engaged needs a length"),
        ({"clamped": "13/8"}, "clamped needs one length"),
        ({"mate_class": "2A"}, "mate_class needs a class of 3/8-16 UNC"),
        ({"mate_grade": "mild"}, "mate_grade needs"),
        ({"mate_finish": "cadmium, oil"}, "mate_finish needs a finish alone"),
        ({"mate_finish": "glitter"}, "mate_finish needs"),
        ({"mate_coat": "thick"}, "mate_coat needs"),
        ({"turned": "key"}, "turned needs head or nut"),
        ({"damaged_turns": "some"}, "damaged_turns needs a number of turns"),
        ({"hole_minor": "8 mm ± 20 mm"}, "hole_minor needs a diameter"),
        ({"torque": "-20 lbf ft"}, "torque needs"),
        ({"torque": "0 lbf ft"}, "torque needs more than nothing"),
        ({"prevailing": "tight"}, "prevailing needs"),
        ({"torque_assumed": "zinc, cadmium"}, "torque_assumed needs"),
        ({"lubricant": "spit"}, "lubricant needs"),
        ({"lubricant": "zinc"}, "lubricant needs"),
        ({"scatter": "200 %"}, "scatter needs"),
        ({"wanted_clamp": "12"}, "wanted_clamp needs"),
        ({"role": "vital"}, "role needs one of ordinary"),
        ({"torque_page": "p" * 121}, "torque_page needs at most 120 characters"),
        ({"torque": f"{'0' * 60}20 lbf ft"}, "torque needs"),
    ],
)
def test_a_value_of_a_place_that_cannot_be_read_is_refused_and_nothing_is_kept(
    place: Place, said: dict[str, Any], needs: str
) -> None:
    with pytest.raises(InvalidInput, match=needs):
        say_of_place(place=place, said=SaidOfPlace(**said), hand=ANN)
    place.refresh_from_db()
    assert not KnownOfPlace.objects.exists()
    assert place.torque_nm is None


def test_what_was_said_can_be_taken_back_and_said_again(lot: Lot) -> None:
    say_of_lot(lot=lot, said=OF_LOT, hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("wrong lot"))
    assert said_of_lot(lot) == SaidOfLot()
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 8"), hand=ANN)
    assert said_of_lot(lot) == SaidOfLot(grade="SAE J429 8")


def test_taking_back_a_change_of_a_place_brings_back_both_rows(place: Place) -> None:
    say_of_place(place=place, said=OF_PLACE, hand=ANN)
    place.refresh_from_db()
    say_of_place(place=place, said=SaidOfPlace(material="cast iron", lubricant="dry"), hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("that was the other place"))
    place.refresh_from_db()
    assert said_of_place(place) == replace(OF_PLACE, depth="14.2875 mm")


def test_a_part_that_was_split_off_knows_what_its_lot_knew_until_it_says_otherwise(lot: Lot) -> None:
    say_of_lot(lot=lot, said=OF_LOT, hand=ANN)
    part = split_lot(lot=lot, count=2, hand=ANN)
    smaller = split_lot(lot=part, count=1, hand=ANN)
    assert said_of_lot(smaller) == OF_LOT
    say_of_lot(lot=part, said=SaidOfLot(grade="SAE J429 2"), hand=ANN)
    grades = [known.grade for one in (lot, part, smaller) if (known := known_of_lot(one))]
    assert grades == ["SAE J429 5", "SAE J429 2", "SAE J429 2"]


def test_a_closed_job_refuses_what_is_said(job: Job, lot: Lot, place: Place) -> None:
    close_job(job=job, hand=ANN)
    with pytest.raises(Conflict, match="was closed"):
        say_of_lot(lot=lot, said=OF_LOT, hand=ANN)
    with pytest.raises(Conflict, match="was closed"):
        say_of_place(place=place, said=OF_PLACE, hand=ANN)


def test_nothing_is_said_of_a_lot_or_a_place_that_was_withdrawn(lot: Lot, place: Place) -> None:
    Lot.objects.filter(pk=lot.pk).update(withdrawn=True)
    Place.objects.filter(pk=place.pk).update(withdrawn=True)
    with pytest.raises(Conflict, match="Lot 1 was withdrawn"):
        say_of_lot(lot=lot, said=OF_LOT, hand=ANN)
    with pytest.raises(Conflict, match="'pump' was withdrawn"):
        say_of_place(place=place, said=OF_PLACE, hand=ANN)


def test_a_nut_is_said_by_its_own_class_and_not_by_a_bolt_s(job: Job, place: Place) -> None:
    facts = LotFacts(count=4, kind="nut", end_a=("M8x1.25",), area=place.area)
    nut = keep_lot(job=job, facts=facts, hand=ANN)
    assert say_of_lot(lot=nut, said=SaidOfLot(grade="10", head_marking="10"), hand=ANN).grade == "10"
    with pytest.raises(InvalidInput, match=r"grade needs a class of nuts such as 8"):
        say_of_lot(lot=nut, said=SaidOfLot(grade="7"), hand=ANN)
    under = say_of_place(place=place, said=SaidOfPlace(mate="nut", mate_grade="SAE J995 5"), hand=ANN)
    assert under.mate_grade == "SAE J995 5"
    with pytest.raises(InvalidInput, match=r"mate_grade needs one of SAE J429"):
        say_of_place(place=place, said=SaidOfPlace(mate="stud", mate_grade="SAE J995 5"), hand=ANN)
