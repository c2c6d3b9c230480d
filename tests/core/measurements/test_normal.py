"""The normal distribution and its integrals against an independent library, tails included."""

from __future__ import annotations

import pytest
from scipy import integrate, stats

from runningfit.core.measurements.normal import (
    SIGMAS_5_TO_95,
    SIGMAS_95,
    normal_below,
    normal_once,
    normal_twice,
)


@pytest.mark.parametrize("value", [-9.0, -3.0, -0.5, 0.0, 1.3, 4.0])
def test_the_distribution_and_its_integrals_are_those_of_the_library(value: float) -> None:
    assert normal_below(value) == pytest.approx(stats.norm.cdf(value), rel=1e-12)
    once = integrate.quad(stats.norm.cdf, value - 1, value, epsabs=1e-14)[0]
    assert normal_once(value) - normal_once(value - 1) == pytest.approx(once, abs=1e-12)
    twice = integrate.quad(normal_once, value - 1, value, epsabs=1e-14)[0]
    assert normal_twice(value) - normal_twice(value - 1) == pytest.approx(twice, abs=1e-12)


def test_the_widths_hold_what_they_are_named_for() -> None:
    assert normal_below(SIGMAS_95) - normal_below(-SIGMAS_95) == pytest.approx(0.95, abs=1e-12)
    half = SIGMAS_5_TO_95 / 2
    assert (normal_below(-half), normal_below(half)) == pytest.approx((0.05, 0.95), abs=1e-12)
