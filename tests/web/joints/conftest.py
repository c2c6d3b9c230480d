"""A place, a lot in it, and spring washers that were asked to be plated."""

from __future__ import annotations

import pytest

from runningfit.workshop.models import Job, Lot, Place
from runningfit.workshop.outside_work.treating import say_treatment
from web.joints.judged_shop import ANN, a_lot, a_place


@pytest.fixture
def place(job: Job) -> Place:
    return a_place(job, "pump to case")


@pytest.fixture
def lot(job: Job, place: Place) -> Lot:
    return a_lot(job, place)


@pytest.fixture
def washers(job: Job) -> Lot:
    washers = a_lot(job, kind="spring_washer", end_a=(), length_mm=None, size_said="3/8")
    say_treatment(lots=[washers], treatment="zinc_clear", hand=ANN)
    return washers
