"""The formulas behind the identification: one reading and a column of readings by the same ones."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from runningfit.core.pieces.identification.arithmetic import ONE, Columns
from runningfit.core.pieces.identification.bands import diameters
from runningfit.core.pieces.identification.densities import (
    Band,
    Growth,
    Wear,
    band,
    band_density,
    normal_density,
)
from runningfit.core.pieces.identification.heads import hexagon
from runningfit.core.pieces.identification.pitches import (
    LEAVES_MM,
    angle_gauge_fits,
    leaf_fits,
    leaf_teeth,
    nearest_leaf_mm,
)
from runningfit.core.standards import all_threads, thread

COLUMNS = Columns()
BARE = (Growth(0.0, 0.0, 1.0),)
NAMES = (
    "5/16-24 UNF",
    "1/4-20 BSW",
    "2BA",
    "M8x1.25",
    "1/4-26 CEI",
    "G1/4",
    "R1/4",
    "1/2-14 NPT",
    "0-80 UNF",
)


def column(value: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([value])


@given(
    name=st.sampled_from(NAMES),
    internal=st.booleans(),
    which=st.sampled_from(("major", "pitch_diameter", "minor")),
    off=st.floats(-3, 3),
    u=st.floats(0.002, 0.2),
)
def test_one_reading_and_a_column_have_the_same_density(
    name: str, internal: bool, which: str, off: float, u: float
) -> None:
    found = thread(name)
    made: Band = getattr(diameters(found, internal=internal), which)
    x = found.major_mm + off
    one = band_density(x, u, made, ONE)
    many = float(band_density(column(x), column(u), made, COLUMNS)[0])
    assert one == pytest.approx(many, rel=1e-6, abs=1e-9)


@given(z=st.floats(-200, 8))
def test_the_far_tail_is_the_same_for_one_number_and_a_column(z: float) -> None:
    assert ONE.log_below(z) == pytest.approx(float(COLUMNS.log_below(column(z))[0]), rel=1e-7, abs=1e-12)
    assert ONE.below(z) == pytest.approx(float(COLUMNS.below(column(z))[0]), rel=1e-12, abs=1e-300)


def test_a_band_with_exponential_wear_is_the_mirrored_exponentially_modified_normal() -> None:
    """scipy.stats.exponnorm is an independent implementation of the error plus an exponential."""
    mean, u, low, high = 0.05, 0.02, 7.7, 7.9
    made = band(((low, high, 1.0),), wears_down=True, wear=(Wear(mean, 1.0),), growth=BARE)
    for x in (7.4, 7.6, 7.7, 7.8, 7.9, 7.95):
        kept = stats.exponnorm(mean / u, loc=0, scale=u)
        expected = (kept.sf(low - x) - kept.sf(high - x)) / (high - low)
        assert band_density(x, u, made, ONE) == pytest.approx(expected, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("internal", [False, True])
def test_each_density_comes_to_one(name: str, internal: bool) -> None:
    found = thread(name)
    where = diameters(found, internal=internal)
    for made in (where.major, where.pitch_diameter, where.minor, hexagon(found, internal=internal)):
        low = min(limits[0] for limits in made.limits_mm) - 3
        high = max(limits[1] for limits in made.limits_mm) + 3
        breaks = sorted({edge for limits in made.limits_mm for edge in limits[:2]})
        whole, _ = integrate.quad(
            lambda x, made=made: band_density(x, 0.02, made, ONE), low, high, points=breaks, limit=400
        )
        assert whole == pytest.approx(1, abs=2e-3)


def test_wear_makes_a_bolt_smaller_and_a_hole_larger_and_plating_the_opposite() -> None:
    bolt = diameters(thread("M8x1.25"), internal=False).major
    hole = diameters(thread("M8x1.25"), internal=True).minor
    low, high = min(one[0] for one in bolt.limits_mm), max(one[1] for one in bolt.limits_mm)
    assert band_density(low - 0.1, 0.01, bolt, ONE) > 10 * band_density(high + 0.1, 0.01, bolt, ONE)
    low, high = min(one[0] for one in hole.limits_mm), max(one[1] for one in hole.limits_mm)
    assert band_density(high + 0.1, 0.01, hole, ONE) > 10 * band_density(low - 0.1, 0.01, hole, ONE)
    assert band_density(8.0 + 0.015, 0.003, bolt, ONE) > 0.05


def test_every_standard_thread_has_bands_on_both_sides() -> None:
    assert len(all_threads()) > 300
    for one in all_threads():
        for internal in (False, True):
            where = diameters(one, internal=internal)
            for made in (where.major, where.pitch_diameter, where.minor):
                assert math.isclose(sum(limits[2] for limits in made.limits_mm), 1.0)
                assert all(low < high for low, high, _ in made.limits_mm)
                assert math.isclose(sum(wear.share for wear in made.wear), 1.0)


def test_a_leaf_adds_its_error_up_over_its_length() -> None:
    teeth = leaf_teeth(25.4 / 24)
    assert leaf_fits(25.4 / 24, 25.4 / 24, teeth, ONE) == pytest.approx(1, abs=0.01)
    # 48 threads per inch and the 0.53 mm of 6BA: 7 µm over eight threads, which nobody sees.
    assert leaf_fits(25.4 / 48, 0.53, leaf_teeth(25.4 / 48), ONE) > 0.95
    assert leaf_fits(25.4 / 24, 25.4 / 26, teeth, ONE) < 0.001
    assert leaf_fits(25.4 / 24, 1.0, teeth, ONE) < 0.001
    assert nearest_leaf_mm(1.24) == 1.25
    assert leaf_teeth(6.0) == pytest.approx(25 / 6)
    assert min(LEAVES_MM) == 0.25


def test_an_angle_gauge_says_less_on_a_smaller_thread() -> None:
    coarse, fine = angle_gauge_fits(55, 60, 2.0), angle_gauge_fits(55, 60, 0.5)
    assert coarse < 0.05 < 0.4 < fine
    assert angle_gauge_fits(55, 55, 2.0) > 0.97


def test_the_normal_density_is_scipys() -> None:
    assert normal_density(0.03, 0.02, ONE) == pytest.approx(stats.norm.pdf(0.03, scale=0.02))
