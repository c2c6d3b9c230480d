"""The tally sheet: each press is one piece, nothing is lost, nothing is counted twice."""

from __future__ import annotations

import pytest

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput
from runningfit.workshop.models import Job, Lot, Record, TallyPress, TallySheet
from runningfit.workshop.pieces import tally, tally_reads
from runningfit.workshop.pieces.ledger import books_balance, count_of
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


@pytest.fixture
def sheet(job: Job) -> TallySheet:
    return tally.open_sheet(
        job=job, kind="hex_bolt", thread="5/16 UNF", finish_look="clear", area="Gear case", bag="t1", hand=ANN
    )


def press(sheet: TallySheet, *typed: str, start: int = 0) -> list[tally.Refused]:
    presses = [tally.Pressed(f"token-{start + at:04d}", text) for at, text in enumerate(typed)]
    return tally.press(sheet=sheet, presses=presses, hand=ANN)


def test_a_sheet_fixes_once_what_is_alike(sheet: TallySheet) -> None:
    assert (sheet.end_a, sheet.series, sheet.unit) == ("5/16-24 UNF", "in", "mm")
    assert sheet.area is not None
    assert sheet.bag is not None
    assert (sheet.area.name, sheet.bag.code) == ("Gear case", "T1")
    assert tally_reads.marks_of(sheet) == "hex bolts 5/16-24 UNF, clear"


def test_metric_threads_are_tallied_in_metric_lengths(job: Job) -> None:
    assert tally.open_sheet(job=job, kind="hex_bolt", thread="M8", unit="in", hand=ANN).series == "mm"


def test_a_stud_has_two_ends(job: Job) -> None:
    sheet = tally.open_sheet(job=job, kind="stud", thread="3/8 UNC / 3/8 UNF", hand=ANN)
    assert (sheet.end_a, sheet.end_b) == ("3/8-16 UNC", "3/8-24 UNF")


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"kind": "nut"}, "kind needs pieces that have a length"),
        ({"kind": "hex_bolt", "thread": "5/17 UNF"}, "thread needs"),
        ({"kind": "hex_bolt", "bag": "!!"}, "bag needs"),
    ],
)
def test_a_sheet_that_cannot_be_read_is_not_opened(job: Job, values: dict[str, str], said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        tally.open_sheet(job=job, hand=ANN, **values)  # type: ignore[arg-type]
    assert not TallySheet.objects.exists()


def test_presses_are_added_up_by_length(sheet: TallySheet) -> None:
    assert press(sheet, "34.91", "34,88", "38.05", "34.95 mm") == []
    state = tally_reads.state_of(sheet)
    assert [(line.said, line.count) for line in state.lines] == [("1 3/8 in", 3), ("1 1/2 in", 1)]
    assert (state.lines[0].shortest_mm, state.lines[0].longest_mm) == (34.88, 34.95)
    assert state.last is not None
    assert (state.last.typed, state.total) == ("34.95 mm", 4)


def test_a_press_sent_twice_is_counted_once(sheet: TallySheet) -> None:
    press(sheet, "34.91", "34.88")
    press(sheet, "34.91", "34.88", "38.1")
    assert tally_reads.state_of(sheet).total == 3


def test_a_press_that_cannot_be_read_is_named_and_the_others_count(sheet: TallySheet) -> None:
    (refused,) = press(sheet, "34.91", "34.934.9", "38.1")
    assert refused.token == "token-0001"
    assert "Press the button again" in refused.why
    assert tally_reads.state_of(sheet).total == 2


def test_a_question_waits_and_does_not_stop_the_next_press(sheet: TallySheet) -> None:
    press(sheet, "36.5", "34.91")
    state = tally_reads.state_of(sheet)
    (asked,) = state.questions
    assert state.total == 2
    tally.answer(sheet=sheet, token=asked.press.token, length_mm=38.1, hand=ANN)
    after = tally_reads.state_of(sheet)
    assert after.questions == ()
    assert [(line.said, line.count) for line in after.lines] == [("1 3/8 in", 1), ("1 1/2 in", 1)]


def test_an_answer_must_be_one_of_those_offered(sheet: TallySheet) -> None:
    press(sheet, "36.5")
    with pytest.raises(
        InvalidInput, match=r"length needs one of those offered \(1 3/8 in, 1 1/2 in, 36.5 mm\)"
    ):
        tally.answer(sheet=sheet, token="token-0000", length_mm=50.0, hand=ANN)


def test_two_people_answering_differently_is_said(sheet: TallySheet) -> None:
    press(sheet, "36.5")
    tally.answer(sheet=sheet, token="token-0000", length_mm=38.1, hand=ANN)
    with pytest.raises(Conflict, match="was already answered as 1 1/2 in"):
        tally.answer(sheet=sheet, token="token-0000", length_mm=34.925, hand=Hand(who="Ben"))


def test_taking_back_names_its_press_so_that_twice_is_once(sheet: TallySheet) -> None:
    press(sheet, "34.91", "38.1")
    tally.take_back_press(sheet=sheet, token="token-0001", hand=ANN)
    tally.take_back_press(sheet=sheet, token="token-0001", hand=ANN)
    state = tally_reads.state_of(sheet)
    assert [(line.said, line.count) for line in state.lines] == [("1 3/8 in", 1)]
    assert TallyPress.objects.filter(sheet=sheet).count() == 2


def test_closing_makes_one_lot_for_each_length_in_one_record(sheet: TallySheet) -> None:
    press(sheet, "34.91", "34.88", "38.05")
    before = Record.objects.count()
    lots = tally.close_sheet(sheet=sheet, hand=ANN)
    assert Record.objects.count() == before + 1
    assert [(lot.length_nominal, lot.end_a, lot.finish_look) for lot in lots] == [
        ("1 3/8 in", "5/16-24 UNF", "clear"),
        ("1 1/2 in", "5/16-24 UNF", "clear"),
    ]
    assert [count_of(lot).bench for lot in lots] == [2, 1]
    assert lots[0].length_typed == "34.88 mm to 34.91 mm"
    assert (lots[0].bag, lots[0].area) == (sheet.bag, sheet.area)
    sheet.refresh_from_db()
    assert tally_reads.lots_of(sheet) == lots
    assert books_balance() == (3, 3)


def test_a_sheet_with_a_question_cannot_be_closed(sheet: TallySheet) -> None:
    press(sheet, "36.5", "34.9")
    with pytest.raises(Conflict, match="1 press waits for an answer"):
        tally.close_sheet(sheet=sheet, hand=ANN)
    assert not Lot.objects.exists()


def test_an_empty_sheet_cannot_be_closed(sheet: TallySheet) -> None:
    with pytest.raises(Conflict, match="Nothing is on this sheet yet"):
        tally.close_sheet(sheet=sheet, hand=ANN)


def test_a_sheet_is_closed_once_and_takes_no_press_after(sheet: TallySheet) -> None:
    press(sheet, "34.91")
    tally.close_sheet(sheet=sheet, hand=ANN)
    with pytest.raises(Conflict, match="closed meanwhile"):
        tally.close_sheet(sheet=sheet, hand=ANN)
    with pytest.raises(Conflict, match="closed meanwhile"):
        press(sheet, "38.1", start=5)
    assert books_balance() == (1, 1)


def test_the_same_closing_form_twice_does_nothing_twice(sheet: TallySheet) -> None:
    press(sheet, "34.91")
    hand = Hand(who="Ann", token="form-of-closing")
    tally.close_sheet(sheet=sheet, hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        tally.close_sheet(sheet=sheet, hand=hand)
    assert Lot.objects.count() == 1


def test_taking_the_closing_back_opens_the_sheet_again(sheet: TallySheet) -> None:
    press(sheet, "34.91")
    (lot,) = tally.close_sheet(sheet=sheet, hand=ANN)
    closing = Record.objects.get(verb="close_tally_sheet")
    take_back(record=closing, hand=Hand(who="Ann", why="one more in the tin"))
    lot.refresh_from_db()
    assert lot.withdrawn
    assert count_of(lot).total == 0
    press(sheet, "38.1", start=1)
    assert len(tally.close_sheet(sheet=TallySheet.objects.get(pk=sheet.pk), hand=ANN)) == 2


def test_a_sheet_thrown_away_counts_nothing(job: Job, sheet: TallySheet) -> None:
    press(sheet, "34.91")
    tally.throw_away_sheet(sheet=sheet, hand=ANN)
    assert tally_reads.open_sheets(job) == []
    assert books_balance() == (0, 0)


def test_open_sheets_are_listed_with_their_pieces(job: Job, sheet: TallySheet) -> None:
    press(sheet, "34.91", "36.5", "38.1")
    tally.take_back_press(sheet=sheet, token="token-0002", hand=ANN)
    assert tally_reads.open_sheets(job) == [(sheet, 2)]
