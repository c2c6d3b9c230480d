"""Which missing fact matters most is reckoned, and changes with what is known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.treatments.threaded_joint.test_troubles import (
    CADMIUM_ASKED,
    FLYWHEEL,
    IN_ALUMINIUM,
    the,
    with_piece,
)
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece
from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    TorqueFacts,
)
from runningfit.core.verdicts import Outcome


def test_nothing_is_missing_of_what_is_sound() -> None:
    known = with_piece(CADMIUM_ASKED, finish_received="cadmium")
    for check in judge_joint(known).checks:
        assert check.missing == "" or check.verdict.outcome.value != "sound"


@pytest.mark.parametrize(
    ("unsaid", "said"),
    [
        ({"depth_mm": None}, "how deep the thread of the hole is"),
        ({"clamped_mm": None}, "how thick the parts are that it clamps"),
        ({"mate": Mate.NOT_SAID}, "what it is screwed into"),
    ],
)
def test_the_one_length_that_is_not_known_is_asked_for(unsaid: dict[str, object], said: str) -> None:
    mate = replace(IN_ALUMINIUM.mate, **{"material": "LM25-TF", "depth_mm": 30.0, **unsaid})  # type: ignore[arg-type]
    longer = with_piece(replace(IN_ALUMINIUM, mate=mate), length_mm=45.0)
    assert the(judge_joint(longer), Question.STRIPPING).missing == said


def test_no_depth_helps_a_bolt_that_hardly_reaches_the_hole() -> None:
    unsaid = replace(IN_ALUMINIUM, mate=replace(IN_ALUMINIUM.mate, material="LM25-TF", depth_mm=None))
    check = the(judge_joint(unsaid), Question.STRIPPING)
    assert check.verdict.outcome is Outcome.NOT_SOUND
    assert check.says == "At most 4.1 mm of thread hold, however deep the hole is: too little."


def test_of_an_unknown_metal_and_a_thin_washer_the_metal_matters() -> None:
    mate = replace(IN_ALUMINIUM.mate, material="", washer_mm=None, depth_mm=30.0, clamped_mm=8.0)
    assert the(judge_joint(replace(IN_ALUMINIUM, mate=mate)), Question.STRIPPING).missing == (
        "of what metal the hole is"
    )


def test_a_stud_is_asked_how_far_it_is_screwed_in() -> None:
    stud = JointFacts(
        PieceFacts(Kind.STUD, ("3/8-16 UNC",), length_mm=60.0, grade="SAE J429 5", looks_sound=True),
        MateFacts(Mate.TAPPED_HOLE, material="steel"),
    )
    check = the(judge_joint(stud), Question.STRIPPING)
    assert check.missing == "how far it is screwed in: count the turns"
    counted = replace(stud, mate=replace(stud.mate, engaged_mm=38.0))
    assert the(judge_joint(counted), Question.STRIPPING).says.startswith("38.0 mm of thread hold")


def test_without_a_torque_the_torque_is_asked_for_and_not_the_wrench() -> None:
    judged = judge_joint(replace(CADMIUM_ASKED, torque=TorqueFacts()))
    assert the(judged, Question.TORQUE).missing == "the maker's torque, with its page"


def test_before_the_finish_is_confirmed_the_finish_is_asked_for() -> None:
    assert the(judge_joint(CADMIUM_ASKED), Question.TORQUE).missing == "the finish that came back"


def test_an_unmarked_bolt_for_zinc_is_asked_for_its_mark() -> None:
    judged = judge_piece(
        PieceFacts(Kind.HEX_BOLT, ("3/8-16 UNC",), looks_sound=True, coat="3um", treatment="zinc_clear")
    )
    assert judged.matters_most == "how hard it is: the mark on its head, or a hardness test"
    told = judge_piece(
        PieceFacts(
            Kind.HEX_BOLT,
            ("3/8-16 UNC",),
            looks_sound=True,
            coat="3um",
            treatment="zinc_clear",
            hardness="25 HRC",
        )
    )
    assert "how hard" not in told.matters_most


def test_a_flywheel_bolt_is_asked_for_its_measurements_and_not_for_its_looks() -> None:
    check = the(judge_joint(FLYWHEEL), Question.REUSE)
    assert check.missing == "how much longer it is than a new one"
    measured = judge_joint(with_piece(FLYWHEEL, stretch_mm=0.0, neck_mm=0.0))
    assert the(measured, Question.REUSE).missing == "what a crack test says"
