"""Lengths inside sentences, in either unit, and verdicts that are said in the shop's."""

from __future__ import annotations

import pytest

from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.decision import decide
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.units import LengthUnit, SaidLength
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

MM, INCH = LengthUnit.MM, LengthUnit.INCH


@pytest.mark.parametrize(
    ("length", "mm", "inch"),
    [
        (SaidLength(0.0508, 4), "0.0508 mm", "0.00200 in"),
        (SaidLength(25.4, 3), "25.400 mm", "1.0000 in"),
        (SaidLength(0.0508, 4, bare=True), "0.0508", "0.00200"),
        (SaidLength(0.00254, None), "2.5 µm", "0.000100 in"),
        (SaidLength(0.314, 3, signed=True), "+0.314 mm", "+0.0124 in"),
        (SaidLength(-0.314, 3, signed=True), "-0.314 mm", "-0.0124 in"),
        (SaidLength(-0.000001, 4), "0.0000 mm", "0.00000 in"),
        (SaidLength(79.375, 0, form=".7g"), "79.375 mm", "3.125 in"),
    ],
)
def test_a_length_is_written_in_the_unit_wanted(length: SaidLength, mm: str, inch: str) -> None:
    assert length.in_unit(MM) == mm
    assert length.in_unit(INCH) == inch


def test_a_reason_is_said_in_millimetres_until_somebody_asks() -> None:
    reason = Reason.of(
        "Limits ", SaidLength(0.0508, 4, bare=True), " to ", SaidLength(0.1016, 4), ".", source="page 31"
    )
    assert reason.text == "Limits 0.0508 to 0.1016 mm."
    shown = reason.in_unit(INCH)
    assert (shown.text, shown.source) == ("Limits 0.00200 to 0.00400 in.", "page 31")
    assert shown.in_unit(MM) == reason
    plain = Reason("Braces {0} and 3 mm as they are.")
    assert plain.in_unit(INCH) is plain


def test_a_verdict_is_said_in_inches_and_comes_to_the_same() -> None:
    verdict = Verdict(
        Outcome.SOUND, 0.05, "mm", reasons=(Reason.of(SaidLength(2.54, 2)),),
        cautions=(Caution.of("Within ", SaidLength(0.00254, None)), Caution("Mind.")),
    )  # fmt: skip
    shown = verdict.in_unit(INCH)
    assert (shown.outcome, shown.value, shown.unit) == (verdict.outcome, verdict.value, verdict.unit)
    assert shown.reasons[0].text == "0.100 in"
    assert [one.text for one in shown.cautions] == ["Within 0.000100 in", "Mind."]


def test_a_decision_on_a_length_is_said_in_inches_and_one_on_a_load_is_left() -> None:
    bounds = Bounds(25.4, 25.5016)
    size = decide(Measured(25.4254, 0.00508), bounds, unit="mm").verdict
    said = size.in_unit(INCH).reasons[0].text
    assert said.startswith("1.001 ± 0.0002 in (standard uncertainty) against 1 to 1.004 in: within with")
    assert " mm" not in said
    load = decide(Measured(120.0, 1.0), Bounds(lower=110.0), unit="N").verdict
    assert load.in_unit(INCH) == load
    assert "120 ± 1 N (standard uncertainty) against at least 110 N" in load.reasons[0].text
