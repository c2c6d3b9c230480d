"""Gauges of the cupboard: what they are set with, their checks, their scatter, and what is shared."""

from __future__ import annotations

import datetime as dt
from math import hypot, sqrt
from typing import Any

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.uncertainty.shared import u_of_sum
from runningfit.workshop.measurements.gauge_states import Cupboard, due_on, is_overdue
from runningfit.workshop.measurements.gauges import (
    SaidOfCalibration,
    SaidOfGauge,
    SaidOfRing,
    add_instrument,
    calibrate,
    change_instrument,
    check_on_ring,
    gauge_by_id,
    try_scatter,
    withdraw_check,
    withdraw_instrument,
)
from runningfit.workshop.measurements.models import Calibration, Instrument
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Record
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")
DAY = dt.date(2026, 3, 1)


def number(value: float) -> TypedNumber:
    return TypedNumber(value, f"{value:g} mm")


def said(name: str = "micrometer 75 to 100", **values: Any) -> SaidOfGauge:
    usual: dict[str, Any] = {"kind": "micrometer", "unit": "mm", "resolution": number(0.001)}
    return SaidOfGauge(name=name, **{**usual, **values})


def micrometer(**values: Any) -> Instrument:
    usual: dict[str, Any] = {
        "repeat_u": number(0.0015),
        "repeat_dof": 9.0,
        "ring_size": number(75.0),
        "ring_u": number(0.0008),
        "drift": number(0.002),
    }
    made = add_instrument(said=said(**{**usual, **values}), hand=ANN)
    certificate = SaidOfCalibration(DAY, "certificate", number(0.003), number(0.002), certificate="C 17")
    calibrate(instrument=made, said=certificate, hand=ANN)
    return made


def bore_gauge(master: Instrument, **values: Any) -> Instrument:
    usual: dict[str, Any] = {"kind": "bore_gauge", "repeat_u": number(0.002), "repeat_dof": 9.0}
    return add_instrument(said=said("bore gauge", set_with=master, **{**usual, **values}), hand=ANN)


def test_a_budget_is_the_sum_of_its_lines() -> None:
    """JCGM 100:2008, 4.3.7 (half a step over √3) and 5.1.2; the certificate over its k, 4.3.3."""
    one = micrometer()
    now = Cupboard.of_the_shop().on(one.pk, DAY)
    lines = {line.name: line.u for line in now.lines}
    assert lines == {
        "step": pytest.approx(0.0005 / sqrt(3)),
        # Readings scattered by 0.0015, and their step is part of that.
        "scatter": pytest.approx(sqrt(0.0015**2 - 0.0005**2 / 3)),
        "certificate": 0.001,
        "ring": 0.0008,
        "drift": pytest.approx(0.002 / sqrt(3)),
    }
    assert now.of_reading.own_u_mm == pytest.approx(hypot(lines["step"], lines["scatter"]))
    assert now.of_reading.own_u_mm == pytest.approx(0.0015)
    assert now.of_reading.shared_u_mm == pytest.approx(hypot(0.001, 0.0008, 0.002 / sqrt(3)))
    assert u_of_sum([(1, now.shared)]) == pytest.approx(now.of_reading.shared_u_mm)
    assert now.error == 0.003
    assert now.dominant is not None
    assert now.dominant.name == "scatter"
    assert now.cautions == ()


def test_a_bore_gauge_set_in_a_micrometer_errs_as_that_does() -> None:
    outside = micrometer()
    inside = bore_gauge(outside)
    shelf = Cupboard.of_the_shop()
    bore, piston = shelf.on(inside.pk, DAY), shelf.on(outside.pk, DAY)
    assert bore.error == piston.error == 0.003
    # All that the micrometer shares cancels; one setting, with the micrometer's scatter and steps, is left.
    left = u_of_sum([(1, bore.shared), (-1, piston.shared)])
    assert left == pytest.approx(piston.of_reading.own_u_mm)
    assert u_of_sum([(1, bore.shared)]) == pytest.approx(bore.of_reading.shared_u_mm)
    assert bore.of_reading.shared_u_mm > piston.of_reading.shared_u_mm


def test_a_check_on_a_ring_says_nothing_of_a_gauge_that_is_set_anew() -> None:
    outside = micrometer()
    inside = add_instrument(said=said("bore gauge", ring_size=number(80.0)), hand=ANN)
    check_on_ring(instrument=inside, said=SaidOfRing(DAY, number(80.02), number(80.0)), hand=ANN)
    change_instrument(instrument=inside, said=said("bore gauge", set_with=outside), hand=ANN)
    assert Cupboard.of_the_shop().on(inside.pk, DAY).error == pytest.approx(0.003)
    with pytest.raises(Conflict, match=r"Check micrometer 75 to 100 on its ring"):
        check_on_ring(
            instrument=gauge_by_id(inside.pk),
            said=SaidOfRing(DAY, number(80.0), number(80.0)),
            hand=ANN,
        )


def test_gauges_are_not_set_in_a_circle() -> None:
    outside = micrometer(ring_size=None, ring_u=None)
    inside = bore_gauge(outside)
    third = bore_gauge(inside)
    with pytest.raises(InvalidInput, match="a gauge that is not itself set in this one"):
        change_instrument(instrument=outside, said=said(set_with=third), hand=ANN)
    with pytest.raises(InvalidInput, match="a gauge that is not itself set in this one"):
        change_instrument(instrument=outside, said=said(set_with=outside), hand=ANN)
    with pytest.raises(Conflict, match="bore gauge is set in micrometer"):
        withdraw_instrument(instrument=outside, hand=ANN)


def test_a_gauge_is_set_on_a_ring_or_in_another_gauge_of_lengths() -> None:
    outside = micrometer()
    with pytest.raises(InvalidInput, match="either a ring or another gauge; 'both' came"):
        add_instrument(said=said(set_with=outside, ring_size=number(80.0)), hand=ANN)
    with pytest.raises(InvalidInput, match="a gauge of lengths; 'g' came"):
        add_instrument(said=said(set_with=outside, unit="g", kind="balance"), hand=ANN)


def test_the_error_on_a_ring_is_the_reading_less_the_ring() -> None:
    one = add_instrument(said=said(repeat_u=number(0.001), repeat_dof=9.0), hand=ANN)
    check = check_on_ring(instrument=one, said=SaidOfRing(DAY, number(75.004), number(75.0), 4), hand=ANN)
    assert check.error == pytest.approx(0.004)
    # Step and scatter of the mean of four; the metals are alike, and as warm as each other.
    assert check.expanded_u == pytest.approx(2 * hypot(0.0005 / sqrt(3), 0.0005), rel=1e-6)
    assert check.typed == {"read": "75.004 mm", "ring": "75 mm"}


def test_a_warm_ring_is_brought_to_20_degrees() -> None:
    """A steel ring of 75 mm at 30 °C is 75 · 11.5e-6 · 10 = 0.0086 mm larger than at 20 °C (ISO 1:2016)."""
    one = add_instrument(said=said(), hand=ANN)
    warm = SaidOfRing(DAY, number(75.008625), number(75.0), temperature_c=20.0, ring_temperature_c=30.0)
    check = check_on_ring(instrument=one, said=warm, hand=ANN)
    assert check.error == pytest.approx(0.0, abs=2e-6)
    alike = SaidOfRing(DAY, number(75.0), number(75.0), temperature_c=30.0)
    assert check_on_ring(instrument=one, said=alike, hand=ANN).error == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("values", "match"),
    [
        ({"ring_size": number(0.0)}, "ring size needs more than nothing"),
        ({"count": 0}, "readings needs 1 to 200; 0 came"),
        ({"ring_temperature_c": 500.0}, "-40 to 120 °C; '500 °C' came"),
    ],
)
def test_what_no_ring_does_is_refused(values: dict[str, Any], match: str) -> None:
    one = add_instrument(said=said(), hand=ANN)
    ring: dict[str, Any] = {"on": DAY, "read": number(75.0), "ring_size": number(75.0)}
    with pytest.raises(InvalidInput, match=match):
        check_on_ring(instrument=one, said=SaidOfRing(**{**ring, **values}), hand=ANN)
    assert not Calibration.objects.exists()


def test_ten_readings_of_one_place_are_its_scatter() -> None:
    """The readings of JCGM 100:2008, table 1 (4.4.3): s = 1.489, n = 20, here in hundredths."""
    table = [96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68,
             100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72]  # fmt: skip
    one = add_instrument(said=said(), hand=ANN)
    now = try_scatter(instrument=one, readings=[number(value / 100) for value in table], hand=ANN)
    assert now.repeat_u == pytest.approx(0.01489, abs=5e-6)
    assert now.repeat_dof == 19
    assert Record.objects.latest("pk").summary == "tried how far micrometer 75 to 100 scatters"


def test_equal_readings_are_a_scatter_that_was_tried() -> None:
    one = micrometer(repeat_u=None, repeat_dof=None)
    assert "nobody tried" in str(Cupboard.of_the_shop().on(one.pk, DAY).cautions)
    now = try_scatter(instrument=one, readings=[number(80.01)] * 10, hand=ANN)
    assert now.repeat_u == 0
    assert Cupboard.of_the_shop().on(one.pk, DAY).cautions == ()
    with pytest.raises(InvalidInput, match="5 at least; 3 came"):
        try_scatter(instrument=one, readings=[number(80.01)] * 3, hand=ANN)


def test_a_gauge_past_its_calibration_says_so_by_name_and_drifts_on() -> None:
    one = micrometer()
    shelf = Cupboard.of_the_shop()
    late = shelf.on(one.pk, dt.date(2028, 3, 1))
    assert late.cautions[0].text.startswith(
        "micrometer 75 to 100: the gauge was calibrated 24 months ago, which holds for 12"
    )
    assert late.of_reading.shared_u_mm > shelf.on(one.pk, DAY).of_reading.shared_u_mm
    checks = shelf.checks[one.pk]
    assert due_on(one, checks) == dt.date(2027, 3, 1)
    assert not is_overdue(one, checks, dt.date(2027, 3, 1))
    assert is_overdue(one, checks, dt.date(2027, 3, 2))


def test_a_term_that_ends_in_a_short_month_ends_with_it() -> None:
    one = add_instrument(said=said(term_months=6), hand=ANN)
    calibrate(
        instrument=one, said=SaidOfCalibration(dt.date(2026, 8, 31), "certificate", number(0)), hand=ANN
    )
    assert due_on(one, Cupboard.of_the_shop().checks[one.pk]) == dt.date(2027, 2, 28)


def test_a_check_counts_from_its_day_until_it_is_taken_back() -> None:
    one = micrometer()
    before = Cupboard.of_the_shop().on(one.pk, DAY - dt.timedelta(days=1))
    assert before.error == 0.0
    assert any("was never checked" in caution.text for caution in before.cautions)
    withdraw_check(check=Calibration.objects.select_related("instrument").get(), hand=ANN)
    assert Cupboard.of_the_shop().on(one.pk, DAY).error == 0.0
    assert is_overdue(one, Cupboard.of_the_shop().checks[one.pk], DAY)


def test_a_gauge_nobody_named_is_never_sure() -> None:
    now = Cupboard.of_the_shop().on(None, DAY, step=0.01)
    assert now.of_reading.shared_u_mm == pytest.approx(0.01)
    assert "Nobody said with which gauge" in now.cautions[0].text
