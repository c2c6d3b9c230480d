"""Bores and journals for tests: a few readings from a rule, and any that a search may try."""

from __future__ import annotations

from hypothesis import strategies as st

from runningfit.core.measurements.form.two_point import Diameter
from runningfit.core.treatments.machining.readings import BoreReadings, JournalReadings, Pit

NOMINAL_MM = 79.375


def bore(
    name: str = "1",
    *,
    top_mm: float = 0.08,
    bottom_mm: float = 0.02,
    oval_mm: float = 0.01,
    pits: tuple[Pit, ...] = (),
    u_mm: float = 0.003,
    shared_mm: float = 0.0,
) -> BoreReadings:
    """A bore read at three depths along and across, worn from top to bottom."""
    points = tuple(
        Diameter(depth, angle, NOMINAL_MM + wear - (oval_mm if angle == 90.0 else 0.0))
        for depth, wear in ((10.0, top_mm), (50.0, (top_mm + bottom_mm) / 2), (90.0, bottom_mm))
        for angle in (0.0, 90.0)
    )
    return BoreReadings(name, points, u_mm, shared_mm, pits)


def journal(name: str = "1", *, worn_mm: float = 0.04) -> JournalReadings:
    """A journal of 50 mm, worn alike at two depths."""
    points = tuple(
        Diameter(depth, angle, 50.0 - worn_mm - (0.004 if angle else 0.0))
        for depth in (5.0, 25.0)
        for angle in (0.0, 45.0, 90.0, 135.0)
    )
    return JournalReadings(name, points, 0.002)


def _read(draw: st.DrawFn) -> BoreReadings:
    depths = draw(st.lists(st.sampled_from([10.0, 30.0, 50.0, 90.0]), min_size=1, max_size=3, unique=True))
    angles = draw(st.sampled_from([(0.0, 90.0), (0.0, 60.0, 120.0), (20.0, 65.0, 110.0, 155.0)]))
    wear = st.integers(0, 150)
    points = tuple(
        Diameter(depth, angle, NOMINAL_MM + draw(wear) / 1000) for depth in depths for angle in angles
    )
    return BoreReadings(
        "1", points, draw(st.sampled_from([0.002, 0.005])), draw(st.sampled_from([0.0, 0.002]))
    )


any_bore = st.composite(_read)()
