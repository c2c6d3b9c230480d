"""One thread of another family among its neighbours is pointed out, and small areas say nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.pieces.thread_families import ThreadFamily, family_of, stranger_among

UNIFIED, WHITWORTH, METRIC = ThreadFamily.UNIFIED, ThreadFamily.WHITWORTH, ThreadFamily.METRIC


@pytest.mark.parametrize(
    ("candidates", "family"),
    [
        (["5/16-24 UNF"], UNIFIED),
        (["1/4-20 UNC", "1/4-28 UNF"], UNIFIED),
        (["1/4-26 BSF"], WHITWORTH),
        (["1/4-26 CEI"], ThreadFamily.CYCLE),
        (["M8x1.25"], METRIC),
        (["1/4-20 UNC", "1/4-20 BSW"], None),
        (["2BA"], None),
        (["G1/4"], None),
        (["1/4-18 NPT"], None),
        ([], None),
    ],
)
def test_the_family_of_a_thread(candidates: list[str], family: ThreadFamily | None) -> None:
    assert family_of(candidates) is family


def test_one_bsf_among_unf_is_pointed_out_with_what_it_may_be_instead() -> None:
    found = stranger_among(["1/4-26 BSF"], {UNIFIED: 9})
    assert found is not None
    assert found.odds == pytest.approx(19)
    assert found.instead == "1/4-28 UNF"
    assert found.reason == (
        "All 9 other lots here whose thread tells are unified; this one is Whitworth. "
        "It may be 1/4-28 UNF, misread, or swapped for it."
    )


@pytest.mark.parametrize(
    "neighbours",
    [{}, {UNIFIED: 5}, {UNIFIED: 12, WHITWORTH: 1}, {UNIFIED: 6, WHITWORTH: 6}, {WHITWORTH: 9}],
)
def test_a_small_or_mixed_area_says_nothing(neighbours: dict[ThreadFamily, int]) -> None:
    assert stranger_among(["1/4-26 BSF"], neighbours) is None


@pytest.mark.parametrize("candidates", [["2BA"], ["G1/4"], ["1/4-20 UNC", "1/4-20 BSW"], []])
def test_what_tells_no_family_is_never_a_stranger(candidates: list[str]) -> None:
    assert stranger_among(candidates, {UNIFIED: 30}) is None


@given(st.dictionaries(st.sampled_from(list(ThreadFamily)), st.integers(0, 40)))
def test_a_stranger_has_the_odds_against_it(neighbours: dict[ThreadFamily, int]) -> None:
    found = stranger_among(["M8x1.25"], neighbours)
    if found is not None:
        assert found.neighbours_family is not METRIC
        assert found.odds >= 10
        assert neighbours.get(METRIC, 0) * 10 <= found.alike
