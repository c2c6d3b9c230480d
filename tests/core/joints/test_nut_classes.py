"""Classes of nuts: read as people say them, held against the bolt's grade."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.grade_names import read_grade
from runningfit.core.joints.nut_classes import NutClass, NutStandard, nut_for, read_nut_class

ISO, SAE = NutStandard.ISO_898_2, NutStandard.SAE_J995


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("8", NutClass(ISO, 8)),
        ("class 10", NutClass(ISO, 10)),
        ("ISO 898-2 12", NutClass(ISO, 12)),
        ("05", NutClass(ISO, 0)),
        ("SAE J995 5", NutClass(SAE, 5)),
        ("SAE grade 8", NutClass(SAE, 8)),
        ("2", NutClass(SAE, 2)),
        ("8.8", NutClass(ISO, 8)),
        ("SAE J429 5", NutClass(SAE, 5)),
        ("BS 1768 R", None),
        ("", None),
        ("no mark", None),
    ],
)
def test_a_nut_is_said_by_its_class_or_by_the_bolt_it_is_sold_for(text: str, found: NutClass | None) -> None:
    assert read_nut_class(text) == found


@pytest.mark.parametrize("text", ["7", "ISO 898-2 3", "SAE J995 6", "tight"])
def test_what_is_no_class_of_nuts_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"nut class needs a class of nuts such as 8.*Leave it out"):
        read_nut_class(text)


@pytest.mark.parametrize(
    ("bolt", "nut"),
    [
        ("ISO 898-1 4.6", NutClass(ISO, 5)),
        ("ISO 898-1 8.8", NutClass(ISO, 8)),
        ("ISO 898-1 12.9", NutClass(ISO, 12)),
        ("SAE J429 1", NutClass(SAE, 2)),
        ("SAE J429 8.2", NutClass(SAE, 8)),
        ("BS 1768 V", None),
    ],
)
def test_a_bolt_asks_for_the_class_of_its_own_number(bolt: str, nut: NutClass | None) -> None:
    assert nut_for(read_grade(bolt)) == nut
