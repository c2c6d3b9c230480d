"""A washer goes with the screws that fit its hole."""

from __future__ import annotations

import pytest

from runningfit.core.plan.washer_holes import screws_through


@pytest.mark.parametrize(
    ("hole_mm", "size"),
    [(8.4, "M8"), (6.4, "M6"), (13.0, "M12"), (8.73, "5/16"), (7.14, "1/4"), (13.5, "1/2")],
)
def test_a_standard_washer_goes_with_its_screw(hole_mm: float, size: str) -> None:
    assert size in screws_through(hole_mm, 0.2)


def test_what_does_not_go_through_or_rattles_is_left_out() -> None:
    assert screws_through(8.4, 0.05) == ("M8", "5/16", "M7")
    assert "3/8" not in screws_through(8.4, 0.3)
    assert "1/4" not in screws_through(8.4, 0.1)


def test_a_hole_of_no_usual_screw_goes_with_none() -> None:
    assert screws_through(60.0, 0.5) == ()
    assert screws_through(2.0, 0.1) == ()
