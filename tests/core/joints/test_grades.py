"""Strength grades: read from names and head marks, by size, the weakest where sources differ."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grades import (
    GradeName,
    GradeStandard,
    grades_of_marking,
    is_trusted,
    known_grades,
    read_grade,
    soft_strength,
    strength_of,
    unknown_strength,
)
from runningfit.core.standards import Thread, all_threads, thread
from runningfit.core.standards.tables import rows

MPA_PER_TONF_IN2 = 15.4443


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("SAE J429 5", "SAE J429 5"),
        ("sae j429 grade 8", "SAE J429 8"),
        ("grade 5.2", "SAE J429 5.2"),
        ("8", "SAE J429 8"),
        ("J429 2", "SAE J429 2"),
        ("J429-5", "SAE J429 5"),
        ("SAE-J429 Grade 8", "SAE J429 8"),
        ("ISO 898-1:2013 8.8", "ISO 898-1 8.8"),
        ("ISO 898-1 8.8", "ISO 898-1 8.8"),
        ("12.9", "ISO 898-1 12.9"),
        ("class 10.9", "ISO 898-1 10.9"),
        ("BS 1768 R", "BS 1768 R"),
        ("letter t", "BS 1768 T"),
        ("BS 1083 grade V", "BS 1768 V"),
        ("marked R", "BS 1768 R"),
        ("S grade", "BS 1768 S"),
        ("stamped X", "BS 1768 X"),
        ("Y", "BS 1768 Y"),
        ("45 ton", "BS 1768 R"),
        ("55-ton steel", "BS 1768 T"),
        ("65 tonf/in2", "BS 1768 V"),
        ("28 ton", "BS 1768 A"),
        ("G5", "SAE J429 5"),
        ("8,8", "ISO 898-1 8.8"),
        ("8.8 bolts", "ISO 898-1 8.8"),
    ],
)
def test_a_grade_is_read_as_people_write_it(text: str, said: str) -> None:
    assert str(read_grade(text)) == said


@pytest.mark.parametrize("text", ["", "hard", "grade 7", "8.9.1", "47 ton", "high tensile", "A2-70"])
def test_what_is_no_grade_is_refused_with_what_to_do(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"grade needs a strength grade such as .*Leave it out"):
        read_grade(text)


def test_a_class_that_the_standard_has_not_is_refused_with_those_it_has() -> None:
    with pytest.raises(InvalidInput, match=r"grade needs one of ISO 898-1: 4\.6, .* 12\.9; '14\.9' came"):
        read_grade("14.9")
    with pytest.raises(InvalidInput, match=r"grade needs one of SAE J429: 1, 2, 5, 5\.2, 8, 8\.2"):
        read_grade("SAE J429 4")
    with pytest.raises(InvalidInput, match=r"grade needs one of BS 1768: A, B, P, R"):
        read_grade("BS 1768 Z")


@pytest.mark.parametrize(
    ("marking", "said"),
    [
        ("3 radial lines", ["SAE J429 5"]),
        ("six lines", ["SAE J429 8"]),
        ("none", ["SAE J429 1", "SAE J429 2"]),
        ("8.8", ["ISO 898-1 8.8"]),
        ("R", ["BS 1768 R"]),
    ],
)
def test_a_head_marking_names_every_grade_it_can_mean(marking: str, said: list[str]) -> None:
    assert [str(name) for name in grades_of_marking(marking)] == said


def test_an_unknown_marking_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"marking needs .*take the grade as not known"):
        grades_of_marking("a star")


@pytest.mark.parametrize(
    ("grade", "designation", "text"),
    [
        ("SAE J429 5", "No. 10-24 UNC", r"grade needs a size that SAE J429 5 has: 0\.25 to 1\.5 in"),
        ("SAE J429 5.2", "1 1/4-7 UNC", r"grade needs a size that SAE J429 5\.2 has: 0\.25 to 1 in"),
        ("ISO 898-1 9.8", "M20x2.5", r"grade needs a size that ISO 898-1 9\.8 has: 1\.6 to 16 mm"),
        ("SAE J429 5", "M8x1.25", r"grade needs one made for M8x1\.25; 'SAE J429 5' came\..*Unified"),
        ("ISO 898-1 8.8", "3/8-16 UNC", r"ISO 898-1 is for metric threads"),
        ("BS 1768 R", "M8x1.25", r"BS 1768 is for Unified, Whitworth"),
    ],
)
def test_a_grade_that_does_not_exist_for_the_size_is_refused(grade: str, designation: str, text: str) -> None:
    one = next(each for each in all_threads() if each.designation == designation.removeprefix("No. "))
    with pytest.raises(InvalidInput, match=text):
        strength_of(read_grade(grade), one)


def test_a_soft_bolt_may_be_as_strong_as_the_top_of_its_hardness() -> None:
    # B100 is at the edge of class 8.8: a grade 1 or 2 bolt may come near 800 MPa, not only 1.3 of its least.
    for name in ("SAE J429 1", "SAE J429 2"):
        assert strength_of(read_grade(name), thread("3/8-16 UNC")).tensile_most_mpa == 800
    assert strength_of(read_grade("5"), thread("1 1/4-7 UNC")).tensile_most_mpa == 1000
    # ISO 898-1 prints hardness of every class: 4.6 is 120 to 220 HV.
    assert strength_of(read_grade("4.6"), thread("M8x1.25")).tensile_most_mpa == pytest.approx(
        400 * 220 / 120
    )


def test_a_harder_bolt_is_no_weaker_in_the_table_of_the_strongest() -> None:
    table = [
        (row["scale"], float(row["hardness_to"]), float(row["tensile_mpa"]))
        for row in rows("strongest_by_hardness_collected_2026")
    ]
    assert table == sorted(table)
    assert [mpa for *_, mpa in table] == sorted(mpa for *_, mpa in table)


def test_the_size_decides_where_a_grade_has_two_rows() -> None:
    small = strength_of(read_grade("SAE J429 2"), thread("3/4-10 UNC"))
    large = strength_of(read_grade("SAE J429 2"), thread("7/8-9 UNC"))
    assert small.yield_mpa > 1.5 * large.yield_mpa
    assert strength_of(read_grade("8.8"), thread("M16x2")).yield_mpa == 640
    assert strength_of(read_grade("8.8"), thread("M20x2.5")).yield_mpa == 660


def test_contradicting_sources_of_a_british_letter_are_all_shown_and_the_weakest_counts() -> None:
    strength = strength_of(read_grade("BS 1768 T"), thread("3/8-16 BSW"))
    shown = " ".join(reason.text for reason in strength.reasons)
    assert all(words in shown for words in ("55 tonf/in2", "an upper 8.8", "150 000 psi, 10.9"))
    assert strength.tensile_mpa == pytest.approx(800)
    assert strength.tensile_most_mpa > 1034
    assert not strength.trusted
    assert strength_of(read_grade("R"), thread("3/8-16 BSW")).tensile_mpa == pytest.approx(
        45 * MPA_PER_TONF_IN2, rel=1e-5
    )


def fitting_thread(name: GradeName) -> Thread:
    return thread("M10x1.5" if name.standard is GradeStandard.ISO_898_1 else "3/8-16 UNC")


@pytest.mark.parametrize("name", known_grades(), ids=str)
def test_every_grade_is_in_order_and_says_where_it_comes_from(name: GradeName) -> None:
    strength = strength_of(name, fitting_thread(name))
    assert 0 < strength.proof_mpa < strength.yield_mpa < strength.tensile_mpa < strength.tensile_most_mpa
    assert all(reason.source for reason in strength.reasons)


def test_a_figure_from_memory_is_never_trusted() -> None:
    assert not strength_of(read_grade("8.2"), thread("3/8-16 UNC")).trusted
    assert not strength_of(read_grade("5.2"), thread("3/8-16 UNC")).trusted
    assert strength_of(read_grade("5"), thread("3/8-16 UNC")).trusted
    assert is_trusted("VERIFIED", "a table")
    assert not is_trusted("MEMORY")
    assert not is_trusted("VERIFIED", "a table; its yield from memory")


def test_what_is_not_of_plain_steel_is_weaker_than_the_weakest_steel_and_never_trusted() -> None:
    soft, steel = soft_strength(), unknown_strength()
    assert soft.yield_mpa < steel.yield_mpa
    assert soft.tensile_most_mpa < steel.tensile_most_mpa
    assert not soft.trusted


def test_what_is_not_known_is_the_weakest_for_yield_and_the_strongest_for_stripping() -> None:
    unknown = unknown_strength()
    every = [strength_of(name, fitting_thread(name)) for name in known_grades()]
    assert unknown.yield_mpa <= min(one.yield_mpa for one in every if one.trusted)
    assert unknown.tensile_most_mpa >= max(one.tensile_most_mpa for one in every if one.trusted)
    assert "not known" in unknown.reasons[0].text
