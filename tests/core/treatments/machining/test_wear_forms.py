"""Forms of wear: between nothing and all, worst where such things wear, and alike in one engine."""

from __future__ import annotations

import numpy as np
import pytest

from runningfit.core.treatments.machining.wear_forms import (
    FORMS,
    SHAPES,
    Wearing,
    dealt_out,
    likeness,
    wear_forms,
)

DEPTHS = (0.0, 25.0, 50.0, 75.0, 100.0)
GRID = np.array([(depth, angle) for depth in DEPTHS for angle in np.radians(np.arange(0.0, 180.0, 15.0))])


def along(wearing: Wearing) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """The most of each form at each depth."""
    found = wear_forms(GRID, (0.0, 60.0, 120.0), 1, wearing).at_mm.reshape(FORMS, len(DEPTHS), -1)
    return np.asarray(found.max(axis=2))


@pytest.mark.parametrize("wearing", list(Wearing))
def test_wear_takes_away_only(wearing: Wearing) -> None:
    most = along(wearing)
    assert most.min() >= 0
    assert most.max() <= 2.0
    assert np.isfinite(most).all()


def test_each_kind_wears_where_such_things_do() -> None:
    rings, guide, held = along(Wearing.RINGS), along(Wearing.GUIDE), along(Wearing.HELD)
    assert (np.diff(rings, axis=1) <= 0).all()
    assert (guide[:, 2] <= np.minimum(guide[:, 0], guide[:, -1]) + 1e-12).all()
    assert np.maximum(guide[:, 0], guide[:, -1]).min() > 0.9
    assert np.ptp(held, axis=1).max() < 1e-12
    worst = along(Wearing.STEM).argmax(axis=1)
    assert {0, 2, len(DEPTHS) - 1} <= set(worst.tolist())


def test_a_journal_shrinks() -> None:
    assert wear_forms(GRID, (0.0, 90.0), -1, Wearing.JOURNAL).at_mm.max() <= 0


def test_only_rings_wear_more_above_what_was_read_and_one_depth_tells_nothing_of_it() -> None:
    assert wear_forms(GRID, (0.0, 90.0), 1, Wearing.RINGS).steep.min() >= 0
    assert wear_forms(GRID, (0.0, 90.0), 1, Wearing.RINGS).steep.any()
    assert not wear_forms(GRID[:12], (0.0, 90.0), 1, Wearing.RINGS).steep.any()
    assert not wear_forms(GRID, (0.0, 90.0), 1, Wearing.GUIDE).steep.any()


def test_bores_keep_near_the_shape_of_their_engine() -> None:
    found, forms, shapes = likeness(), dealt_out(FORMS, 6)[:, :3], dealt_out(SHAPES, 3)
    assert found.sum(axis=1) == pytest.approx(np.ones(SHAPES))
    inner = ((shapes > 0.3) & (shapes < 0.7)).all(axis=1)
    middle = found @ forms
    assert np.abs(middle - shapes)[inner].max() < 0.05
    spread = np.sqrt(found @ forms**2 - middle**2)
    assert spread[inner].mean() == pytest.approx(0.12, abs=0.02)
