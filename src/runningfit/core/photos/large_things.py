"""Things on the mat that are no hardware, told by their colour: a hand, a sleeve, a tool, a rag, a cable.

The finding network has seen hardware only and finds strips of such things at best. What is not of the
ground's colour hangs together in the picture all the same, and is larger than any piece, or reaches in over
the edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.photos.networks import FLAT_MM

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# A piece of hardware is at most so long and so wide, as the cut-outs of the reading network are [mm].
MOST_LONG_MM, MOST_WIDE_MM = 104.0, 32.0
# A shadow takes from all colours alike: no ground is what differs in colour by this ratio, is so much lighter
# in all colours, or next to black.
_OTHER_COLOUR, _LIGHTER, _BLACK = 2.0, 1.5, 0.25
_SOFT = 0.01
# Of hardware the network finds nearly all: what it finds less of is something else, from this size on where
# it reaches in over the edge [mm^2].
_FOUND, _REACHES_IN_MM2 = 0.8, 200.0
_COARSE = 2


@dataclass(frozen=True, slots=True)
class LargeThings:
    """What lies on the mat and is no hardware.

    Parameters
    ----------
    labels : array of int32, height x width
        From 1 for each thing, in the pixels of the flattened mat.
    count : int
        How many there are.
    share : float
        The share of the flattened mat that they hide.
    """

    labels: NDArray[np.int32]
    count: int
    share: float


def large_things(flat: NDArray[np.float32], on: NDArray[np.bool_]) -> LargeThings:
    """Find what is too large for hardware, or reaches in over the edge and is none.

    Parameters
    ----------
    flat : array of float32, height x width x 3
        The mat from straight above, as `shades` gives it.
    on : array of bool, height x width
        Where the network sees a piece.
    """
    import cv2
    import numpy

    height, width = on.shape
    size = width // _COARSE, height // _COARSE
    light = cv2.blur(cv2.resize(flat, size, interpolation=cv2.INTER_AREA), (3, 3)) ** 2
    found = cv2.resize(on.astype(numpy.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    ratio = (light + _SOFT) / (numpy.median(light.reshape(-1, 3), axis=0) + _SOFT)
    high, low = ratio.max(axis=2), ratio.min(axis=2)
    other = (high > _OTHER_COLOUR * low) | (low > _LIGHTER) | (high < _BLACK) | found
    round_3 = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (3, 3))
    other_open = cv2.morphologyEx(other.astype(numpy.uint8), cv2.MORPH_OPEN, round_3)
    count, things, stats, _ = cv2.connectedComponentsWithStats(other_open, connectivity=4)
    kept = numpy.zeros(count, numpy.int32)
    step_mm = FLAT_MM * _COARSE
    hidden = 0
    for at in range(1, count):
        left, top, wide, high_px, pixels = (int(one) for one in stats[at])
        at_edge = left == 0 or top == 0 or left + wide == size[0] or top + high_px == size[1]
        area_mm2 = pixels * step_mm**2
        if max(wide, high_px) * step_mm <= MOST_WIDE_MM and not (at_edge and area_mm2 >= _REACHES_IN_MM2):
            continue
        mask = things[top : top + high_px, left : left + wide] == at
        if found[top : top + high_px, left : left + wide][mask].mean() >= _FOUND:
            continue
        if too_large(mask, step_mm) or (at_edge and area_mm2 >= _REACHES_IN_MM2):
            kept[at] = kept.max() + 1
            hidden += pixels
    labels = cv2.resize(kept[things], (width, height), interpolation=cv2.INTER_NEAREST)
    return LargeThings(labels.astype(numpy.int32), int(kept.max()), hidden / (size[0] * size[1]))


def too_large(mask: NDArray[np.bool_], mm_per_px: float) -> bool:
    """Whether a thing is longer or wider than hardware that can be measured.

    Parameters
    ----------
    mask : array of bool, height x width
        Its pixels.
    mm_per_px : float
        What a pixel covers [mm].
    """
    import cv2
    import numpy

    rows, columns = numpy.nonzero(mask)
    _, sides, _ = cv2.minAreaRect(numpy.stack([columns, rows], axis=1).astype(numpy.float32))
    return max(sides) * mm_per_px > MOST_LONG_MM or min(sides) * mm_per_px > MOST_WIDE_MM
