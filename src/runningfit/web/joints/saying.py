"""What the judge pages say: verdicts as stamped words, questions, groups, and the way to a missing fact."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments import treatment
from runningfit.core.treatments.threaded_joint.answers import JointJudgement, Question, Standing
from runningfit.core.treatments.threaded_joint.facts_called import fact_called
from runningfit.core.verdicts import Outcome
from runningfit.web.addresses import address
from runningfit.web.joints.forms import KnownOfLotForm, KnownOfPlaceForm
from runningfit.workshop.joints.deciding import USE, not_seen, stands, unseen_words
from runningfit.workshop.joints.facts import CHANGES_FINISH, was_treated
from runningfit.workshop.joints.models import JointDecision
from runningfit.workshop.joints.queries import JudgedJoint
from runningfit.workshop.joints.ranking import Decided
from runningfit.workshop.pieces.models import Lot

STAMPS: Mapping[Outcome, str] = {
    Outcome.SOUND: "good",
    Outcome.SOUND_AFTER_TREATMENT: "after",
    Outcome.NOT_SOUND: "bad",
    Outcome.NOT_PROVEN: "open",
}
WORDS: Mapping[Outcome, str] = {
    Outcome.SOUND: "sound",
    Outcome.SOUND_AFTER_TREATMENT: "sound after treatment",
    Outcome.NOT_SOUND: "not sound",
    Outcome.NOT_PROVEN: "not proven",
}
QUESTIONS: Mapping[Question, str] = {
    Question.REUSE: "May it be used again?",
    Question.HYDROGEN: "Will the bath crack it?",
    Question.STRIPPING: "Do the threads hold?",
    Question.YIELDING: "Does the torque overstrain it?",
    Question.PLATING: "Does it still go together?",
    Question.TORQUE: "Which torque, as it is now?",
}


class Group(StrEnum):
    """How far a joint is, in the order in which a person must look at it."""

    NEEDS_YOU = "needs"
    DECIDED = "decided"
    NOT_PROVEN = "open"
    AFTER = "after"
    SOUND = "sound"


GROUP_WORDS: Mapping[Group, str] = {
    Group.NEEDS_YOU: "Needs you",
    Group.DECIDED: "Decided by a person",
    Group.NOT_PROVEN: "Not proven",
    Group.AFTER: "Sound after treatment",
    Group.SOUND: "Sound",
}
_BY_OUTCOME: Mapping[Outcome, Group] = {
    Outcome.NOT_SOUND: Group.NEEDS_YOU,
    Outcome.NOT_PROVEN: Group.NOT_PROVEN,
    Outcome.SOUND_AFTER_TREATMENT: Group.AFTER,
    Outcome.SOUND: Group.SOUND,
}
GROUP_HINTS: Mapping[Group, str] = {
    Group.NEEDS_YOU: "Before anything is sent out or tightened.",
    Group.DECIDED: "The verdict stands beside what was decided.",
    Group.NOT_PROVEN: "One more fact may settle it: it is named in each line.",
    Group.AFTER: "With what is planned for them.",
    Group.SOUND: "",
}


def disagrees(decision: JointDecision | None, judgement: JointJudgement) -> bool:
    """Return whether a person uses what the verdict does not call sound."""
    if decision is None or decision.choice != "use":
        return False
    return judgement.outcome in (Outcome.NOT_SOUND, Outcome.NOT_PROVEN)


def group_of(standing: Standing, decision: JointDecision | Decided | None) -> Group:
    """Return how far a joint is."""
    if stands(decision, standing):
        return Group.DECIDED
    unseen = not_seen(decision, standing)
    if decision is not None and decision.choice == USE and unseen:
        # What a person took on is settled; only what came after it stands open again.
        hurts = any(one.needs_a_person or one.outcome is Outcome.NOT_SOUND for one in unseen)
        return Group.NEEDS_YOU if hurts else Group.NOT_PROVEN
    return Group.NEEDS_YOU if standing.needs_a_person else _BY_OUTCOME[standing.outcome]


def came_after(decision: JointDecision | None, judgement: JointJudgement) -> str:
    """Say what came to light after a decision; empty where nothing did."""
    if decision is None:
        return ""
    return " ".join(unseen_words(decision, line) for line in not_seen(decision, judgement))


def outcome_words(one: JudgedJoint) -> str:
    """Say the verdict in words, with the treatment that it counts on."""
    outcome = one.judgement.outcome
    if outcome is Outcome.SOUND_AFTER_TREATMENT and one.facts.piece.treatment:
        return f"sound after: {treatment(one.facts.piece.treatment).label}"
    return WORDS[outcome]


@dataclass(frozen=True, slots=True)
class Way:
    """A way to where a fact is said: its address, and whether it is said here or by other means."""

    address: str
    words: str


# Who has no tester looks at the head first.
_MARKED = frozenset({Kind.HEX_BOLT, Kind.SETSCREW})
# Facts that are said on the form of a lot or of a place, by the names of its fields.
_LOT_FIELDS: Mapping[str, str] = {
    "grade": "head_marking",
    "neck_mm": "neck",
    "neck_most_mm": "neck_most",
    "stretch_mm": "stretch",
    "stretch_most_mm": "stretch_most",
    "thread_length_mm": "thread_length",
    "over_ten_mm": "over_ten",
    "rust_mm": "rust",
}
_PLACE_FIELDS: Mapping[str, str] = {
    "depth_mm": "depth",
    "chamfer_mm": "chamfer",
    "clamped_mm": "clamped",
    "engaged_mm": "engaged",
    "prevailing_nm": "prevailing",
    "washer_mm": "washer",
    "grade": "mate_grade",
    "thread_class": "mate_class",
    "finish": "mate_finish",
    "coat": "mate_coat",
    "minor": "hole_minor",
    "pitch_diameter": "hole_pitch_diameter",
    "torque_nm": "torque",
    "said": "torque",
    "page": "torque_page",
    "assumed": "torque_assumed",
    "wanted_clamp_n": "wanted_clamp",
}
_OF_PIECE_ELSEWHERE: Mapping[str, tuple[str, str]] = {
    "threads": ("name_lot_thread", "Name the thread"),
    "passes_go": ("check_lot_thread", "Gauge it"),
    "stops_no_go": ("check_lot_thread", "Gauge it"),
    "pitch_diameter": ("check_lot_thread", "Measure it"),
    "major": ("check_lot_thread", "Measure it"),
    "thread_state": ("check_lot_thread", "Gauge it"),
    "length_mm": ("edit_lot", "Say it"),
    "finish_now": ("edit_lot", "Say it"),
    "kind": ("edit_lot", "Say it"),
}


def way_to_say(said: str, one: JudgedJoint) -> Way | None:
    """Return the way to where a missing fact is said; none where it is said nowhere.

    Parameters
    ----------
    said : str
        What it is called by the judgement.
    one : JudgedJoint
        Of which joint.
    """
    side, _, name = fact_called(said, one.facts).partition(".")
    lot, place = one.lot, one.place
    if side == "piece" and lot is not None:
        if name in _OF_PIECE_ELSEWHERE:
            page, words = _OF_PIECE_ELSEWHERE[name]
            return Way(address(page, lot.job_id, lot.number), words)
        if name == "finish_received":
            return way_to_finish(lot)
        if name == "hardness" and one.facts.piece.kind in _MARKED and not one.facts.piece.head_marking:
            name = "head_marking"
        first = _LOT_FIELDS.get(name, name)
        if first not in KnownOfLotForm.base_fields:
            return None
        return Way(f"{address('say_lot', lot.job_id, lot.number)}?first={first}", "Say it")
    if side in ("mate", "torque") and place is not None:
        if name == "thread_state":
            return Way(address("place", place.area.job_id, place.pk), "Say it")
        first = _PLACE_FIELDS.get(name, name)
        if first not in KnownOfPlaceForm.base_fields:
            return None
        return Way(f"{address('say_place', place.area.job_id, place.pk)}?first={first}", "Say it")
    return None


def way_to_finish(lot: Lot) -> Way | None:
    """What was never treated is said of the lot; what came back is confirmed, what is to come cannot be."""
    if lot.treatment in CHANGES_FINISH:
        return None
    if was_treated(lot):
        return Way(address("lot_finish", lot.job_id, lot.number), "Say which came")
    return Way(address("edit_lot", lot.job_id, lot.number), "Say it")


def joint_address(one: JudgedJoint) -> str:
    """Return the address of a joint's page: by its lot, or by the place that has none."""
    if one.lot is not None:
        return address("lot_joint", one.lot.job_id, one.lot.number)
    assert one.place is not None
    return address("place_joint", one.place.area.job_id, one.place.pk)
