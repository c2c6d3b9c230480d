"""Four bores to be read at three depths in two directions, with nothing read yet."""

from __future__ import annotations

import pytest

from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.measurements.sets import begin_sheet
from runningfit.workshop.models import FeatureSet, Job
from runningfit.workshop.records.writing import Hand


@pytest.fixture
def bores(job: Job) -> FeatureSet:
    layout = EngineLayout(cylinders=4, main_bearings=3)
    return begin_sheet(job=job, engine=None, layout=layout, keys=["bores"], hand=Hand(who="Ann"))[0]
