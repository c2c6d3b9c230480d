"""The drawing of a joint in section: what is known is to scale, what is not is dashed and named."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import all_threads, thread
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate, MateFacts, PieceFacts
from runningfit.core.units import LengthUnit
from runningfit.web.joints.joint_drawing import WIDTH, Holds, JointDrawing, joint_drawing

MEASURED = MateFacts(
    mate=Mate.TAPPED_HOLE, blind=True, depth_mm=20.0, clamped_mm=10.0, washer_mm=1.6, chamfer_mm=0.8
)
BOLT = PieceFacts(kind=Kind.HEX_BOLT, length_mm=25.4)
NUMBERS = re.compile(r"-?[0-9]+\.[0-9]+|nan|inf")
DIMENSION = re.compile(
    r'<g class="size (\w+)"><path class="lead"[^>]*/>'
    r'<path d="M([0-9.-]+) [0-9.-]+H([0-9.-]+)M.*?<text[^>]*>(.*?) <'
)
MAYBE_MM = st.none() | st.floats(0.0, 120.0)


def drawn(
    piece: PieceFacts = BOLT,
    mate: MateFacts = MEASURED,
    holds: Holds | None = None,
    *,
    unit: LengthUnit = LengthUnit.MM,
    alone: bool = False,
) -> JointDrawing:
    facts = JointFacts(piece, mate)
    return joint_drawing(facts, thread("5/16-18 UNC"), holds or Holds(10.0, 16.0), unit, alone=alone)


def dimension(svg: str, words: str) -> tuple[str, float]:
    """The style of a dimension and how long its line is."""
    for style, start, end, named in DIMENSION.findall(svg):
        if named == words:
            return style, float(end) - float(start)
    raise AssertionError(f"no dimension called {words}")


def test_what_is_measured_is_drawn_to_one_scale() -> None:
    svg = drawn().svg
    per_mm = dimension(svg, "under the head")[1] / 25.4
    for words, mm in (
        ("clamped", 10.0),
        ("washers", 1.6),
        ("countersink", 0.8),
        ("tapped", 20.0),
        ("holds", 10.0),
        ("needed", 16.0),
    ):
        assert dimension(svg, words)[1] == pytest.approx(mm * per_mm, abs=0.25), words


def test_the_engaged_thread_lies_behind_the_countersink_and_is_as_long_as_reckoned() -> None:
    svg = drawn().svg
    per_mm = dimension(svg, "under the head")[1] / 25.4
    (held, *_) = re.findall(r'<path class="holds" d="M([^"]+)"', svg)
    along = [float(step.split()[0]) for step in held.split("L")]
    face = float(re.findall(r'<path class="part tapped" d="M([0-9.]+) ', svg)[0])
    assert (along[0] - face) / per_mm == pytest.approx(0.8, abs=0.1)
    assert (along[-1] - along[0]) / per_mm == pytest.approx(10.0, abs=0.1)


def test_the_thread_is_drawn_as_long_as_it_was_measured() -> None:
    pitch = thread("5/16-18 UNC").pitch_mm

    def crests(piece: PieceFacts) -> int:
        bolt: str = re.findall(r'<path class="bolt[^"]*" d="M([^"]+)"', drawn(piece).svg)[0]
        return bolt.count("L")

    # Two points a turn and side; the other 10 mm are plain shank.
    longer = crests(replace(BOLT, thread_length_mm=20.0)) - crests(replace(BOLT, thread_length_mm=10.0))
    assert longer >= 2 * 2 * (10.0 / pitch - 1)
    assert crests(BOLT) > crests(replace(BOLT, thread_length_mm=15.0))


def test_what_falls_short_is_marked_and_what_reaches_is_not() -> None:
    assert dimension(drawn(holds=Holds(10.0, 16.0)).svg, "needed")[0] == "short"
    assert dimension(drawn(holds=Holds(16.0, 10.0)).svg, "needed")[0] == "known"
    assert dimension(drawn(holds=Holds(None, 10.0)).svg, "needed")[0] == "known"


def test_what_nobody_measured_is_dashed_and_named() -> None:
    drawing = drawn(PieceFacts(kind=Kind.HEX_BOLT), MateFacts(mate=Mate.TAPPED_HOLE), Holds())
    for words in ("under the head", "clamped", "tapped", "holds"):
        assert dimension(drawing.svg, words)[0] == "unknown", words
        assert f"{words} not known" in drawing.said
    assert 'class="bolt guess"' in drawing.svg
    assert 'class="part tapped guess"' in drawing.svg
    assert "guess" not in drawn().svg


def test_a_bolt_that_meets_the_bottom_is_drawn_and_said_to() -> None:
    drawing = drawn(holds=Holds(16.0, 12.0, bottoms_by_mm=1.4))
    assert 'class="clash"' in drawing.svg
    assert "meets the bottom of its hole 1.4 mm before it clamps" in drawing.said
    assert 'class="clash"' not in drawn().svg


def test_a_loose_piece_is_drawn_without_a_hole() -> None:
    drawing = drawn(alone=True)
    assert 'class="part' not in drawing.svg
    assert drawing.said == "5/16-18 UNC in section: under the head 25.4 mm (1 in)."


def test_a_stud_is_threaded_at_both_ends_and_plain_between_them() -> None:
    svg = drawn(PieceFacts(kind=Kind.STUD, length_mm=80.0), alone=True).svg
    (outline,) = re.findall(r'<path class="bolt" d="M([^"]+)Z"', svg)
    points = [tuple(map(float, step.split())) for step in outline.split("L")]
    upper = points[: len(points) // 2]
    top = min(y for _, y in upper)
    left, right = upper[0][0], upper[-1][0]
    roots = [(x - left) / (right - left) for x, y in upper if y > top + 1]
    assert min(roots) < 0.05
    assert max(roots) > 0.95
    # Bare between a diameter and a half from the one end and two and a half from the other.
    assert not [at for at in roots if 0.2 < at < 0.7]


def test_a_nut_is_cut_and_the_rod_through_it_is_not() -> None:
    drawing = drawn(PieceFacts(kind=Kind.NUT), MateFacts(mate=Mate.STUD, depth_mm=8.0), Holds(8.0, 7.0))
    assert dimension(drawing.svg, "nut")[0] == "known"
    assert "under the head" not in drawing.said


def test_numbers_stand_in_the_shop_s_unit_first() -> None:
    assert "holds 10.0 mm (0.39 in)" in drawn().said
    assert "holds 0.39 in (10.0 mm)" in drawn(unit=LengthUnit.INCH).said


@given(
    kind=st.sampled_from([kind for kind in Kind if kind.has_thread]),
    mate=st.sampled_from(list(Mate)),
    blind=st.none() | st.booleans(),
    lengths=st.tuples(MAYBE_MM, MAYBE_MM, MAYBE_MM, MAYBE_MM, MAYBE_MM),
    turns=st.floats(0.0, 9.0),
    holds=st.builds(Holds, MAYBE_MM, st.none() | st.floats(0.5, 200.0), st.sampled_from([0.0, 3.0])),
    designation=st.sampled_from([one.designation for one in all_threads()]),
    alone=st.booleans(),
)
def test_whatever_is_known_everything_lies_on_the_paper(
    kind: Kind,
    mate: Mate,
    blind: bool | None,
    lengths: tuple[float | None, ...],
    turns: float,
    holds: Holds,
    designation: str,
    alone: bool,
) -> None:
    length, depth, clamped, washer, chamfer = lengths
    facts = JointFacts(
        PieceFacts(kind=kind, length_mm=length),
        MateFacts(
            mate=mate,
            blind=blind,
            depth_mm=depth,
            clamped_mm=clamped,
            washer_mm=washer,
            chamfer_mm=chamfer,
            damaged_turns=turns,
        ),
    )
    drawing = joint_drawing(facts, thread(designation), holds, LengthUnit.MM, alone=alone)
    (height,) = re.findall(r'viewBox="-8 0 376 ([0-9]+)"', drawing.svg)
    assert float(height) < 560
    for steps in re.findall(r' d="M([^"]+)"', drawing.svg.partition("</defs>")[2]):
        for step in re.split(r"[LM]", steps.rstrip("Z")):
            for number in NUMBERS.findall(step.split("H")[0].split("V")[0].split()[0]):
                assert -8 <= float(number) <= WIDTH + 8, step
