"""What a computation answers is said in inches where somebody thinks in inches, and in millimetres else."""

from __future__ import annotations

import re

import pytest

from runningfit.core.joints.press_fits.case import PressCase
from runningfit.core.joints.press_fits.judging import judge_press
from runningfit.core.joints.press_fits.lame import PressGeometry
from runningfit.core.joints.press_fits.materials import read_elastic_material
from runningfit.core.joints.press_fits.plugs import PlugKind, PlugSeat, judge_plug
from runningfit.core.joints.running_fits.oil_film import FilmCase, oil_film
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.judging import WearLimits, judge_wear
from runningfit.core.treatments.machining.readings import BoreReadings
from runningfit.core.units import LengthUnit
from runningfit.core.verdicts import Verdict


def bore(most_mm: float) -> Verdict:
    points = tuple(
        Diameter(depth, angle, 79.40 + depth / 10_000) for depth in (10.0, 60.0) for angle in (0.0, 90.0)
    )
    limits = WearLimits(Bounds(79.30, most_mm), 0.05, 0.05)
    return judge_wear([BoreReadings("1", points, 0.003, 0.002)], limits).each[0].verdict


def press(around: str, at_c: float) -> Verdict:
    inner, outer = read_elastic_material("steel"), read_elastic_material(around)
    rings = PressGeometry(0.0, 40.0, 80.0, 40.0)
    return judge_press(PressCase(rings, 0.030, 0.030, inner, outer, 0.12, 0.12, at_c)).verdict


VERDICTS = {
    "bore within": bore(79.60),
    "bore at its limit": bore(79.408),
    "press": press("steel", 20.0),
    "loose": press("LM25-TF", 200.0),
    "film": oil_film(FilmCase(60.0, 30.0, 0.03, 0.06, 9000.0, 3000.0, 12.0)).verdict,
    "cup": judge_plug(PlugSeat(PlugKind.CUP, 40.15, 40.0)),
    "domed": judge_plug(PlugSeat(PlugKind.DOMED, 39.98, 40.0)),
}


def lengths(verdict: Verdict, unit: str) -> list[str]:
    said = " ".join([*(one.text for one in verdict.reasons), *(one.text for one in verdict.cautions)])
    return re.findall(rf"[0-9] ({unit})\b", said)


@pytest.mark.parametrize("name", VERDICTS)
def test_all_its_lengths_are_said_in_the_unit_asked_for(name: str) -> None:
    verdict = VERDICTS[name]
    inches = verdict.in_unit(LengthUnit.INCH)
    assert len(lengths(inches, "in")) == len(lengths(verdict, "mm|µm")) >= 1
    assert lengths(inches, "mm|µm") == []
    assert lengths(verdict, "in") == []
    assert verdict.in_unit(LengthUnit.MM) == verdict


def test_what_is_small_keeps_its_figures_in_inches() -> None:
    (said,) = (one.text for one in VERDICTS["press"].in_unit(LengthUnit.INCH).reasons if "tight" in one.text)
    assert said == "It stays tight at 20 °C: 0.001181 to 0.001181 in of interference are left."
    loose = [one.text for one in VERDICTS["loose"].reasons if "loose" in one.text]
    assert [re.sub(r"[0-9]+\.[0-9]", "N", one) for one in loose] == [
        "It is loose at 200 °C: N to N µm of clearance."
    ]
