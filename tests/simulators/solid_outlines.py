"""Outlines of bolts, studs and spacers over a mat, by casting rays at them; nothing of the core in it.

For each place of the mat a ray goes from the eye to it, and is asked whether it meets the body on its way: a
cylinder, a cone's stump at its tip, a hexagonal prism. What is met is the silhouette, traced in pixels.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Round:
    """A stump of a cone, or a cylinder, between two places along its axis."""

    first_mm: float
    last_mm: float
    first_radius_mm: float
    last_radius_mm: float

    def meets(self, along: Array, beside: Array, up: Array) -> NDArray[np.bool_]:
        share = np.clip((along - self.first_mm) / (self.last_mm - self.first_mm), 0, 1)
        radius = self.first_radius_mm + share * (self.last_radius_mm - self.first_radius_mm)
        within = (along >= self.first_mm) & (along <= self.last_mm)
        return np.asarray(within & (beside**2 + up**2 <= radius**2))


@dataclass(frozen=True)
class Hexagon:
    """A hexagonal prism between two places along its axis; `turn_rad` turns a flat away from below."""

    first_mm: float
    last_mm: float
    across_flats_mm: float
    turn_rad: float = 0.0

    def meets(self, along: Array, beside: Array, up: Array) -> NDArray[np.bool_]:
        within = (along >= self.first_mm) & (along <= self.last_mm)
        for flat in range(3):
            angle = self.turn_rad + np.pi / 2 + flat * np.pi / 3
            within &= np.abs(beside * np.cos(angle) + up * np.sin(angle)) <= self.across_flats_mm / 2
        return np.asarray(within)


def outline(
    parts: Sequence[Round | Hexagon], begin_mm: Array, way: Array, eye_mm: Array, step_mm: float = 0.2
) -> Array:
    """The outline of a body on the plane of the mat [mm].

    `begin_mm` is the place 0 of its axis and `way` the axis' direction, x, y and height; `eye_mm` the camera.
    """
    level = np.array([-way[1], way[0], 0.0])
    level = level / np.linalg.norm(level) if np.linalg.norm(level) > 1e-9 else np.array([1.0, 0.0, 0.0])
    upward = np.cross(way, level)
    ends = np.array([begin_mm + place * way for part in parts for place in (part.first_mm, part.last_mm)])
    reach = 1.2 * max(getattr(p, "across_flats_mm", 0.0) + getattr(p, "first_radius_mm", 0.0) for p in parts)
    seen = eye_mm[:2] + (ends[:, :2] - eye_mm[:2]) * (eye_mm[2] / (eye_mm[2] - ends[:, 2:]))
    low, high = seen.min(axis=0) - 1.6 * reach - 2, seen.max(axis=0) + 1.6 * reach + 2
    x, y = np.meshgrid(np.arange(low[0], high[0], step_mm), np.arange(low[1], high[1], step_mm))
    mat = np.stack([x, y, np.zeros_like(x)], axis=-1)
    top = float(ends[:, 2].max()) + reach
    met = np.zeros(x.shape, dtype=bool)
    # Each ray is walked down from above the body to the mat.
    for height in np.arange(0.0, top, step_mm / 2):
        points = mat + (eye_mm - mat) * (height / eye_mm[2]) - begin_mm
        along, beside, up = points @ way, points @ level, points @ upward
        for part in parts:
            met |= part.meets(along, beside, up)
    contours, _ = cv2.findContours(met.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    line = max(contours, key=len)[:, 0].astype(float)
    return np.asarray(low + line * step_mm)
