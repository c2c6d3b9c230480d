"""Photos of a threaded rod above a mat, drawn by ray and cylinder with a camera of one's own.

Nothing of the core is asked. A right-handed thread is a height over the unrolled cylinder; what is seen is
shaded by the slope of its flanks, under a lamp, with its outline, blur and grain. All in millimetres of the
mat: x right, y down, z into the table.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MAT_SRGB = (112.0, 72.0, 190.0)


@dataclass(frozen=True)
class Rod:
    """A rod and the camera over it.

    threads: parts of the axis that are threaded, each from, to and pitch [mm]. overtone: how much of the
    profile turns twice in a pitch. heights: of the axis at both ends.
    """

    start: tuple[float, float] = (80.0, 90.0)
    end: tuple[float, float] = (120.0, 105.0)
    heights: tuple[float, float] = (5.0, 5.0)
    major: float = 10.0
    threads: tuple[tuple[float, float, float], ...] = ((0.0, 60.0, 1.5),)
    overtone: float = 0.0
    shine: float = 0.5
    metal: tuple[float, float, float] = (150.0, 140.0, 120.0)
    focal_px: float = 2400.0
    stand: tuple[float, float, float] = (150.0, 190.0, -330.0)
    bend: tuple[float, float] = (0.02, -0.01)
    blur_px: float = 0.8
    grain: float = 4.0
    seed: int = 1
    size_px: tuple[int, int] = (900, 700)

    def but(self, **changed: object) -> Rod:
        """The rod with something changed."""
        return replace(self, **changed)  # type: ignore[arg-type]


@dataclass(frozen=True)
class RodPhoto:
    """The pixels, and the camera: its rotation from the mat, and where the mat's corner lies before it."""

    pixels: NDArray[np.uint8]
    rod: Rod
    rotation: Array
    shift: Array
    middle_px: tuple[float, float] = field(default=(0.0, 0.0))


def _ends(rod: Rod) -> tuple[Array, Array]:
    start, end = (
        np.array([*spot, -height]) for spot, height in zip((rod.start, rod.end), rod.heights, strict=True)
    )
    return start, end


def photograph(rod: Rod) -> RodPhoto:
    """Draw a rod as its camera sees it."""
    start, end = _ends(rod)
    stand = np.array(rod.stand)
    ahead = (start + end) / 2 - stand
    ahead /= np.linalg.norm(ahead)
    right = np.cross([0.0, 1.0, 0.0], ahead)
    right /= np.linalg.norm(right)
    rotation = np.stack([right, np.cross(ahead, right), ahead])
    width, height = rod.size_px
    middle = (width - 1) / 2, (height - 1) / 2
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    bent = np.stack([(x - middle[0]) / rod.focal_px, (y - middle[1]) / rod.focal_px], axis=-1)
    flat = bent.copy()
    for _ in range(10):
        square = (flat**2).sum(axis=-1, keepdims=True)
        flat = bent / (1 + rod.bend[0] * square + rod.bend[1] * square**2)
    rays = np.concatenate([flat, np.ones((height, width, 1))], axis=-1) @ rotation
    rays /= np.linalg.norm(rays, axis=-1, keepdims=True)
    colour, hit = _shaded(rod, stand, rays, start, end)
    picture = np.where(hit[..., None], colour, np.array(MAT_SRGB))
    picture = cv2.GaussianBlur(picture, (0, 0), rod.blur_px)
    noise = np.random.default_rng(rod.seed).normal(0, rod.grain, picture.shape)
    pixels = np.clip(picture + cv2.GaussianBlur(noise, (0, 0), 0.6) * 2, 0, 255).astype(np.uint8)
    return RodPhoto(pixels, rod, rotation, -rotation @ stand, middle)


def _shaded(rod: Rod, stand: Array, rays: Array, start: Array, end: Array) -> tuple[Array, NDArray[np.bool_]]:
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    away = stand - start
    across_rays = rays - (rays @ along)[..., None] * along
    across_away = away - (away @ along) * along
    a = (across_rays**2).sum(axis=-1)
    b = across_rays @ across_away
    c = float(across_away @ across_away)
    nearest = -b / a
    least = np.sqrt(np.maximum(c - b**2 / a, 0.0))
    radius = np.full(a.shape, rod.major / 2)
    # Twice: the radius depends on where the ray meets the thread, which depends on the radius.
    for _ in range(2):
        reach = nearest - np.sqrt(np.maximum(radius**2 - least**2, 0.0) / a)
        spot = away + reach[..., None] * rays
        place = spot @ along
        out = spot - place[..., None] * along
        out /= np.linalg.norm(out, axis=-1, keepdims=True)
        up = np.array([0.0, 0.0, -1.0]) + along[2] * along
        up /= np.linalg.norm(up)
        side = np.cross(along, up)
        around = np.arctan2(out @ side, out @ up)
        depth, slope = _thread(rod, place, around)
        radius = rod.major / 2 - depth
    hit = (least < radius) & (place > 0) & (place < length)
    normal = out - slope[..., None] * along
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    lamp = np.array([0.5, -0.3, -0.8]) / np.linalg.norm([0.5, -0.3, -0.8])
    light = 0.35 + 0.6 * np.maximum(normal @ lamp, 0)
    mirrored = rays - 2 * (rays * normal).sum(axis=-1, keepdims=True) * normal
    light = light + rod.shine * np.maximum(mirrored @ lamp, 0) ** 12
    return np.asarray(light[..., None] * np.array(rod.metal)), hit


def _thread(rod: Rod, place: Array, around: Array) -> tuple[Array, Array]:
    """How deep below the crest the thread is, and the slope of its flank along the axis."""
    depth, slope = np.zeros_like(place), np.zeros_like(place)
    for first, last, pitch in rod.threads:
        turn = 2 * np.pi * (place / pitch - around / (2 * np.pi))
        deep = 0.3 * pitch
        inside = (place >= first) & (place <= last)
        one, two = 1 - rod.overtone, rod.overtone
        wave = 1 - one * np.cos(turn) - two * np.cos(2 * turn)
        rate = one * np.sin(turn) + 2 * two * np.sin(2 * turn)
        depth = np.where(inside, deep * wave, depth)
        slope = np.where(inside, -deep * 2 * np.pi / pitch * rate, slope)
    return depth, slope
