"""What may be missing of the other side and of the engagement."""

from __future__ import annotations

from runningfit.core.joints.tapped_materials import tapped_material
from runningfit.core.pieces.kinds import LengthBasis
from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.carrying import (
    is_nut_on_stud,
)
from runningfit.core.treatments.threaded_joint.engaging import usual_shank_mm
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, ThreadState
from runningfit.core.treatments.threaded_joint.gaps.gap import (
    Gap,
    bolt_called,
    called,
    graded,
    is_ungraded,
    its_thread,
    with_mate,
    with_piece,
)


def _metal_name(facts: JointFacts) -> str:
    if is_nut_on_stud(facts) or facts.mate.mate is Mate.NUT:
        return "of what the nut is made"
    return "of what metal the hole is"


def _no_metal(facts: JointFacts) -> bool:
    return not (facts.piece.material if is_nut_on_stud(facts) else facts.mate.material)


def _is_some_aluminium(facts: JointFacts) -> bool:
    """Whether the hole is said to be in aluminium, of which nobody said which alloy."""
    words = facts.mate.material.strip()
    return bool(words) and not is_nut_on_stud(facts) and tapped_material(words).said == "aluminium casting"


def _metal(facts: JointFacts, name: str) -> JointFacts:
    if is_nut_on_stud(facts):
        # The weaker of the metals of nuts is what an unknown one is taken for.
        return with_piece(facts, material="steel" if name == "steel" else "")
    if facts.mate.mate is Mate.NUT and name != "steel":
        return with_mate(facts, material="")
    return with_mate(facts, material=name)


def _is_headed(facts: JointFacts) -> bool:
    return facts.piece.kind.length_basis is LengthBasis.UNDER_HEAD and not is_nut_on_stud(facts)


def _by_lengths(facts: JointFacts) -> bool:
    return facts.mate.engaged_mm is None and _is_headed(facts)


def _depth_name(facts: JointFacts) -> str:
    is_nut = is_nut_on_stud(facts) or facts.mate.mate is Mate.NUT
    return "how high the nut is" if is_nut else "how deep the thread of the hole is"


def _deep(facts: JointFacts) -> float:
    """A depth that no bolt meets the bottom of, and that is enough for any."""
    return max(3 * its_thread(facts).major_mm, facts.piece.length_mm or 0.0)


def _reach(facts: JointFacts, *, full: bool) -> float:
    """How far a bolt may reach into its hole: as far as the thread goes, or hardly."""
    major = its_thread(facts).major_mm
    return min(facts.mate.depth_mm or 3 * major, 3 * major) if full else 0.5 * major


def _length(facts: JointFacts, *, full: bool) -> JointFacts:
    under = (facts.mate.clamped_mm if facts.mate.clamped_mm is not None else 10.0) + (
        facts.mate.washer_mm or 0.0
    )
    return with_piece(facts, length_mm=under + _reach(facts, full=full))


def _clamped(facts: JointFacts, *, full: bool) -> JointFacts:
    left = (facts.piece.length_mm or 0.0) - (facts.mate.washer_mm or 0.0) - _reach(facts, full=full)
    return with_mate(facts, clamped_mm=max(0.0, left))


OF_STRIPPING = (
    Gap(
        called("what it is screwed into"),
        lambda facts: facts.mate.mate is Mate.NOT_SAID and not is_nut_on_stud(facts),
        lambda facts: with_mate(facts, mate=Mate.TAPPED_HOLE),
        lambda facts: with_mate(facts, mate=Mate.NOT_SAID),
        frozenset({Question.STRIPPING}),
    ),
    Gap(
        called("what GO and NO-GO say of the thread on the other side"),
        lambda facts: facts.mate.thread_state is ThreadState.NOT_PROVEN,
        lambda facts: with_mate(facts, thread_state=ThreadState.GOOD),
        lambda facts: with_mate(facts, thread_state=ThreadState.DEFECTIVE),
    ),
    Gap(
        called("how far it is screwed in: count the turns"),
        lambda facts: facts.mate.engaged_mm is None and not _is_headed(facts) and not is_nut_on_stud(facts),
        lambda facts: with_mate(facts, engaged_mm=3 * its_thread(facts).major_mm),
        lambda facts: with_mate(facts, engaged_mm=0.5 * its_thread(facts).major_mm),
    ),
    Gap(
        _depth_name,
        lambda facts: facts.mate.depth_mm is None and (_by_lengths(facts) or is_nut_on_stud(facts)),
        lambda facts: with_mate(facts, depth_mm=_deep(facts)),
        lambda facts: with_mate(facts, depth_mm=0.6 * its_thread(facts).major_mm),
    ),
    Gap(
        called("how long it is"),
        lambda facts: facts.piece.length_mm is None and _by_lengths(facts),
        lambda facts: _length(facts, full=True),
        lambda facts: _length(facts, full=False),
    ),
    Gap(
        called("how thick the parts are that it clamps"),
        lambda facts: facts.mate.clamped_mm is None and _by_lengths(facts),
        lambda facts: _clamped(facts, full=True),
        lambda facts: _clamped(facts, full=False),
    ),
    Gap(
        _metal_name,
        _no_metal,
        lambda facts: _metal(facts, "steel"),
        lambda facts: _metal(facts, "aluminium casting"),
    ),
    Gap(
        called("of what alloy the casting is"),
        _is_some_aluminium,
        lambda facts: with_mate(facts, material="LM25-TF"),
        lambda facts: with_mate(facts, material="LM25-M"),
        refines=True,
    ),
    Gap(
        bolt_called,
        is_ungraded,
        lambda facts: graded(facts, strong=False),
        lambda facts: graded(facts, strong=True),
    ),
    Gap(
        called("how long its thread is"),
        lambda facts: usual_shank_mm(its_thread(facts), facts) > 0,
        lambda facts: with_piece(facts, thread_length_mm=facts.piece.length_mm),
        lambda facts: with_piece(facts, thread_length_mm=its_thread(facts).major_mm),
    ),
    Gap(
        called("whether the hole is blind"),
        lambda facts: facts.mate.blind is None and facts.mate.mate is Mate.TAPPED_HOLE and _by_lengths(facts),
        lambda facts: with_mate(facts, blind=False),
        lambda facts: with_mate(facts, blind=True),
    ),
    Gap(
        called("how thick the washers under it are"),
        lambda facts: facts.mate.washer_mm is None and _by_lengths(facts),
        lambda facts: with_mate(facts, washer_mm=0.0),
        lambda facts: with_mate(facts, washer_mm=None),
    ),
    Gap(
        called("how deep the countersink is"),
        lambda facts: facts.mate.chamfer_mm is None and facts.mate.engaged_mm is None and _is_headed(facts),
        lambda facts: with_mate(facts, chamfer_mm=0.0),
        lambda facts: with_mate(facts, chamfer_mm=None),
    ),
)
