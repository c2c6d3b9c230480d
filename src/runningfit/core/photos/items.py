"""What a photo answers of the pieces on the mat: each with its outline, kind, sizes, thread and look."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.pieces.kinds import Kind


class Look(StrEnum):
    """How the surface of a piece looks in a photo; a look, never a process, which no photo can tell."""

    YELLOW = "yellow"
    CLEAR = "clear"
    BLACK = "black"
    BRASS = "brass"
    STEEL = "steel"
    RUST = "rust"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A size read off a photo.

    Parameters
    ----------
    value_mm : float
        The size at its most likely [mm].
    u_mm : float
        Its standard uncertainty [mm].
    """

    value_mm: float
    u_mm: float

    @property
    def interval_95_mm(self) -> tuple[float, float]:
        """The interval that holds the size with a probability of 95 % [mm]."""
        return self.value_mm - 1.96 * self.u_mm, self.value_mm + 1.96 * self.u_mm


@dataclass(frozen=True, slots=True)
class ThreadChance:
    """A thread that a piece may have, and the probability that it is this one."""

    designation: str
    probability: float


@dataclass(frozen=True, slots=True)
class Sizes:
    """The sizes of a piece; None where the kind has no such size or the photo does not show it.

    Parameters
    ----------
    length : Estimate or None
        Of a piece with a head under the head, else over all.
    major : Estimate or None
        Outside diameter of an external thread.
    pitch : Estimate or None
        Pitch of the thread.
    head_across_flats : Estimate or None
        Across the flats of a hexagon, of a head or a nut.
    outside, inside : Estimate or None
        Diameters of a washer or spacer; the inside of a nut is its hole.
    thickness : Estimate or None
        Height of a nut or thickness of a washer.
    width : Estimate or None
        The short side of the outline of a piece of no kind that is known.
    """

    length: Estimate | None = None
    major: Estimate | None = None
    pitch: Estimate | None = None
    head_across_flats: Estimate | None = None
    outside: Estimate | None = None
    inside: Estimate | None = None
    thickness: Estimate | None = None
    width: Estimate | None = None


@dataclass(frozen=True, slots=True)
class PhotoItem:
    """A piece found on the mat.

    Parameters
    ----------
    number : int
        From 1, as the pieces lie on the mat, row by row.
    kind : Kind
        The likeliest kind.
    kinds : mapping of Kind to float
        Probability of each kind that is possible.
    mat_xy_mm : tuple of float
        The middle of its outline on the mat, of a piece that stands the face it stands on, x right and y down
        from the paper's upper left corner [mm as designed].
    outline_px : tuple of tuple of float
        Its outline in the photo, x right and y down [px].
    outline_mm : tuple of tuple of float
        The same outline on the plane of the mat [true mm].
    sizes : Sizes
        What was measured of it.
    threads : tuple of ThreadChance
        The likeliest first; empty where it has no thread or none can be named.
    looks : mapping of Look to float
        Probability of each look.
    could_not : CouldNotMeasure or None
        Why this piece cannot be measured, where it cannot; its sizes are then empty.
    ask : str
        The one thing that would settle what is unsure; empty where nothing is.
    """

    number: int
    kind: Kind
    kinds: Mapping[Kind, float]
    mat_xy_mm: tuple[float, float]
    outline_px: tuple[tuple[float, float], ...]
    outline_mm: tuple[tuple[float, float], ...]
    sizes: Sizes
    threads: tuple[ThreadChance, ...]
    looks: Mapping[Look, float]
    could_not: CouldNotMeasure | None
    ask: str


@dataclass(frozen=True, slots=True)
class MeasuredPhoto:
    """A photo that was measured.

    Parameters
    ----------
    print_scale : float
        Millimetres of the print for each millimetre as designed.
    gsd_mm : float
        What a pixel covers in the middle of the work area [mm].
    width_px, height_px : int
        Size of the photo [px].
    items : tuple of PhotoItem
        The pieces on the mat, row by row.
    cautions : tuple of str
        What to mind, a sentence each.
    steps_s : mapping of str to float
        Seconds that each step took.
    """

    print_scale: float
    gsd_mm: float
    width_px: int
    height_px: int
    items: tuple[PhotoItem, ...]
    cautions: tuple[str, ...]
    steps_s: Mapping[str, float]
