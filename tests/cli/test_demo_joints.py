"""The demo's joints: each planted trouble comes out right and before what only lacks facts."""

from __future__ import annotations

import datetime as dt
import shutil
import tempfile
from pathlib import Path

import pytest
from django.test import TestCase, override_settings

from printed_papers import words_of as printed
from runningfit.cli.demo.scenario import build
from runningfit.cli.demo.shelf import Shelf, words_of
from runningfit.core.errors import Conflict
from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.verdicts import Outcome
from runningfit.reports.torque_sheet import torque_sheet
from runningfit.workshop.joints.queries import JudgedJoint, judged_joints
from runningfit.workshop.joints.torques import torque_sheet_of
from runningfit.workshop.models import Area
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.outside_work.services import send
from runningfit.workshop.records.writing import Hand

# Place by place, the lot in which a trouble was planted.
PLANTED = {
    "G1: spring washer 5/16 in",
    "B1: spring washer 1/2 in",
    "F2: spring washer 3/8 in",
    "F1: hex bolt 7/16-20 UNF x 1 1/8 in",
    "W1: hex bolt 3/8-16 UNC x 1 1/2 in",
    "W1: hex bolt 3/8-16 UNC x 1 3/4 in",
    "G1: hex bolt 5/16-24 UNF x 1 3/8 in, pulled threads",
    "G1: hex bolt 5/16-24 UNF x 1 3/8 in",
    "K2: hex bolt 3/8-16 UNC x 2 1/4 in",
}


def check_of(one: JudgedJoint, question: Question) -> Check:
    return next(check for check in one.judgement.checks if check.question is question)


class TestDemoJoints(TestCase):
    """The demo job, built once for all tests and taken away whole behind them."""

    joints: list[JudgedJoint]
    shelf: Shelf

    @classmethod
    def setUpClass(cls) -> None:
        """Give the photos and lists of the demo a folder of their own."""
        folder = Path(tempfile.mkdtemp(prefix="runningfit-demo-"))
        cls.enterClassContext(override_settings(DATA=folder, PHOTO_FOLDER=folder / "photos"))
        cls.addClassCleanup(shutil.rmtree, folder, ignore_errors=True)
        super().setUpClass()

    @classmethod
    def setUpTestData(cls) -> None:
        """Build the demo and judge all of it."""
        job = build()
        cls.shelf = Shelf(job)
        cls.joints = judged_joints(job)

    def at(self, place: str, lot: str) -> JudgedJoint:
        """The joint of that lot at that place."""
        return next(
            one
            for one in self.joints
            if one.place and one.lot and one.place.name == place and words_of(one.lot) == lot
        )

    def test_what_was_planted_comes_before_what_only_lacks_facts(self) -> None:
        at_places = [one for one in self.joints if one.place and one.lot]
        ranks = {words_of(one.lot): one.judgement.rank for one in at_places if one.lot}
        waiting = [one for one in self.joints if not any(c.needs_a_person for c in one.judgement.checks)]
        assert max(ranks[name] for name in PLANTED) < min(one.judgement.rank for one in waiting)
        handful = [one for one in at_places if any(c.needs_a_person for c in one.judgement.checks)]
        assert len(PLANTED) <= len(handful) <= 25

    def test_spring_washers_are_never_silently_plated(self) -> None:
        for place, lot in (
            ("spring washers under the case bolts", "G1: spring washer 5/16 in"),
            ("spring washers of the bearers", "B1: spring washer 1/2 in"),
            ("spring washers of the housing", "F2: spring washer 3/8 in"),
        ):
            judgement = self.at(place, lot).judgement
            assert judgement.outcome is Outcome.NOT_SOUND, lot
            assert "spring" in judgement.says.lower(), lot
            assert judgement.plater.do_not_send, lot

    def test_the_consignment_with_spring_washers_is_not_sent(self) -> None:
        waiting = Consignment.objects.get(lines__lot=self.shelf.lot("F2: spring washer 3/8 in"))
        assert waiting.sent_on is None
        number = self.shelf.lot("F2: spring washer 3/8 in").number
        with pytest.raises(Conflict, match=f"does not go yet. Lot {number}:"):
            send(consignment=waiting, hand=Hand(who="Wilf"))

    def test_high_grade_flywheel_bolts_are_baked_and_not_passed_on_their_looks(self) -> None:
        one = self.at("flywheel to crankshaft", "F1: hex bolt 7/16-20 UNF x 1 1/8 in")
        bake = one.judgement.plater.bake
        assert bake is not None
        assert bake.hours >= 8
        assert check_of(one, Question.HYDROGEN).needs_a_person
        reuse = check_of(one, Question.REUSE)
        assert reuse.verdict.outcome is Outcome.NOT_PROVEN
        assert "Looks alone never pass it" in reuse.says
        assert one.judgement.torque.torque_nm is None

    def test_short_engagement_in_aluminium_strips_and_the_longer_bolt_bottoms(self) -> None:
        short = check_of(
            self.at("pump to gear case", "W1: hex bolt 3/8-16 UNC x 1 1/2 in"), Question.STRIPPING
        )
        assert short.verdict.outcome is Outcome.NOT_SOUND
        assert any("pull the thread" in caution.text for caution in short.verdict.cautions)
        long = check_of(
            self.at("pump to gear case", "W1: hex bolt 3/8-16 UNC x 1 3/4 in"), Question.STRIPPING
        )
        assert long.verdict.outcome is Outcome.NOT_SOUND
        assert "meets the bottom of the hole 1.6 mm" in long.says

    def test_the_pulled_threads_are_not_sound_and_their_hole_is_not_proven(self) -> None:
        pulled = self.at("case to block", "G1: hex bolt 5/16-24 UNF x 1 3/8 in, pulled threads")
        assert pulled.judgement.outcome is Outcome.NOT_SOUND
        assert pulled.decision is not None
        assert (pulled.decision.choice, pulled.decision.outcome) == ("replace", "not_sound")
        others = self.at("case to block", "G1: hex bolt 5/16-24 UNF x 1 3/8 in")
        stripping = check_of(others, Question.STRIPPING)
        assert stripping.verdict.outcome is Outcome.NOT_PROVEN
        assert "gauge it" in stripping.says
        assert stripping.needs_a_person

    def test_zinc_came_for_cadmium_and_the_old_torque_clamps_too_little(self) -> None:
        one = self.at("rocker pedestals", "K2: hex bolt 3/8-16 UNC x 2 1/4 in")
        assert (one.facts.piece.treatment, one.facts.piece.finish_received) == ("cadmium", "zinc")
        torque = one.judgement.torque
        assert torque.torque_nm is None
        assert "Cadmium was asked for and zinc came" in torque.refused
        assert torque.ratio_if_unchanged is not None
        assert torque.ratio_if_unchanged.mean < 0.8

    def test_where_nobody_confirmed_what_came_back_there_is_no_torque(self) -> None:
        one = self.at("case through the dowel bosses", "G1: hex bolt 5/16-24 UNF x 1 15/16 in")
        assert one.facts.piece.finish_received == ""
        assert one.judgement.torque.torque_nm is None
        assert "confirms" in one.judgement.torque.refused

    def test_the_torque_sheets_say_what_may_not_be_tightened_or_fitted(self) -> None:
        said = {}
        for area in Area.objects.all():
            said[area.name] = printed(torque_sheet(torque_sheet_of(area), today=dt.date(2026, 3, 10)))
        assert "Cadmium was asked for and zinc came" in said["rocker box"]
        assert "the joint may work loose or leak" in said["rocker box"]
        assert "Do not tighten them: This torque may pull the thread" in said["raw-water pump"]
        assert "Do not tighten them: It meets the bottom of the hole" in said["raw-water pump"]
        assert "Do not tighten them: Its thread is damaged" in said["gear case"]
        assert "safety-critical" in said["flywheel"].lower()
        for area_name in ("gear case", "dynamo"):
            assert "Do not fit these" in said[area_name]
            assert "spring washers" in said[area_name]

    def test_where_it_was_confirmed_as_the_maker_had_it_his_figure_stands(self) -> None:
        one = self.at("housing to block", "F2: hex bolt 3/8-16 UNC x 1 1/4 in")
        assert one.judgement.torque.torque_nm is not None
        assert one.judgement.torque.torque_nm.mean == one.facts.torque.torque_nm

    def test_a_joint_of_which_everything_is_known_is_sound(self) -> None:
        one = self.at("water outlet elbow", "H2: setscrew 5/16-18 UNC x 1 1/4 in")
        asked = {check.question: check.verdict.outcome for check in one.judgement.checks}
        assert one.judgement.outcome is Outcome.SOUND
        assert set(asked.values()) == {Outcome.SOUND}
        assert {Question.REUSE, Question.STRIPPING, Question.YIELDING, Question.TORQUE} <= set(asked)

    def test_a_decision_against_the_verdict_stands_beside_it(self) -> None:
        one = self.at("rod bolts", "M2: hex bolt 3/8-24 UNF x 2 1/16 in")
        assert one.decision is not None
        assert (one.decision.choice, one.decision.who) == ("use", "Wilf")
        assert one.judgement.outcome is Outcome.NOT_PROVEN
