"""One joint reckoned again from printed figures, by plain arithmetic and by draws."""

from __future__ import annotations

from math import cos, pi

import numpy as np
import pytest

from core.treatments.threaded_joint.test_troubles import CADMIUM_ASKED, the, with_piece
from runningfit.core.joints.grades import read_grade, strength_of
from runningfit.core.standards import thread
from runningfit.core.treatments.threaded_joint import judge_joint
from runningfit.core.treatments.threaded_joint.answers import Question

# 3/8-16 UNC 2A/2B as ASME B1.1 prints it [in]: least major and pitch diameter and largest pitch diameter of
# the bolt, largest pitch and minor diameter of the hole, basic pitch diameter; stress area [in²].
MAJOR_MIN, PITCH_MIN, PITCH_MAX = 0.3643, 0.3287, 0.3331
HOLE_PITCH_MAX, HOLE_MINOR_MAX, BASIC_PITCH = 0.3401, 0.3210, 0.3344
STRESS_AREA, TPI = 0.0775, 16
IN = 25.4
STEEL_MPA = 400.0
# Nut factors collected for the two finishes, dry: cadmium 0.15 to 0.20.
CADMIUM_K = (0.15, 0.20)
# Of dry zinc one source gives nut factors from 0.17 on, another coefficients up to 0.35: the hull counts.
HELIX, STEEP = 1 / TPI / (pi * BASIC_PITCH), 0.35 / cos(pi / 6)
ZINC_K = (
    0.17,
    (BASIC_PITCH / 2 * (HELIX + STEEP) / (1 - HELIX * STEEP) + 0.35 * 1.25 * 0.375 / 2) / 0.375,
)


def shear_area_of_hole() -> float:
    """FED-STD-H28/2B formula 2a [mm² for each mm engaged]."""
    per_inch = pi * TPI * MAJOR_MIN * (1 / (2 * TPI) + 0.57735 * (MAJOR_MIN - HOLE_PITCH_MAX))
    return per_inch * IN


def shear_area_of_bolt() -> float:
    """FED-STD-H28/2B formula 4a [mm² for each mm engaged]."""
    per_inch = pi * TPI * HOLE_MINOR_MAX * (1 / (2 * TPI) + 0.57735 * (PITCH_MIN - HOLE_MINOR_MAX))
    return per_inch * IN


def test_how_much_thread_holds_and_is_needed() -> None:
    check = the(judge_joint(CADMIUM_ASKED), Question.STRIPPING)
    # 40 mm long, 10 mm clamped, 1.5 mm of washer: more than the hole is deep; 25 mm less 1 mm of countersink.
    assert check.says.startswith("24.0 mm of thread hold")
    strongest = strength_of(read_grade("SAE J429 8"), thread("3/8-16 UNC")).tensile_most_mpa
    area = STRESS_AREA * IN**2
    by_hole = 2 * area * strongest / STEEL_MPA / shear_area_of_hole()
    by_bolt = 2 * area / shear_area_of_bolt()
    assert check.verdict.value == pytest.approx(max(by_hole, by_bolt), rel=0.01)


def test_the_load_at_which_it_strips() -> None:
    check = the(judge_joint(CADMIUM_ASKED), Question.STRIPPING)
    holds_n = min(
        shear_area_of_hole() * 24.0 * STEEL_MPA / 2,
        shear_area_of_bolt() * 24.0 * 150_000 * 6.894757e-3 / 2,
    )
    assert any(f"the threads hold {holds_n / 1000:.0f}" in reason.text for reason in check.verdict.reasons)


def test_how_near_it_comes_to_yielding() -> None:
    kept = with_piece(CADMIUM_ASKED, finish_received="cadmium")
    check = the(judge_joint(kept), Question.YIELDING)
    yield_mpa, diameter_m = 130_000 * 6.894757e-3, 0.375 * IN / 1000
    chance = np.random.default_rng(5)
    nut_factor = chance.uniform(*CADMIUM_K, 1_000_000)
    torque = 30.0 * chance.normal(1, 0.04 / 1.96, 1_000_000)
    force = torque / (nut_factor * diameter_m)
    # Torsion by the thread's share of the torque, friction the same in thread and under the head.
    pitch, pitch_diameter = IN / TPI, BASIC_PITCH * IN
    friction = (nut_factor * diameter_m * 1000 - pitch / (2 * pi)) / (
        pitch_diameter / 2 / np.cos(pi / 6) + 1.25 * diameter_m * 1000 / 2
    )
    in_thread = force * (pitch / (2 * pi) + friction * pitch_diameter / 2 / np.cos(pi / 6))
    across = np.sqrt(4 * STRESS_AREA * IN**2 / pi)
    tension, torsion = force / (STRESS_AREA * IN**2), 12 * in_thread / (pi * across**3)
    share = np.sqrt(tension**2 + 3 * torsion**2) / yield_mpa
    assert check.verdict.value == pytest.approx(float(np.percentile(share, 95)), rel=0.02)


def test_the_clamp_if_the_old_torque_is_kept_on_zinc() -> None:
    ratio = judge_joint(with_piece(CADMIUM_ASKED, finish_received="zinc")).torque.ratio_if_unchanged
    assert ratio is not None
    chance = np.random.default_rng(6)
    drawn = chance.uniform(*CADMIUM_K, 1_000_000) / chance.uniform(*ZINC_K, 1_000_000)
    low, median, high = np.percentile(drawn, [5, 50, 95])
    assert ratio.low == pytest.approx(float(low), rel=0.01)
    assert ratio.mean == pytest.approx(float(median), rel=0.01)
    assert ratio.high == pytest.approx(float(high), rel=0.01)


def test_the_thickest_coat_is_a_quarter_of_the_allowance() -> None:
    judged = judge_joint(CADMIUM_ASKED)
    assert judged.plater.thickest_um == pytest.approx((BASIC_PITCH - PITCH_MAX) * IN * 1000 / 4, abs=0.01)
