"""What a gauge adds to a reading, and a reading brought to 20 degrees."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.instrument import Instrument, of_reading
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.temperature import Thermal, length_at_20_c

STEEL, ALUMINIUM = Measured(11.5e-6, 0.6e-6), Measured(21.5e-6, 0.8e-6)


def test_a_warm_aluminium_part_is_brought_to_20_degrees() -> None:
    warm = Measured(30.0, 0.3)
    found = length_at_20_c(Measured(85.0, 0.002), Thermal(warm, ALUMINIUM), Thermal(warm, STEEL))
    # By hand: 85 x (1 + 115e-6) / (1 + 215e-6).
    assert found.measured.value == pytest.approx(85 * (1 + 115e-6) / (1 + 215e-6), rel=1e-12)
    assert found.measured.u > 0.002


def test_like_metal_at_like_temperature_cancels_with_the_thermometer() -> None:
    hot, exact = Measured(35.0, 0.0), Measured(11.5e-6, 0.0)
    found = length_at_20_c(
        Measured(50.0, 0.001), Thermal(hot, exact), Thermal(hot, exact), thermometer_u_c=2.0
    )
    assert found.measured.value == pytest.approx(50.0, rel=1e-15)
    assert found.measured.u == pytest.approx(0.001, rel=1e-9)


@pytest.mark.parametrize(
    ("temperature", "expansion", "text"),
    [
        (293.0, 11.5e-6, "temperature needs -40 to 120 °C; '293 °C' came"),
        (20.0, 11.5, "coefficient of expansion needs .*11.5 is 11.5e-6"),
    ],
)
def test_a_part_no_bench_has_is_refused(temperature: float, expansion: float, text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        Thermal(Measured(temperature, 0.1), Measured(expansion, 0.0))


GAUGE = Instrument(
    0.001, repeat_mm=0.002, certificate_mm=0.003, certificate_k=2, ring_mm=0.001, drift_mm=0.002
)


def test_averaging_brings_down_what_is_the_readings_own_only() -> None:
    one, nine = of_reading(GAUGE), of_reading(GAUGE, 9)
    steps = 0.0005 / sqrt(3)
    # 0.002 is what readings scattered by, and so holds their steps; only what is beside them averages out.
    assert one.own_u_mm == pytest.approx(0.002)
    assert nine.own_u_mm == pytest.approx(sqrt((0.002**2 - steps**2) / 9 + steps**2))
    assert nine.shared_u_mm == one.shared_u_mm == pytest.approx(sqrt(0.0015**2 + 0.001**2 + 0.002**2 / 3))
    assert one.whole(79.4).u == pytest.approx(sqrt(one.own_u_mm**2 + one.shared_u_mm**2))
    assert one.whole(79.4).dof > 9
    assert not one.cautions


def test_a_gauge_past_its_calibration_is_noticed_and_drifts_on() -> None:
    late = of_reading(replace(GAUGE, since_months=36))
    assert late.shared_u_mm == pytest.approx(sqrt(0.0015**2 + 0.001**2 + 0.006**2 / 3))
    assert "calibrated 36 months ago" in late.cautions[0].text
    assert "its drift is counted 3 times" in late.cautions[0].text
    unknown = of_reading(replace(GAUGE, since_months=36, drift_mm=0.0))
    assert "how far it has drifted since is not known" in unknown.cautions[0].text


def test_a_gauge_of_which_nothing_is_known_says_so() -> None:
    found = of_reading(Instrument(0.01))
    assert [one.text.split(":")[0] for one in found.cautions] == [
        "Nothing is known of how true the gauge is",
        "Nobody tried how far this gauge scatters",
    ]
    assert found.own_u_mm == pytest.approx(0.005 / sqrt(3))
    assert found.shared_u_mm == 0


def test_a_gauge_that_cannot_be_is_refused() -> None:
    with pytest.raises(InvalidInput, match="resolution needs the smallest step"):
        Instrument(0.0)
    with pytest.raises(InvalidInput, match="instrument needs figures that are not negative"):
        Instrument(0.001, ring_mm=-1)
    with pytest.raises(InvalidInput, match="readings needs one or more; '0'"):
        of_reading(GAUGE, 0)
