"""What fits which place, what stands in, what must be found out, and what belongs nowhere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.fit import Fit, FitVerdict, PieceSpec, PlaceNeed, fit, kinds_for
from runningfit.core.plan.foreign import ForeignAnswer, foreign
from runningfit.core.plan.matching import matches

FINE = ("5/16-24 UNF",)
BOLT_PLACE = PlaceNeed(Kind.HEX_BOLT, FINE, length_mm=34.925)


def bolt(**values: object) -> PieceSpec:
    given_values: dict[str, object] = {"kind": Kind.HEX_BOLT, "end_a": FINE, "length_mm": 34.925}
    return PieceSpec(**(given_values | values))  # type: ignore[arg-type]


def test_the_same_kind_thread_and_length_fits() -> None:
    assert fit(BOLT_PLACE, bolt()) == Fit(FitVerdict.FITS)


@pytest.mark.parametrize("length_mm", [34.9, 34.2, 35.6])
def test_a_measured_length_that_means_the_same_standard_length_fits(length_mm: float) -> None:
    assert fit(BOLT_PLACE, bolt(length_mm=length_mm)).fits


@pytest.mark.parametrize(
    ("piece", "reason"),
    [
        (bolt(length_mm=31.75), "it is shorter: 1 1/4 in, the place needs 1 3/8 in"),
        (bolt(length_mm=38.1), "it is longer: 1 1/2 in, the place needs 1 3/8 in"),
        (bolt(end_a=("5/16-18 UNC",)), "its thread is 5/16-18 UNC, the place needs 5/16-24 UNF"),
        (bolt(kind=Kind.STUD), "it is a stud, the place needs a hex bolt"),
        (bolt(thread_defective=True), "its thread is defective"),
    ],
)
def test_what_does_not_fit_says_why(piece: PieceSpec, reason: str) -> None:
    assert fit(BOLT_PLACE, piece) == Fit(FitVerdict.NOT, (reason,))


@pytest.mark.parametrize(
    ("piece", "ask"),
    [
        (bolt(end_a=("5/16-24 UNF", "5/16-24 UNS")), "whether its thread is 5/16-24 UNF or 5/16-24 UNS"),
        (bolt(end_a=()), "the thread of the piece"),
        (bolt(length_mm=None), "how long it is"),
    ],
)
def test_what_is_not_known_is_asked(piece: PieceSpec, ask: str) -> None:
    answer = fit(BOLT_PLACE, piece)
    assert answer.verdict is FitVerdict.MAY_FIT
    assert ask in answer.asks


def test_a_setscrew_stands_in_for_a_bolt_and_says_so() -> None:
    answer = fit(BOLT_PLACE, bolt(kind=Kind.SETSCREW))
    assert answer.fits
    assert "stands in" in answer.reasons[0]


def test_a_bolt_in_a_setscrews_place_must_be_looked_at_first() -> None:
    answer = fit(PlaceNeed(Kind.SETSCREW, FINE, length_mm=34.925), bolt())
    assert answer.verdict is FitVerdict.MAY_FIT
    assert "plain shank" in answer.asks[0]


def test_a_stud_fits_whichever_end_is_named_first() -> None:
    place = PlaceNeed(Kind.STUD, ("5/16-18 UNC",), FINE, length_mm=63.5)
    turned = PieceSpec(Kind.STUD, FINE, ("5/16-18 UNC",), length_mm=63.5)
    assert fit(place, turned).fits
    assert fit(place, PieceSpec(Kind.STUD, FINE, FINE, length_mm=63.5)).verdict is FitVerdict.NOT


def test_washers_go_by_size_and_a_thread_names_the_size() -> None:
    place = PlaceNeed(Kind.PLAIN_WASHER, FINE)
    assert fit(place, PieceSpec(Kind.PLAIN_WASHER, size_said='5/16"')).fits
    wrong = fit(place, PieceSpec(Kind.PLAIN_WASHER, size_said="3/8 in"))
    assert wrong.reasons == ("its size is 3/8, the place needs 5/16",)
    assert fit(
        PlaceNeed(Kind.SPRING_WASHER, ("M10x1.5",)), PieceSpec(Kind.SPRING_WASHER, size_said="m10")
    ).fits


def test_metric_lengths_are_judged_by_the_metric_series() -> None:
    place = PlaceNeed(Kind.HEX_BOLT, ("M8x1.25",), length_mm=35)
    assert fit(place, PieceSpec(Kind.HEX_BOLT, ("M8x1.25",), length_mm=34.6)).fits
    assert fit(place, PieceSpec(Kind.HEX_BOLT, ("M8x1.25",), length_mm=30)).verdict is FitVerdict.NOT


def test_a_piece_that_fits_no_place_is_foreign_and_a_pulled_thread_does_not_make_it_so() -> None:
    places = [BOLT_PLACE, PlaceNeed(Kind.NUT, FINE)]
    stranger = foreign(bolt(end_a=("1/4-26 BSF",)), places)
    assert stranger.answer is ForeignAnswer.FOREIGN
    assert stranger.why == "its thread is 1/4-26 BSF, the place needs 5/16-24 UNF"
    assert foreign(bolt(thread_defective=True), places).answer is ForeignAnswer.BELONGS


def test_where_no_place_of_its_kind_is_known_nobody_can_tell_that_a_piece_is_foreign() -> None:
    answer = foreign(PieceSpec(Kind.CLIP), [BOLT_PLACE])
    assert answer.answer is ForeignAnswer.CANNOT_TELL
    assert answer.why == "no place for a clip is described in this job yet"


THREADS = ("5/16-24 UNF", "5/16-18 UNC", "1/4-20 UNC", "1/4-20 BSW", "M8x1.25")
ends = st.lists(st.sampled_from(THREADS), max_size=2, unique=True).map(tuple)
fields = {
    "kind": st.sampled_from(list(Kind)),
    "end_a": ends,
    "end_b": ends,
    "length_mm": st.none() | st.sampled_from([12.7, 13.2, 31.75, 34.2, 34.9, 34.925, 35, 35.7, 36.4, 128.0]),
    "length_basis": st.sampled_from(["", "under_head", "overall"]),
    "size_said": st.sampled_from(["", "5/16", "1/4 in", "M8"]),
}
needs = st.builds(PlaceNeed, **fields)
pieces = st.builds(PieceSpec, **fields, thread_defective=st.booleans())


@given(st.lists(needs, max_size=8), st.lists(pieces, max_size=12))
def test_the_index_finds_exactly_what_one_by_one_would(
    places: list[PlaceNeed], lots: list[PieceSpec]
) -> None:
    found = matches(places, lots)
    for place in places:
        one_by_one = {
            lot: answer for lot in lots if (answer := fit(place, lot)).verdict is not FitVerdict.NOT
        }
        assert {match.piece: match.fit for match in found[place]} == one_by_one


@given(needs, pieces)
def test_every_answer_says_why_or_what_to_find_out(place: PlaceNeed, piece: PieceSpec) -> None:
    answer = fit(place, piece)
    assert (answer.verdict is FitVerdict.MAY_FIT) == bool(answer.asks)
    assert answer.verdict is not FitVerdict.NOT or answer.reasons
    assert piece.kind in kinds_for(place.kind) or answer.verdict is FitVerdict.NOT


def test_five_thousand_lots_are_matched_with_a_thousand_places() -> None:
    threads = [f"{size}-{tpi} UNF" for size in ("1/4", "5/16", "3/8", "7/16", "1/2") for tpi in range(18, 29)]
    kinds = (Kind.HEX_BOLT, Kind.SETSCREW, Kind.STUD, Kind.NUT, Kind.PLAIN_WASHER)
    lots = [
        PieceSpec(kinds[n % 5], (threads[n % 55],), length_mm=12.7 + (n // 5 % 80) + n / 10_000)
        for n in range(5000)
    ]
    places = [
        PlaceNeed(kinds[n % 5], (threads[n % 55],), length_mm=12.7 + (n // 5 % 80)) for n in range(1000)
    ]
    found = matches(places, lots)
    assert sum(len(match) for match in found.values()) > 1000
