"""The computed spread of preload and stress against a million draws of an own simulation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from runningfit.core.joints.conditions import read_condition
from runningfit.core.joints.friction import given_friction
from runningfit.core.joints.preload import Prevailing, preload_spread, stress_spread, tightening_of
from runningfit.core.joints.retorque import FinishChange
from runningfit.core.joints.spread import ratio_percentile
from runningfit.core.standards import thread

DRAWS = 1_000_000
SIGMAS_95 = 1.96


@dataclass(frozen=True)
class Screw:
    """The figures of one screw, written down here and not taken from the core."""

    designation: str
    pitch_mm: float
    pitch_diameter_mm: float
    diameter_mm: float
    flank_half_width_mm: float
    stress_area_mm2: float

    @property
    def bearing_mm(self) -> float:
        return 1.25 * self.diameter_mm


# Basic dimensions of ASME B1.1 and ISO 724; the flanks' half-width from the limits of 2A/2B and 6g/6H.
COARSE = Screw("3/8-16 UNC", 1.5875, 8.4938, 9.525, 0.5 * (0.3401 - 0.3287) * 25.4, 49.99)
FINE = Screw("M10x1.25", 1.25, 9.188, 10.0, 0.5 * (9.348 - 9.042), 61.2)


@dataclass(frozen=True)
class Draws:
    """What came of the draws."""

    preload_n: np.ndarray
    stress_mpa: np.ndarray


def draw(
    screw: Screw,
    torque_nm: float,
    thread_friction: tuple[float, float],
    head_friction: tuple[float, float],
    scatter: float,
    prevailing_nm: tuple[float, float] = (0.0, 0.0),
    together: bool = False,
) -> Draws:
    random = np.random.default_rng(20260101)
    share = random.random(DRAWS)
    other = share if together else random.random(DRAWS)
    in_thread = thread_friction[0] + share * (thread_friction[1] - thread_friction[0])
    under_head = head_friction[0] + other * (head_friction[1] - head_friction[0])
    torque = random.normal(torque_nm, scatter * torque_nm / SIGMAS_95, DRAWS)
    torque = (torque - random.uniform(*prevailing_nm, DRAWS)) * 1000
    flank = screw.pitch_diameter_mm + random.uniform(-1, 1, DRAWS) * screw.flank_half_width_mm
    bearing = screw.bearing_mm * random.uniform(0.95, 1.05, DRAWS)
    lead = screw.pitch_mm / (np.pi * flank)
    rub = in_thread / np.cos(np.radians(30))
    push = (lead + rub) / (1 - lead * rub)
    preload = torque / (flank / 2 * push + under_head * bearing / 2)
    across = np.sqrt(4 * screw.stress_area_mm2 / np.pi)
    # Torsion over a section that begins to yield as a whole: tau = 12 M / (pi d^3).
    shear = 12 * preload * flank / 2 * push / (np.pi * across**3)
    return Draws(preload, np.sqrt((preload / screw.stress_area_mm2) ** 2 + 3 * shear**2))


CASES = [
    pytest.param(COARSE, (0.15, 0.15), (0.15, 0.15), 0.25, (0.0, 0.0), id="exact friction, poor wrench"),
    pytest.param(COARSE, (0.10, 0.18), (0.10, 0.18), 0.04, (0.0, 0.0), id="friction in a range, good wrench"),
    pytest.param(COARSE, (0.08, 0.30), (0.12, 0.14), 0.10, (0.0, 0.0), id="thread uncertain"),
    pytest.param(FINE, (0.14, 0.16), (0.08, 0.35), 0.10, (0.0, 0.0), id="head uncertain"),
    pytest.param(FINE, (0.10, 0.18), (0.10, 0.18), 0.10, (2.0, 6.0), id="self-locking nut"),
]


@pytest.mark.parametrize(("screw", "in_thread", "under_head", "scatter", "prevailing"), CASES)
def test_preload_and_stress_agree_with_draws_within_one_percent(
    screw: Screw,
    in_thread: tuple[float, float],
    under_head: tuple[float, float],
    scatter: float,
    prevailing: tuple[float, float],
) -> None:
    drawn = draw(screw, 40.0, in_thread, under_head, scatter, prevailing)
    tightening = tightening_of(
        thread(screw.designation), given_friction(in_thread, under_head), scatter=scatter
    )
    preload = preload_spread(tightening, 40.0, Prevailing(*prevailing))
    stress = stress_spread(tightening, 40.0, Prevailing(*prevailing))
    for share in (0.05, 0.5, 0.95):
        assert preload.percentile(share) == pytest.approx(np.quantile(drawn.preload_n, share), rel=0.01)
        assert stress.percentile(share) == pytest.approx(np.quantile(drawn.stress_mpa, share), rel=0.01)
    assert preload.mean == pytest.approx(drawn.preload_n.mean(), rel=0.005)
    assert stress.mean == pytest.approx(drawn.stress_mpa.mean(), rel=0.005)
    for share in (0.02, 0.2, 0.8, 0.98):
        value = float(np.quantile(drawn.preload_n, share))
        assert preload.below(value) == pytest.approx(share, abs=0.006)


def test_friction_of_one_condition_goes_up_and_down_together() -> None:
    change = FinishChange(thread(FINE.designation), 40.0, read_condition("zinc, dry"), read_condition("dry"))
    tightening = change.tightening(change.old)
    band = tightening.friction.band
    ends = (band.thread_low, band.thread_high)
    assert ends == (band.bearing_low, band.bearing_high)
    drawn = draw(FINE, 40.0, ends, ends, 0.10, together=True)
    preload = preload_spread(tightening, 40.0)
    assert preload.percentile(0.05) == pytest.approx(np.quantile(drawn.preload_n, 0.05), rel=0.01)
    assert preload.percentile(0.95) == pytest.approx(np.quantile(drawn.preload_n, 0.95), rel=0.01)


@pytest.mark.parametrize(
    ("over", "under"),
    [((2.0, 3.0), (1.0, 1.4)), ((1.0, 1.0), (0.5, 2.0)), ((0.5, 2.0), (1.0, 1.0)), ((1.5, 1.5), (1.2, 1.2))],
)
def test_the_ratio_of_two_ranges_agrees_with_draws(
    over: tuple[float, float], under: tuple[float, float]
) -> None:
    random = np.random.default_rng(7)
    drawn = random.uniform(*over, DRAWS) / random.uniform(*under, DRAWS)
    for share in (0.05, 0.5, 0.95):
        assert ratio_percentile(over, under, share) == pytest.approx(np.quantile(drawn, share), rel=0.005)
