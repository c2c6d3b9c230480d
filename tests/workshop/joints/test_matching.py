"""Matching from the sheet: what was machined counts as it came back, and what was kept can be undone."""

from __future__ import annotations

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.units import LengthUnit
from runningfit.workshop.joints.match_models import MatchDecision
from runningfit.workshop.joints.match_running import PistonsAsked, match_pistons
from runningfit.workshop.joints.matching import keep_match, kept_matches, take_back_match
from runningfit.workshop.measurements.queries import points_of_set
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.models import FeatureSet, Job, Record
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand
from web.joints.matched_shop import ANN, a_read_set, bores_and_pistons

pytestmark = pytest.mark.django_db


def asked(job: Job, sets: tuple[FeatureSet, FeatureSet] | None = None) -> PistonsAsked:
    return PistonsAsked(*(sets or bores_and_pistons(job)), 0.04, 0.06)


def test_a_bored_cylinder_counts_as_it_came_back_and_the_others_as_found(job: Job) -> None:
    bores, pistons = bores_and_pistons(job)
    (point,) = points_of_set(bores)
    first = bores.features.order_by("position")[0]
    back = Taken("bored", first.pk, point.key, "80.090", surely="bored")
    assert take_readings(feature_set=bores, readings=[back], hand=ANN, unit="mm", round=1)[0].kept
    shown = match_pistons(asked(job, (bores, pistons)), LengthUnit.MM)
    # 80.090 now takes the largest piston, 80.020: any other leaves more.
    assert shown.best.rows[0].cells[:2] == ("No. 1", "No. 3")
    assert shown.best.rows[0].cells[2].startswith("0.070 mm")


def test_a_kept_pairing_is_undone_from_the_history_too(job: Job) -> None:
    shown = match_pistons(asked(job), LengthUnit.MM)
    with pytest.raises(InvalidInput, match="best or second"):
        keep_match(job=job, shown=shown, choice="third", seen_key=shown.key, hand=ANN)
    with pytest.raises(Conflict, match="another one by now"):
        keep_match(job=job, shown=shown, choice="best", seen_key="", hand=ANN)
    first = keep_match(job=job, shown=shown, choice="best", seen_key=shown.key, hand=ANN)
    second = keep_match(job=job, shown=shown, choice="second", seen_key=shown.key, hand=Hand(who="Bob"))
    assert kept_matches(job) == [second]
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("pressed in error"))
    assert kept_matches(job) == [first]
    assert (first.who, first.lines[0][0]) == ("Ann", ("bore", "No. 1"))
    take_back_match(decision=first, hand=ANN)
    assert kept_matches(job) == []
    assert MatchDecision.objects.count() == 2


def test_no_partner_within_the_limits_is_said(job: Job) -> None:
    bores = a_read_set(job, "cylinder bores", FeatureKind.BORE, ("80.300",), "bores")
    pistons = a_read_set(job, "pistons", FeatureKind.SHAFT, ("80.000",), "pistons")
    shown = match_pistons(asked(job, (bores, pistons)), LengthUnit.MM)
    assert shown.second is None
    assert shown.best.rows[0].stamp == "bad"
    assert "no partner here fits" in shown.cautions[0].text
