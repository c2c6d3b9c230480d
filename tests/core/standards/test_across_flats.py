"""Widths across flats are found by series and size, old standards beside new ones."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread, ThreadSeries, across_flats, all_threads


def test_an_old_metric_bolt_may_have_the_wider_hexagon() -> None:
    assert [width.max_mm for width in across_flats(ThreadSeries.METRIC_COARSE, "M10")] == [16, 17]
    assert [width.max_mm for width in across_flats(ThreadSeries.METRIC_FINE, "M8")] == [13]


def test_whitworth_and_fine_share_their_spanners() -> None:
    assert across_flats(ThreadSeries.BSW, "1/4") == across_flats(ThreadSeries.BSF, "1/4")
    (width,) = across_flats(ThreadSeries.BSF, "1/4")
    assert width.max_mm == pytest.approx(0.445 * 25.4)
    assert width.min_mm == pytest.approx(0.438 * 25.4)


def test_unified_and_association_sizes() -> None:
    assert across_flats(ThreadSeries.UNF, "5/16")[0].max_mm == pytest.approx(12.7)
    assert across_flats(ThreadSeries.UNC, "9/16")[0].max_mm == pytest.approx(0.8125 * 25.4)
    # A 2 BA hexagon is 0.324 in across flats (BS 57, from memory).
    assert across_flats(ThreadSeries.BA, "2")[0].max_mm == pytest.approx(0.324 * 25.4, abs=0.01)


def widths(one: Thread) -> list[float]:
    """The usual width across flats for a thread, if a table has it."""
    try:
        return [across_flats(one.series, one.size)[0].max_mm]
    except InvalidInput:
        return []


@pytest.mark.parametrize(
    "series", [ThreadSeries.UNC, ThreadSeries.BSW, ThreadSeries.BA, ThreadSeries.METRIC_COARSE]
)
def test_hexagons_grow_with_the_thread_and_are_wider_than_it(series: ThreadSeries) -> None:
    known = [(one.major_mm, width) for one in all_threads() if one.series is series for width in widths(one)]
    known.sort()
    assert len(known) > 10
    assert all(1.2 < width / major < 2.1 for major, width in known)
    assert [width for _, width in known] == sorted(width for _, width in known)


def test_a_size_without_a_width_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"needs a UNF size whose width.*'7/64' came. Known: 1/4, 5/16"):
        across_flats(ThreadSeries.UNF, "7/64")
    with pytest.raises(InvalidInput, match=r"Measure the hexagon"):
        across_flats(ThreadSeries.CEI, "1/4")
