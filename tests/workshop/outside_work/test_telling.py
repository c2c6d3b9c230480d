"""What a plater is told, what stops a consignment, and how a person overrules that."""

from __future__ import annotations

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.joints.models import KnownOfLot
from runningfit.workshop.outside_work import services, telling, treating
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Record
from workshop.outside_work.bucket import HAND, Shed, a_shed, back, counts, group

pytestmark = pytest.mark.django_db
WHY = "Trial pieces only, they never go back on the engine."


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def washers(shed: Shed, treatment: str = "zinc_clear") -> Lot:
    return shed.lot(
        8, kind="spring_washer", thread="", length="", length_mm=None, bag="E2", treatment=treatment
    )


def made_up(*lots: Lot) -> Consignment:
    return services.make_up(shop_name="The plater", shares=[services.Share(lot) for lot in lots], hand=HAND)


def line_of(lot: Lot) -> ConsignmentLine:
    return ConsignmentLine.objects.select_related("consignment", "lot__job").get(lot=lot, withdrawn=False)


def test_spring_washers_for_zinc_stop_the_whole_consignment(shed: Shed) -> None:
    bolts, springs = shed.lot(4), washers(shed)
    consignment = made_up(bolts, springs)
    with pytest.raises(
        Conflict, match=r"Consignment 1 does not go yet\. Lot 2: .*say why it goes all the same"
    ):
        services.send(consignment=consignment, hand=HAND)
    assert (counts(bolts).outside, counts(springs).outside) == (0, 0)
    services.take_off(line=line_of(springs), hand=HAND)
    services.send(consignment=consignment, hand=HAND)
    assert counts(bolts).outside == 4


def test_a_person_may_overrule_with_a_reason_that_the_record_keeps(shed: Shed) -> None:
    springs = washers(shed)
    consignment = made_up(springs)
    with pytest.raises(InvalidInput, match="why it goes all the same"):
        telling.send_anyway(line=line_of(springs), why="  ", hand=HAND)
    telling.send_anyway(line=line_of(springs), why=WHY, hand=HAND)
    record = Record.objects.latest("pk")
    assert (record.who, record.why) == ("Ann", WHY)
    assert record.summary.startswith("lot 1 goes on consignment 1 all the same, against: ")
    services.send(consignment=consignment, hand=HAND)
    assert counts(springs).outside == 8
    assert line_of(springs).sent_anyway == WHY
    assert f"lot 1 all the same: {WHY}" in Record.objects.latest("pk").summary


def test_the_reason_falls_with_the_treatment_it_was_given_for(shed: Shed) -> None:
    springs = washers(shed)
    consignment = made_up(springs)
    telling.send_anyway(line=line_of(springs), why=WHY, hand=HAND)
    treating.say_treatment(lots=[springs], treatment="cadmium", hand=HAND)
    with pytest.raises(Conflict, match="does not go yet"):
        services.send(consignment=consignment, hand=HAND)


def test_only_what_is_held_back_can_be_overruled_and_only_before_it_went(shed: Shed) -> None:
    flake = washers(shed, "zinc_flake")
    consignment = made_up(flake)
    with pytest.raises(InvalidInput, match="nothing against it"):
        telling.send_anyway(line=line_of(flake), why=WHY, hand=HAND)
    services.send(consignment=consignment, hand=HAND)
    with pytest.raises(Conflict, match=r"Consignment 1 was sent on"):
        telling.send_anyway(line=line_of(flake), why=WHY, hand=HAND)


def test_the_note_that_goes_along_orders_the_bake_which_hardness_asks_for(shed: Shed) -> None:
    hard, soft = shed.lot(6), shed.lot(4)
    KnownOfLot.objects.create(lot=hard, grade="SAE J429 8")
    KnownOfLot.objects.create(lot=soft, grade="SAE J429 2")
    consignment = made_up(hard, soft)
    told = telling.told_of([line_of(hard), line_of(soft)])
    assert told[line_of(hard).pk].bake is not None
    assert told[line_of(soft).pk].bake is None
    services.send(consignment=consignment, hand=HAND)
    assert [Lot.objects.get(pk=lot.pk).ordered_steps for lot in (hard, soft)] == ["bake", ""]


def test_what_was_told_stays_the_same_once_all_is_back(shed: Shed) -> None:
    hard = shed.lot(6)
    KnownOfLot.objects.create(lot=hard, grade="SAE J429 8")
    consignment = made_up(hard)
    before = telling.told_of([line_of(hard)])[line_of(hard).pk]
    services.send(consignment=consignment, hand=HAND)
    back(Consignment.objects.get(), group(hard, 6))
    treating.say_treatment(lots=[hard], treatment="clean", hand=HAND)
    after = telling.told_of([line_of(hard)])[line_of(hard).pk]
    assert before.bake is not None
    assert after.bake is not None
    assert (after.bake.said, after.thickest_um) == (before.bake.said, before.thickest_um)


def test_steps_that_were_ordered_stay_until_another_treatment_is_said(shed: Shed) -> None:
    lot = shed.lot(4, treatment="")
    treating.say_treatment(lots=[lot], treatment="zinc_clear", ordered_steps="bake", hand=HAND)
    treating.say_treatment(lots=[lot], treatment="zinc_clear", hand=HAND)
    assert Lot.objects.get().ordered_steps == "bake"
    treating.say_treatment(lots=[lot], treatment="black_oxide", hand=HAND)
    assert Lot.objects.get().ordered_steps == ""
    with pytest.raises(InvalidInput, match="process needs the steps"):
        treating.say_treatment(lots=[lot], treatment="zinc_clear", ordered_steps="gild it", hand=HAND)
