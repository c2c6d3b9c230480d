"""Worn, plated and badly measured threads of a simulator that knows nothing of the identification."""

from __future__ import annotations

import ast
from pathlib import Path
from random import Random

import pytest

from runningfit.core.standards import all_threads
from simulators import threads
from simulators.thread_trials import MIXES, Score, cases, scored

BOLTS = tuple(mix for mix in MIXES if mix != "nut")


def assert_reliable(score: Score, *, within: float) -> None:
    """Each decile is within its bound, but for two standard errors of what was drawn."""
    for off, error in zip(score.reliability(), score.standard_errors(), strict=True):
        assert abs(off) <= within + 2 * error, score.told()


def test_the_simulator_knows_nothing_of_what_it_tests() -> None:
    tree = ast.parse(Path(threads.__file__).read_text(encoding="utf-8"))
    names = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    names += [alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names]
    assert names
    assert not [name for name in names if name.startswith("runningfit")]


def test_the_simulator_draws_from_every_family_and_small_sizes_too() -> None:
    drawn = threads.standards()
    assert {one.family for one in drawn} == set(threads.FAMILIES)
    assert min(one.major for one in drawn) < 1
    known = {one.designation for one in all_threads()}
    assert {one.name for one in drawn} <= known
    assert threads.twins("1/4-20 UNC") == {"1/4-20 UNC", "1/4-20 BSW"}
    assert threads.twins("M6x1") == {"M6x1", "0BA"}
    assert threads.twins("6BA") == {"6BA"}
    assert threads.twins("3/8-20 BSF") == {"3/8-20 BSF", "3/8-20 UN"}


def test_the_simulator_draws_odd_threads_that_no_standard_has() -> None:
    chance = Random(7)
    drawn = [threads.draw_for(threads.Habits(odd=1.0), chance) for _ in range(200)]
    assert {one.name for one in drawn} == {threads.NO_STANDARD}
    known = (*threads.standards(), *threads.specials())
    assert not [one for one in drawn if any(threads.alike(one, other) for other in known)]


def test_a_few_hundred_threads_are_named_well() -> None:
    score = Score()
    for mix in BOLTS:
        scored(cases(400, mix, threads.USUAL, 3), score)
    assert score.first >= 0.935 * score.count, score.told()
    assert score.sure_and_right >= 0.98 * score.sure, score.told()


@pytest.mark.slow
def test_simulated_bolts_are_named_right_and_as_surely_as_said() -> None:
    """What the issue asks for, over all ways of measuring a bolt: 95 % first, 99 % among two, deciles."""
    score = Score()
    for mix in BOLTS:
        scored(cases(10_000, mix, threads.USUAL, 2026), score)
    assert score.first >= 0.95 * score.count, score.told()
    assert score.among_two >= 0.99 * score.count, score.told()
    assert score.sure_and_right >= 0.95 * score.sure, score.told()
    assert_reliable(score, within=0.03)


@pytest.mark.slow
def test_probabilities_hold_where_threads_of_no_standard_lie_among_the_others() -> None:
    """What the probabilities are about: rare series and threads of no standard, which is an answer too."""
    score = Score()
    for mix in BOLTS:
        scored(cases(10_000, mix, threads.OPEN, 2029), score, with_none=True)
    assert score.first >= 0.94 * score.count, score.told()
    assert score.sure_and_right >= 0.98 * score.sure, score.told()
    assert_reliable(score, within=0.03)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("mix", "first", "two"),
    [
        ("leaf", 0.96, 0.99), ("exact", 0.95, 0.99), ("pitch", 0.935, 0.98),
        ("pitch and flats", 0.945, 0.988), ("nut", 0.92, 0.975),
    ],
)  # fmt: skip
def test_each_way_of_measuring_by_itself(mix: str, first: float, two: float) -> None:
    """A pitch measured at u up to 0.03 mm, and a nut's drilled hole, leave near twins that nothing tells."""
    score = scored(cases(10_000, mix, threads.USUAL, 2027))
    assert score.first >= first * score.count, score.told()
    assert score.among_two >= two * score.count, score.told()
    assert score.sure_and_right >= 0.98 * score.sure, score.told()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("habits", "evenly", "first", "within"),
    [
        (threads.ROUGH, "lines", 0.94, 0.06),
        (threads.CLEAN, "lines", 0.955, 0.03),
        (threads.USUAL, "families", 0.94, 0.03),
        (threads.ROUGH, "families", 0.925, 0.05),
    ],
)
def test_it_stays_honest_where_wear_plating_and_families_are_other_than_assumed(
    habits: threads.Habits, evenly: str, first: float, within: float
) -> None:
    score = Score()
    for mix in BOLTS:
        scored(cases(5_000, mix, habits, 2028, evenly=evenly), score)
    assert score.first >= first * score.count, score.told()
    assert score.sure_and_right >= 0.98 * score.sure, score.told()
    assert_reliable(score, within=within)
