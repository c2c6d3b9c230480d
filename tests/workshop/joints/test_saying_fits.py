"""Fits proposed, said and taken off, what of them is refused, and what machining steps would give.

Expected sizes are sums of those written down here.
"""

from __future__ import annotations

import pytest

from fits_to_judge import (
    ANN,
    number,
    piston_fit,
    pistons_in_bores,
    said_of,
    shells_fit,
)
from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.measurements.sheets.proposals import EngineLayout
from runningfit.workshop.joints.fit_answers import CannotTell
from runningfit.workshop.joints.fit_judging import judged_fits
from runningfit.workshop.joints.fit_steps import PlannedSteps, WhatStepsGive, what_steps_give
from runningfit.workshop.joints.fit_typed import TypedSpan, celsius, typed_grades, typed_span
from runningfit.workshop.joints.fits import (
    SaidOfFit,
    add_fit,
    add_proposed,
    change_fit,
    fit_by_id,
    fits_of_job,
    proposed_fits,
    withdraw_fit,
)
from runningfit.workshop.measurements.queries import sets_of_job
from runningfit.workshop.measurements.sets import begin_sheet, withdraw_set
from runningfit.workshop.models import FeatureSet, Job, RunningFit

pytestmark = pytest.mark.django_db


def test_the_usual_fits_are_proposed_from_the_sheet_and_added_at_once(job: Job) -> None:
    layout = EngineLayout(cylinders=2, main_bearings=3)
    keys = [
        "bores",
        "pistons",
        "mains",
        "main_housings",
        "crankpins",
        "big_ends",
        "guides",
        "stems",
        "ring_gaps",
    ]
    begin_sheet(job=job, engine=None, layout=layout, keys=keys, hand=ANN)
    proposed = proposed_fits(sets_of_job(job), [])
    assert [one.kind for one in proposed] == ["piston", "bearing", "bearing", "guide", "top_ring"]
    made = add_proposed(job=job, proposed=proposed, keys=[one.key for one in proposed[:2]], hand=ANN)
    assert [one.name for one in made] == ["pistons in their bores", "main bearings"]
    left = proposed_fits(sets_of_job(job), fits_of_job(job))
    assert [one.name for one in left] == ["big-end bearings", "valve stems in their guides", "top ring gaps"]
    with pytest.raises(InvalidInput, match="one or more of those offered"):
        add_proposed(job=job, proposed=left, keys=[proposed[0].key], hand=ANN)


def test_a_bore_machined_to_a_step_leaves_what_its_new_piston_leaves(job: Job) -> None:
    piston_fit(job)
    (judged,) = judged_fits(job)
    plain = what_steps_give(judged, PlannedSteps(True, (0.25, 0.5), 0.01, None))
    assert isinstance(plain, WhatStepsGive)
    assert [(one.size_mm, round(one.clearance_mm, 6)) for one in plain.rows] == [(79.65, 0.05), (79.9, 0.05)]
    assert [round(one.high_mm - one.low_mm, 6) for one in plain.rows] == [0.02, 0.02]
    assert plain.rows[0].within == pytest.approx(1.0)
    # Machined to suit the piston: 79.35 + 0.25 + 0.065, of which 0.005 in 0.020 lie above 0.070.
    suited = what_steps_give(judged, PlannedSteps(True, (0.25,), 0.01, 0.065))
    assert isinstance(suited, WhatStepsGive)
    assert suited.rows[0].size_mm == pytest.approx(79.665)
    assert suited.rows[0].within == pytest.approx(0.75, abs=1e-6)


def test_a_journal_ground_under_gets_shells_thicker_by_half_of_that(job: Job) -> None:
    shells_fit(job, shell=number(1.828), shell_spread=number(0.002))
    (judged,) = judged_fits(job)
    found = what_steps_give(judged, PlannedSteps(False, (0.25,), 0.005, None))
    assert isinstance(found, WhatStepsGive)
    assert [(one.pair, one.size_mm) for one in found.rows] == [("1", 59.74), ("2", 59.74)]
    assert found.rows[0].clearance_mm == pytest.approx(63.690 - 2 * (1.828 + 0.125) - 59.74, abs=1e-9)
    # Without the tolerance nobody can say how probably it comes right.
    unsure = what_steps_give(judged, PlannedSteps(False, (0.25,), None, None))
    assert isinstance(unsure, WhatStepsGive)
    assert unsure.rows[0].within is None


def test_a_step_of_a_hole_without_nominal_size_tells_nothing(job: Job) -> None:
    fit = piston_fit(job)
    FeatureSet.objects.filter(pk=fit.hole_set_id).update(nominal=None)
    (judged,) = judged_fits(job)
    found = what_steps_give(judged, PlannedSteps(True, (0.25,), 0.01, None))
    assert found == CannotTell("The nominal size of the hole was not told.", "Say it on the sheet.")


@pytest.mark.parametrize(
    ("said", "error"),
    [
        ({"name": " "}, "name needs what it is"),
        ({"kind": "glued"}, "kind needs one of piston in bore"),
        ({"new_lower": number(0.07), "new_upper": number(0.03)}, "0.07 mm and 0.03 mm.* upside down"),
        ({"wear_upper": number(0.02)}, "wear upper needs to lie above the lower limit"),
        ({"wear_upper": number(0.05)}, "wear upper needs to be no less than the largest of new parts"),
        ({"new_upper": number(79.4), "wear_upper": None}, "clearance on diameter; '79.4 mm'"),
        ({"source": ""}, "source needs the page the limits stand on"),
        ({"basis": ""}, "basis needs one of"),
        ({"hole_hot": TypedSpan(90, 90, "90")}, "shaft hot needs a temperature too"),
        (
            {"hole_hot": TypedSpan(9000, 9000, "9000"), "shaft_hot": TypedSpan(9, 9, "9")},
            "hole hot needs -60 to 900; '9000' came. Check the unit",
        ),
        ({"shell": number(60)}, "shell needs 0.5 to 20 mm"),
        ({"crush": TypedSpan(2, 3, "2 to 3 mm")}, "crush needs 0 to 1"),
        ({"friction": TypedSpan(0.1, 12, "0.1 to 12")}, "friction needs"),
        ({"length": number(-4)}, "length needs more than nothing"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_name(job: Job, said: dict[str, object], error: str) -> None:
    with pytest.raises(InvalidInput, match=error):
        piston_fit(job, **said)
    assert not RunningFit.objects.exists()


def test_sets_that_make_no_such_fit_are_refused(job: Job) -> None:
    bores, pistons = pistons_in_bores(job)
    with pytest.raises(InvalidInput, match=r"hole set needs a set of this sort: bore.* Swap them"):
        add_fit(job=job, said=SaidOfFit("piston", "wrong way", pistons, bores), hand=ANN)
    with pytest.raises(InvalidInput, match="another set than the one around it"):
        add_fit(job=job, said=SaidOfFit("piston", "itself", bores, bores), hand=ANN)
    withdraw_set(feature_set=pistons, hand=ANN)
    pistons.refresh_from_db()
    with pytest.raises(InvalidInput, match="shaft set needs a set on this job's sheet"):
        add_fit(job=job, said=SaidOfFit("piston", "gone", bores, pistons), hand=ANN)


def test_a_fit_taken_off_is_not_judged_and_not_changed(job: Job) -> None:
    fit = piston_fit(job)
    withdraw_fit(fit=fit, hand=ANN)
    assert judged_fits(job) == []
    with pytest.raises(NotFound, match="no fit"):
        fit_by_id(job, fit.pk)
    with pytest.raises(Conflict, match="taken off meanwhile"):
        change_fit(fit=fit, said=said_of(fit), hand=ANN)


def test_spans_are_read_as_they_are_said() -> None:
    assert typed_span("hole hot", "110 to 130", celsius, unit="°C") == TypedSpan(110, 130, "110 to 130 °C")
    assert typed_span("hole hot", "212 F..248 °F", celsius) == TypedSpan(100, 120, "212 F..248 °F")
    assert typed_span("hole hot", "212 to 248 °F", celsius) == TypedSpan(100, 120, "212 to 248 °F")
    assert typed_span("hole hot", "  ", celsius) is None
    with pytest.raises(InvalidInput, match="hole hot needs the least before the largest"):
        typed_span("hole hot", "130 to 110 °C", celsius)
    with pytest.raises(InvalidInput, match="hole hot needs one value, or two"):
        typed_span("hole hot", "1 to 2 to 3", celsius)


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("red", "a name and two thicknesses.*line 1: red"),
        ("red; 21; 22", "from 0.5 to 20 mm"),
        ("red; 1.83; 1.82", "the least first"),
        ("red; 1.8; 1.9\nred; 1.9; 1.95", "each name once; 'red' came"),
        ("red; thin; thick", "line 1: red; thin; thick"),
    ],
)
def test_a_table_of_shells_that_cannot_be_names_its_line(text: str, error: str) -> None:
    with pytest.raises(InvalidInput, match=error):
        typed_grades("shell grades", text, unit="mm")
