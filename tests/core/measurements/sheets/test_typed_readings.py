"""Typed readings: what is shown reads back, and every slip of the finger is asked about, never mended.

Conversions are exact by definition: 25.4 mm to the inch (Weights and Measures Act 1985, NIST SP 811).
"""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern, Quantity, points_of
from runningfit.core.measurements.sheets.oddities import oddities_of
from runningfit.core.measurements.sheets.proposals import EngineLayout, sizes_of, usual_sets
from runningfit.core.measurements.sheets.shown_values import UNITS_OF, in_unit, shown_value
from runningfit.core.measurements.sheets.typed_values import doubt_of, read_value
from runningfit.core.units import LengthUnit, format_measured

STEPS_MM = {
    "mm": [0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1],
    "in": [0.0001 * 25.4, 0.0005 * 25.4, 0.001 * 25.4],
}
BORES = points_of(FeatureKind.BORE, Pattern((10.0, 60.0, 110.0), (0.0, 90.0)))


@given(
    mm=st.floats(0.01, 900),
    of=st.sampled_from([(unit, step) for unit, steps in STEPS_MM.items() for step in steps]),
)
def test_what_is_shown_reads_back_within_half_a_step(mm: float, of: tuple[str, float]) -> None:
    unit, step = of
    shown = format_measured(mm, LengthUnit(unit), step)
    read = read_value(shown, kind=FeatureKind.GAP, unit="mm" if unit == "in" else "in")
    assert abs(read.value - mm) <= step / 2 * (1 + 1e-9)
    assert not read.value or read.step <= step * (1 + 1e-9)


@given(
    value=st.floats(1, 5000),
    of=st.sampled_from([(quantity, unit) for quantity, units in UNITS_OF.items() for unit in units]),
)
# The longest length: 196.8504 in is 0.16 µm more.
@example(value=5000.0, of=(Quantity.LENGTH, "in"))
def test_a_value_of_any_quantity_is_shown_so_that_it_reads_back(
    value: float, of: tuple[Quantity, str]
) -> None:
    quantity, unit = of
    kind = next(one for one in FeatureKind if one.quantity is quantity and one is not FeatureKind.GAP)
    step = 0.01
    shown = shown_value(value, quantity, unit=unit, step=step)
    assert shown.said.endswith(f" {unit}")
    assert abs(read_value(shown.said, kind=kind, unit=unit).value - value) <= step
    assert in_unit(value, quantity, UNITS_OF[quantity][0]) == value


@pytest.mark.parametrize(
    ("text", "unit", "value", "step"),
    [
        ("79.413", "mm", 79.413, 0.001),
        ("79,41", "mm", 79.41, 0.01),
        ("3.1265", "in", 79.4131, 0.00254),
        ('3.1265"', "mm", 79.4131, 0.00254),
        ("79.413 mm", "in", 79.413, 0.001),
        ("  79.413  ", "mm", 79.413, 0.001),
    ],
)
def test_a_length_is_read_in_the_unit_of_the_gauge_or_its_own(
    text: str, unit: str, value: float, step: float
) -> None:
    found = read_value(text, kind=FeatureKind.BORE, unit=unit)
    assert found.value == pytest.approx(value, abs=1e-9)
    assert found.step == pytest.approx(step, rel=1e-6)


def test_a_comparing_gauge_adds_to_its_setting_with_its_sign() -> None:
    for text, mm in (("+0.013", 79.413), ("-0.02", 79.38), ("0.013 mm", 79.413), ("-1 thou", 79.3746)):
        found = read_value(text, kind=FeatureKind.BORE, unit="mm", set_at_mm=79.4)
        assert found.value == pytest.approx(mm, abs=1e-6), text


@pytest.mark.parametrize("text", ["", "abc", "79..4", "7 9.4.1", "-79.4", "0"])
def test_what_is_no_size_is_refused_with_what_came(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"came"):
        read_value(text, kind=FeatureKind.BORE, unit="mm")


@pytest.mark.parametrize(
    ("typed", "unit", "asks", "instead"),
    [
        ("3.126", "mm", "typed in inches", 79.4004),
        ("79.4", "in", "typed in millimetres", 79.4),
        ("7.94", "mm", "slipped decimal", 79.4),
        ("794", "mm", "slipped decimal", 79.4),
        ("88.4", "mm", "far from", None),
    ],
)
def test_a_slip_is_asked_about_with_what_it_may_have_meant(
    typed: str, unit: str, asks: str, instead: float | None
) -> None:
    value = read_value(typed, kind=FeatureKind.BORE, unit=unit).value
    doubt = doubt_of(value, 79.375, kind=FeatureKind.BORE, unit=unit)
    assert doubt is not None
    assert asks in doubt.why
    assert doubt.instead == (pytest.approx(instead, abs=1e-3) if instead else None)


@given(st.floats(-0.04, 0.04))
def test_a_worn_bore_is_not_asked_about(share: float) -> None:
    assert doubt_of(79.375 * (1 + share), 79.375, kind=FeatureKind.BORE, unit="mm") is None


def test_the_first_reading_of_a_set_is_compared_with_what_engines_have() -> None:
    between = sizes_of("bores")
    for value, asks in ((3.126, "inches"), (79.4 * 25.4, "millimetres"), (0.5, "Read it again")):
        doubt = doubt_of(value, None, kind=FeatureKind.BORE, unit="mm", between_mm=between)
        assert doubt is not None
        assert asks in doubt.why
    assert doubt_of(79.4, None, kind=FeatureKind.BORE, unit="mm", between_mm=between) is None
    assert doubt_of(3.126, None, kind=FeatureKind.BORE, unit="mm") is None


def test_a_gap_in_thousandths_is_asked_about_and_a_nought_is_not() -> None:
    much = doubt_of(15 * 25.4, None, kind=FeatureKind.GAP, unit="in")
    assert much is not None
    assert much.instead == pytest.approx(0.381)
    slipped = doubt_of(3.1, 0.3, kind=FeatureKind.GAP, unit="mm")
    assert slipped is not None
    assert "slipped" in slipped.why
    assert read_value("0.000 mm", kind=FeatureKind.GAP, unit="in").value == 0.0
    assert doubt_of(0.0, 0.3, kind=FeatureKind.GAP, unit="mm") is None


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"10@0": 79.4}, "One reading only"),
        ({"10@0": 79.4, "10@90": 79.41, "60@0": 79.4}, "At 60 mm the direction 90° is missing"),
        (dict.fromkeys([one.key for one in BORES], 79.4), "All 6 readings are equal"),
    ],
)
def test_readings_that_cannot_tell_are_named(values: dict[str, float], said: str) -> None:
    assert any(said in one for one in oddities_of(values, BORES, kind=FeatureKind.BORE))


def test_nothing_is_odd_about_nothing_or_about_a_whole_bore() -> None:
    whole = {one.key: 79.4 + place / 1000 for place, one in enumerate(BORES)}
    assert oddities_of({}, BORES, kind=FeatureKind.BORE) == ()
    assert oddities_of(whole, BORES, kind=FeatureKind.BORE) == ()


@given(
    st.builds(
        EngineLayout,
        cylinders=st.integers(1, 16),
        main_bearings=st.integers(1, 17),
        valves_each=st.integers(0, 5),
        bore_length_mm=st.floats(20, 600),
    )
)
def test_every_usual_set_of_any_engine_has_points_that_are_all_different(layout: EngineLayout) -> None:
    for one in usual_sets(layout):
        points = points_of(one.kind, one.pattern)
        assert len({point.key for point in points}) == len(points) >= 1
        assert len(set(one.features)) == len(one.features)
