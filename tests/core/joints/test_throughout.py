"""Limits kept everywhere: against plain draws, against formulas where there are some, and on whole fits."""

from __future__ import annotations

import ast
from dataclasses import replace
from math import hypot, sqrt
from pathlib import Path
from statistics import NormalDist

import numpy
import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.clearance import Reading
from runningfit.core.joints.running_fits.throughout import FitAsRead, kept_throughout
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.ranges import NormalAndRanges
from runningfit.core.measurements.uncertainty.shared import SharedPart
from simulators import whole_fits
from simulators.engine_trials import Reliability
from simulators.fit_trials import judged_many
from simulators.whole_fits import Population, many

LIMITS = Bounds(0.03, 0.07)
NEAR = 0.006
# What the issue asks for; with so few fits and ten deciles at a time chance adds to that.
WITHIN, ERRORS = 0.02, 3.0


def within(fit: FitAsRead, bounds: Bounds = LIMITS) -> float:
    """The probability where nothing is believed before."""
    found = kept_throughout(fit, bounds, made_to_them=False)
    assert found is not None
    return found.inside


@pytest.mark.parametrize("gap", [0.02, 0.028, 0.034, 0.05, 0.066, 0.08])
def test_one_place_each_is_the_normal_distribution(gap: float) -> None:
    fit = FitAsRead((Reading(80 + gap, 0.003),), (Reading(80.0, 0.002),))
    spread = NormalDist(gap, hypot(0.003, 0.002))
    assert within(fit) == pytest.approx(spread.cdf(0.07) - spread.cdf(0.03), abs=NEAR)


@pytest.mark.parametrize("gap", [0.022, 0.028, 0.034, 0.05])
def test_a_coarse_step_lies_evenly_and_not_normally(gap: float) -> None:
    """A gauge of 0.02 mm that does not scatter: its reading is anywhere within the step, and nowhere else."""
    half = 0.01
    fit = FitAsRead((Reading(80 + gap, half / sqrt(3), even_mm=half),), (Reading(80.0, 0.001),))
    spread = NormalAndRanges(gap, 0.001, (half,))
    assert within(fit) == pytest.approx(spread.below(0.07) - spread.below(0.03), abs=NEAR)


def test_what_a_gauge_errs_by_cancels_and_shells_count_twice() -> None:
    gauge = (SharedPart("micrometer", 0.01),)
    hole, shaft = Reading(64.04, 0.002, shared=gauge), Reading(60.0, 0.002, shared=gauge)
    bare = FitAsRead((hole,), (replace(shaft, mm=64.0),))
    own = NormalDist(0.04, hypot(0.002, 0.002))
    assert within(bare) == pytest.approx(own.cdf(0.07) - own.cdf(0.03), abs=NEAR)
    shells = replace(bare, within=(shaft,), taken_off=((2.0, Reading(2.0, 0.001, shared=gauge)),))
    whole = NormalDist(0.04, hypot(0.002, 0.002, 0.002, 0.02))
    assert within(shells) == pytest.approx(whole.cdf(0.07) - whole.cdf(0.03), abs=NEAR)


def test_crush_lies_evenly_between_its_ends() -> None:
    fit = FitAsRead((Reading(80.018, 0.001),), (Reading(80.0, 0.001),), widened_mm=(0.004, 0.016))
    spread = NormalAndRanges(0.028, hypot(0.001, 0.001), (0.006,))
    assert within(fit) == pytest.approx(spread.below(0.07) - spread.below(0.03), abs=NEAR)


def test_few_readings_behind_a_scatter_leave_more_in_doubt() -> None:
    fit = FitAsRead((Reading(80.034, 0.003, 9.0),), (Reading(80.0, 1e-6),))
    drawn = numpy.random.default_rng(4).standard_t(9, 400_000) * 0.003 + 0.034
    assert within(fit) == pytest.approx(float((drawn > 0.03).mean()), abs=NEAR)


def test_places_far_apart_stand_each_for_itself() -> None:
    """A form far beyond the scatter leaves every place where it was read."""
    fit = FitAsRead(tuple(Reading(80 + gap, 0.001) for gap in (0.032, 0.05, 0.068)), (Reading(80.0, 0.001),))
    found = kept_throughout(fit, LIMITS, made_to_them=False)
    assert found is not None
    shown = NormalDist(0.002, hypot(0.001, 0.001)).cdf(0)
    assert found.below == pytest.approx(shown, abs=0.01)
    assert found.above == pytest.approx(shown, abs=0.01)
    assert found.inside == pytest.approx(1 - found.below - found.above, abs=0.01)


@pytest.mark.parametrize("places", [3, 12])
def test_the_least_of_many_readings_is_not_taken_for_the_least_size(places: int) -> None:
    """Where the form is as small as the scatter, the least of twelve readings is low mostly by chance."""
    chance = numpy.random.default_rng(8)
    said, true, least = [], [], []
    for _ in range(400):
        gaps = chance.uniform(0.02, 0.04) + chance.normal(0.0, 0.003, places)
        read = gaps + chance.normal(0.0, 0.003, places)
        fit = FitAsRead(tuple(Reading(80 + float(one), 0.003) for one in read), (Reading(80.0, 1e-6),))
        said.append(within(fit, Bounds(lower=0.03)))
        true.append(float(gaps.min()) >= 0.03)
        least.append(1 - NormalDist(float(read.min()), 0.003).cdf(0.03))
    assert abs(numpy.mean(true) - numpy.mean(said)) < 0.035
    assert numpy.mean(true) - numpy.mean(least) > (0.065 if places == 12 else 0.035)


def test_what_was_believed_weighs_what_was_read_and_gives_way_to_a_sure_reading() -> None:
    """Bayes' rule on a fine grid, with the belief that the docstring states."""
    at = numpy.linspace(-0.1, 0.2, 30001)
    belief = (1 + ((at - 0.05) / (0.7 * 0.04)) ** 2) ** -2
    for u in (0.001, 0.006, 0.01):
        weight = belief * numpy.exp(-0.5 * ((at - 0.025) / u) ** 2)
        inside = float(weight[(at >= 0.03) & (at <= 0.07)].sum() / weight.sum())
        fit = FitAsRead((Reading(80.025, u),), (Reading(80.0, 1e-6),))
        found = kept_throughout(fit, LIMITS)
        assert found is not None
        assert found.inside == pytest.approx(inside, abs=0.01)
        sureness = found.inside
    assert within(fit) + 0.05 < sureness
    one_sided = Bounds(upper=0.07)
    assert kept_throughout(fit, one_sided) == kept_throughout(fit, one_sided, made_to_them=False)
    inside_them = numpy.abs(at - 0.05) <= 0.02
    assert float(belief[inside_them].sum() / belief.sum()) == pytest.approx(0.7, abs=0.02)


def test_a_fit_that_binds_when_hot_is_not_within() -> None:
    fit = FitAsRead((Reading(80.05, 0.002),), (Reading(80.0, 0.001),), hot_mm=-0.05)
    assert within(fit) == pytest.approx(0.5, abs=0.01)
    assert within(replace(fit, hot_mm=-0.03)) > 0.99


def test_what_has_no_uncertainty_is_not_judged() -> None:
    hole, shaft = Reading(80.05), Reading(80.0, 0.001)
    assert kept_throughout(FitAsRead((hole,), (shaft,)), LIMITS) is None
    with pytest.raises(InvalidInput, match=r"uncertainty needs more than nothing; '?0'? came"):
        kept_throughout(FitAsRead((Reading(80.05, 0.0),), (Reading(80.0, 0.0),)), LIMITS)
    with pytest.raises(InvalidInput, match="sizes needs a reading of the hole and one of the shaft"):
        kept_throughout(FitAsRead((hole,), ()), LIMITS)


def test_the_simulator_knows_nothing_of_what_it_tests() -> None:
    tree = ast.parse(Path(whole_fits.__file__).read_text(encoding="utf-8"))
    names = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    names += [one.name for node in ast.walk(tree) if isinstance(node, ast.Import) for one in node.names]
    assert names
    assert not [name for name in names if name.startswith("runningfit")]


def assert_reliable(found: Reliability) -> None:
    """Each decile, and each half of what is in doubt, is within its bound but for chance."""
    for count, said, true, error in found.deciles():
        assert not count or abs(true - said) <= WITHIN + ERRORS * error, found.told()
    for low, high in ((0.05, 0.5), (0.5, 0.95)):
        here = [(one, two) for one, two in zip(found.said, found.true, strict=True) if low <= one < high]
        error = sqrt(sum(one * (1 - one) for one, _ in here)) / len(here)
        assert abs(sum(two - one for one, two in here) / len(here)) <= WITHIN + ERRORS * error, found.told()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("population", "borrowed"), [(Population.BORDERLINE, True), (Population.ALL_COMERS, False)]
)
def test_what_is_said_of_whole_fits_is_true(population: Population, *, borrowed: bool) -> None:
    """Shared gauges, steps, few readings, warm benches and form; `bench/whole_fits.py` judges many more."""
    trial = judged_many(many(7, 1800, population), borrowed=borrowed)
    assert set(trial.sorts) == {"piston", "bearing", "bush", "guide", "end_float", "press"}
    assert len(trial.all.said) == 1800
    assert_reliable(trial.all)
