"""Whether an area can be built now, and what stands against it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.plan.kit import KitGate, KitNeed, KitPieces, readiness
from runningfit.core.verdicts import Outcome

PLACE = KitNeed(1, "gear case bolts", 9)


def reasons(*filled: KitPieces, need: KitNeed = PLACE) -> list[str]:
    return [reason.text for reason in readiness([need], filled).reasons]


def test_an_area_with_all_its_pieces_here_is_ready() -> None:
    answer = readiness([PLACE], [KitPieces(1, "lot 4", here=9)])
    assert answer.ready
    assert answer.verdict.outcome is Outcome.SOUND


def test_pieces_that_are_missing_or_out_stand_against_it() -> None:
    assert reasons(KitPieces(1, "lot 4", here=5, outside=2)) == [
        "gear case bolts: 2 of 9 missing",
        "gear case bolts: 2 outside (lot 4)",
    ]


def test_a_piece_with_a_defective_thread_fills_nothing() -> None:
    found = reasons(KitPieces(1, "lot 4", here=7), KitPieces(1, "lot 5", here=2, thread_state="defective"))
    assert found == ["gear case bolts: 2 of 9 missing", "gear case bolts: 2 with a defective thread (lot 5)"]


def test_an_unproven_thread_of_piece_or_hole_stands_against_it() -> None:
    hole = KitNeed(1, "stud", 1, thread_state="not_proven")
    found = reasons(KitPieces(1, "lot 4", here=1, thread_state="not_proven"), need=hole)
    assert found == ["stud: the thread of the hole is not proven", "stud: thread not proven (lot 4)"]


def test_an_unfinished_treatment_and_a_misfit_stand_against_it() -> None:
    lot = KitPieces(1, "lot 4", here=9, treatment_due="zinc plating", misfit="it is shorter")
    assert reasons(lot) == [
        "gear case bolts: zinc plating not done yet (lot 4)",
        "gear case bolts: does not belong here: it is shorter (lot 4)",
    ]


def test_an_open_question_stands_against_it() -> None:
    assert reasons(KitPieces(1, "lot 4", here=9, open_question="how long it is")) == [
        "gear case bolts: find out how long it is (lot 4)"
    ]


def test_assumed_places_say_that_losses_cannot_show() -> None:
    answer = readiness([KitNeed(1, "a", 1, assumed=True), KitNeed(2, "b", 1)], [])
    assert answer.cautions[0].text.startswith("1 of its 2 places are only assumed")


def test_an_area_without_places_is_never_ready() -> None:
    answer = readiness([], [])
    assert not answer.ready
    assert "No place of this area is described" in answer.reasons[0].text


@given(
    st.integers(1, 50),
    st.lists(st.tuples(st.integers(0, 20), st.integers(0, 20), st.integers(0, 20)), max_size=5),
)
def test_missing_and_present_add_up_to_what_is_needed_or_more(
    count: int, lots: list[tuple[int, int, int]]
) -> None:
    filled = [KitPieces(1, "lot", here, outside, fitted) for here, outside, fitted in lots]
    answer = readiness([KitNeed(1, "place", count)], filled)
    assert answer.missing == max(0, count - sum(lot.count for lot in filled))
    assert answer.ready == (answer.missing == 0 and answer.outside == 0)
    assert answer.fitted <= answer.needed


def test_a_test_that_is_open_stands_against_it_and_stands_on_when_all_is_fitted() -> None:
    gates = [KitGate("pressure test: gear case"), KitGate("crack test: rods", failed=True)]
    said = ["Waits for pressure test: gear case: still to be done", "Waits for crack test: rods: failed"]
    answer = readiness([PLACE], [KitPieces(1, "lot 4", fitted=9)], gates)
    assert not answer.ready
    assert answer.finished
    assert [reason.text for reason in answer.waits] == said
    assert [reason.text for reason in answer.reasons] == said
