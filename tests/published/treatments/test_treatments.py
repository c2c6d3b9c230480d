"""Plating and embrittlement agree with printed figures; each row names its source and how sure that is.

Half the last printed digit is the tolerance where a standard prints the figure itself. Conversions between
hardness scales and to strength are approximations that standards round as they like: there the row says how
far two printed pairs may lie apart, and no pass ever rests on a conversion without a margin.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

import pytest

from runningfit.core.standards import thread
from runningfit.core.treatments.embrittlement import (
    HardnessScale,
    judge_embrittlement,
    of_measurement,
    read_hardness,
    read_process,
)
from runningfit.core.treatments.embrittlement.baking import hours_by_strength
from runningfit.core.treatments.embrittlement.hardness import converted, tensile_of_hardness_mpa
from runningfit.core.treatments.plating import Coat, coat_of_class, plate_thread

HERE = Path(__file__).parent
MM_PER = {"in": 25.4, "um": 0.001}
MPA_PER = {"ksi": 6.894757, "MPa": 1.0}


def printed(name: str) -> list[Mapping[str, str]]:
    with (HERE / name).open(newline="", encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["status"] and row["source"]]


def test_there_are_enough_figures() -> None:
    assert sum(len(printed(file.name)) for file in HERE.glob("*.csv")) >= 60


@pytest.mark.parametrize("row", printed("growth.csv"), ids=lambda row: row["designation"])
def test_the_pitch_diameter_grows_by_the_printed_factor(row: Mapping[str, str]) -> None:
    grown = plate_thread(thread(row["designation"]), Coat(0.005, 0.005)).growth
    assert grown.pitch_diameter_mm / 0.005 == pytest.approx(float(row["printed"]), abs=0.0005)
    assert grown.major_mm == grown.minor_mm == pytest.approx(0.01)


@pytest.mark.parametrize("row", printed("room.csv"), ids=lambda row: f"{row['designation']} {row['class']}")
def test_a_new_part_takes_the_printed_coat(row: Mapping[str, str]) -> None:
    plated = plate_thread(thread(row["designation"]), Coat(0.001, 0.001), row["class"])
    ours = plated.max_thickness_new_mm / MM_PER[row["unit"]]
    assert ours == pytest.approx(float(row["printed"]), abs=float(row["within"]))


@pytest.mark.parametrize(
    "row", printed("thickness_classes.csv"), ids=lambda row: f"{row['standard']} {row['class']}"
)
def test_a_class_has_its_printed_least_thickness(row: Mapping[str, str]) -> None:
    least = coat_of_class(row["standard"], row["class"]).low_mm
    if row["printed_um"]:
        assert 1000 * least == pytest.approx(float(row["printed_um"]))
    if row["printed_in"]:
        assert least / 25.4 == pytest.approx(float(row["printed_in"]), abs=0.00005)


@pytest.mark.parametrize("row", printed("bakes.csv"), ids=lambda row: row["tensile_mpa"])
def test_a_strength_is_baked_for_the_printed_hours(row: Mapping[str, str]) -> None:
    implied = of_measurement(read_hardness(f"{row['hrc']} HRC"))
    hours, within, _ = hours_by_strength(implied)
    assert (hours, within) == (float(row["hours"]), float(row["within_hours"]))


def test_the_oven_has_the_printed_temperature_in_both_units() -> None:
    row = printed("bakes.csv")[0]
    bake = judge_embrittlement(of_measurement(read_hardness("42 HRC")), read_process("zinc plate")).bake
    assert bake is not None
    assert bake.temperature_from_c * 1.8 + 32 == pytest.approx(float(row["temperature_from_f"]))
    assert bake.temperature_to_c * 1.8 + 32 == pytest.approx(float(row["temperature_to_f"]))


@pytest.mark.parametrize(
    "row", printed("thresholds.csv"), ids=lambda row: f"{row['standard']} {row['edition']} {row['hardness']}"
)
def test_an_edition_says_from_its_own_threshold(row: Mapping[str, str]) -> None:
    judged = judge_embrittlement(of_measurement(read_hardness(row["hardness"])), read_process(row["process"]))
    said = [
        str(one.says)
        for one in judged.by_standard
        if (one.standard, one.edition, str(one.force)) == (row["standard"], row["edition"], row["force"])
    ]
    assert row["says"] in said


@pytest.mark.parametrize("row", printed("conversions.csv"), ids=lambda row: f"{row['value']} {row['scale']}")
def test_scales_convert_as_printed_pairs_do(row: Mapping[str, str]) -> None:
    ours = converted(float(row["value"]), HardnessScale(row["scale"]), HardnessScale(row["wanted"]))
    assert ours == pytest.approx(float(row["printed"]), abs=float(row["within"]))


@pytest.mark.parametrize("row", printed("strengths.csv"), ids=lambda row: f"{row['value']} {row['scale']}")
def test_a_hardness_has_about_the_printed_strength(row: Mapping[str, str]) -> None:
    ours = tensile_of_hardness_mpa(float(row["value"]), HardnessScale(row["scale"]))
    due = float(row["printed"]) * MPA_PER[row["unit"]]
    assert ours == pytest.approx(due, rel=float(row["within_percent"]) / 100)
