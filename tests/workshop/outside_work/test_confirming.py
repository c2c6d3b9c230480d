"""Which finish came back: confirmed by its process, and open for as long as it is not the one asked for."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.workshop.joints.facts import finish_received
from runningfit.workshop.outside_work.confirming import confirm_finish, is_as_asked, lots_back_on
from runningfit.workshop.outside_work.discrepancies import close_discrepancy
from runningfit.workshop.outside_work.models import Consignment, Discrepancy
from runningfit.workshop.outside_work.queries import lines_of
from runningfit.workshop.outside_work.treating import say_done, say_treatment
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Record
from workshop.outside_work.bucket import HAND, Shed, a_shed, back, group, sent

pytestmark = pytest.mark.django_db
YELLOW = FinishLook.YELLOW


@pytest.fixture
def shed() -> Shed:
    return a_shed()


def came_back(shed: Shed, treatment: str = "cadmium", look: FinishLook = YELLOW) -> Lot:
    """Nuts, which nothing holds back."""
    lot = shed.nuts(6, treatment=treatment)
    back(sent(lot), group(lot, 6, look=look))
    return fresh(lot)


def fresh(lot: Lot) -> Lot:
    return Lot.objects.get(pk=lot.pk)


def confirm(*lots: Lot, process: str, look: str = "", why: str = "the plater's paper") -> list[Discrepancy]:
    return confirm_finish(lots=lots, process=process, look=look, why=why, hand=HAND)


def test_zinc_for_cadmium_opens_a_discrepancy_and_the_consignment_again(shed: Shed) -> None:
    lot = came_back(shed)
    assert Consignment.objects.get().closed_on is not None
    (row,) = confirm(lot, process="zinc")
    assert (row.kind, row.count, row.lot, row.job) == ("finish", 6, lot, shed.job)
    assert "zinc came; electroplate cadmium, yellow was asked" in row.said
    assert "the plater's paper" in row.said
    assert Consignment.objects.get().closed_on is None
    assert finish_received(fresh(lot)) == "zinc"
    line = lines_of(Consignment.objects.get())[0]
    assert (line.finish_received_look, line.finish_received_process) == ("yellow", "zinc")
    record = Record.objects.latest("pk")
    assert (record.verb, record.why) == ("confirm_finish", "the plater's paper")


def test_what_was_asked_for_opens_nothing(shed: Shed) -> None:
    lot = came_back(shed)
    assert confirm(lot, process="cadmium") == []
    assert not Discrepancy.objects.exists()
    assert Consignment.objects.get().closed_on is not None


def test_who_confirmed_the_wrong_one_puts_it_right_and_the_discrepancy_closes(shed: Shed) -> None:
    lot = came_back(shed)
    confirm(lot, process="zinc")
    assert confirm(lot, process="cadmium", why="tested: it is cadmium after all") == []
    row = Discrepancy.objects.get()
    assert row.closed_at is not None
    assert row.closed_reason == "tested: it is cadmium after all"
    assert Consignment.objects.get().closed_on is not None


def test_a_discrepancy_of_the_look_says_the_process_too_and_does_not_become_two(shed: Shed) -> None:
    lot = came_back(shed, treatment="zinc_clear")
    (by_look,) = Discrepancy.objects.all()
    assert "came back yellow; clear was asked" in by_look.said
    (row,) = confirm(lot, process="zinc")
    assert row.pk == by_look.pk
    assert "zinc came; electroplate zinc, clear was asked" in Discrepancy.objects.get().said
    assert not is_as_asked(fresh(lot))


def test_sent_out_again_for_what_was_asked_there_is_no_finish_until_it_is_back(shed: Shed) -> None:
    lot = came_back(shed)
    (row,) = confirm(lot, process="zinc")
    close_discrepancy(discrepancy=row, outcome="again", hand=HAND.because("the torques are for cadmium"))
    again = fresh(lot)
    assert again.treatment == "cadmium"
    assert finish_received(again) == ""
    assert lots_back_on(lines_of(Consignment.objects.get())) == []


def test_parts_of_a_lot_that_came_back_in_two_looks_are_asked_one_by_one(shed: Shed) -> None:
    lot = shed.nuts(6, treatment="zinc_yellow")
    consignment = sent(lot)
    back(consignment, group(lot, 4, look=YELLOW), group(lot, 2, look=FinishLook.BLACK, key=99))
    came = lots_back_on(lines_of(consignment))
    assert [one.finish_received_look for one in came] == ["yellow", "black"]
    part = came[1]
    assert part.parent_id == lot.pk
    (row,) = confirm(part, process="oxide")
    assert (row.lot, row.count) == (part, 2)
    assert confirm(came[0], process="zinc") == []


def test_several_lots_are_confirmed_in_one_record_and_taken_together(shed: Shed) -> None:
    first, second = shed.nuts(6, treatment="cadmium"), shed.nuts(3, treatment="cadmium", thread="1/4-28 UNF")
    back(sent(first, second), group(first, 6, look=YELLOW), group(second, 3, look=YELLOW))
    before = Record.objects.count()
    assert len(confirm(fresh(first), fresh(second), process="zinc")) == 2
    assert Record.objects.count() == before + 1
    assert Record.objects.latest("pk").summary == "lots 1, 2: the finish is zinc, confirmed"


def test_bare_metal_where_a_coat_was_asked_is_another_finish(shed: Shed) -> None:
    lot = came_back(shed, treatment="zinc_clear", look=FinishLook.CLEAR)
    (row,) = confirm(lot, process="", look="none", why="it rusts: nothing is on it")
    assert "bare metal came" in row.said
    assert finish_received(fresh(lot)) == "plain"


def test_what_was_done_at_home_is_of_no_consignment(shed: Shed) -> None:
    lot = shed.nuts(6, treatment="")
    say_treatment(lots=[lot], treatment="black_oxide", hand=HAND)
    say_done(lots=[fresh(lot)], hand=HAND)
    assert confirm(fresh(lot), process="phosphate") == []
    assert finish_received(fresh(lot)) == "phosphate"


def test_without_lots_or_a_reason_nothing_is_confirmed(shed: Shed) -> None:
    lot = came_back(shed)
    with pytest.raises(InvalidInput, match="lots needs at least one"):
        confirm(process="zinc")
    with pytest.raises(InvalidInput, match="why needs a reason in a few words"):
        confirm(lot, process="zinc", why=" ")
    with pytest.raises(InvalidInput, match="why needs at most 300"):
        confirm(lot, process="zinc", why="x" * 301)
    assert finish_received(fresh(lot)) == ""


def test_electroplated_zinc_where_zinc_flake_was_asked_is_another_finish(shed: Shed) -> None:
    lot = came_back(shed, treatment="zinc_flake", look=FinishLook.CLEAR)
    (row,) = confirm(lot, process="zinc")
    assert "zinc came; zinc flake was asked" in row.said
    assert finish_received(fresh(lot)) == "zinc"
    assert confirm(lot, process="zinc flake") == []
