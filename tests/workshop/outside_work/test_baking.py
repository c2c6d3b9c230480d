"""The bake that was asked: told when it went, asked about at the count, open until somebody says it was done.

That hard plated steel needs its bake within 4 h of plating: ASTM B850-98(2009), by core/standards/data.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.verdicts import Outcome
from runningfit.workshop.joints.models import KnownOfLot
from runningfit.workshop.joints.queries import judged_lot
from runningfit.workshop.outside_work import services, telling, treating
from runningfit.workshop.outside_work.baking import bakes_of, say_baked
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.queries import lines_of
from runningfit.workshop.pieces.lots import split_lot
from runningfit.workshop.pieces.models import Lot
from workshop.outside_work.bucket import HAND, Shed, a_shed, back, group, sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def hard(shed: Shed, count: int = 6) -> Lot:
    lot = shed.lot(count)
    KnownOfLot.objects.create(lot=lot, grade="SAE J429 8")
    return lot


def line_of(lot: Lot) -> ConsignmentLine:
    return ConsignmentLine.objects.select_related("consignment", "lot__job").get(lot=lot, withdrawn=False)


def hydrogen(lot: Lot) -> Check:
    checks = judged_lot(Lot.objects.get(pk=lot.pk)).judgement.checks
    return next(one for one in checks if one.question is Question.HYDROGEN)


@pytest.mark.parametrize(
    ("baked", "outcome", "needs", "says"),
    [
        ("", Outcome.NOT_PROVEN, True, "nobody said whether it had it"),
        ("yes", Outcome.SOUND_AFTER_TREATMENT, False, "baked, as the shop says"),
        ("certificate", Outcome.SOUND_AFTER_TREATMENT, False, "baked, by its certificate"),
        ("no", Outcome.NOT_SOUND, True, "it was not baked"),
    ],
)
def test_the_count_asks_for_the_bake_and_the_verdict_follows(
    shed: Shed, baked: str, outcome: Outcome, needs: bool, says: str
) -> None:
    lot = hard(shed)
    back(sent(lot), group(lot, 6), baked=baked)
    check = hydrogen(lot)
    assert (check.verdict.outcome, check.needs_a_person) == (outcome, needs)
    assert says in check.says
    # What can no longer be done is no instruction any more.
    assert "within 4 h" not in check.says
    assert line_of(lot).baked == baked


def test_what_nobody_said_at_the_count_is_said_later_of_every_part(shed: Shed) -> None:
    lot = hard(shed)
    consignment = sent(lot)
    back(consignment, group(lot, 6))
    part = split_lot(lot=Lot.objects.get(pk=lot.pk), count=2, hand=HAND)
    say_baked(consignment=consignment, baked="certificate", why="its paper", hand=HAND)
    assert {hydrogen(one).says for one in (lot, part)} == {"Up to 39 HRC: baked, by its certificate."}
    say_baked(consignment=consignment, baked="no", why="asked by phone: wrong paper", hand=HAND)
    assert hydrogen(part).verdict.outcome is Outcome.NOT_SOUND


def test_a_damaged_part_is_asked_about_as_the_others(shed: Shed) -> None:
    lot = hard(shed)
    back(sent(lot), group(lot, 6, damaged=1), baked="yes", damaged_said="head rounded")
    part = Lot.objects.get(parent=lot)
    assert "baked, as the shop says" in hydrogen(part).says


def test_what_comes_in_two_counts_is_one_work(shed: Shed) -> None:
    lot = hard(shed)
    consignment = sent(lot)
    back(consignment, group(lot, 4), finished=False)
    back(Consignment.objects.get(), group(lot, 2))
    assert Lot.objects.get(pk=lot.pk).done_chain == "zinc_clear|bake||"


def test_nobody_asks_for_the_bake_of_soft_pieces(shed: Shed) -> None:
    soft = shed.lot(4)
    KnownOfLot.objects.create(lot=soft, grade="SAE J429 2")
    consignment = sent(soft)
    back(consignment, group(soft, 4), baked="no")
    assert (line_of(soft).baked, hydrogen(soft).verdict.outcome) == ("", Outcome.SOUND)
    assert bakes_of(lines_of(consignment)) == []
    with pytest.raises(Conflict, match="of which a bake was asked"):
        say_baked(consignment=consignment, baked="yes", why="so", hand=HAND)


def test_an_answer_is_one_of_the_four_and_says_how_it_is_known(shed: Shed) -> None:
    lot = hard(shed)
    consignment = sent(lot)
    with pytest.raises(InvalidInput, match="baked needs one of"):
        back(consignment, group(lot, 6), baked="perhaps")
    back(consignment, group(lot, 6))
    with pytest.raises(InvalidInput, match="how that is known"):
        say_baked(consignment=consignment, baked="yes", why=" ", hand=HAND)


def test_what_was_told_is_of_the_day_it_went(shed: Shed) -> None:
    lot = hard(shed)
    treating.say_treatment(
        lots=[lot],
        treatment="zinc_clear",
        ordered_steps="bake",
        ordered_coat="ASTM F1941 Fe/Zn 5",
        hand=HAND,
    )
    shares = [services.Share(Lot.objects.get(pk=lot.pk))]
    consignment = services.make_up(shop_name="The plater", shares=shares, hand=HAND)
    before = telling.told_of([line_of(lot)])[line_of(lot).pk]
    consignment = services.send(consignment=consignment, hand=HAND)
    went = telling.told_of([line_of(lot)])[line_of(lot).pk]
    assert before.bake is not None
    # All but why: that stands on the page of the joint.
    assert replace(before, bake=replace(before.bake, reasons=())) == went
    KnownOfLot.objects.filter(lot=lot).update(grade="SAE J429 2")
    back(consignment, group(lot, 6, look=FinishLook.YELLOW))
    treating.say_treatment(lots=[Lot.objects.get(pk=lot.pk)], treatment="black_oxide", hand=HAND)
    line = line_of(lot)
    assert telling.told_of([line])[line.pk] == went
    assert telling.coat_of(line) == "ASTM F1941 Fe/Zn 5"
