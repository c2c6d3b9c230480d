"""Threads that are one and the same under several names, and threads that only an angle gauge tells apart."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from runningfit.core.pieces.identification.pitches import leaf_teeth, possible_angles_deg
from runningfit.core.pieces.identification.usual import usual_weights
from runningfit.core.standards import Thread, all_threads

# A twin differs by no more than this on the diameter, and by this along a leaf of the gauge [mm].
_ALIKE_DIAMETER_MM = 0.013
_ALIKE_ALONG_LEAF_MM = 0.02


@dataclass(frozen=True, slots=True)
class Identity:
    """One thread, under its most usual name.

    Parameters
    ----------
    thread : Thread
        The thread by that name.
    other_names : tuple of str
        Designations of the same form, diameter and pitch in other series.
    """

    thread: Thread
    other_names: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """All its designations, the most usual first."""
        return (self.thread.designation, *self.other_names)


@cache
def identities() -> tuple[Identity, ...]:
    """Give all standard threads, those that are the same under several names as one.

    Returns
    -------
    tuple of Identity
        In the order of the tables.
    """
    alike: dict[tuple[object, ...], list[Thread]] = {}
    for thread in all_threads():
        key = (thread.form, thread.taper, round(thread.major_mm, 4), round(thread.pitch_mm, 4))
        alike.setdefault(key, []).append(thread)
    weights = usual_weights()
    found = []
    for threads in alike.values():
        ranked = sorted(threads, key=lambda one: -weights[one.designation])
        found.append(Identity(ranked[0], tuple(one.designation for one in ranked[1:])))
    return tuple(found)


def geometric_twins(one: Thread, other: Thread) -> bool:
    """Tell whether two threads have the same diameter and pitch, so that only their profile differs.

    Parameters
    ----------
    one, other : Thread
        The threads.

    Returns
    -------
    bool
        True for 1/4-20 UNC and 1/4-20 BSW, or M6x1 and 0BA.
    """
    teeth = leaf_teeth(one.pitch_mm)
    return (
        abs(one.major_mm - other.major_mm) <= _ALIKE_DIAMETER_MM
        and abs(one.pitch_mm - other.pitch_mm) * teeth <= _ALIKE_ALONG_LEAF_MM
    )


def twin_groups(threads: Sequence[Thread], *, angle_tried: bool) -> tuple[tuple[str, ...], ...]:
    """Group threads that what was measured cannot tell apart.

    Parameters
    ----------
    threads : sequence of Thread
        The candidates, the most probable first.
    angle_tried : bool
        Whether an angle gauge was tried, which tells threads of different angles apart.

    Returns
    -------
    tuple of tuple of str
        Designations, groups of two or more.
    """
    groups: list[list[Thread]] = []
    for thread in threads:
        for group in groups:
            first = group[0]
            same_angle = not set(possible_angles_deg(first)).isdisjoint(possible_angles_deg(thread))
            if geometric_twins(first, thread) and (same_angle or not angle_tried):
                group.append(thread)
                break
        else:
            groups.append([thread])
    return tuple(tuple(_designations(group)) for group in groups if len(group) > 1)


def _designations(threads: Iterable[Thread]) -> list[str]:
    return [thread.designation for thread in threads]
