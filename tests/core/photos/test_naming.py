"""Threads named from what a photo says of sizes and pitches: by hand, and over pieces made up elsewhere."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.items import Estimate, Sizes
from runningfit.core.photos.naming import NAMED_FROM, SURE_FROM, NamedThread, ThreadSeen, name_threads
from runningfit.core.photos.pitch_likelihood import ANY_PITCH, PitchGrid, PitchLikelihood, PitchPeak
from runningfit.core.pieces.identification import ThreadPrior
from runningfit.core.standards import ThreadSeries
from simulators import threads as workshop

BINS = tuple(float(one) for one in np.geomspace(0.35, 6.0, 144))
ENGINE = ("UNC", "UNF", "BSW", "BSF", "BA", "coarse", "fine")


def peak(pitch_mm: float, u_share: float = 0.004, weight: float = 0.95) -> PitchLikelihood:
    return PitchLikelihood((PitchPeak(pitch_mm, u_share, weight),))


def grid(pitch_mm: float) -> PitchGrid:
    chances = [math.exp(-0.5 * (math.log(one / pitch_mm) / 0.035) ** 2) for one in BINS]
    return PitchGrid(BINS, tuple(one / sum(chances) for one in chances))


def bolt(
    major_mm: float,
    *pitches: PitchLikelihood | PitchGrid,
    flats_mm: float | None = None,
    length_mm: float | None = None,
) -> ThreadSeen:
    sizes = Sizes(
        major=Estimate(major_mm, 0.15),
        head_across_flats=None if flats_mm is None else Estimate(flats_mm, 0.2),
        length=None if length_mm is None else Estimate(length_mm, 0.25),
    )
    return ThreadSeen(False, sizes, pitches)


def named(*seen: ThreadSeen, prior: ThreadPrior | None = None) -> NamedThread:
    return name_threads(seen, prior)[0]


def names(answer: NamedThread) -> list[str]:
    return [one.designation for one in answer.threads]


def test_a_bolt_with_a_clear_pitch_and_head_is_named_and_nothing_is_asked() -> None:
    answer = named(bolt(9.93, peak(1.5), flats_mm=16.1))
    assert names(answer)[0] == "M10x1.5"
    assert answer.threads[0].probability > SURE_FROM
    assert answer.ask == ""


def test_twins_both_stand_and_the_angle_is_asked_for() -> None:
    answer = named(bolt(9.5, peak(1.5875)))
    assert {"3/8-16 UNC", "3/8-16 BSW"} <= set(names(answer))
    assert set(answer.alike[0].designations) == {"3/8-16 UNC", "3/8-16 BSW"}
    assert answer.alike[0].probability > 0.97
    assert max(one.probability for one in answer.threads) < SURE_FROM
    assert "degree gauge: fits" in answer.ask


def test_the_head_tells_twins_apart_as_far_as_it_can() -> None:
    american = named(bolt(9.5, peak(1.5875), flats_mm=14.2))
    british = named(bolt(9.5, peak(1.5875), flats_mm=17.9))
    assert names(american)[0] == "3/8-16 UNC"
    assert names(british)[0] == "3/8-16 BSW"
    assert american.threads[0].probability > 0.8
    assert british.threads[0].probability > 0.6


def test_close_threads_are_kept_apart_by_what_is_known_only() -> None:
    answer = named(bolt(4.91, peak(0.797, 0.006), flats_mm=8.0))
    assert {"M5x0.8", "10-32 UNF"} <= set(names(answer))
    assert answer.threads[0].probability < SURE_FROM
    assert answer.ask


def test_a_coarse_grid_and_stripes_together_say_more_than_either() -> None:
    stripes = PitchLikelihood((PitchPeak(1.25, 0.004, 0.5), PitchPeak(2.5, 0.004, 0.45)))
    both = named(bolt(12.0, stripes, grid(1.25)))
    assert names(both)[0] == "M12x1.25"
    assert both.alike[0].probability > named(bolt(12.0, grid(1.25))).alike[0].probability


def test_a_grid_that_is_a_factor_of_two_off_does_not_win_against_clear_stripes() -> None:
    answer = named(bolt(12.0, peak(1.75, 0.003, 0.99), grid(0.875), flats_mm=18.0))
    assert names(answer)[0] == "M12x1.75"


def test_without_a_pitch_nothing_fine_is_named_and_the_pitch_is_asked_for() -> None:
    answer = named(bolt(9.6, ANY_PITCH))
    assert answer.threads == ()
    assert answer.alike[0].probability < NAMED_FROM
    assert "pitch over ten turns" in answer.ask


def test_a_length_of_the_lists_is_weak_evidence_only() -> None:
    metric, inch = (named(bolt(7.95, peak(1.0, 0.03), length_mm=mm)) for mm in (50.0, 47.625))
    share = [
        sum(one.probability for one in answer.alike if "M8x1" in one.designations)
        for answer in (metric, inch)
    ]
    assert share[0] > share[1]
    odds = [one / (1 - one) for one in share]
    assert odds[0] / odds[1] < 9


def test_the_length_is_said_in_the_units_of_the_thread() -> None:
    metric, inch = name_threads(
        [
            bolt(9.93, peak(1.5), flats_mm=16.1, length_mm=50.2),
            bolt(9.5, peak(25.4 / 24), flats_mm=14.2, length_mm=50.7),
        ]
    )
    assert metric.length is not None
    assert metric.length.said == "50 mm"
    assert inch.length is not None
    assert inch.length.said == "2 in"


def test_a_nut_is_named_by_hole_and_width_and_thickness() -> None:
    sizes = Sizes(
        inside=Estimate(8.38, 0.08), head_across_flats=Estimate(16.9, 0.1), thickness=Estimate(8.4, 0.3)
    )
    answer = named(ThreadSeen(True, sizes))
    assert answer.alike[0].designations[0] == "M10x1.5"
    assert answer.length is None
    thin = Sizes(head_across_flats=sizes.head_across_flats, thickness=Estimate(5.0, 0.3))
    assert named(ThreadSeen(True, thin)).alike[0].probability < answer.alike[0].probability


def test_a_nut_of_which_only_the_width_is_seen_leaves_much_open() -> None:
    answer = named(ThreadSeen(True, Sizes(head_across_flats=Estimate(12.9, 0.3))))
    assert answer.threads == ()
    assert answer.ask


def test_what_is_known_before_counts() -> None:
    british = ThreadPrior(series_weights=((ThreadSeries.UNC, 0.0),))
    answer = named(bolt(9.5, peak(1.5875)), prior=british)
    assert names(answer)[0] == "3/8-16 BSW"
    assert "3/8-16 UNC" not in names(answer)


def test_a_thread_of_no_standard_is_not_named() -> None:
    answer = named(bolt(11.0, peak(1.13, 0.003, 0.99), grid(1.13)))
    assert answer.none_of_these > 0.5
    assert answer.threads == ()
    assert answer.ask


def test_a_diameter_that_no_thread_has_is_asked_about() -> None:
    answer = name_threads([ThreadSeen(False, Sizes(major=Estimate(390.0, 0.5)))])[0]
    assert answer.threads == ()
    assert answer.alike == ()
    assert answer.ask.startswith("Measure the diameter with a caliper")


def test_many_are_named_as_each_alone() -> None:
    seen = [
        bolt(9.93, peak(1.5)),
        bolt(6.3, peak(1.27), flats_mm=11.0),
        bolt(7.9, grid(1.25), length_mm=40.0),
    ]
    assert name_threads(seen) == tuple(name_threads([one])[0] for one in seen)
    assert name_threads([]) == ()


@pytest.mark.parametrize("internal", [False, True])
def test_a_piece_without_a_size_is_refused(internal: bool) -> None:
    with pytest.raises(InvalidInput, match="sizes of a threaded piece needs"):
        name_threads([ThreadSeen(internal, Sizes(length=Estimate(30.0, 0.2)))])


def test_a_size_that_says_nothing_is_left_out() -> None:
    vague = Sizes(major=Estimate(9.93, 0.15), head_across_flats=Estimate(16.0, 40.0))
    plain = Sizes(major=Estimate(9.93, 0.15))
    assert named(ThreadSeen(False, vague, (peak(1.5),))) == named(ThreadSeen(False, plain, (peak(1.5),)))


def simulated(chance: Random) -> tuple[workshop.Standard, ThreadSeen]:
    """A bolt of some thread of 4 to 16 mm, and what a photo says of it: now and then another pitch."""
    standard = workshop.draw(chance, families=ENGINE)
    while not (4.0 <= standard.major <= 16.0 and standard.pitch >= 0.6):
        standard = workshop.draw(chance, families=ENGINE)
    piece = workshop.make(standard, chance, workshop.USUAL)
    seen: list[PitchLikelihood | PitchGrid] = []
    u_share = chance.uniform(0.002, 0.015)
    if chance.random() < 0.9:
        pitch = piece.pitch * math.exp(chance.gauss(0, u_share))
        seen.append(peak(pitch if chance.random() < 0.97 else pitch * chance.uniform(0.5, 0.9), u_share))
    coarse = piece.pitch * math.exp(chance.gauss(0, 0.025)) * chance.choice([1.0] * 24 + [0.5, 2.0])
    seen.append(grid(coarse))
    flats = piece.across_flats if chance.random() < 0.7 else None
    return standard, bolt(
        piece.major + chance.gauss(0, 0.15),
        *seen,
        flats_mm=None if flats is None else flats + chance.gauss(0, 0.2),
        length_mm=chance.uniform(12, 80),
    )


def test_of_threads_said_to_be_sure_at_least_nine_in_ten_are_right() -> None:
    chance = Random(8)
    made = [simulated(chance) for _ in range(400)]
    answers = name_threads([seen for _, seen in made])
    sure, first, said = [], 0, 0.0
    for (standard, _), answer in zip(made, answers, strict=True):
        twins = workshop.twins(standard.name)
        for one in answer.threads:
            if one.probability >= SURE_FROM:
                sure.append(one.designation in twins)
        if answer.alike:
            first += bool(set(answer.alike[0].designations) & twins)
            said += answer.alike[0].probability
    assert len(sure) > 60
    assert sum(sure) >= 0.93 * len(sure)
    assert first >= 0.8 * len(made)
    # What is said on the whole comes true on the whole: three standard deviations of 400 are 0.06.
    assert abs(first - said) < 0.06 * len(made)
