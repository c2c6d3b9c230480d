"""Clearances, films, ring gaps and engine figures agree with what others printed; MEMORY rows only guard."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from runningfit.core.joints.running_fits.clearance import Member, Reading, clearances
from runningfit.core.joints.running_fits.expansion import read_expansion
from runningfit.core.joints.running_fits.fit_limits import FitRole, LimitsFor, sanity_band
from runningfit.core.joints.running_fits.oil_film import FilmCase, oil_film
from runningfit.core.joints.running_fits.pairs import shaft_in_hole
from runningfit.core.measurements.engine_figures.compression import Cylinder
from runningfit.core.measurements.engine_figures.swept import mean_piston_speed_m_s, swept_volume_ml
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.standards.tables import rows as table_rows
from simulators.journal_film import sommerfeld_number

HERE = Path(__file__).parent
Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (HERE / name).open(newline="", encoding="utf-8") as file:
        return [row for row in csv.DictReader(file) if row["status"] and row["source"]]


@pytest.mark.parametrize(
    "row", rows("clearances.csv"), ids=lambda row: f"{row['role']} {row['nominal_in']} {row['low_in']}"
)
def test_the_sanity_band_holds_each_single_figure_that_was_read(row: Row) -> None:
    band = sanity_band(FitRole(row["role"]), float(row["nominal_in"]) * 25.4)
    assert band is not None
    assert band.is_sanity_band
    half_a_digit_mm = 0.00005 * 25.4
    low, high = band.bounds.ends
    assert low - half_a_digit_mm <= float(row["low_in"]) * 25.4
    assert float(row["high_in"]) * 25.4 <= high + half_a_digit_mm


def test_a_wear_limit_lies_no_lower_than_the_one_for_new_parts() -> None:
    for row in table_rows("running_clearances_collected_2026"):
        if row["of"] == "wear":
            new, worn = (sanity_band(FitRole(row["role"]), 50.0, one) for one in LimitsFor)
            assert new is not None
            assert worn is not None
            assert worn.bounds.ends[1] >= new.bounds.ends[1]


@pytest.mark.parametrize("row", rows("ring_gaps.csv"), ids=lambda row: f"{row['ring']} {row['bore_in']}")
def test_the_least_ring_gap_is_the_printed_one(row: Row) -> None:
    band = sanity_band(FitRole(row["ring"]), float(row["bore_in"]) * 25.4)
    assert band is not None
    assert band.bounds.upper is None
    assert band.bounds.ends[0] / 25.4 == pytest.approx(float(row["gap_in"]), abs=0.0005)


@pytest.mark.parametrize("row", rows("films.csv"), ids=lambda row: row["source"][:20])
def test_a_printed_film_is_ours(row: Row) -> None:
    clearance = float(row["clearance_mm"])
    case = FilmCase(
        float(row["diameter_mm"]),
        float(row["width_mm"]),
        clearance,
        clearance,
        float(row["load_n"]),
        float(row["speed_rpm"]),
        float(row["viscosity_mpa_s"]),
    )
    film = oil_film(case).at_low
    assert film.sommerfeld == pytest.approx(float(row["sommerfeld"]), abs=0.0005)
    assert film.eccentricity == pytest.approx(float(row["eccentricity"]), abs=0.01)
    assert film.least_film_um == pytest.approx(float(row["least_film_um"]), abs=0.5)


@pytest.mark.parametrize(
    "row",
    table_rows("raimondi_boyd_1958"),
    ids=lambda row: f"{row['length_over_diameter']} {row['eccentricity']}",
)
def test_each_figure_of_the_film_table_is_what_the_equation_of_reynolds_gives(row: Row) -> None:
    solved = sommerfeld_number(float(row["length_over_diameter"]), float(row["eccentricity"]))
    assert float(row["sommerfeld"]) == pytest.approx(solved, rel=0.035)


@pytest.mark.parametrize("ratio", [0.35, 0.7])
@pytest.mark.parametrize("eccentricity", [0.3, 0.7, 0.85])
def test_between_its_figures_the_table_still_gives_what_the_equation_does(
    ratio: float, eccentricity: float
) -> None:
    wanted = sommerfeld_number(ratio, eccentricity)
    # S = (d/C)² μ N d l / W: the viscosity that gives it with d 50, C 0.05, N 50/s and W 5000 N.
    viscosity = wanted * 5000 / (50 * 50 * ratio) / (1000**2 * 50) * 1e9
    film = oil_film(FilmCase(50, 50 * ratio, 0.05, 0.05, 5000, 3000, viscosity)).at_low
    assert film.sommerfeld == pytest.approx(wanted)
    assert film.eccentricity == pytest.approx(eccentricity, abs=0.03)


@pytest.mark.parametrize("row", rows("expansions.csv"), ids=lambda row: row["source"][:25])
def test_a_printed_expansion_is_ours(row: Row) -> None:
    members = [
        Member(
            which,
            Reading(float(row[f"{which}_mm"])),
            read_expansion(f"alpha={row[f'{which}_per_k']}"),
            hot_low_c=float(row[f"{which}_c"]),
            hot_high_c=float(row[f"{which}_c"]),
        )
        for which in ("hole", "shaft")
    ]
    hot = clearances(shaft_in_hole(*members)).hot
    assert hot is not None
    assert hot.low_mm == hot.high_mm == hot.middle_mm
    assert hot.middle_mm == pytest.approx(float(row["clearance_mm"]), abs=float(row["tolerance_mm"]))


@pytest.mark.parametrize("row", rows("engines.csv"), ids=lambda row: f"{row['figure']} {row['answer']}")
def test_a_known_engine_figure_is_ours(row: Row) -> None:
    def exact(key: str) -> Measured:
        return Measured(float(row[key]), 0.0)

    if row["figure"] == "piston_speed_m_s":
        found = mean_piston_speed_m_s(float(row["stroke_mm"]), float(row["speed_rpm"]))
    elif row["figure"] == "swept_ml":
        swept = swept_volume_ml(exact("bore_mm"), exact("stroke_mm"), cylinders=int(row["cylinders"]))
        found = swept.measured.value
    else:
        nothing = Measured(0.0, 0.0)
        bore = exact("bore_mm")
        found = Cylinder("1", bore, exact("stroke_mm"), exact("above_ml"), nothing, bore).ratio
    assert found == pytest.approx(float(row["answer"]), abs=float(row["tolerance"]))
