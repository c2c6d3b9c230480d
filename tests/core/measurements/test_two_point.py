"""Two-point diameters, V-blocks, springs and volumes, on pieces whose true form is known."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin, sqrt

import numpy as np
import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.two_point import Diameter, two_point_form
from runningfit.core.measurements.form.vee_block import lobe_factor, runout
from runningfit.core.measurements.springs import SpringReading, spring_of, wire_rate_n_per_mm
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.volumes import Filling, chamber_volume

U_MM = 0.002
ANGLES = (0.0, 45.0, 90.0, 135.0)


def diameters(radius_at: object, depths: tuple[float, ...] = (10.0, 50.0, 90.0)) -> list[Diameter]:
    """What a perfect two-point gauge reads of a piece with such a radius by depth and angle."""
    assert callable(radius_at)
    return [
        Diameter(depth, angle, radius_at(depth, radians(angle)) + radius_at(depth, radians(angle) + pi))
        for depth in depths
        for angle in ANGLES
    ]


def test_an_oval_tapered_bore_is_told_in_full() -> None:
    found = two_point_form(
        diameters(lambda depth, angle: 39.7 + 0.0001 * (90 - depth) + 0.01 * cos(2 * (angle - radians(45)))),
        U_MM,
    )
    assert found.out_of_round_mm == pytest.approx(0.04)
    assert found.taper_mm == pytest.approx(2 * 0.008)
    assert found.barrel_mm == pytest.approx(0, abs=1e-12)
    assert [one.longest_deg for one in found.sections] == pytest.approx([45.0] * 3)
    assert found.max_mm == pytest.approx(2 * 39.718)
    assert found.min_mm == pytest.approx(2 * 39.69)


@pytest.mark.parametrize("lift", [0.015, -0.015])
def test_a_barrel_is_told_from_a_waist(lift: float) -> None:
    found = two_point_form(diameters(lambda depth, _: 39.7 + (lift if depth == 50 else 0)), U_MM)
    assert found.barrel_mm == pytest.approx(2 * lift)
    assert found.taper_mm == pytest.approx(0, abs=1e-12)


def test_odd_lobes_are_not_seen_and_the_answer_says_so() -> None:
    found = two_point_form(diameters(lambda _, angle: 39.7 + 0.02 * cos(3 * angle)), U_MM)
    assert found.out_of_round_mm == pytest.approx(0, abs=1e-12)
    assert "cannot see an odd number of lobes" in found.cautions[0].text


def test_a_round_piece_shows_the_range_of_noise_alone() -> None:
    generator = np.random.default_rng(8)
    ranges = [
        two_point_form([Diameter(0, angle, 79.4 + generator.normal(0, U_MM)) for angle in ANGLES], U_MM)
        for _ in range(4000)
    ]
    seen = sum(one.out_of_round_mm for one in ranges) / len(ranges)
    assert ranges[0].scatter_mm == pytest.approx(seen, rel=0.03)


def test_the_same_direction_read_again_is_averaged() -> None:
    found = two_point_form(
        [Diameter(0, 0, 79.40), Diameter(0, 180, 79.42), Diameter(0, 90, 79.38), Diameter(0, 90, 79.40)], U_MM
    )
    assert found.out_of_round_mm == pytest.approx(0.02)
    assert found.scatter_mm == pytest.approx(1.128 * U_MM / sqrt(2))


@pytest.mark.parametrize(
    ("told", "text"),
    [
        ([(0, 0, 79.4), (0, 90, 79.41), (50, 0, 79.4)], "At 50 mm no reading across 90°"),
        ([(0, 0, 79.4), (50, 0, 79.41)], "All readings lie in one direction"),
        ([(0, 0, 79.4), (0, 90, 79.41)], "Only one depth was read"),
        ([(d, a, 79.4) for d in (0, 50) for a in (0, 90)], "All readings are the very same"),
    ],
)
def test_what_is_missing_is_told(told: list[tuple[float, float, float]], text: str) -> None:
    found = two_point_form([Diameter(*one) for one in told], U_MM)
    assert any(text in one.text for one in found.cautions)


@pytest.mark.parametrize(
    ("told", "u_mm", "text"),
    [
        ([], 0.002, "readings needs two directions .*'none' came"),
        ([(0, 0, 79.4)], 0.002, "'one' came. One diameter tells a size"),
        ([(0, 0, 79.4), (0, 90, 79.4)], 0.0, "uncertainty needs more than nothing"),
        (
            [(0, 0, 79.4), (0, 45, 79.4), (0, 90, 3.126)],
            0.002,
            "'3.126 mm at 0 mm, 90°' came. Was it typed in inch",
        ),
        ([(0, 0, 79.4), (0, 45, 79.4), (0, 90, 7.94)], 0.002, "typed with a slipped decimal point"),
        ([(0, 0, 79.4), (0, 90, float("nan"))], 0.002, "readings needs finite numbers"),
    ],
)
def test_readings_that_cannot_be_are_refused(
    told: list[tuple[float, float, float]], u_mm: float, text: str
) -> None:
    with pytest.raises(InvalidInput, match=text):
        two_point_form([Diameter(*one) for one in told], u_mm)


def turned_in_a_vee(lobes: int, vee_deg: float) -> float:
    """The amplitude an indicator shows over that of the lobes, by turning a piece on both flanks."""
    size = 1e-5
    angle = np.linspace(0, 2 * pi, 20_001)
    flanks = [radians(-90 + side * (90 - vee_deg / 2)) for side in (-1, 1)]
    normals = np.array([[cos(one), sin(one)] for one in flanks])
    shown = []
    for turn in np.linspace(0, 2 * pi / lobes, 61):
        radius = 1 + size * np.cos(lobes * (angle - turn))
        outline = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
        reach = (outline @ normals.T).max(axis=0)
        centre = np.linalg.solve(normals, 1 - reach)
        shown.append(centre[1] + outline[:, 1].max())
    return float(np.ptp(shown)) / 2 / size


@pytest.mark.parametrize("vee_deg", [60, 90, 120])
@pytest.mark.parametrize("lobes", [2, 3, 4, 5, 7])
def test_the_factor_of_lobes_is_that_of_a_piece_turned_in_a_vee(lobes: int, vee_deg: float) -> None:
    assert abs(lobe_factor(lobes, vee_deg)) == pytest.approx(turned_in_a_vee(lobes, vee_deg), abs=0.01)


def test_a_vee_of_90_degrees_doubles_three_lobes_and_hides_seven() -> None:
    assert lobe_factor(3, 90) == pytest.approx(2)
    assert lobe_factor(7, 90) == pytest.approx(0, abs=1e-12)
    assert lobe_factor(1, 90) == pytest.approx(0, abs=1e-12)


def test_a_bent_shaft_is_told_from_its_lobes() -> None:
    angles = [30.0 * one for one in range(12)]
    read = [0.5 + 0.02 * cos(radians(one - 70)) + 0.003 * cos(radians(3 * one)) for one in angles]
    found = runout(angles, read, 90, 0.001)
    assert found.bow_mm == pytest.approx(0.02)
    assert found.towards_deg == pytest.approx(70)
    assert found.rest_mm == pytest.approx(0.006)
    assert found.total_mm == pytest.approx(max(read) - min(read))
    assert found.u_bow_mm == pytest.approx(0.001 / sqrt(6))
    assert "hides 7, 9 lobes" in found.cautions[1].text


def test_the_bow_scatters_as_it_says() -> None:
    generator = np.random.default_rng(3)
    angles = [45.0 * one for one in range(8)]
    bows = [
        runout(
            angles, [0.05 * cos(radians(one)) + generator.normal(0, 0.002) for one in angles], 90, 0.002
        ).bow_mm
        for _ in range(3000)
    ]
    assert np.std(bows) == pytest.approx(0.001, rel=0.06)


def test_the_bow_of_unevenly_spread_angles_scatters_as_it_says() -> None:
    generator = np.random.default_rng(3)
    angles = [0.0, 5.0, 10.0, 120.0, 240.0]
    read = [
        runout(angles, [0.05 * cos(radians(one)) + generator.normal(0, 0.002) for one in angles], 90, 0.002)
        for _ in range(3000)
    ]
    assert np.std([one.bow_mm for one in read]) == pytest.approx(
        np.mean([one.u_bow_mm for one in read]), rel=0.06
    )


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        (lambda: lobe_factor(0, 90), "lobes needs one or more; '0' came"),
        (lambda: lobe_factor(3, 200), "vee needs an included angle of 30 to 150°"),
        (lambda: runout([0, 90, 180], [0, 0, 0], 90, 0.001), "readings needs an angle to each, and four"),
        (
            lambda: runout([0, 40, 80, 120], [0, 1, 2, 3], 90, 0.001),
            "angles needs readings all around; 'a gap of 240°",
        ),
        (lambda: runout([0, 90, 180, 270], [0, 1, 2, 3], 90, 0), "with an uncertainty of more than nothing"),
    ],
)
def test_a_shaft_that_cannot_be_judged_is_refused(asked: object, text: str) -> None:
    assert callable(asked)
    with pytest.raises(InvalidInput, match=text):
        asked()


def test_a_spring_is_a_line_with_its_scatter() -> None:
    read = [SpringReading(length, 12.0 * (52.0 - length)) for length in (30.0, 35.0, 40.0, 45.0)]
    found = spring_of(read, 38.0, 2.0)
    assert found.rate_n_per_mm.value == pytest.approx(12.0)
    assert found.free_length_mm == pytest.approx(52.0)
    assert found.load_n.value == pytest.approx(168.0)
    assert found.rate_n_per_mm.u == pytest.approx(2.0 / sqrt(125))
    assert found.load_n.u == pytest.approx(2.0 * sqrt(1 / 4 + 0.25 / 125))
    assert not found.cautions


def test_a_spring_that_is_not_straight_or_not_read_there_says_so() -> None:
    read = [SpringReading(30, 400), SpringReading(35, 200), SpringReading(40, 150), SpringReading(45, 85)]
    found = spring_of(read, 25.0, 2.0)
    assert [one.text.split(":")[0] for one in found.cautions] == [
        "The height lies beyond the lengths that were read",
        "The loads lie off a straight line",
    ]
    assert found.rate_n_per_mm.dof == 2


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        (lambda: spring_of([SpringReading(30, 9)], 30, 1), "spring readings needs loads at two lengths"),
        (
            lambda: spring_of([SpringReading(30, 9), SpringReading(40, 19)], 30, 1),
            "less load at a greater length",
        ),
        (
            lambda: spring_of([SpringReading(30, 9), SpringReading(40, 1)], 30, 0),
            "uncertainty needs more than",
        ),
        (lambda: wire_rate_n_per_mm(8e4, 4, 3, 5), "coils wider than their wire"),
    ],
)
def test_a_spring_that_cannot_be_is_refused(asked: object, text: str) -> None:
    assert callable(asked)
    with pytest.raises(InvalidInput, match=text):
        asked()


def test_a_third_load_is_wanted_and_a_slipped_length_asked_about() -> None:
    two = [SpringReading(30, 264), SpringReading(40, 144)]
    assert "Two loads always lie on a line" in spring_of(two, 35.0, 2.0).cautions[0].text
    with pytest.raises(InvalidInput, match=r"length needs .*; '1.378 mm' came. Was it typed in inches"):
        spring_of([*two, SpringReading(1.378, 200)], 35.0, 2.0)
    with pytest.raises(InvalidInput, match="lengths and loads of more than nothing"):
        spring_of([*two, SpringReading(52, 0)], 35.0, 2.0)
    with pytest.raises(InvalidInput, match="uncertainty needs more than nothing; 'inf'"):
        spring_of(two, 35.0, float("inf"))
    with pytest.raises(InvalidInput, match="figures of more than nothing"):
        wire_rate_n_per_mm(8e4, 4, 20, float("nan"))


def filled(**changed: Measured) -> Filling:
    told = {
        "poured_ml": Measured(42.0, 0.05),
        "burette_c": Measured(20.0, 0.5),
        "chamber_c": Measured(20.0, 0.5),
        "liquid_per_k": Measured(9.5e-4, 5e-5),
        "metal_per_k": Measured(21.5e-6, 1e-6),
    }
    return Filling(**{**told, **changed})


def test_at_20_degrees_the_burette_is_right() -> None:
    found = chamber_volume(filled())
    assert found.measured.value == pytest.approx(42.0)
    # The liquid's expansion over the doubt in both temperatures is what adds to the burette's own.
    assert found.measured.u == pytest.approx(hypot(0.05, 42 * 9.5e-4 * 0.5 * sqrt(2)), rel=0.03)


def test_a_warm_chamber_is_brought_to_20_degrees() -> None:
    found = chamber_volume(filled(chamber_c=Measured(35.0, 0.5), burette_c=Measured(22.0, 0.5)))
    by_hand = 42.0 * (1 + 9.9e-6 * 2) * (1 + 9.5e-4 * 13) / (1 + 3 * 21.5e-6 * 15)
    assert found.measured.value == pytest.approx(by_hand, rel=1e-12)


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        ({"poured_ml": Measured(0, 0.1)}, "volume needs more than nothing"),
        ({"poured_ml": Measured(42, 0)}, "uncertainty needs more than nothing; '0 ml' came. No burette"),
        ({"burette_c": Measured(293, 1)}, "temperature needs 0 to 60 °C; '293 °C' came"),
    ],
)
def test_a_filling_that_cannot_be_is_refused(changed: dict[str, Measured], text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        chamber_volume(filled(**changed))


def test_a_spring_of_known_wire_has_the_handbooks_rate() -> None:
    # A textbook's example, from memory: d .037 in, D .400 in, 10.5 coils, 11.85e6 psi give 4.13 lbf/in.
    rate = wire_rate_n_per_mm(11.85e6 * 4.4482216 / 25.4**2, 0.037 * 25.4, 0.4 * 25.4, 10.5)
    assert rate * 25.4 / 4.4482216 == pytest.approx(4.13, abs=0.005)
