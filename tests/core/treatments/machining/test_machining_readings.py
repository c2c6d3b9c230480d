"""The form of bores and journals with its uncertainty, against arithmetic by hand and draws."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import sqrt
from random import Random
from statistics import stdev

import pytest

from core.treatments.machining.bores import NOMINAL_MM, bore, journal
from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.readings import BoreReadings, Offset, Pit, form_of


def test_form_of_six_readings_by_hand() -> None:
    form = form_of(bore(shared_mm=0.004))
    assert form.max_mm.value == pytest.approx(79.455)
    assert form.max_mm.u == pytest.approx(0.005)
    assert form.min_mm.value == pytest.approx(79.385)
    assert form.taper_mm.value == pytest.approx(0.06)
    assert form.taper_mm.u == pytest.approx(0.003)  # two means of two readings each
    assert form.out_of_round_mm.value == pytest.approx(0.01)
    assert form.out_of_round_mm.u == pytest.approx(0.003 * sqrt(2))
    assert form.barrel_mm is not None
    assert form.barrel_mm.value == pytest.approx(0.0, abs=1e-9)
    assert form.barrel_mm.u == pytest.approx(0.003 / sqrt(2) * sqrt(1.5))
    assert (form.worst.depth_mm, form.worst.angle_deg) == (10.0, 0.0)


def test_the_worst_place_of_a_journal_is_its_smallest() -> None:
    form = form_of(journal())
    assert form.worst.angle_deg != 0.0
    assert form.worst.diameter_mm == form.min_mm.value == pytest.approx(49.956)


def test_uncertainty_of_taper_and_barrel_is_what_repeated_gauging_shows() -> None:
    random, true = Random(3), bore()
    tapers, barrels = [], []
    for _ in range(2000):
        read = tuple(
            replace(one, diameter_mm=one.diameter_mm + random.gauss(0, 0.003)) for one in true.points
        )
        form = form_of(replace(true, points=read))
        assert form.barrel_mm is not None
        tapers.append(form.taper_mm.value)
        barrels.append(form.barrel_mm.value)
    form = form_of(true)
    assert form.barrel_mm is not None
    assert stdev(tapers) == pytest.approx(form.taper_mm.u, rel=0.06)
    assert stdev(barrels) == pytest.approx(form.barrel_mm.u, rel=0.06)


def test_repeats_of_a_place_count_by_their_mean() -> None:
    once = bore()
    form = form_of(replace(once, points=once.points * 4))
    assert form.max_mm.u == pytest.approx(form_of(once).max_mm.u / 2)
    assert form.taper_mm.u == pytest.approx(form_of(once).taper_mm.u / 2)


def test_one_direction_and_one_depth_are_said() -> None:
    one_way = BoreReadings("1", (Diameter(10, 0, NOMINAL_MM), Diameter(10, 180, NOMINAL_MM + 0.01)), 0.003)
    said = " ".join(one.text for one in form_of(one_way).cautions)
    assert "out-of-round is not seen" in said
    assert "taper is not seen" in said


@pytest.mark.parametrize(
    ("build", "text"),
    [
        (lambda: bore(u_mm=0.0), "uncertainty of bore 1 needs more than nothing; '0 mm' came"),
        (lambda: bore(shared_mm=-0.001), "shared uncertainty of bore 1 needs not negative"),
        (
            lambda: BoreReadings("3", (Diameter(1, 2, float("nan")),), 0.003),
            "reading of bore 3 needs numbers, and a diameter of more than nothing; 'nan mm at 1 mm, 2°' came",
        ),
        (lambda: Pit(-0.1, 0.01), "pits needs a depth and an uncertainty, neither of them negative"),
        (lambda: Offset(0.1, 0.0), "offset needs a length, and an uncertainty of more than nothing"),
        (lambda: Offset(0.1, 0.01, float("nan")), "direction of the offset needs an angle in degrees"),
    ],
)
def test_what_cannot_be_is_refused(build: Callable[[], object], text: str) -> None:
    with pytest.raises(InvalidInput, match=text):
        build()


def test_one_reading_has_no_form() -> None:
    with pytest.raises(InvalidInput, match="two directions at one depth at least; 'one' came"):
        form_of(BoreReadings("1", (Diameter(10, 0, 79.4),), 0.003))
