"""Every row of the thread tables agrees with the formula of its standard, and with printed values.

Formulas: ISO 68-1 and ASME B1.1 basic profile, H = 0.8660254 P; BS 84 and ISO 228-1, h = 0.640327 P;
BS 93:1951, h = 0.6 P; BS 811:1950, h = 0.5327 P; ASME B1.20.1, E0 = D - (0.05 D + 1.1) P and h = 0.8 P.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import pytest

from runningfit.core.standards import Thread, ThreadForm, ThreadSeries, all_threads, thread
from runningfit.core.standards.tables import rows

PRINTED = Path(__file__).parent / "printed.csv"
# Depth from the major to the pitch diameter, in pitches, and to the minor diameter of the internal thread.
DEPTHS = {
    ThreadForm.UNIFIED60: (0.64951905, 1.08253175),
    ThreadForm.METRIC60: (0.64951905, 1.08253175),
    ThreadForm.WHITWORTH55: (0.640327, 1.280654),
    ThreadForm.BA47_5: (0.6, 1.2),
    ThreadForm.CEI60: (0.5327, 1.0654),
}
HALF_LAST_DIGIT_IN = 0.00005 * 25.4
HALF_LAST_DIGIT_MM = 0.0005
ROUNDED_TWICE = 1.05  # a printed minor diameter may be reckoned from a rounded pitch diameter


@dataclass(frozen=True)
class Case:
    """One printed value."""

    designation: str
    what: str
    printed: str
    unit: str


def cases() -> list[Case]:
    with PRINTED.open(newline="", encoding="utf-8") as file:
        return [
            Case(row["designation"], row["what"], row["printed"], row["unit"])
            for row in csv.DictReader(file)
            if row["source"]
        ]


@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case.designation} {case.what}")
def test_a_printed_value_is_ours(case: Case) -> None:
    ours_mm: float = getattr(thread(case.designation), f"{case.what}_mm")
    factor = 25.4 if case.unit == "in" else 1.0
    half_digit = 0.5 * 10.0 ** -len(case.printed.partition(".")[2])
    assert ours_mm / factor == pytest.approx(float(case.printed), abs=half_digit * 1.0001)


@pytest.mark.parametrize("form", list(DEPTHS))
def test_every_row_agrees_with_the_formula_of_its_form(form: ThreadForm) -> None:
    threads = [one for one in all_threads() if one.form is form]
    assert threads
    for one in threads:
        check_by_formula(one)


def check_by_formula(one: Thread) -> None:
    to_pitch, to_minor = DEPTHS[one.form]
    inch = one.tpi is not None and not one.pipe
    half_digit = HALF_LAST_DIGIT_IN if inch else HALF_LAST_DIGIT_MM
    # BS 93 rounds the depth of thread, ISO 228-1 the depth and the pitch, each to the last digit it prints.
    slack = {ThreadForm.BA47_5: 0.0051, ThreadForm.WHITWORTH55: 0.0016 if one.pipe else 0.0}.get(
        one.form, 0.0
    )
    pitch_off = abs(one.major_mm - to_pitch * one.pitch_mm - one.pitch_diameter_mm)
    minor_off = abs(one.major_mm - to_minor * one.pitch_mm - one.minor_internal_mm)
    assert pitch_off <= half_digit * ROUNDED_TWICE + slack, one.designation
    assert minor_off <= 2 * half_digit * ROUNDED_TWICE + 2 * slack, one.designation


@pytest.mark.parametrize("row", rows("asme_b1_20_1_2013"), ids=lambda row: row["nps"])
def test_taper_pipe_rows_agree_with_their_formulas(row: dict[str, str]) -> None:
    pitch, outside = 1 / float(row["tpi"]), float(row["OD_in"])
    small_end = outside - (0.05 * outside + 1.1) * pitch
    assert float(row["E0_formula_in"]) == pytest.approx(small_end, abs=0.0000051)
    assert float(row["E1_in"]) == pytest.approx(small_end + float(row["L1_in"]) / 16, abs=0.00006)
    assert float(row["L2_formula_in"]) == pytest.approx((0.8 * outside + 6.8) * pitch, abs=0.000051)
    assert float(row["h_in"]) == pytest.approx(0.8 * pitch, abs=0.0000051)


def test_taper_british_pipe_has_the_diameters_of_the_parallel_one() -> None:
    parallel = {one.size: one for one in all_threads() if one.series is ThreadSeries.G}
    tapered = [one for one in all_threads() if one.series is ThreadSeries.R]
    assert tapered
    for one in tapered:
        other = parallel[one.size]
        assert (one.major_mm, one.pitch_diameter_mm, one.minor_internal_mm) == (
            other.major_mm,
            other.pitch_diameter_mm,
            other.minor_internal_mm,
        )


def test_numbered_unified_sizes_have_their_diameters() -> None:
    """ASME B1.1: number n has 0.060 + 0.013 n inches."""
    sizes = {one.size: one for one in all_threads() if one.series is ThreadSeries.UNF}
    numbered = {int(size[4:]): one for size, one in sizes.items() if size.startswith("No. ")}
    assert list(numbered) == [0, 1, 2, 3, 4, 5, 6, 8, 10, 12]
    for number, one in numbered.items():
        assert one.major_mm == pytest.approx((0.060 + 0.013 * number) * 25.4, abs=1e-9)
