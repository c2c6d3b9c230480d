"""An outline is parted among the pieces that it turned out to be."""

from __future__ import annotations

import pytest

from runningfit.core.photos.splitting import parted

WIDE = [(0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (0.0, 10.0)]
PX_A_MM = 4


def area(outline: list[list[float]]) -> float:
    pairs = zip(outline, [*outline[1:], outline[0]], strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


def in_px(outline: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [(100 + PX_A_MM * x, 50 + PX_A_MM * y) for x, y in outline]


@pytest.mark.parametrize("count", [2, 3, 5])
def test_the_parts_are_of_about_one_size_and_together_the_whole(count: int) -> None:
    parts = parted(in_px(WIDE), WIDE, count)
    assert parts is not None
    assert len(parts) == count
    areas = [area(part.outline_mm) for part in parts]
    assert sum(areas) == pytest.approx(400, abs=1)
    assert min(areas) > 0.6 * 400 / count
    assert sum(part.shift_mm[0] for part in parts) / count == pytest.approx(0, abs=0.6)


def test_two_bolts_that_cross_the_middle_are_parted_where_they_meet() -> None:
    parts = parted(in_px(WIDE), WIDE, 2)
    assert parts is not None
    left, right = parts
    assert max(x for x, _ in left.outline_mm) == pytest.approx(20, abs=0.6)
    assert min(x for x, _ in right.outline_px) == pytest.approx(100 + PX_A_MM * 20, abs=2.4)
    assert left.shift_mm == pytest.approx((-10, 0), abs=0.5)


@pytest.mark.parametrize(
    ("outline", "count"),
    [([], 2), (WIDE[:2], 2), ([(1.0, 1.0)] * 4, 2), ([(0.0, 0.0), (40.0, 0.0), (40.0, 0.001)], 20)],
)
def test_what_is_no_area_is_not_parted(outline: list[tuple[float, float]], count: int) -> None:
    assert parted(in_px(outline), outline, count) is None


def test_outlines_that_do_not_go_together_are_not_parted() -> None:
    assert parted(in_px(WIDE)[:3], WIDE, 2) is None
