"""No later work hides what a bath did before: the whole chain of works reaches the verdict on hydrogen.

That acid pickling and electroplating bring hydrogen into hard steel, and that a bake within 4 h is asked for:
ISO 9587:2007 and ASTM B850-98(2009), by the tables of core/standards/data.
"""

from __future__ import annotations

from typing import Any

import pytest

from runningfit.core.errors import Conflict
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.verdicts import Outcome
from runningfit.workshop.joints.queries import judged_joints, judged_lot
from runningfit.workshop.models import Job, KnownOfLot, Lot
from runningfit.workshop.outside_work.confirming import confirm_finish
from runningfit.workshop.outside_work.treating import say_done, say_treatment
from runningfit.workshop.pieces.done_work import DoneWork, chain_said, chain_with, works_of
from runningfit.workshop.pieces.lots import LotFacts, change_lot, join_lots, keep_lot, split_lot
from runningfit.workshop.records.writing import Hand
from runningfit.workshop.treatments.queries import treatments_of

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
THREAD = "3/8-16 UNC"


def a_bolt(job: Job, *, grade: str = "SAE J429 8", **said: Any) -> Lot:
    usual: dict[str, Any] = {"count": 4, "kind": "hex_bolt", "end_a": (THREAD,), "length_mm": 38.1}
    lot = keep_lot(job=job, facts=LotFacts(**usual | said), hand=ANN)
    KnownOfLot.objects.create(lot=lot, grade=grade)
    return lot


def now(lot: Lot) -> Lot:
    return Lot.objects.get(pk=lot.pk)


def done(lot: Lot, *treatments: str, steps: str = "") -> Lot:
    for one in treatments:
        say_treatment(lots=[now(lot)], treatment=one, ordered_steps=steps, hand=ANN)
        say_done(lots=[now(lot)], hand=ANN)
    return now(lot)


def hydrogen(lot: Lot) -> Check:
    checks = judged_lot(now(lot)).judgement.checks
    return next(one for one in checks if one.question is Question.HYDROGEN)


def test_a_chain_is_read_as_it_was_written() -> None:
    plated = DoneWork("zinc_clear", "bake; passivate")
    chain = chain_with(chain_with("", plated), DoneWork("derust"))
    assert works_of(chain) == (DoneWork("zinc_clear", "bake, passivate"), DoneWork("derust"))
    assert works_of(chain_said(chain, "derust", baked="no"))[-1] == DoneWork("derust", baked="no")
    assert works_of(chain_said(chain, "zinc_clear", came="cadmium"))[0].came == "cadmium"
    assert chain_said(chain, "paint", baked="yes") == chain
    assert works_of("") == works_of(chain_with(chain, DoneWork("replace"))) == ()


@pytest.mark.parametrize("later", ["derust", "bead_blast", "machine", "paint", "zinc_flake"])
def test_a_bath_is_not_forgotten_after_later_work(job: Job, later: str) -> None:
    lot = done(a_bolt(job), "zinc_clear", later)
    steps = judged_lot(lot).facts.piece.done_steps
    assert "acid pickle, zinc electroplate" in steps
    assert hydrogen(lot).verdict.outcome is Outcome.NOT_PROVEN
    assert [one.facts for one in judged_joints(job) if one.lot] == [judged_lot(lot).facts]


def test_acid_in_the_shop_itself_is_not_forgotten(job: Job) -> None:
    lot = done(a_bolt(job), "derust")
    check = hydrogen(lot)
    assert (check.verdict.outcome, check.missing) == (Outcome.NOT_PROVEN, "whether it was baked")
    assert hydrogen(done(a_bolt(job, grade="SAE J429 2"), "derust")).verdict.outcome is Outcome.SOUND


def test_a_spring_that_was_plated_stays_not_sound_after_blasting(job: Job) -> None:
    washers = a_bolt(job, grade="", kind="spring_washer", end_a=(), length_mm=None, size_said="3/8")
    assert hydrogen(done(washers, "zinc_clear", "bead_blast")).verdict.outcome is Outcome.NOT_SOUND


def test_pieces_that_came_in_their_place_have_none_of_it(job: Job) -> None:
    lot = done(a_bolt(job), "zinc_clear", "swap_donor")
    assert (lot.done_chain, judged_lot(lot).facts.piece.done_steps) == ("", "")


def test_another_bath_that_came_stays_in_the_chain(job: Job) -> None:
    lot = done(a_bolt(job), "zinc_flake")
    confirm_finish(lots=[lot], process="cadmium", look="yellow", why="the plater's paper", hand=ANN)
    lot = done(lot, "bead_blast")
    assert "cadmium electroplate" in judged_lot(lot).facts.piece.done_steps


def test_a_part_takes_the_chain_along_and_does_not_join_what_was_not_in_the_bath(job: Job) -> None:
    lot = done(a_bolt(job), "zinc_clear", "derust")
    part = split_lot(lot=lot, count=1, hand=ANN)
    assert hydrogen(part).verdict.outcome is Outcome.NOT_PROVEN
    bare = done(a_bolt(job), "derust")
    with pytest.raises(Conflict, match="were not treated alike"):
        join_lots(into=bare, other=now(part), hand=ANN)


def test_paint_that_was_taken_off_is_not_worn_any_more(job: Job) -> None:
    lot = done(a_bolt(job, finish_look="paint"), "derust")
    assert (lot.finish_received_look, lot.finish_received_process) == ("unknown", "")
    piece = judged_lot(lot).facts.piece
    assert (piece.finish_now, piece.finish_received) == ("", "")


def test_a_look_that_was_seen_after_derusting_is_kept(job: Job) -> None:
    lot = a_bolt(job, finish_look="paint")
    say_treatment(lots=[lot], treatment="derust", hand=ANN)
    say_done(lots=[now(lot)], look="none", hand=ANN)
    assert judged_lot(now(lot)).facts.piece.finish_now == "plain"


def test_what_was_ordered_falls_with_the_treatment_however_that_is_changed(job: Job) -> None:
    lot = a_bolt(job)
    say_treatment(
        lots=[lot], treatment="zinc_clear", ordered_steps="bake", ordered_coat="ASTM F1941 Fe/Zn 5", hand=ANN
    )
    change_lot(lot=now(lot), treatment="zinc_clear", remarks="asked twice", hand=ANN)
    assert (now(lot).ordered_steps, now(lot).ordered_coat) == ("bake", "ASTM F1941 Fe/Zn 5")
    change_lot(lot=now(lot), treatment="black_oxide", hand=ANN)
    assert (now(lot).ordered_steps, now(lot).ordered_coat) == ("", "")


def test_leaving_a_coat_that_nobody_confirmed_does_not_ignore_its_bath(job: Job) -> None:
    lot = a_bolt(job)
    Lot.objects.filter(pk=lot.pk).update(treatment_done="zinc_clear", done_chain="zinc_clear|||")
    assert judged_lot(now(lot)).facts.piece.finish_received == ""
    compared = {one.compared.candidate.key: one.compared for one in treatments_of(now(lot)).treatments}
    for key in ("leave", "clean", "derust", "black_oxide"):
        assert compared[key].outcome in {Outcome.NOT_PROVEN, Outcome.NOT_SOUND}, key
        assert any("bake" in effect.says for effect in compared[key].effects), key
