"""Sorts judged together come out as each would alone."""

from __future__ import annotations

from itertools import product

from runningfit.core.pieces.kinds import Kind
from runningfit.core.plan.belonging import Belonging, Belongs
from runningfit.core.plan.fit import PieceSpec, PlaceNeed, fit
from runningfit.core.plan.foreign import ForeignAnswer, foreign

KINDS = (Kind.HEX_BOLT, Kind.SETSCREW, Kind.NUT, Kind.PLAIN_WASHER, Kind.CLIP)
THREADS = (("5/16-24 UNF",), ("5/16-22 BSF",), ("5/16-24 UNF", "5/16-22 BSF"), ())
LENGTHS = (25.4, 31.75, None)
PIECES = [PieceSpec(kind, thread, (), mm) for kind, thread, mm in product(KINDS, THREADS, LENGTHS)]
NEEDS = {
    PlaceNeed(Kind.HEX_BOLT, ("5/16-24 UNF",), (), 25.4): True,
    PlaceNeed(Kind.HEX_BOLT, ("5/16-22 BSF",), (), 25.4): False,
    PlaceNeed(Kind.NUT, ("5/16-24 UNF",)): False,
    PlaceNeed(Kind.PLAIN_WASHER, ("5/16-24 UNF",)): True,
}


def alone(piece: PieceSpec) -> Belongs:
    """Judge one sort by itself, against each need."""
    fitting = [known for need, known in NEEDS.items() if fit(need, piece).fits]
    if fitting:
        return Belongs.SURELY if any(fitting) else Belongs.DOUBTFULLY
    answer = foreign(piece, NEEDS).answer
    return Belongs.NOWHERE if answer is ForeignAnswer.FOREIGN else Belongs.OPEN


def test_sorts_judged_together_come_out_as_each_alone() -> None:
    judged = Belonging(NEEDS).judge(PIECES)
    assert judged == {piece: alone(piece) for piece in PIECES}
    assert set(judged.values()) == set(Belongs)


def test_sorts_that_come_later_are_judged_the_same() -> None:
    belonging = Belonging(NEEDS)
    belonging.judge(PIECES[::2])
    assert belonging.judge(PIECES) == Belonging(NEEDS).judge(PIECES)


def test_the_reason_is_the_nearest_miss_or_what_to_find_out() -> None:
    belonging = Belonging(NEEDS)
    long_bolt, open_bolt, clip = (
        PieceSpec(Kind.HEX_BOLT, ("5/16-24 UNF",), (), 31.75),
        PieceSpec(Kind.HEX_BOLT, ("5/16-24 UNF",)),
        PieceSpec(Kind.CLIP),
    )
    belonging.judge([long_bolt, open_bolt, clip])
    assert belonging.why(long_bolt) == "it is longer: 1 1/4 in, the place needs 1 in"
    assert belonging.why(open_bolt) == "find out how long it is"
    assert belonging.why(clip) == "no place for a clip is described in this job yet"


def test_without_any_need_nothing_can_be_told() -> None:
    belonging = Belonging({})
    assert set(belonging.judge(PIECES).values()) == {Belongs.OPEN}
    assert belonging.why(PIECES[0]) == ""
