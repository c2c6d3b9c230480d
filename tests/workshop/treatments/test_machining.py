"""What can be had is said, each step has its chance and its price, and a person decides."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.core.treatments.machining.choosing import Choice
from runningfit.core.treatments.machining.clean_up import CannotTell, CleanUp, clean_up
from runningfit.core.treatments.machining.cutting import Axis, Cutting
from runningfit.core.treatments.machining.readings import Offset
from runningfit.core.units import LengthUnit
from runningfit.workshop.measurements.sets import SaidOfSet, add_set, say_pits
from runningfit.workshop.models import (
    FeatureSet,
    Job,
    MachiningPlan,
)
from runningfit.workshop.records.writing import Hand
from runningfit.workshop.treatments.machining import (
    decide_step,
    make_order,
    say_machining,
)
from runningfit.workshop.treatments.machining_choice import machining_choice, readings_of
from runningfit.workshop.treatments.machining_said import SaidOfMachining
from runningfit.workshop.treatments.machining_words import unit_of_words
from workshop.treatments.worn_engine import (
    ANN,
    JOURNALS_SAID,
    NOMINAL_MM,
    bores_of,
    decided,
    features,
    journals_of,
    number,
    plan,
    read,
    worn,
)

pytestmark = pytest.mark.django_db
BECAUSE = Hand(who="Ann", why="the pistons are in the drawer")


@pytest.fixture
def bores(job: Job) -> FeatureSet:
    return worn(job)


def test_figures_are_kept_as_typed_with_their_units(bores: FeatureSet) -> None:
    made = plan(bores, wall="4.2 ± 0.2", wall_left="3.0 mm", hone="2 thou")
    assert [one["step_mm"] for one in made.steps] == [0.25, 0.5, 0.75, 1.0]
    assert [one["parts"] for one in made.steps] == [180.0, 180.0, 195.0, 195.0]
    assert made.hone_mm == pytest.approx(0.0508)
    assert made.wall_u_mm == pytest.approx(0.1)
    assert (made.wall_mm, made.wall_left_mm) == (4.2, 3.0)
    assert made.typed["steps"] == "0.25 mm, 0.50 mm, 0.75 mm, 1.00 mm"
    assert made.typed["hone"] == "2 thou"
    assert made.typed["tolerance"] == "0.010 mm"
    assert made.price_each == Decimal(45)
    again = plan(bores, steps="10, 20 thou", parts="12.50 -", most_step="20 thou")
    assert again.pk == made.pk
    assert [one["step_mm"] for one in again.steps] == pytest.approx([0.254, 0.508])
    assert [one["parts"] for one in again.steps] == [12.5, None]


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"steps": ""}, "steps"),
        ({"steps": "0.50, 0.25 mm"}, "steps"),
        ({"steps": "10, 20 in"}, "steps"),
        ({"steps": "a bit"}, "steps"),
        ({"parts": "180, 180"}, "parts"),
        ({"parts": "dear"}, "parts"),
        ({"hone": "5 mm"}, "hone"),
        ({"tolerance": "0"}, "tolerance"),
        ({"most_step": "0.10 mm"}, "most_step"),
        ({"wall": "4.2"}, "wall_left"),
        ({"hard_left": "0.1"}, "hard_layer"),
        ({"price_each": Decimal(-1)}, "price_each"),
        ({"last_resort": ""}, "last_resort"),
        ({"axis": "crooked"}, "axis"),
        ({"offsets": "0.04 mm"}, "offsets"),
        ({"offsets": "9: 0.04 mm"}, "offsets"),
        ({"offsets": "3: 40 mm"}, "offsets"),
        ({"offsets": "3: 0.04 mm at noon"}, "offsets"),
        ({"one_sided": "much"}, "one_sided"),
        ({"one_sided": "140 %"}, "one_sided"),
        ({"one_sided": "40 ± 60 %"}, "one_sided"),
        ({"centring": "5 mm"}, "centring"),
    ],
)
def test_what_cannot_be_read_or_does_not_go_together_is_named(
    bores: FeatureSet, wrong: dict[str, object], field: str
) -> None:
    with pytest.raises(InvalidInput, match=r".") as refused:
        plan(bores, **wrong)
    assert refused.value.argument == field
    assert not MachiningPlan.objects.exists()


def test_a_face_is_not_machined_to_a_step(job: Job) -> None:
    said = SaidOfSet("deck", FeatureKind.FACE, ("deck",), Pattern((0.0, 50.0), (0.0, 50.0)))
    deck = add_set(job=job, engine=None, said=said, hand=ANN)
    with pytest.raises(Conflict, match="no bores or journals"):
        plan(deck)


def test_the_choice_is_that_of_the_core_on_corrected_readings(bores: FeatureSet) -> None:
    plan(bores)
    choice = machining_choice(bores)
    assert isinstance(choice.found, CleanUp)
    assert isinstance(choice.choice, Choice)
    alone = clean_up(choice.readings, Cutting(NOMINAL_MM, (0.25, 0.5, 0.75, 1.0), 0.05, Axis.WORN))
    assert [one.together for one in choice.found.steps] == [one.together for one in alone.steps]
    # Worn by 0.15 mm at most, with 0.05 mm to hone and a gauge of 2 µm: a quarter of a millimetre is enough.
    assert set(choice.recommended.values()) == {0.25}
    assert choice.found.steps[0].together.best > 0.9
    assert choice.choice.expected == pytest.approx(4 * (180 + 45) + 30, rel=0.1)
    assert [one.name for one in choice.readings] == ["1", "2", "3", "4"]
    assert choice.readings[2].points[1].diameter_mm == pytest.approx(NOMINAL_MM + 0.15, abs=1e-4)


def test_deeper_wear_or_pits_ask_for_a_larger_step(job: Job) -> None:
    deep = worn(job, more_mm=0.2)
    plan(deep)
    assert set(machining_choice(deep).recommended.values()) == {0.5}
    (first, *_rest) = features(deep)
    say_pits(feature=first, depth=number(0.12), u=number(0.01), hand=ANN)
    assert min(machining_choice(deep).recommended.values()) >= 0.5
    assert machining_choice(deep).readings[0].pits[0].depth_mm == 0.12


def test_the_reading_that_closes_the_range_closes_it(bores: FeatureSet) -> None:
    plan(bores, axis="original")
    wide = machining_choice(bores)
    assert isinstance(wide.found, CleanUp)
    assert "Read the radius to both sides" in wide.found.close_range
    made = plan(bores, axis="original", offsets="1: 0.00 ± 0.004; 2: 0.01 ± 0.004 mm; 3: 0.05; 4: 0.4 thou")
    assert made.offsets["3"] == [0.05, 0.01]
    assert made.offsets["4"][0] == pytest.approx(0.01016)
    assert made.typed["offsets"].startswith("1: 0.00 ± 0.004 mm; 2: 0.01 ± 0.004 mm")
    shut = machining_choice(bores)
    assert isinstance(shut.found, CleanUp)
    for before, after in zip(wide.found.steps, shut.found.steps, strict=True):
        assert after.together.high - after.together.low <= before.together.high - before.together.low + 1e-9
    # Bore 3: 79.525 mm and 2 × 0.05 mm aside with 0.05 mm to hone is beyond 79.625 mm.
    assert set(shut.recommended.values()) == {0.5}


def test_towards_which_side_and_how_one_sided_such_engines_wear_is_taken_as_told(bores: FeatureSet) -> None:
    made = plan(bores, axis="original", offsets="3: 0.05 ± 0.01 mm at 90°; 1: 0.02 mm at -45 deg")
    assert made.offsets == {"3": [0.05, 0.005, 90.0], "1": [0.02, 0.01, 315.0]}
    assert made.typed["offsets"] == "3: 0.05 ± 0.01 mm at 90°; 1: 0.02 mm at 315°"
    told = {one.name: one.offset for one in machining_choice(bores).readings}
    assert told["3"] == Offset(0.05, 0.005, 90.0)
    assert told["2"] is None
    chances = []
    for one_sided in ("5 ± 3 %", "", "90 ± 5 %"):
        made = plan(bores, axis="original", one_sided=one_sided, centring="0.02 mm")
        found = machining_choice(bores).found
        assert isinstance(found, CleanUp)
        chances.append(found.steps[0].together.best)
    assert made.centring_mm == 0.02
    assert isinstance(found, CleanUp)
    assert chances[0] > chances[1] > chances[2]
    assert any("about as told 90 %" in one.text for one in found.verdict.reasons)


def test_steps_are_spoken_of_in_the_unit_in_which_they_were_typed(bores: FeatureSet) -> None:
    def spoken(steps: str) -> LengthUnit:
        plan(bores, steps=steps, parts="180")
        return unit_of_words(machining_choice(bores), LengthUnit.INCH)

    assert spoken("0.25, 0.50 mm") is LengthUnit.MM
    assert spoken("10, 20 thou") is LengthUnit.INCH
    assert spoken("10 thou; 0.50 mm") is LengthUnit.INCH
    assert unit_of_words(machining_choice(bores), LengthUnit.MM) is LengthUnit.MM


def test_without_prices_the_smallest_sure_step_is_recommended_and_the_missing_prices_named(
    bores: FeatureSet,
) -> None:
    plan(bores, parts="180, -, 195, 195", price_each=None, price_last_resort=None, last_resort="")
    choice = machining_choice(bores)
    assert isinstance(choice.choice, CannotTell)
    assert "the parts for 0.50 mm" in choice.choice.reason
    assert "the cutting of one" in choice.choice.reason
    assert set(choice.recommended.values()) == {0.25}


def test_what_is_missing_is_named_step_by_step(job: Job) -> None:
    empty = bores_of(job, nominal=None)
    told = [machining_choice(empty).found]
    read(empty, [[NOMINAL_MM + 0.1] * 6] * 4)
    told.append(machining_choice(empty).found)
    FeatureSet.objects.filter(pk=empty.pk).update(nominal=NOMINAL_MM)
    told.append(machining_choice(FeatureSet.objects.get(pk=empty.pk)).found)
    assert [one.reason for one in told if isinstance(one, CannotTell)] == [
        "Nothing of it is read yet.",
        "Nobody said its nominal size.",
        "Nobody said which steps can be had.",
    ]


def test_the_wall_and_the_largest_size_forbid(bores: FeatureSet) -> None:
    plan(bores, wall="3.2 mm", wall_left="3.1 mm", most_step="0.50 mm")
    found = machining_choice(bores).found
    assert isinstance(found, CleanUp)
    assert [bool(one.forbidden) for one in found.steps] == [True, True, True, True]
    assert "wall of bore" in found.steps[0].forbidden[0][1].text
    assert "allows 0.5 mm at most" in found.steps[3].forbidden[0][1].text
    with pytest.raises(InvalidInput, match="a reason against the computation"):
        decided(bores, 0.25)


def test_a_hardened_layer_forbids_a_journal_to_be_ground_away(job: Job) -> None:
    mains = journals_of(job)
    say_machining(
        feature_set=mains,
        said=replace(JOURNALS_SAID, hard_layer="0.40 ± 0.04 mm", hard_left="0.20"),
        hand=ANN,
    )
    found = machining_choice(mains).found
    assert isinstance(found, CleanUp)
    # 0.40 - 0.25/2 leaves 0.275 mm, 0.40 - 0.50/2 leaves 0.15 mm of the 0.20 that must remain.
    assert [bool(one.forbidden) for one in found.steps] == [False, True]


def test_a_decision_stands_beside_what_was_computed_and_is_never_edited(bores: FeatureSet) -> None:
    plan(bores)
    first = decided(bores)
    assert first.steps == first.recommended == {str(one.pk): 0.25 for one in features(bores)}
    assert first.probability is not None
    assert first.probability > 0.9
    assert "start at 0.25 mm" in first.said
    with pytest.raises(InvalidInput, match=r"0\.25 mm") as refused:
        decided(bores, 0.5)
    assert refused.value.argument == "why"
    second = decided(bores, 0.5, BECAUSE)
    assert second.why == "the pistons are in the drawer"
    assert set(second.recommended.values()) == {0.25}
    first.refresh_from_db()
    assert set(first.steps.values()) == {0.25}
    assert machining_choice(bores).decision == second


def test_only_steps_of_the_plan_for_all_that_were_read(bores: FeatureSet) -> None:
    plan(bores)
    keys = [one.pk for one in features(bores)]
    with pytest.raises(InvalidInput, match=r"one of 0\.25 mm"):
        decide_step(feature_set=bores, steps=dict.fromkeys(keys, 0.3), hand=BECAUSE)
    with pytest.raises(InvalidInput, match="a step for each"):
        decide_step(feature_set=bores, steps={keys[0]: 0.25}, hand=BECAUSE)
    own = dict(zip(keys, (0.25, 0.25, 0.5, 0.25), strict=True))
    with pytest.raises(InvalidInput, match="one step for all"):
        decide_step(feature_set=bores, steps=own, hand=BECAUSE)
    plan(bores, own_step_each=True)
    assert decide_step(feature_set=bores, steps=own, hand=BECAUSE).steps[str(keys[2])] == 0.5


def test_readings_or_figures_changed_after_a_decision_are_noticed(bores: FeatureSet) -> None:
    plan(bores)
    decided(bores)
    assert machining_choice(bores).since == ()
    plan(bores, surface="plateau")
    assert machining_choice(bores).since == ()
    plan(bores, hone="0.08")
    assert machining_choice(bores).since == ("plan",)
    plan(bores)
    read(bores, [[NOMINAL_MM + 0.3] * 6] * 4, token="again", only=(2,))
    assert machining_choice(bores).since == ("readings",)
    with pytest.raises(Conflict, match="made on other readings"):
        make_order(feature_set=bores, hand=ANN, shop_name="Hillside", piece="block")


def test_shared_doubt_is_one_for_all_and_points_keep_their_own(bores: FeatureSet) -> None:
    readings = readings_of(machining_choice(bores).corrected)
    assert len({one.u_shared_mm for one in readings}) == 1
    assert readings[0].u_shared_mm > 0.0008
    assert 0.0015 <= readings[0].u_reading_mm < 0.002


def test_nothing_said_reads_as_nothing_known() -> None:
    assert SaidOfMachining("mm").axis == "unknown"
