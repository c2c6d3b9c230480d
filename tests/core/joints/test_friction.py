"""Friction is always a range with its sources, wide where nobody knows."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.conditions import (
    FRICTION_TABLE,
    Condition,
    condition_of,
    known_finishes,
    known_lubricants,
    members,
    read_condition,
)
from runningfit.core.joints.friction import JointFriction, friction_of, given_friction
from runningfit.core.joints.tightening import friction_of_nut_factor, geometry_of, nut_factor
from runningfit.core.standards import thread
from runningfit.core.standards.tables import rows

GEOMETRY = geometry_of(thread("3/8-16 UNC"))


def of(text: str) -> JointFriction:
    return friction_of(read_condition(text), GEOMETRY)


def factors(friction: JointFriction) -> tuple[float, float]:
    band = friction.band
    return (
        nut_factor(GEOMETRY, band.thread_low, band.bearing_low),
        nut_factor(GEOMETRY, band.thread_high, band.bearing_high),
    )


@pytest.mark.parametrize(
    ("text", "finish", "lubricant"),
    [
        ("black oxide, dry", "black oxide", "dry"),
        ("Zinc-plated, oiled", "zinc", "oil"),
        ("cadmium plating with anti-seize", "cadmium", "anti-seize"),
        ("dry", None, "dry"),
        ("phosphate and oil", "phosphate", "oil"),
        ("MoS2", None, "molybdenum disulphide"),
        ("unknown", None, None),
        ("zinc, unknown", "zinc", None),
        ("zinc dry", "zinc", "dry"),
        ("black oxide dry", "black oxide", "dry"),
        ("cadmium plated engine oil", "cadmium", "oil"),
    ],
)
def test_a_condition_is_read_as_people_say_it(text: str, finish: str | None, lubricant: str | None) -> None:
    assert read_condition(text) == Condition(finish, lubricant)


def test_finish_and_lubricant_can_be_said_apart() -> None:
    assert condition_of("zinc", "oil") == Condition("zinc", "oil")
    assert condition_of(None, None) == Condition()
    with pytest.raises(InvalidInput, match=r"lubricant needs one of dry, oil, .*'zinc' came"):
        condition_of(None, "zinc")


@pytest.mark.parametrize("text", ["gold leaf", "zinc, cadmium", "dry, oil", "zinc, butter"])
def test_an_unknown_or_double_word_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"condition needs a finish and a lubricant such as"):
        read_condition(text)


@pytest.mark.parametrize("finish", [None, *known_finishes()])
@pytest.mark.parametrize("lubricant", [None, *known_lubricants()])
def test_every_condition_is_a_range_with_sources(finish: str | None, lubricant: str | None) -> None:
    friction = friction_of(Condition(finish, lubricant), GEOMETRY)
    band = friction.band
    assert 0.01 < band.thread_low < 0.95 * band.thread_high < 1
    assert all(reason.source for reason in friction.reasons[2:])


def test_zinc_dry_counts_both_sides_of_the_contradiction() -> None:
    # Nut factors of 0.17 to 0.35 come to 0.11 to 0.26, and a verified source says 0.20 to 0.35: the clamp is
    # only sure at the end of the other, so no source goes before another.
    friction = of("zinc, dry")
    low, high = factors(friction)
    assert low == pytest.approx(0.17, rel=1e-3)
    assert friction.band.thread_high == pytest.approx(0.35)
    assert high > 0.35
    assert not any("not in the range" in reason.text for reason in friction.reasons)
    shown = " ".join(reason.text for reason in friction.reasons)
    assert all(figure in shown for figure in ("0.20", "0.295", "0.17 to 0.35", "0.14 to 0.24"))


def test_a_lone_figure_counts_with_its_scatter_among_those_of_plain_steel() -> None:
    friction = of("black oxide, dry")
    low, high = factors(friction)
    assert high == pytest.approx(1.25 * 0.30, rel=1e-3)
    assert low == pytest.approx(0.166, rel=1e-3)
    assert any("0.30 (nut factor, a lone figure: 25% either way;" in one.text for one in friction.reasons)


@pytest.mark.parametrize("finish", known_finishes())
@pytest.mark.parametrize("lubricant", known_lubricants())
def test_every_source_but_memory_lies_within_the_range(finish: str, lubricant: str) -> None:
    band = friction_of(Condition(finish, lubricant), GEOMETRY).band
    for row in rows(FRICTION_TABLE):
        fits = row["finish"] in {finish, "any"} and row["lubricant"] == lubricant
        if fits and row["quantity"] == "mu" and row["status"] != "MEMORY":
            assert band.thread_low <= float(row["low"])
            assert band.thread_high >= float(row["high"])


@pytest.mark.parametrize(
    ("said", "is_open"),
    [("zinc, dry", False), ("zinc", True), ("dry", True), ("grease", True), ("nickel, dry", False)],
)
def test_a_condition_is_open_where_finish_or_lubricant_was_not_said(said: str, is_open: bool) -> None:
    assert of(said).is_open is is_open


def test_what_nobody_said_makes_the_range_wider() -> None:
    known, open_lubricant, open_all = of("zinc, dry"), of("zinc"), of("unknown")
    assert factors(open_lubricant)[0] <= factors(known)[0]
    assert factors(open_all)[0] <= factors(open_lubricant)[0]
    assert factors(open_all)[1] >= factors(known)[1]


def test_a_finish_without_figures_says_so_and_is_not_trusted() -> None:
    friction = of("nickel plated, dry")
    assert not friction.trusted
    assert "No friction of nickel was found" in friction.reasons[1].text
    assert of("zinc, dry").trusted


def test_a_pair_without_figures_takes_every_usual_finish() -> None:
    friction = of("phosphate, dry")
    assert not friction.trusted
    assert friction.band.thread_high >= of("zinc, dry").band.thread_high


def test_an_open_condition_may_be_any_of_its_single_ones() -> None:
    assert members(read_condition("zinc, dry")) == (Condition("zinc", "dry"),)
    assert Condition("zinc", "oil") in members(read_condition("zinc"))
    assert len(members(Condition())) == 10


def test_a_head_on_aluminium_has_a_friction_of_its_own() -> None:
    steel, aluminium = of("zinc, dry"), of("zinc, dry, on aluminium")
    assert aluminium.band.thread_high == steel.band.thread_high
    assert aluminium.band.bearing_high > steel.band.bearing_high
    assert not aluminium.band.together
    # The upper end of dry aluminium is from memory.
    assert not aluminium.trusted
    oiled = of("plain, oiled, on aluminium")
    assert oiled.trusted
    assert any("aluminium or magnesium, lubricated" in reason.text for reason in oiled.reasons)
    assert "aluminium" not in known_finishes()


def test_a_nut_of_another_finish_and_which_part_turns_count() -> None:
    bolt, nut = of("cadmium, dry"), of("zinc, dry")
    head = of("cadmium, dry, zinc plated nut")
    turned = of("cadmium, dry, zinc nut, nut turns")
    for pair in (head, turned):
        # The thread may rub as either does.
        assert pair.band.thread_low == min(bolt.band.thread_low, nut.band.thread_low)
        assert pair.band.thread_high == max(bolt.band.thread_high, nut.band.thread_high)
    assert (head.band.bearing_low, head.band.bearing_high) == (bolt.band.bearing_low, bolt.band.bearing_high)
    assert (turned.band.bearing_low, turned.band.bearing_high) == (
        nut.band.bearing_low,
        nut.band.bearing_high,
    )
    assert turned.said == "cadmium, dry, zinc nut, nut turns"
    assert "the nut turns, so its own finish counts" in turned.reasons[0].text
    assert turned.trusted
    assert not of("cadmium, dry, stainless nut, on aluminium").trusted
    assert of("nickel, dry, plain nut").stands_in
    assert not of("cadmium, dry, plain nut").stands_in
    assert members(read_condition("dry, zinc nut, nut turns"))[0].said.endswith("dry, zinc nut, nut turns")


@pytest.mark.parametrize("text", ["zinc, dry, gold nut", "zinc, dry, plain nut, zinc nut"])
def test_a_nut_of_no_known_finish_or_of_two_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"condition needs a finish and a lubricant such as"):
        read_condition(text)


def test_friction_given_by_hand_is_exact_or_a_range() -> None:
    assert given_friction((0.15, 0.15), (0.15, 0.15)).band.is_exact
    assert not given_friction((0.10, 0.18), (0.15, 0.15)).band.is_exact


@pytest.mark.parametrize("value", [0.0, 2.0, -0.1])
def test_friction_that_cannot_be_is_refused(value: float) -> None:
    with pytest.raises(InvalidInput, match=r"friction needs a coefficient from 0\.01 to 1"):
        given_friction((value, value), (0.15, 0.15))


def test_a_range_the_wrong_way_round_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"friction needs a range from less to more.*'0\.18\.\.0\.1' came"):
        given_friction((0.18, 0.10), (0.15, 0.15))


@pytest.mark.parametrize("friction", [0.05, 0.12, 0.2, 0.4])
def test_a_nut_factor_leads_back_to_its_friction(friction: float) -> None:
    factor = nut_factor(GEOMETRY, friction, friction)
    assert friction_of_nut_factor(GEOMETRY, factor) == pytest.approx(friction, rel=1e-9)


def test_a_nut_factor_less_than_the_lead_takes_is_refused() -> None:
    with pytest.raises(
        InvalidInput,
        match=r"nut factor needs more than the 0\.0\d\d that the lead alone "
        "takes",
    ):
        friction_of_nut_factor(GEOMETRY, 0.01)
