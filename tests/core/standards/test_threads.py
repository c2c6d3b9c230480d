"""Every thread of the tables is found by its designation, and its dimensions hang together."""

from __future__ import annotations

import subprocess
import sys

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadForm, ThreadSeries, all_threads, thread


def test_every_thread_is_found_by_its_designation() -> None:
    assert all(thread(one.designation) is one for one in all_threads())


def check_dimensions(one: Thread) -> None:
    assert one.major_mm > one.pitch_diameter_mm > one.minor_internal_mm > 0
    if one.minor_external_mm is not None:
        assert one.minor_external_mm <= one.minor_internal_mm
    assert 0.07 < one.pitch_mm < 10
    if one.tpi is not None:
        assert one.pitch_mm == pytest.approx(25.4 / one.tpi)
    assert one.status
    assert one.source


@pytest.mark.parametrize("series", list(ThreadSeries))
def test_the_dimensions_of_every_thread_hang_together(series: ThreadSeries) -> None:
    threads = [one for one in all_threads() if one.series is series]
    assert threads
    for one in threads:
        check_dimensions(one)


def test_designations_are_unique_and_in_the_one_form() -> None:
    designations = [one.designation for one in all_threads()]
    assert len(set(designations)) == len(designations)
    for designation in (
        "5/16-24 UNF", "1/4-20 UNC", "10-32 UNF", "1/4-20 BSW", "1/4-26 BSF", "1/4-26 CEI", "M10x1.5",
        "M10x1.25", "2BA", "G1/4", "R1/4", "1/4-18 NPT", "1-11.5 NPT", "1 1/8-12 UNF", "G1 1/4", "1-14 UNS",
        "1 1/4-8 UN", "1/4-24 UNS", "10-36 UNS", "25BA", "1/2-20 CEI",
    ):  # fmt: skip
        assert designation in designations


def test_each_series_is_there_with_its_form() -> None:
    forms = {series: {one.form for one in all_threads() if one.series is series} for series in ThreadSeries}
    assert forms[ThreadSeries.UNF] == {ThreadForm.UNIFIED60}
    assert forms[ThreadSeries.BSF] == {ThreadForm.WHITWORTH55}
    assert forms[ThreadSeries.G] == {ThreadForm.WHITWORTH55}
    assert forms[ThreadSeries.BA] == {ThreadForm.BA47_5}
    # The 20 tpi sizes are noted as of Whitworth form; they say that the angle must be gauged.
    assert forms[ThreadSeries.CEI] == {ThreadForm.CEI60, ThreadForm.WHITWORTH55}
    assert forms[ThreadSeries.UN] == forms[ThreadSeries.UNS] == {ThreadForm.UNIFIED60}
    assert forms[ThreadSeries.METRIC_FINE] == {ThreadForm.METRIC60}
    assert forms[ThreadSeries.NPT] == {ThreadForm.NPT60}


def test_a_rare_thread_hides_no_usual_one() -> None:
    """No rare Unified thread has the size and pitch of a usual one under another name."""
    usual = {
        (one.size, one.tpi) for one in all_threads() if one.form is ThreadForm.UNIFIED60 and not one.rare
    }
    rare = [one for one in all_threads() if one.series in {ThreadSeries.UN, ThreadSeries.UNS}]
    assert len(rare) > 200
    assert all(one.rare and (one.size, one.tpi) not in usual for one in rare)


def test_a_thread_whose_angle_is_not_certain_says_so() -> None:
    doubted = [one for one in all_threads() if one.caution]
    assert {one.tpi for one in doubted} == {20.0}
    assert all("55° by one source and 60° by another: gauge it" in one.caution for one in doubted)


def test_taper_and_pipe_are_known() -> None:
    assert {one.series for one in all_threads() if one.taper} == {ThreadSeries.R, ThreadSeries.NPT}
    assert {one.series for one in all_threads() if one.pipe} == {
        ThreadSeries.G,
        ThreadSeries.R,
        ThreadSeries.NPT,
    }


@pytest.mark.parametrize(
    ("asked", "near"), [("5/17 UNF", "5/16-24 UNF"), ("M8x1.26", "M8x1.25"), ("3BAA", "3BA")]
)
def test_an_unknown_thread_is_refused_with_names_near_it(asked: str, near: str) -> None:
    with pytest.raises(
        InvalidInput, match=rf"thread needs a designation of the tables; '{asked}' came.*{near}"
    ):
        thread(asked)


def test_nothing_like_a_thread_is_refused_with_the_form() -> None:
    with pytest.raises(InvalidInput, match=r"Write it as in 5/16-24 UNF"):
        thread("???")


def test_the_tables_load_without_anything_heavy() -> None:
    code = (
        "import sys; from runningfit.core.standards import all_threads; all_threads(); "
        "print([m for m in ('numpy', 'scipy', 'pandas', 'django', 'tomllib', 'difflib') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
