"""Which oversize cleans up: against surfaces cut point by point, sums by hand, and what must always hold."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

import numpy as np
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from core.treatments.machining.bores import NOMINAL_MM, any_bore, bore, journal
from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.barriers import Barriers, Case, Wall
from runningfit.core.treatments.machining.clean_up import CannotTell, Chance, CleanUp, clean_up
from runningfit.core.treatments.machining.cutting import Axis, Cutting, OneSided
from runningfit.core.treatments.machining.readings import BoreReadings, JournalReadings, Offset, Pit
from runningfit.core.treatments.machining.surfaces import Straying
from runningfit.core.units import LengthUnit
from runningfit.core.verdicts import Outcome
from simulators.worn_bores import read, wear

STEPS = (0.25, 0.5, 0.75, 1.0)
# By how much the middle of a circle, laid by least squares to a side worn as the square of a cosine, falls
# short of half of that wear: 1 - 8/(3 pi), here by sums.
_TURN = np.linspace(-np.pi / 2, np.pi / 2, 100_001)
LEFT = 1 - float(2 * np.trapezoid(np.cos(_TURN) ** 3, _TURN) / (2 * np.pi)) / 0.5


def cutting(axis: Axis = Axis.WORN, **more: object) -> Cutting:
    made = Cutting(NOMINAL_MM, STEPS, 0.05, axis, original_mm=NOMINAL_MM)
    return replace(made, **more)  # type: ignore[arg-type]


def chances(found: CleanUp) -> list[Chance]:
    return [one.together for one in found.steps]


def exactly(*wear_mm: float, name: str = "1", **more: object) -> BoreReadings:
    """A bore gauged so well that it is known but for its sides: round, of one size."""
    points = tuple(
        Diameter(depth, angle, NOMINAL_MM + wear_mm[0])
        for depth in (10.0, 50.0, 90.0)
        for angle in (0.0, 60.0, 120.0)
    )
    return replace(BoreReadings(name, points, 0.0001), **more)  # type: ignore[arg-type]


def one_sided(most: float, *, worn: bool = False) -> float:
    """How probable it is that no more than this of the wear is left over; drawn here, not by the core."""
    generator = np.random.default_rng(3)
    share = generator.beta(2, 4, 200_000)
    return float((share * (generator.uniform(LEFT, 0.6, share.size) if worn else 1.0) <= most).mean())


def test_on_the_worn_axis_diameter_pits_and_honing_stock_decide() -> None:
    # 0.08 of wear, 0.05 left for honing and pits of 0.02 on each side: 0.17 on diameter, 0.27 with 0.07.
    for depth, cleans in ((0.02, True), (0.07, False)):
        found = clean_up([exactly(0.08, pits=(Pit(depth, 0.001, everywhere=True),))], cutting())
        assert (found.steps[0].together.best > 0.99) is cleans
        assert (found.steps[0].together.best < 0.01) is not cleans
        assert found.steps[0].together.low == pytest.approx(found.steps[0].together.high, abs=0.005)


def test_on_the_worn_axis_some_of_one_sided_wear_is_left() -> None:
    # 0.16 of wear and 0.05 for honing leave 0.04, a quarter of the wear; at most 0.6 of it can be left.
    found = clean_up([exactly(0.16)], cutting()).steps[0].together
    assert found.best == pytest.approx(one_sided(0.25, worn=True), abs=0.02)
    assert (found.low, found.high) == (0.0, 1.0)
    whole = clean_up([exactly(0.16)], cutting())
    assert "middle where it is worn most" in whole.close_range
    assert any("15 % to 60 % of one-sided wear are left" in one.text for one in whole.verdict.reasons)


def test_on_the_original_axis_the_share_of_one_side_decides() -> None:
    # 0.15 of wear, 0.05 for honing: 0.25 has 0.05 left, a third of the wear.
    found = clean_up([exactly(0.15)], cutting(Axis.ORIGINAL)).steps[0].together
    assert found.best == pytest.approx(one_sided(1 / 3), abs=0.02)
    assert (found.low, found.high) == (0.0, 1.0)
    unknown = clean_up([exactly(0.15)], cutting(Axis.UNKNOWN)).steps[0].together
    either = 0.5 * one_sided(1 / 3) + 0.5 * one_sided(1 / 3, worn=True)
    assert unknown.best == pytest.approx(either, abs=0.02)
    half = clean_up([exactly(0.15)], cutting(Axis.ORIGINAL, one_sided=OneSided(0.0, 0.5)))
    assert half.steps[0].together.best == pytest.approx(one_sided(2 / 3), abs=0.02)


def test_a_shop_can_tell_how_one_sided_its_engines_wear() -> None:
    told = OneSided(usual=0.25, spread=0.1, alike=0.9)
    found = clean_up([exactly(0.15), exactly(0.15, name="2")], cutting(Axis.ORIGINAL, one_sided=told)).steps[
        0
    ]
    # A beta distribution of mean a / (a + b) and variance a b / (a + b)^2 / (a + b + 1).
    count = 0.25 * 0.75 / 0.1**2 - 1
    share = np.random.default_rng(5).beta(0.25 * count, 0.75 * count, 200_000)
    alone = float((share <= 1 / 3).mean())
    assert found.each[0][1].best == pytest.approx(alone, abs=0.01)
    assert alone - 0.1 < found.together.best < alone - 0.01
    assert "as told 25 %" in " ".join(
        one.text for one in clean_up([exactly(0.15)], cutting(Axis.ORIGINAL, one_sided=told)).verdict.reasons
    )


def test_bores_of_one_engine_are_worn_alike_on_their_sides_but_not_quite() -> None:
    both = clean_up([exactly(0.15), exactly(0.15, name="2")], cutting(Axis.ORIGINAL)).steps[0].together.best
    alone = one_sided(1 / 3)
    generator = np.random.default_rng(4)
    pair = generator.multivariate_normal([0, 0], [[1, 0.5], [0.5, 1]], 200_000)
    assert both == pytest.approx(float((pair <= np.quantile(pair[:, 0], alone)).all(axis=1).mean()), abs=0.02)
    assert alone**2 + 0.05 < both < alone - 0.05


@pytest.mark.parametrize(("more", "less"), [(0.18, 0.10), (0.15, 0.12)])
def test_of_two_bores_the_one_that_grew_more_is_rather_worn_on_both_sides(more: float, less: float) -> None:
    """Bores are drawn here whose major sides lost about as much: how one-sided are those that grew so?"""
    generator = np.random.default_rng(7)
    count = 1_000_000
    usual, spread, alike = 0.35, 0.16, 0.3
    major = np.exp(0.3 * generator.standard_normal((count, 2)))
    normal = generator.multivariate_normal([0, 0], [[1, alike], [alike, 1]], count)
    sums = usual * (1 - usual) / spread**2 - 1
    known = np.sort(generator.beta(usual * sums, (1 - usual) * sums, 100_000))
    share = known[np.minimum((scipy.stats.norm.cdf(normal) * len(known)).astype(int), len(known) - 1)]
    apart = np.log(major[:, 0] / (1 + share[:, 0])) - np.log(major[:, 1] / (1 + share[:, 1]))
    near = np.abs(apart - np.log(more / less)) < 0.02
    told = OneSided(usual=usual, spread=spread, alike=alike)
    bores = [exactly(more), exactly(less, name="2")]
    for which, wear_mm in enumerate((more, less)):
        step = wear_mm * (1 + usual) + 0.05
        found = clean_up(bores, cutting(Axis.ORIGINAL, steps_mm=(step,), one_sided=told)).steps[0]
        expected = float((share[near, which] <= usual).mean())
        assert found.each[which][1].best == pytest.approx(expected, abs=0.015)


def test_a_maker_s_clearance_is_no_wear() -> None:
    # 0.15 over the nominal, of which up to 0.025 was made so: a little less may lie on one side.
    said = clean_up([exactly(0.15)], cutting(Axis.ORIGINAL, original_mm=None)).steps[0].together.best
    wear = 0.15 - np.random.default_rng(6).uniform(0, 0.025, 2000)
    assert said == pytest.approx(np.mean([one_sided(0.05 / one) for one in wear[:100]]), abs=0.03)


def test_a_reading_of_the_offset_closes_the_range() -> None:
    found = clean_up([exactly(0.15)], cutting(Axis.ORIGINAL))
    assert "radius to both sides" in found.close_range
    # 0.15 + 2 x 0.02 + 0.05 is 0.24; with an offset of 0.04 it is 0.28.
    for offset, chance in ((0.02, 1.0), (0.04, 0.0)):
        known = clean_up([exactly(0.15, offset=Offset(offset, 0.001))], cutting(Axis.ORIGINAL))
        assert chances(known)[0] == Chance(chance, chance, chance)
        assert known.close_range == ""


def test_an_offset_counts_in_its_direction() -> None:
    # Oval by 0.1: 0.15 over the nominal in one direction, 0.05 across it. A shaft bent by 0.04 along that
    # needs 0.15 + 0.08 + 0.05 = 0.28; bent across it no more than the 0.05 + 0.08 there, and 0.15 here.
    points = tuple(
        Diameter(depth, angle, NOMINAL_MM + (0.15, 0.1, 0.05, 0.1)[number])
        for depth in (10.0, 50.0, 90.0)
        for number, angle in enumerate((0.0, 45.0, 90.0, 135.0))
    )
    for towards, chance in ((0.0, 0.0), (180.0, 0.0), (90.0, 1.0), (270.0, 1.0)):
        bent = BoreReadings("1", points, 0.0001, offset=Offset(0.04, 0.001, towards))
        found = clean_up([bent], cutting(Axis.ORIGINAL)).steps[0].together.best
        assert found == pytest.approx(chance, abs=0.02)


def test_a_journal_is_ground_beyond_where_it_was_read() -> None:
    # A cone of 0.04 over the length read goes on: a quarter of it more at its worse end.
    points = tuple(
        Diameter(depth, angle, 50.0 - 0.04 * (depth - 5.0) / 20.0)
        for depth in (5.0, 15.0, 25.0)
        for angle in (0.0, 45.0, 90.0, 135.0)
    )
    cone = JournalReadings("1", points, 0.0005)
    steps = Cutting(50.0, (0.042, 0.06), axis=Axis.WORN, one_sided=OneSided(0.0, 0.0))
    less, more = (one.together.best for one in clean_up([cone], steps).steps)
    assert less < 0.05
    assert more > 0.95


def test_a_pit_counts_where_it_lies() -> None:
    worn = bore(top_mm=0.12, bottom_mm=0.0, oval_mm=0.0, u_mm=0.0005)
    at_top = clean_up([replace(worn, pits=(Pit(0.05, 0.001, 10.0, 0.0),))], cutting())
    at_bottom = clean_up([replace(worn, pits=(Pit(0.05, 0.001, 90.0, 0.0),))], cutting())
    everywhere = clean_up([replace(worn, pits=(Pit(0.05, 0.001, everywhere=True),))], cutting())
    anywhere = clean_up([replace(worn, pits=(Pit(0.05, 0.001),))], cutting())
    assert at_top.steps[0].together.best < 0.1
    assert everywhere.steps[0].together.best < 0.01
    assert anywhere.steps[0].together.low < 0.01
    assert 0.3 < anywhere.steps[0].together.best < 0.95
    assert at_bottom.steps[0].together.best > 0.9


def test_a_pit_that_seems_deep_is_seldom_quite_so_deep() -> None:
    # Drawn here: depths of which twice as deep are half as many, read with an error of a third of each.
    generator = np.random.default_rng(7)
    depth = 0.01 / generator.uniform(0.0001, 1.0, 4_000_000)
    read = depth * (1 + generator.normal(size=depth.size) / 3)
    seems = depth[np.abs(read - 0.06) < 0.002]
    worn = exactly(0.10, pits=(Pit(0.06, 0.02, everywhere=True),))
    for step in (0.2, 0.25, 0.3):
        found = clean_up([worn], cutting(steps_mm=(step,), one_sided=OneSided(0.0, 0.0))).steps[0]
        # 0.10 of wear and 0.05 for honing: the rest is for the pit, on both sides.
        assert found.together.best == pytest.approx(float((2 * seems <= step - 0.15).mean()), abs=0.02)


def test_a_tool_off_its_axis_needs_twice_that_on_diameter() -> None:
    # e of two directions is Rayleigh: P(2 e <= 0.1) for 0.03 is 1 - exp(-(0.05/0.03)^2 / 2) = 0.7506.
    found = clean_up([exactly(0.10)], cutting(centring_mm=0.03)).steps[0].together.best
    assert found == pytest.approx(0.7506, abs=0.02)


def test_a_journal_is_a_bore_from_the_other_side() -> None:
    steps = Cutting(50.0, (0.05, 0.254, 0.508), 0.01, Axis.WORN)
    found = clean_up([journal(worn_mm=0.04)], steps)
    # 0.044 of wear and 0.01 to polish are more than 0.05, and less than ten thou.
    assert found.steps[0].together.best < 0.1
    assert found.chosen == 0.254
    assert "undersize" in found.verdict.reasons[0].text


def test_the_smallest_step_that_is_sure_enough_is_chosen() -> None:
    found = clean_up([exactly(0.25), exactly(0.1, name="2")], cutting())
    assert found.chosen == 0.5
    assert found.worst == "1"
    assert found.verdict.outcome is Outcome.SOUND_AFTER_TREATMENT
    assert dict(found.steps[0].each)["2"].best == 1.0
    assert "bore 1 needs most" in found.verdict.reasons[0].text


def test_where_no_step_is_sure_it_cannot_tell() -> None:
    hopeless = clean_up([exactly(1.2)], cutting())
    assert isinstance(hopeless.chosen, CannotTell)
    assert "No step allowed cleans up" in hopeless.chosen.reason
    open_range = clean_up([exactly(0.7)], cutting(Axis.ORIGINAL))
    assert isinstance(open_range.chosen, CannotTell)
    assert "not proven" in open_range.chosen.reason
    assert open_range.verdict.outcome is Outcome.NOT_PROVEN


def test_walls_and_the_maker_forbid_steps() -> None:
    worn = [exactly(0.3)]
    walled = clean_up(worn, cutting(), barriers=Barriers(walls=(Wall("1", 3.0, 0.05, 2.95),)))
    # From 79.675 to 80.125 mm takes 0.225 mm off the wall: 2.775 of 3.0 mm; to 79.875 mm 0.1: 2.9.
    assert "would leave 2.9 mm" in walled.steps[1].forbidden[0][1].text
    assert "would leave 2.77 mm" in walled.steps[2].forbidden[0][1].text
    assert isinstance(walled.chosen, CannotTell)
    made = clean_up(worn, cutting(), barriers=Barriers(most_mm=0.5, source="manual, page 12"))
    assert made.chosen == 0.5
    ((name, why),) = made.steps[2].forbidden
    assert (name, why.text) == ("1", "The maker allows 0.5 mm at most (manual, page 12).")
    assert why.in_unit(LengthUnit.INCH).text == "The maker allows 0.01969 in at most (manual, page 12)."


def test_a_thin_case_forbids_undersizes() -> None:
    steps = Cutting(50.0, (0.254, 0.508), 0.01, Axis.WORN)
    found = clean_up([journal()], steps, barriers=Barriers(case=Case(0.3, 0.02, 0.1, nitrided=True)))
    assert found.steps[0].forbidden == ()
    assert "would leave 0.046 mm" in found.steps[1].forbidden[0][1].text
    assert any("nitrided again" in one.text for one in found.verdict.cautions)


@pytest.mark.slow
def test_promises_hold_on_surfaces_cut_point_by_point() -> None:
    random = Random(7)
    for axis in (Axis.WORN, Axis.ORIGINAL):
        said, cleaned, brier = 0.0, 0, 0.0
        for _ in range(160):
            true, ring = wear(random, heavy=1.5), random.gauss(0, 0.002)
            points = read(true, random, 0.003, ring, (13, 50, 90), (0, 45, 90, 135))
            readings = BoreReadings("1", tuple(Diameter(*one) for one in points), 0.003, 0.002)
            step = random.uniform(0.05, 0.3)
            chance = clean_up([readings], Cutting(NOMINAL_MM, (step,), 0.02, axis)).steps[0].together.best
            reached = true.needs_on_original()
            if axis is Axis.WORN:
                reached = true.needs_on_worn(random.uniform(15.0, 35.0))
            cleans = reached + 0.02 <= NOMINAL_MM + step
            said, cleaned, brier = said + chance, cleaned + cleans, brier + (chance - cleans) ** 2
        assert said / 160 == pytest.approx(cleaned / 160, abs=0.04)
        assert brier / 160 < (0.03 if axis is Axis.WORN else 0.09)


def test_an_independent_draw_of_the_simplest_case_agrees() -> None:
    # One place, read with 0.01 of its own and 0.006 shared, a pit of 0.03 ± 0.01, a share of up to one.
    generator = np.random.default_rng(5)
    size = 400_000
    diameter = 0.12 + generator.normal(0, 0.01 / np.sqrt(400), size) + generator.normal(0, 0.006, size)
    pit = np.maximum(0.03 + generator.normal(0, 0.01, size), 0)
    need = diameter + generator.beta(2, 4, size) * np.maximum(diameter, 0) + 2 * pit + 0.05
    points = tuple(Diameter(10.0, angle, NOMINAL_MM + 0.12) for angle in (0.0, 60.0, 120.0)) * 133
    readings = BoreReadings("1", points, 0.01, 0.006, (Pit(0.03, 0.01, everywhere=True),))
    smooth = clean_up([readings], cutting(Axis.ORIGINAL), straying=Straying(usual_mm=1e-5))
    found = smooth.steps[0].together.best
    assert found == pytest.approx(float((need <= 0.25).mean()), abs=0.025)


AXES = st.sampled_from(list(Axis))


@settings(max_examples=30, deadline=None)
@given(any_bore, AXES, st.floats(0.0, 0.1), st.floats(0.0, 0.05))
def test_more_pits_never_raise_the_probability(
    found: BoreReadings, axis: Axis, pit: float, more: float
) -> None:
    def best(*pits: Pit) -> list[float]:
        return [one.best for one in chances(clean_up([replace(found, pits=pits)], cutting(axis)))]

    one, deeper = Pit(pit, 0.005), Pit(pit + more, 0.005)
    over, under = (replace(pit, everywhere=True) for pit in (deeper, one))
    for lower, higher in (
        (best(one), best()),
        (best(deeper), best(one)),
        (best(over), best(under)),
        (best(under), best(one)),
        (best(one, Pit(more, 0.001, 10.0, 0.0)), best(one)),
    ):
        assert all(less <= above for less, above in zip(lower, higher, strict=True))


@settings(max_examples=30, deadline=None)
@given(any_bore, AXES)
def test_a_larger_oversize_never_lowers_it_and_ends_enclose_it(found: BoreReadings, axis: Axis) -> None:
    each = chances(clean_up([found], cutting(axis)))
    for one in each:
        assert one.low <= one.best <= one.high
    for smaller, larger in pairwise(each):
        assert smaller.best <= larger.best
        assert smaller.low <= larger.low


@settings(max_examples=30, deadline=None)
@given(any_bore, AXES, st.floats(0.0, 0.2))
def test_more_honing_stock_never_raises_it(found: BoreReadings, axis: Axis, more: float) -> None:
    less = chances(clean_up([found], cutting(axis, hone_mm=0.05 + more)))
    assert all(
        one.best <= other.best
        for one, other in zip(less, chances(clean_up([found], cutting(axis))), strict=True)
    )


@settings(max_examples=30, deadline=None)
@given(any_bore, any_bore, AXES, st.randoms(use_true_random=False))
def test_order_and_half_turns_do_not_matter(
    one: BoreReadings, other: BoreReadings, axis: Axis, random: Random
) -> None:
    second = replace(other, name="2", u_shared_mm=one.u_shared_mm)
    points = list(one.points)
    random.shuffle(points)
    mixed = replace(
        one, points=tuple(replace(p, angle_deg=p.angle_deg + random.choice((0.0, 180.0))) for p in points)
    )
    assert chances(clean_up([one, second], cutting(axis))) == chances(
        clean_up([second, mixed], cutting(axis))
    )


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"nominal_mm": 0.0}, "nominal needs more than nothing"),
        ({"steps_mm": ()}, "oversizes or undersizes needs steps of more than nothing"),
        ({"steps_mm": (0.5, 0.25)}, "from the least to the largest"),
        ({"steps_mm": (-0.25,)}, "oversizes or undersizes needs steps of more than nothing"),
        ({"hone_mm": -0.1}, "honing stock needs not negative"),
        ({"on_original": 1.5}, "chance of the original axis needs 0 to 1"),
        ({"original_mm": 7.9}, "original size needs about the nominal"),
    ],
)
def test_cuts_that_cannot_be_are_refused(change: dict[str, object], text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        cutting(**change)  # type: ignore[arg-type]


def test_bores_and_journals_are_not_mixed() -> None:
    with pytest.raises(InvalidInput, match="bores alone, or journals alone"):
        clean_up([bore(), journal("2")], cutting())


def test_barriers_and_sides_that_cannot_be_are_refused() -> None:
    with pytest.raises(InvalidInput, match="one-sided wear needs a least and a most"):
        OneSided(0.6, 0.4)
    with pytest.raises(
        InvalidInput, match="usual one-sided wear needs to lie between the least and the most"
    ):
        OneSided(0.0, 0.5, usual=0.5)
    with pytest.raises(InvalidInput, match="spread of one-sided wear needs more than 0, and less than half"):
        OneSided(spread=0.5)
    with pytest.raises(InvalidInput, match=r"likeness of one-sided wear needs 0 to 1; '1\.5' came"):
        OneSided(alike=1.5)
    with pytest.raises(InvalidInput, match="wall of bore 1 needs a thickness"):
        Wall("1", 0.0, 0.1, 2.0)
    with pytest.raises(InvalidInput, match="largest step needs more than nothing"):
        Barriers(most_mm=0.0)
