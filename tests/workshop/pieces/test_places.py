"""Areas and places: where pieces belong, and where that knowledge comes from."""

from __future__ import annotations

from dataclasses import replace

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.units import LengthUnit
from runningfit.workshop.pieces import places
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.models import Area, Lot, Place
from runningfit.workshop.pieces.place_reading import PlaceWords, read_place
from runningfit.workshop.pieces.places import PlaceFacts
from runningfit.workshop.pieces.threads import say_thread
from runningfit.workshop.records.models import Job, Record
from runningfit.workshop.records.services import add_donor, open_job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
BOLTS = LotFacts(
    count=9,
    kind="hex_bolt",
    end_a=("5/16-24 UNF",),
    length_mm=34.925,
    length_nominal="1 3/8 in",
    finish_look="clear",
)
COUNTED = PlaceFacts(name="cover, upper row", count=9, basis="holes_counted", kind="hex_bolt")


def test_an_area_has_a_name_of_its_own(job: Job, area: Area) -> None:
    with pytest.raises(InvalidInput, match="name needs a name that no other area has"):
        places.add_area(job=job, name=" gear  CASE", hand=ANN)


def test_an_area_cannot_become_a_part_of_itself(job: Job, area: Area) -> None:
    part = places.add_area(job=job, name="Cover", hand=ANN, parent=area)
    with pytest.raises(InvalidInput, match="parent needs an area that is not a part of this one"):
        places.change_area(area=area, name="Gear case", parent=part, engine=None, hand=ANN)


def test_an_area_of_another_job_is_refused(area: Area) -> None:
    other = open_job(name="Other", engine_name="Wren", hand=ANN)
    with pytest.raises(Conflict, match="belong to one job"):
        places.add_area(job=other, name="Cover", hand=ANN, parent=area)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"name": " "}, "name needs what the place is"),
        ({"count": 0}, "count needs a whole number from 1"),
        ({"basis": "guessed"}, "basis needs one of holes counted"),
        ({"basis": "parts_list"}, "basis_said needs which list or page it is"),
        ({"finish_wanted": "pink"}, "finish_wanted needs one of clear"),
        ({"hole_blind": "half"}, "hole_blind needs blind or through"),
        ({"note": "x" * 301}, "note needs at most 300 characters"),
    ],
)
def test_a_place_says_what_it_cannot_be(area: Area, wrong: dict[str, object], said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        places.add_place(area=area, facts=replace(COUNTED, **wrong), hand=ANN)  # type: ignore[arg-type]
    assert not Place.objects.exists()


def test_a_place_is_read_in_the_ways_of_the_trade() -> None:
    words = PlaceWords(
        name="head studs",
        count=8,
        basis="manual_page",
        basis_said="page 14",
        kind="stud",
        thread="3/8 UNC / 3/8 UNF",
        length="two and a quarter",
        finish="clear plated",
        torque="18",
        hole_material="cast iron",
        hole_blind="blind",
        hole_depth="7/8",
    )
    facts = read_place(words, default_unit=LengthUnit.INCH)
    assert (facts.end_a, facts.end_b) == (("3/8-16 UNC",), ("3/8-24 UNF",))
    assert facts.length_mm == pytest.approx(57.15)
    assert facts.finish_wanted == "clear"
    assert facts.torque_nm == pytest.approx(24.4047, abs=1e-4)
    assert facts.hole_depth_mm == pytest.approx(22.225)


@pytest.mark.parametrize(
    ("words", "argument"),
    [
        (PlaceWords("a", 1, "assumed", thread="5/17 UNF", kind="hex_bolt"), "thread"),
        (PlaceWords("a", 1, "assumed", length="1 5/0"), "length"),
        (PlaceWords("a", 1, "assumed", length="1.3/8"), "length"),
        (PlaceWords("a", 1, "assumed", torque="some"), "torque"),
        (PlaceWords("a", 1, "assumed", hole_depth="deep"), "hole_depth"),
        (PlaceWords("a", 1, "assumed", kind="widget"), "kind"),
    ],
)
def test_what_cannot_be_read_of_a_place_is_named(words: PlaceWords, argument: str) -> None:
    with pytest.raises(InvalidInput, match=f"^{argument} needs .* came") as refused:
        read_place(words, default_unit=LengthUnit.INCH)
    assert refused.value.argument == argument


def test_places_come_from_what_came_off_and_are_only_assumed(job: Job, area: Area) -> None:
    first = keep_lot(job=job, facts=replace(BOLTS, area=area), hand=ANN)
    second = keep_lot(job=job, facts=replace(BOLTS, area=area, count=3), hand=ANN)
    (place,) = places.places_from_lots(job=job, hand=ANN)
    assert (place.count, place.basis, place.end_a) == (12, "assumed", "5/16-24 UNF")
    assert set(Lot.objects.filter(place=place)) == {first, second}
    assert "cannot show" in places.CANNOT_SHOW_LOSSES


def test_no_place_is_made_of_a_donors_lots_or_twice_or_where_one_asks_for_the_like(
    job: Job, area: Area
) -> None:
    donor = add_donor(job=job, name="Barge", hand=ANN)
    keep_lot(job=job, facts=replace(BOLTS, area=area, origin=donor), hand=ANN)
    keep_lot(job=job, facts=BOLTS, hand=ANN)
    assert places.propose_places(job=job) == []
    with pytest.raises(InvalidInput, match="area needs lots with an area that no place asks for"):
        places.places_from_lots(job=job, hand=ANN)
    facts = replace(COUNTED, end_a=("5/16-24 UNF",), length_mm=35.0)
    places.add_place(area=area, facts=facts, hand=ANN)
    keep_lot(job=job, facts=replace(BOLTS, area=area), hand=ANN)
    assert places.propose_places(job=job) == []


def test_a_defective_lot_makes_the_holes_of_its_new_place_not_proven(job: Job, area: Area) -> None:
    lot = keep_lot(job=job, facts=replace(BOLTS, area=area), hand=ANN)
    say_thread(lot=lot, state="defective", count=2, hand=ANN)
    (place,) = places.places_from_lots(job=job, hand=ANN)
    assert (place.count, Place.objects.get().thread_state) == (9, "not_proven")


def test_making_places_can_be_taken_back_whole(job: Job, area: Area) -> None:
    lot = keep_lot(job=job, facts=replace(BOLTS, area=area), hand=ANN)
    places.places_from_lots(job=job, hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("holes are counted tomorrow"))
    lot.refresh_from_db()
    assert (lot.place, Place.objects.filter(withdrawn=False).count()) == (None, 0)


def test_counting_the_holes_confirms_an_assumed_place(job: Job, area: Area) -> None:
    keep_lot(job=job, facts=replace(BOLTS, area=area), hand=ANN)
    (place,) = places.places_from_lots(job=job, hand=ANN)
    with pytest.raises(InvalidInput, match="basis_said needs which list or page it is"):
        places.confirm_basis(place=place, basis="parts_list", hand=ANN)
    places.confirm_basis(place=place, basis="holes_counted", count=10, hand=ANN)
    place.refresh_from_db()
    assert (place.basis, place.count) == ("holes_counted", 10)


def test_a_place_that_lots_fill_is_not_withdrawn(job: Job, area: Area) -> None:
    empty = places.add_place(area=area, facts=COUNTED, hand=ANN)
    lot = keep_lot(job=job, facts=replace(BOLTS, area=area, place=empty), hand=ANN)
    with pytest.raises(Conflict, match=f"filled by lot {lot.number}"):
        places.withdraw_place(place=empty, hand=ANN)


def test_a_core_plug_is_pressed_in_and_a_drain_plug_is_screwed() -> None:
    words = PlaceWords(
        name="core plugs in the head", count=4, basis="holes_counted", kind="plug", thread="1 1/2"
    )
    pressed = read_place(words, default_unit=LengthUnit.INCH)
    assert (pressed.end_a, pressed.size_said) == ((), "1 1/2 in")
    screwed = read_place(replace(words, name="drain plug", thread="G3/8"), default_unit=LengthUnit.INCH)
    assert screwed.end_a == ("G3/8",)
