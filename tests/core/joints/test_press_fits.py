"""Press fits agree with an independent solution of the two rings, and their verdicts take the careful end."""

from __future__ import annotations

from dataclasses import replace

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.press_fits.case import PressCase, press_figures
from runningfit.core.joints.press_fits.judging import judge_press
from runningfit.core.joints.press_fits.lame import (
    Elasticity,
    PressGeometry,
    holding_torque_nm,
    press_state,
    push_out_n,
)
from runningfit.core.joints.press_fits.materials import known_elastic_materials, read_elastic_material
from runningfit.core.joints.press_fits.plugs import PlugKind, PlugSeat, judge_plug
from runningfit.core.standards.tables import rows
from runningfit.core.verdicts import Outcome

STEEL = read_elastic_material("E=207GPa,nu=0.3,alpha=11.5e-6,yield=350MPa")
ALUMINIUM = read_elastic_material("E=71GPa,nu=0.33,alpha=22e-6,yield=200MPa")
RINGS = PressGeometry(0, 40, 80, 40)
CASE = PressCase(RINGS, 0.030, 0.030, STEEL, STEEL, 0.12, 0.12)
GROUND = replace(CASE, roughness_um=1.0)


def by_displacements(
    rings: PressGeometry, interference_mm: float, inner: Elasticity, outer: Elasticity
) -> tuple[float, float, float]:
    """Pressure and hoop stresses where they meet, from u = A r + B / r of each ring and what must meet."""
    b, c, o = rings.inner_bore_mm / 2, rings.diameter_mm / 2, rings.outer_mm / 2

    def radial(metal: Elasticity, r: float) -> tuple[float, float]:
        e, nu = metal.modulus_mpa, metal.poisson
        return e / (1 - nu), -e / (1 + nu) / r**2

    at_b = [*radial(inner, b), 0, 0] if b else [0, 1, 0, 0]
    at_o = [0, 0, *radial(outer, o)]
    equal_pressure = [*radial(inner, c), *(-value for value in radial(outer, c))]
    overlap = [-c, -1 / c, c, 1 / c]
    a1, b1, a2, b2 = numpy.linalg.solve(
        numpy.array([at_b, at_o, equal_pressure, overlap], dtype=float),
        numpy.array([0, 0, 0, interference_mm / 2]),
    )

    def hoop(metal: Elasticity, a: float, bb: float, r: float) -> float:
        return metal.modulus_mpa * (a / (1 - metal.poisson) + bb / r**2 / (1 + metal.poisson))

    first, second = radial(inner, c)
    return -(first * a1 + second * b1), hoop(inner, a1, b1, c), hoop(outer, a2, b2, c)


METALS = st.builds(Elasticity, st.floats(50_000, 220_000), st.floats(0.2, 0.36))


@given(st.floats(0, 0.8), st.floats(1.2, 4), st.floats(0.2, 2), METALS, METALS)
def test_lame_agrees_with_the_displacements_of_both_rings(
    bore: float, outside: float, per_mille: float, inner: Elasticity, outer: Elasticity
) -> None:
    rings = PressGeometry(bore * 40 if bore > 0.05 else 0.0, 40, outside * 40, 40)
    state = press_state(rings, per_mille * 0.04, inner, outer)
    assert (state.pressure_mpa, state.hoop_inner_mpa, state.hoop_outer_mpa) == pytest.approx(
        by_displacements(rings, per_mille * 0.04, inner, outer), rel=1e-6
    )


def test_a_solid_shaft_is_squeezed_alike_all_round() -> None:
    state = press_state(RINGS, 0.03, Elasticity(207_000, 0.3), Elasticity(207_000, 0.3))
    assert state.hoop_inner_mpa == state.hoop_inner_bore_mpa == -state.pressure_mpa
    assert state.mises_inner_mpa == pytest.approx(state.pressure_mpa)


def test_a_hollow_one_suffers_most_at_its_bore() -> None:
    hollow = replace(RINGS, inner_bore_mm=20.0)
    state = press_state(hollow, 0.03, Elasticity(207_000, 0.3), Elasticity(207_000, 0.3))
    assert state.hoop_inner_bore_mpa == pytest.approx(-2 * 1600 / 1200 * state.pressure_mpa)
    assert state.mises_inner_mpa == pytest.approx(-state.hoop_inner_bore_mpa)


def test_grip_is_friction_times_pressure_on_the_face() -> None:
    assert push_out_n(RINGS, 58.2187, 0.12) == pytest.approx(35_116.7, abs=0.1)
    assert holding_torque_nm(RINGS, 58.2187, 0.12) == pytest.approx(35_116.7 * 0.020, abs=0.01)


def test_both_parts_of_one_metal_stay_as_tight_when_hot() -> None:
    hot = press_figures(replace(CASE, temperature_c=150.0))
    assert hot.usual.pressure_mpa == pytest.approx(press_figures(CASE).usual.pressure_mpa)


def test_aluminium_around_steel_loses_by_the_difference_of_expansion() -> None:
    case = replace(CASE, outer=ALUMINIUM, temperature_c=90.0)
    figures = press_figures(case)
    assert figures.usual.interference_mm == pytest.approx(0.030 - 40 * 10.5e-6 * 70)
    assert figures.cold.interference_mm == 0.030
    answer = judge_press(replace(case, temperature_c=95.0))
    assert answer.verdict.outcome is Outcome.NOT_SOUND
    assert "loose at 95 °C" in answer.verdict.reasons[0].text
    assert answer.figures.push_out_n == 0


def test_a_family_of_metals_counts_at_its_careful_ends() -> None:
    iron = read_elastic_material("cast iron")
    case = replace(CASE, interference_low_mm=0.05, interference_high_mm=0.05, inner=iron, outer=ALUMINIUM)
    figures = press_figures(replace(case, temperature_c=90.0))
    assert figures.least.interference_mm == pytest.approx(0.050 - 40 * (22 - 10) * 1e-6 * 70)
    assert figures.most.interference_mm == pytest.approx(0.050 - 40 * (22 - 12) * 1e-6 * 70)
    assert figures.least.pressure_mpa < figures.usual.pressure_mpa < figures.most.pressure_mpa
    cold = press_figures(replace(case, temperature_c=-20.0))
    assert cold.least.interference_mm == pytest.approx(0.050 + 40 * (22 - 12) * 1e-6 * 40)


def test_roughness_is_lost_wholly_at_the_loose_end_mostly_in_the_middle_and_not_at_the_tight_one() -> None:
    # The middle is 0.8 (Rz + Rz) of DIN 7190-1, from memory; both ends need no source.
    figures = press_figures(replace(CASE, roughness_um=10.0))
    assert figures.least.interference_mm == pytest.approx(0.010)
    assert figures.usual.interference_mm == pytest.approx(0.022)
    assert figures.most.interference_mm == 0.030


def test_it_is_sound_where_every_strength_is_known_and_kept() -> None:
    verdict = judge_press(replace(GROUND, needed_push_n=30_000.0)).verdict
    assert verdict.outcome is Outcome.SOUND
    assert any("holds a force of 30000 N" in reason.text for reason in verdict.reasons)
    assert judge_press(replace(GROUND, needed_torque_nm=500.0)).verdict.outcome is Outcome.SOUND


def test_without_the_roughness_nothing_passes() -> None:
    verdict = judge_press(CASE).verdict
    assert verdict.outcome is Outcome.NOT_PROVEN
    assert "How rough the surfaces are was not told" in verdict.reasons[0].text


def test_a_force_and_a_torque_at_once_share_the_friction() -> None:
    # 500 N m at a radius of 20 mm are 25 000 N around the face: 39 051 N with 30 000 N along it.
    verdict = judge_press(replace(GROUND, needed_push_n=30_000.0, needed_torque_nm=500.0)).verdict
    assert verdict.outcome is Outcome.NOT_SOUND
    assert "does not hold a force of 30000 N and a torque of 500 N m, 39051 N" in verdict.reasons[0].text


def test_what_yields_cold_is_not_saved_by_the_looser_fit_when_hot() -> None:
    # Aluminium around steel: 0.12 mm yields it at 20 °C; at 95 °C most of the stress is gone.
    case = replace(
        GROUND, outer=ALUMINIUM, interference_low_mm=0.12, interference_high_mm=0.12, temperature_c=95.0
    )
    figures = press_figures(case)
    assert figures.most.mises_outer_mpa < 200 < figures.cold_least.mises_outer_mpa
    assert judge_press(case).verdict.outcome is Outcome.NOT_SOUND


def test_what_tightens_when_hot_is_held_against_its_need_when_cold() -> None:
    # Aluminium within steel: 35 kN hot is far less at 20 °C.
    case = replace(GROUND, inner=ALUMINIUM, temperature_c=90.0, needed_push_n=30_000.0)
    figures = press_figures(case)
    assert (figures.push_out_least_n or 0) > 30_000
    assert judge_press(case).verdict.outcome is not Outcome.SOUND


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"limits_trusted": False}, "limits of this fit are from memory"),
        ({"temperature_c": 150.0}, "what is left of them at 150 °C is not known here"),
        ({"inner": replace(STEEL, trusted=False)}, ""),
    ],
)
def test_what_is_from_memory_or_not_known_is_no_pass(change: dict[str, object], text: str) -> None:
    assert judge_press(GROUND).verdict.outcome is Outcome.SOUND
    verdict = judge_press(replace(GROUND, **change)).verdict  # type: ignore[arg-type]
    assert verdict.outcome is Outcome.NOT_PROVEN
    said = " ".join([*(one.text for one in verdict.reasons), *(one.text for one in verdict.cautions)])
    assert (text or "A figure of a metal is from memory") in said


@pytest.mark.parametrize(
    ("change", "outcome", "text"),
    [
        ({"outer": read_elastic_material("steel")}, Outcome.NOT_PROVEN, "yield strength of the outer part"),
        ({"needed_push_n": 40_000.0}, Outcome.NOT_SOUND, "does not hold a force of 40000 N"),
        ({"needed_torque_nm": 750.0}, Outcome.NOT_SOUND, "does not hold a torque of 750 N m"),
        (
            {"friction_low": 0.1, "friction_high": 0.15, "needed_push_n": 35_000.0},
            Outcome.NOT_PROVEN,
            "may not",
        ),
        (
            {"friction_low": None, "friction_high": None, "needed_push_n": 1.0},
            Outcome.NOT_PROVEN,
            "needs the fric",
        ),
        ({"interference_low_mm": 0.1, "interference_high_mm": 0.1}, Outcome.NOT_SOUND, "passes its yield"),
        ({"interference_high_mm": 0.1}, Outcome.NOT_PROVEN, "may pass its yield"),
        ({"interference_low_mm": -0.01}, Outcome.NOT_PROVEN, "may be loose"),
        (
            {"outer": read_elastic_material("E=100GPa,nu=0.21,alpha=11e-6,tensile=40MPa")},
            Outcome.NOT_SOUND,
            "passes its tensile strength of 40 MPa",
        ),
    ],
)
def test_a_doubt_is_no_pass(change: dict[str, object], outcome: Outcome, text: str) -> None:
    verdict = judge_press(replace(CASE, **change)).verdict  # type: ignore[arg-type]
    assert verdict.outcome is outcome
    assert any(text in reason.text for reason in verdict.reasons)


def test_a_brittle_inner_part_is_held_against_what_crushes_it() -> None:
    iron = read_elastic_material("grey cast iron")
    reasons = judge_press(replace(CASE, inner=iron)).verdict.reasons
    assert any("stays below its compressive strength of 570 MPa" in reason.text for reason in reasons)


def test_cautions_stand_where_the_act_is_planned() -> None:
    said = " ".join(caution.text for caution in judge_press(CASE).verdict.cautions)
    assert "0.020 mm to slide freely (common practice, no source) takes 109 K" in said
    assert "crack-test it and check the run-out" in said
    assert "dry ice" in said
    assert "two of Rz 6.3 µm mostly lose 10 µm of interference (DIN 7190-1, from memory)" in said
    tight = replace(CASE, interference_low_mm=0.1, interference_high_mm=0.1, slip_mm=0.02)
    said = " ".join(caution.text for caution in judge_press(tight).verdict.cautions)
    assert "even liquid nitrogen is too warm" in said
    assert "may soften it" in said
    assert "to slide freely" not in said


def test_every_metal_of_the_table_can_be_read_and_lies_within_its_family() -> None:
    for name in known_elastic_materials():
        metal = read_elastic_material(name)
        assert 50_000 <= metal.modulus_low_mpa <= metal.modulus_high_mpa <= 220_000
        assert 0.2 <= metal.poisson <= 0.36
        assert metal.trusted
    for row in rows("elastic_materials_collected_2026"):
        family = read_elastic_material(row["material"])
        assert family.modulus_low_mpa <= float(row["modulus_low_gpa"]) * 1000
        assert family.expansion_high_per_k >= float(row["expansion_high_um_per_m_k"]) * 1e-6


def test_figures_are_read_in_the_units_they_come_in() -> None:
    metal = read_elastic_material("E = 30000 ksi, nu = .3, alpha = 6.4e-6/F, yield = 50 ksi")
    assert metal.modulus_low_mpa == pytest.approx(206_843, abs=1)
    assert metal.expansion_low_per_k == pytest.approx(11.52e-6)
    assert metal.yield_mpa == pytest.approx(344.7, abs=0.1)


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("unobtainium", "one of steel"),
        ("any", "one of steel"),
        ("E=207GPa,nu=0.3", "Add alpha"),
        ("E=207,nu=0.3,alpha=11.5e-6", "a number with its unit"),
        ("E=207MPa,nu=0.3,alpha=11.5e-6", "1 to 1000 GPa"),
        ("E=207GPa,nu=0.7,alpha=11.5e-6", "nu needs 0 to 0.5"),
        ("E=207GPa,nu=0.3,alpha=11.5", "per kelvin, such as 11.5e-6"),
        ("E=207GPa,nu=x,alpha=11.5e-6", "nu needs a number"),
        ("E=207GPa,E=1GPa,nu=.3,alpha=1e-5", "each once"),
        ("E=207GPa,nu=.3,alpha=1e-5,colour=red", "figures such as"),
    ],
)
def test_what_is_no_metal_is_refused(text: str, match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        read_elastic_material(text)


@pytest.mark.parametrize(
    ("sizes", "match"),
    [
        ((40, 40, 80, 40), "bore of the inner part below"),
        ((0, 80, 40, 40), "bore of the inner part below"),
        ((-1, 40, 80, 40), "bore of the inner part below"),
        ((0, 40, 80, 0), "length needs more than nothing"),
        ((0, float("nan"), 80, 40), "bore of the inner part below"),
    ],
)
def test_sizes_that_cannot_be_are_refused(sizes: tuple[float, float, float, float], match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        PressGeometry(*sizes)


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"interference_low_mm": 0.05}, "the least before the largest"),
        ({"interference_low_mm": -0.1, "interference_high_mm": -0.05}, "more than 0"),
        ({"interference_high_mm": 40.03}, "at most 0.8 mm"),
        ({"friction_low": 0.2, "friction_high": 0.1}, "friction needs between 0 and 1"),
        ({"friction_low": 0.0}, "friction needs between 0 and 1"),
        ({"temperature_c": 900.0}, "-200 to 700"),
        ({"slip_mm": -0.01}, "clearance and roughness needs 0 to 0.8 mm and 0 to 1000"),
        ({"slip_mm": float("nan")}, "clearance and roughness needs 0 to 0.8 mm"),
        ({"roughness_um": -1.0}, "0 to 1000 µm"),
        ({"roughness_um": float("nan")}, "0 to 1000 µm"),
        (
            {"needed_push_n": float("nan")},
            "what it shall hold needs a force and a torque of more than nothing",
        ),
        ({"needed_torque_nm": -5.0}, "what it shall hold needs a force and a torque of more than nothing"),
    ],
)
def test_a_case_that_cannot_be_is_refused(change: dict[str, object], match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        replace(CASE, **change)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "seat_mm", "outcome"),
    [
        (PlugKind.DOMED, 40.02, Outcome.SOUND),
        (PlugKind.DOMED, 40.06, Outcome.NOT_SOUND),
        (PlugKind.DOMED, 39.99, Outcome.NOT_SOUND),
        (PlugKind.CUP, 39.85, Outcome.NOT_PROVEN),
        (PlugKind.CUP, 39.60, Outcome.NOT_PROVEN),
        (PlugKind.CUP, 40.00, Outcome.NOT_SOUND),
    ],
)
def test_a_plug_is_judged_by_its_seat(kind: PlugKind, seat_mm: float, outcome: Outcome) -> None:
    verdict = judge_plug(PlugSeat(kind, 40.0, seat_mm))
    assert verdict.outcome is outcome
    assert any("no heat is worked out" in caution.text for caution in verdict.cautions)
    assert verdict.value == pytest.approx(seat_mm - 40.0)
    if kind is PlugKind.CUP:
        assert verdict.reasons[0].source == "common practice, no source; from memory"


def test_a_plug_and_a_seat_of_different_holes_are_refused() -> None:
    with pytest.raises(InvalidInput, match="within a fiftieth"):
        PlugSeat(PlugKind.CUP, 40.0, 1.575)
    with pytest.raises(InvalidInput, match="within a fiftieth"):
        PlugSeat(PlugKind.CUP, 40.0, float("nan"))
