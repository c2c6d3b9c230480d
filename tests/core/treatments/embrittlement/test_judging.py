"""Embrittlement: the strictest demand is instructed, springs are never plated, memory never passes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.embrittlement import (
    EmbrittlementJudgement,
    Force,
    Risk,
    Saying,
    judge_embrittlement,
    of_grade,
    of_kind,
    of_measurement,
    read_hardness,
    read_process,
)
from runningfit.core.verdicts import Outcome

PLATED = "acid pickle, zinc electroplate"
RANKS = {Risk.BELOW_THRESHOLD: 0, Risk.BAKE: 1, Risk.AVOID: 2}


def measured(hardness: str, process: str = PLATED) -> EmbrittlementJudgement:
    return judge_embrittlement(of_measurement(read_hardness(hardness)), read_process(process))


def said(judgement: EmbrittlementJudgement) -> str:
    return " ".join(caution.text for caution in judgement.verdict.cautions)


@pytest.mark.parametrize(
    ("hardness", "process", "risk", "hours"),
    [
        ("30 HRC", PLATED, Risk.BELOW_THRESHOLD, None),
        ("90 HRB", PLATED, Risk.BELOW_THRESHOLD, None),
        ("350 HV", PLATED, Risk.BELOW_THRESHOLD, None),
        ("39.5 HRC", PLATED, Risk.BAKE, 14),
        ("42 HRC", PLATED, Risk.BAKE, 14),
        ("420 HB", PLATED, Risk.BAKE, 16),
        ("42 HRC", "cadmium electroplate", Risk.BAKE, 23),
        ("44 HRC", "cadmium electroplate", Risk.AVOID, None),
        ("44 HRC", PLATED, Risk.BAKE, 16),
        ("47 HRC", PLATED, Risk.AVOID, None),
        ("66 HRC", PLATED, Risk.AVOID, None),
        ("42 HRC", "electroplate", Risk.BAKE, 23),
        ("42 HRC", "nickel electroplate", Risk.BAKE, 14),
        ("42 HRC", "acid pickle", Risk.BAKE, 14),
        ("42 HRC", "electrolytic derust", Risk.BAKE, 14),
        ("42 HRC", "rust converter, paint", Risk.BAKE, 14),
        ("42 HRC", "phosphate", Risk.BAKE, 8),
        ("42 HRC", "degrease, zinc flake", Risk.BELOW_THRESHOLD, None),
        ("42 HRC", "acid pickle, zinc flake", Risk.BAKE, 14),
    ],
)
def test_a_hardness_and_a_chain_have_their_risk(
    hardness: str, process: str, risk: Risk, hours: float | None
) -> None:
    judged = measured(hardness, process)
    assert judged.risk is risk
    assert (judged.bake.hours if judged.bake else None) == hours


@pytest.mark.parametrize(
    ("grade", "risk"),
    [
        ("ISO 898-1 4.6", Risk.BELOW_THRESHOLD),
        ("ISO 898-1 8.8", Risk.BELOW_THRESHOLD),
        ("ISO 898-1 10.9", Risk.BAKE),
        ("ISO 898-1 12.9", Risk.BAKE),
        ("SAE J429 2", Risk.BELOW_THRESHOLD),
        ("SAE J429 5", Risk.BELOW_THRESHOLD),
        ("SAE J429 8", Risk.BAKE),
    ],
)
def test_a_grade_implies_its_hardest(grade: str, risk: Risk) -> None:
    assert judge_embrittlement(of_grade(grade), read_process(PLATED)).risk is risk


def test_below_every_demand_the_plater_is_still_told_to_relieve_and_who_wants_a_bake() -> None:
    # SAE grade 5 may be as hard as 34 HRC: ISO 9587 and ASTM B849 ask for stress relief from 31 HRC on, and
    # the chart of ASTM B850 begins there.
    judged = judge_embrittlement(of_grade("SAE J429 5"), read_process(PLATED))
    assert judged.risk is Risk.BELOW_THRESHOLD
    assert any("stresses before the bath (ISO 9587 (2007)" in told for told in judged.instructions)
    assert "ASTM B850" in said(judged)
    assert "wants it baked all the same" in said(judged)
    soft = judge_embrittlement(of_grade("SAE J429 2"), read_process(PLATED))
    assert not any("Relieve" in told for told in soft.instructions)
    pickled = judge_embrittlement(of_grade("SAE J429 5"), read_process("acid pickle, oil"))
    assert not any("Relieve" in told for told in pickled.instructions)


def test_a_size_that_is_known_is_looked_up() -> None:
    assert of_grade("8.8", 10.0).readings[0].high == 320
    assert of_grade("8.8", 20.0).readings[0].high == 335
    with pytest.raises(InvalidInput, match=r"grade needs a size that class 9.8 is made in; 20 mm is none"):
        of_grade("9.8", 20.0)


@pytest.mark.parametrize("letter", ["A", "P", "S", "T", "V"])
def test_a_british_letter_is_from_memory_and_never_passes(letter: str) -> None:
    judged = judge_embrittlement(of_grade(f"BS 1768 {letter}"), read_process(PLATED))
    assert judged.risk is not Risk.BELOW_THRESHOLD
    assert "From memory, not seen in print: the hardness" in said(judged)


@pytest.mark.parametrize(
    "kind",
    [
        "spring_washer",
        "circlip",
        "tension_pin",
        "spring",
        "lock washers",
        "roll pin",
        "Belleville washer",
        "lockwashers",
        "E-clip",
    ],
)
def test_springs_are_never_silently_plated(kind: str) -> None:
    judged = judge_embrittlement(of_kind(kind), read_process(PLATED))
    assert (judged.risk, judged.bake, judged.verdict.outcome) == (Risk.AVOID, None, Outcome.NOT_SOUND)
    assert any("do not electroplate" in told for told in judged.instructions)
    assert any("Zinc flake" in other for other in judged.alternatives)


def test_a_bolt_of_unknown_grade_is_taken_as_the_hardest_and_says_what_is_missing() -> None:
    judged = judge_embrittlement(of_kind("hex_bolt"), read_process(PLATED))
    assert judged.risk is Risk.BAKE
    assert "What matters most and is missing: its grade" in said(judged)


def test_editions_differ_all_are_shown_and_the_strictest_demand_is_instructed() -> None:
    judged = measured("39.5 HRC")
    by_edition = {
        one.edition: one.says for one in judged.by_standard if one.standard.startswith("ASTM F1941")
    }
    assert by_edition["2010"] is Saying.BELOW_THRESHOLD
    assert by_edition["2015"] is Saying.BAKE
    assert judged.risk is Risk.BAKE
    assert all(one.source and one.status and one.edition for one in judged.by_standard)


def test_advice_against_plating_binds_only_what_is_safety_critical() -> None:
    known, steps = of_grade("ISO 898-1 12.9"), read_process(PLATED)
    ordinary = judge_embrittlement(known, steps)
    flywheel = judge_embrittlement(known, steps, safety_critical=True)
    assert (ordinary.risk, flywheel.risk) == (Risk.BAKE, Risk.AVOID)
    assert "Better not electroplated at all" in said(ordinary)
    assert any(one.says is Saying.AVOID and one.force is Force.RECOMMENDS for one in ordinary.by_standard)


def test_between_360_and_390_hv_a_proven_process_may_do_without_baking() -> None:
    known, steps = of_measurement(read_hardness("362 HV")), read_process("anodic clean, nickel electroplate")
    assert judge_embrittlement(known, steps).risk is Risk.BAKE
    assert judge_embrittlement(known, steps, process_verified=True).risk is Risk.BELOW_THRESHOLD


def test_a_hardened_surface_reaches_every_threshold() -> None:
    known, steps = of_measurement(read_hardness("25 HRC")), read_process(PLATED)
    assert judge_embrittlement(known, steps, case_hardened=True).risk is Risk.AVOID


def test_a_grub_screw_is_under_no_tension_so_iso_4042_is_silent() -> None:
    judged = judge_embrittlement(of_kind("grub screw"), read_process(PLATED))
    assert not any(one.named == "ISO 4042 (2018)" for one in judged.by_standard)


@pytest.mark.parametrize(
    ("process", "caution"),
    [
        ("zinc electroplate, passivate, bake", "plate, bake, then passivate"),
        ("bake, zinc electroplate", "The bake comes before a step that brings hydrogen"),
        ("cathodic clean, zinc electroplate", "Cathodic cleaning is to be avoided"),
    ],
)
def test_a_wrong_order_is_said(process: str, caution: str) -> None:
    assert caution in said(measured("42 HRC", process))


def test_the_right_order_is_not_scolded() -> None:
    shown = said(measured("42 HRC", "anodic clean, zinc electroplate, bake, passivate"))
    assert "The bake comes before" not in shown
    assert "The order is" not in shown


def test_what_only_memory_calls_harmless_is_not_proven_on_hard_steel() -> None:
    assert measured("42 HRC", "black oxide").verdict.outcome is Outcome.NOT_PROVEN
    assert "Ask how it is cleaned before black oxide" in said(measured("42 HRC", "black oxide"))
    assert measured("25 HRC", "black oxide").verdict.outcome is Outcome.SOUND
    assert measured("42 HRC", "degrease, oil").verdict.outcome is Outcome.SOUND


def test_a_converted_hardness_needs_a_margin_and_says_so() -> None:
    judged = measured("384 HV", "zinc electroplate")
    f1941 = next(one for one in judged.by_standard if one.named == "ASTM F1941/F1941M (2015)")
    assert (f1941.says, f1941.close) == (Saying.BAKE, False)
    assert "measure again on the scale of the standard" in said(measured("376 HV", "zinc electroplate"))


@pytest.mark.parametrize(
    ("text", "keys"),
    [
        ("acid pickle, zinc electroplate", ["acid_pickle", "zinc_electroplate"]),
        (
            "Degrease -> zinc-nickel electroplating then passivate",
            ["degrease", "zinc_nickel_electroplate", "passivate"],
        ),
        ("derust; zinc_yellow + bake", ["acid_rust_remover", "zinc_electroplate", "bake"]),
        ("neutral rust remover and wire brush", ["chelate", "brush"]),
        ("mechanical zinc", ["mechanical_plate"]),
        ("mechanically plated", ["mechanical_plate"]),
        ("zinc flake plating", ["zinc_flake"]),
        ("cadmium electroplating", ["cadmium_electroplate"]),
        ("clean in acid, zinc plated", ["acid_pickle", "zinc_electroplate"]),
        ("strip the old cadmium, bake after plating", ["acid_strip", "electroplate", "bake"]),
        ("acid dip, zinc plate, bake after plating", ["acid_pickle", "zinc_electroplate", "bake"]),
        ("wire brush after acid dip", ["acid_pickle", "brush"]),
        ("black oxide following acid pickling", ["acid_pickle", "black_oxide"]),
        ("acid pickle before zinc plating", ["acid_pickle", "zinc_electroplate"]),
        ("pickle prior to plating, zinc plate", ["acid_pickle", "zinc_electroplate"]),
        ("bright acid zinc", ["acid_pickle", "zinc_electroplate"]),
        ("electroless nickel", ["electroless_nickel"]),
    ],
)
def test_a_chain_is_read_step_by_step(text: str, keys: list[str]) -> None:
    assert [step.key for step in read_process(text)] == keys


def test_a_metal_without_rules_of_its_own_says_that_those_of_zinc_are_borrowed() -> None:
    def why(process: str) -> str:
        return " ".join(reason.text for reason in measured("42 HRC", process).verdict.reasons)

    assert "Rules that name zinc are borrowed for nickel and chromium" in why("nickel plate, chrome plate")
    assert "borrowed" not in why("zinc electroplate")
    assert "borrowed" not in why("cadmium electroplate")


def test_acid_that_is_named_in_passing_counts() -> None:
    assert measured("42 HRC", "wire brush after acid dip").risk is Risk.BAKE


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("", r"nothing came. Steps known here: acid pickle"),
        ("gold dip", r"'gold dip' came. Steps known here"),
        ("no acid, zinc", r"'no acid' came. Leave out what is not done"),
        ("zinc " * 100, r"Type the steps alone"),
    ],
)
def test_an_unknown_process_is_refused(text: str, remedy: str) -> None:
    with pytest.raises(InvalidInput, match=r"process needs the steps in their order.*" + remedy):
        read_process(text)


def test_an_unknown_kind_or_grade_is_refused_with_the_list() -> None:
    with pytest.raises(InvalidInput, match=r"kind needs one of spring_washer, circlip.*'widget' came"):
        of_kind("widget")
    with pytest.raises(InvalidInput, match=r"grade needs one of ISO 898-1: 4.6.*have the hardness measured"):
        of_grade("13.9")


@given(one=st.floats(20, 68), other=st.floats(20, 68), metal=st.sampled_from(["zinc", "cadmium", "nickel"]))
def test_harder_is_never_safer(one: float, other: float, metal: str) -> None:
    soft, hard = (measured(f"{value:.2f} HRC", f"{metal} electroplate") for value in sorted((one, other)))
    assert RANKS[soft.risk] <= RANKS[hard.risk]
    if soft.bake and hard.bake:
        assert soft.bake.hours <= hard.bake.hours


@given(
    hardness=st.floats(20, 68),
    chain=st.lists(
        st.sampled_from(["acid pickle", "zinc electroplate", "degrease", "phosphate", "bake", "cadmium"]),
        min_size=1,
        max_size=5,
    ),
)
def test_a_bake_is_given_exactly_where_one_is_asked(hardness: float, chain: list[str]) -> None:
    judged = measured(f"{hardness:.2f} HRC", ", ".join(chain))
    assert (judged.bake is not None) == (judged.risk is Risk.BAKE)
    assert all(reason.text.endswith(".") for reason in judged.verdict.reasons)
    if judged.bake:
        assert judged.bake.hours >= 8
        assert 0 < judged.bake.within_hours <= 4


def test_every_risk_but_the_lowest_offers_something_else() -> None:
    assert measured("47 HRC").alternatives == measured("42 HRC").alternatives != ()
    assert measured("25 HRC").alternatives == ()
