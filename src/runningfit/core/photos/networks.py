"""The two learned networks of the package: one finds pieces on the mat, one reads a piece from its cut-out.

They were trained on rendered photos alone, by the recipe in `training/photos` of the repository.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.float32]

# A pixel of the flattened mat and of a cut-out, as the networks were trained [mm].
FLAT_MM, CUT_MM = 0.25, 0.125
# Sides of pictures come in multiples of what the networks halve five times.
MULTIPLE_PX = 32
# What the reader's outputs stand for, in their order.
KINDS = (
    "hex_bolt",
    "stud",
    "nut",
    "domed_nut",
    "plain_washer",
    "spring_washer",
    "tab_washer",
    "spacer",
    "grub_screw",
    "slotted_screw",
    "other",
)
LOOKS = ("yellow", "clear", "black", "brass", "steel", "rust")
SIZES = ("length", "major", "across_flats", "outside", "inside", "thickness")
LEAST_PITCH_MM, MOST_PITCH_MM, PITCH_STEPS = 0.4, 3.2, 128


@dataclass(frozen=True, slots=True)
class Seen:
    """What the finder sees in each pixel of the flattened mat.

    Parameters
    ----------
    piece : array of float32, height x width
        The odds that the pixel belongs to a piece, as a logarithm.
    border : array of float32, height x width
        The odds that another piece lies within two pixels, as a logarithm.
    way_mm : array of float32, 2 x height x width
        From the pixel to the middle of its piece, x and y [mm].
    """

    piece: Pixels
    border: Pixels
    way_mm: Pixels


@dataclass(frozen=True, slots=True)
class Read:
    """What the reader reads of a batch of cut-outs.

    Parameters
    ----------
    kinds, looks : array, piece x kind and piece x look
        Probabilities.
    sizes_mm, scales_mm : array, piece x size
        The likeliest size, and the mean deviation that the network expects of itself [mm].
    pitches : array, piece x step
        Probability of each pitch on a grid of even steps of its logarithm.
    threaded_to_head, standing : array, piece
        Probabilities.
    points_mm : array, piece x 3 x 2
        Top of the head, start under the head and tip, from the middle of the cut-out, along and across [mm].
    """

    kinds: Pixels
    looks: Pixels
    sizes_mm: Pixels
    scales_mm: Pixels
    pitches: Pixels
    threaded_to_head: Pixels
    standing: Pixels
    points_mm: Pixels


@cache
def _session(name: str) -> Any:
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = max(1, len(os.sched_getaffinity(0)))
    options.enable_cpu_mem_arena = False
    options.log_severity_level = 3
    weights = files("runningfit.core.photos").joinpath("nets", f"{name}.onnx").read_bytes()
    return onnxruntime.InferenceSession(weights, options, providers=["CPUExecutionProvider"])


def find(flat: Pixels) -> Seen:
    """Find the pieces on the flattened mat.

    Parameters
    ----------
    flat : array of float32, height x width x 3
        The mat, `FLAT_MM` a pixel, as `shades` gives it.
    """
    import numpy

    height, width = flat.shape[:2]
    padding = ((0, -height % MULTIPLE_PX), (0, -width % MULTIPLE_PX), (0, 0))
    whole = numpy.pad(flat, padding, mode="edge").transpose(2, 0, 1)[None]
    found = _session("finder").run(None, {"flat": numpy.ascontiguousarray(whole)})[0][0]
    found = found[:, :height, :width]
    return Seen(found[0], found[1], found[2:] * 10)


def read(cuts: Pixels, views: Pixels) -> Read:
    """Read pieces from their cut-outs.

    Parameters
    ----------
    cuts : array of float32, piece x 4 x height x width
        Shades as `shades` gives them and the mask of the piece, `CUT_MM` a pixel, x along the piece.
    views : array of float32, piece x 3
        How far the camera stands off along and across the piece over its height, and 100 mm over that height.
    """
    import numpy

    told = ["kinds", "looks", "sizes", "pitch", "flags", "points"]
    kinds, looks, sizes, pitch, flags, points = _session("reader").run(told, {"cut": cuts, "view": views})
    many = len(SIZES)
    standing = 1 / (1 + numpy.exp(-flags))
    return Read(
        _shares(kinds),
        _shares(looks),
        sizes[:, :many] * 10,
        numpy.exp(numpy.clip(sizes[:, many:], -5, 4)),
        _shares(pitch),
        standing[:, 0],
        standing[:, 1],
        points * 10,
    )


def pitches_mm() -> Pixels:
    """The pitches of the reader's grid [mm]."""
    import numpy

    return numpy.geomspace(LEAST_PITCH_MM, MOST_PITCH_MM, PITCH_STEPS).astype(numpy.float32)


def _shares(odds: Pixels) -> Pixels:
    import numpy

    raised = numpy.exp(odds - odds.max(axis=1, keepdims=True))
    return numpy.asarray(raised / raised.sum(axis=1, keepdims=True))
