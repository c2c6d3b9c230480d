"""Limits of size agree with printed ones to half the last printed digit.

`limits_printed.csv` was read in the sources that it names, none of which is our formula; it covers UNC, UNF
and UN 2A/2B, metric 6g/6H, and G (whose limits are differences of the carrier's own tolerances). An
independent library carries further rows of the first ones, among them sizes that the file does not have.

`limits_remembered.csv` is from memory and proves nothing to anybody else; it guards the classes for which no
print could be seen: Unified 1A, 1B, 3A and 3B, and more sizes of 2A/2B and 6g/6H. No printed limits at all
were found for BSW, BSF, cycle and B.A. threads, nor for the other metric classes: their rules are tested in
tests/core/standards/test_limits.py by what the standards say of them, and each limit says so in its status.
"""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pytest
from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

from runningfit.core.standards import ThreadSeries, thread
from runningfit.core.standards.limits import external_limits, internal_limits

HERE = Path(__file__).parent
MM_PER = {"in": 25.4, "mm": 1.0}


@dataclass(frozen=True)
class Case:
    """One printed limit."""

    designation: str
    side: str
    thread_class: str
    what: str
    printed: str
    unit: str

    @property
    def ours(self) -> float:
        """The limit that we give, in the unit of the print."""
        look_up = external_limits if self.side == "external" else internal_limits
        limits = look_up(thread(self.designation), self.thread_class)
        value: float = getattr(limits, f"{self.what}_mm")
        return value / MM_PER[self.unit]

    @property
    def half_digit(self) -> float:
        """Half of the last digit printed, with room for the noise of binary floats."""
        return 0.5 * 10.0 ** -len(self.printed.partition(".")[2]) + 1e-9


def cases(name: str) -> list[Case]:
    with (HERE / name).open(newline="", encoding="utf-8") as file:
        return [
            Case(row["designation"], row["side"], row["class"], row["what"], row["printed"], row["unit"])
            for row in csv.DictReader(file)
            if row["status"] and row["source"]
        ]


PRINTED = cases("limits_printed.csv")


def by_thread_and_class(all_cases: list[Case]) -> dict[str, list[Case]]:
    sorted_in: dict[str, list[Case]] = {}
    for case in all_cases:
        sorted_in.setdefault(f"{case.designation} {case.thread_class}", []).append(case)
    return sorted_in


@pytest.mark.parametrize(("name", "limits"), by_thread_and_class(PRINTED).items())
def test_printed_limits_are_ours(name: str, limits: list[Case]) -> None:
    assert len(limits) == 4
    for case in limits:
        assert case.ours == pytest.approx(float(case.printed), abs=case.half_digit), (name, case.what)


# The formula gives 0.397450 and 0.120450 in here, which go to either neighbour with the next digit of the
# tolerance; the prints as remembered have the smaller tolerance.
ON_THE_EDGE = {("7/16-20 UNF", "1A", "pitch_diameter_min"), ("6-32 UNC", "3B", "pitch_diameter_max")}


@pytest.mark.parametrize(("name", "limits"), by_thread_and_class(cases("limits_remembered.csv")).items())
def test_remembered_limits_are_ours(name: str, limits: list[Case]) -> None:
    assert len(limits) == 4
    for case in limits:
        on_the_edge = (case.designation, case.thread_class, case.what) in ON_THE_EDGE
        within = case.half_digit + (0.00005 if on_the_edge else 0)
        assert case.ours == pytest.approx(float(case.printed), abs=within), (name, case.what)


def test_each_family_and_class_that_has_a_print_has_enough_of_it() -> None:
    """Twelve figures or more, both limits of each; coarse and fine metric threads are one family."""
    family = {ThreadSeries.METRIC_FINE: ThreadSeries.METRIC_COARSE}
    series = [(thread(case.designation).series, case) for case in PRINTED]
    counted = Counter((family.get(one, one), case.thread_class) for one, case in series)
    assert counted == {
        (ThreadSeries.UNC, "2A"): 16, (ThreadSeries.UNC, "2B"): 16,
        (ThreadSeries.UNF, "2A"): 16, (ThreadSeries.UNF, "2B"): 16,
        (ThreadSeries.UN, "2A"): 16, (ThreadSeries.UN, "2B"): 16,
        (ThreadSeries.METRIC_COARSE, "6g"): 52, (ThreadSeries.METRIC_COARSE, "6H"): 52,
        (ThreadSeries.G, "A"): 96, (ThreadSeries.G, "internal"): 96,
    }  # fmt: skip


OF_LIBRARY = {
    "dmax": ("external", "major_max"),
    "dmin": ("external", "major_min"),
    "d2max": ("external", "pitch_diameter_max"),
    "d2min": ("external", "pitch_diameter_min"),
    "D1min": ("internal", "minor_min"),
    "D1max": ("internal", "minor_max"),
    "D2min": ("internal", "pitch_diameter_min"),
    "D2max": ("internal", "pitch_diameter_max"),
}


@pytest.mark.parametrize("name", sorted(ASME_UN_2A2B_dict))
def test_an_independent_library_has_the_same_unified_limits(name: str) -> None:
    """screw-thread-lib 0.0.6, rows of ASME B1.1-2019, classes 2A and 2B."""
    row = ASME_UN_2A2B_dict[name]
    one = thread(f"{name} {row['series']}")
    for key, (side, what) in OF_LIBRARY.items():
        digits = 3 if key in {"D1min", "D1max"} else 4
        thread_class = "2A" if side == "external" else "2B"
        case = Case(one.designation, side, thread_class, what, f"{row[key]:.{digits}f}", "in")
        assert case.ours == pytest.approx(row[key], abs=case.half_digit), key
    # Its minor diameters of the bolt are those of the flat root.
    outer = external_limits(one, "2A")
    assert outer.minor_max_mm is not None
    assert outer.minor_min_mm is not None
    assert outer.minor_max_mm / 25.4 == pytest.approx(row["d1max"], abs=0.00005)
    assert outer.minor_min_mm / 25.4 == pytest.approx(row["d1min"], abs=0.00005)


# The library has 0.42023 in, which is 10.674 mm and would make the tolerance 155 um: no term of R 40. DIN 13
# has 150 um, and so 10.679 mm = 0.42043 in: a slip of one digit.
SLIPS = {("M12-1.75", "d2min")}


@pytest.mark.parametrize("name", sorted(ASME_M_6g6H_dict))
def test_an_independent_library_has_the_same_metric_limits(name: str) -> None:
    """screw-thread-lib 0.0.6, rows of ASME B1.13M-2005 in inches, classes 6g and 6H."""
    row = ASME_M_6g6H_dict[name]
    designation = name.replace("-", "x")
    for key, (side, what) in OF_LIBRARY.items():
        thread_class = "6g" if side == "external" else "6H"
        case = Case(designation, side, thread_class, what, f"{row[key]:.5f}", "in")
        # The millimetres are rounded before they become inches, so half a micrometre is added.
        within = 0.00021 if (name, key) in SLIPS else case.half_digit + 0.0005 / 25.4
        assert case.ours == pytest.approx(row[key], abs=within), key
