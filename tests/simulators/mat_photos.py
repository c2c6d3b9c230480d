"""Photos of a printed mat, drawn by ray and plane with a camera of one's own; nothing of the core is asked.

The print is drawn from the mat's file, the paper may be curled about a line, and the camera has radial
distortion, blur, exposure and grain. All in millimetres of the paper; x right, y down, z into the table.
"""

from __future__ import annotations

import io
import json
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

Array = NDArray[np.float64]
DRAWN_PX_PER_MM = 8
TABLE_SRGB = (92, 74, 58)
_SHARES = np.arange(256) / 255
_LINEAR = np.where(_SHARES <= 0.04045, _SHARES / 12.92, ((_SHARES + 0.055) / 1.055) ** 2.4).astype(np.float32)
_KEPT: dict[str, NDArray[np.float32]] = {}


@dataclass(frozen=True)
class Scene:
    """A mat on a table and a camera above it."""

    mat: dict[str, Any]
    width_px: int = 2050
    height_px: int = 1540
    focal_px: float = 2000.0
    bend_2: float = 0.02
    bend_4: float = -0.01
    look_at_mm: tuple[float, float] | None = None
    distance_mm: float = 330.0
    tilt_deg: float = 15.0
    swing_deg: float = 40.0
    roll_deg: float = 3.0
    print_scale: float = 1.0
    curl_mm: float = 0.0
    blur_px: float = 0.7
    exposure: float = 0.75
    grain: float = 0.006
    lamp: tuple[float, float] = (0.1, -0.08)
    paint: tuple[tuple[float, float, float, float, tuple[int, int, int]], ...] = ()
    second_mat_at_mm: tuple[float, float] | None = None
    seed: int = 1

    def but(self, **changed: Any) -> Scene:
        """The scene with something changed."""
        return replace(self, **changed)

    def print_mm(self) -> tuple[float, float]:
        """The size of the paper [mm]."""
        width, height = self.mat["size_mm"]
        return float(width), float(height)

    def rotation(self) -> Array:
        """From the paper to the camera."""
        tilt, swing, roll = np.radians([self.tilt_deg, self.swing_deg, self.roll_deg])
        forward = np.array([np.sin(tilt) * np.cos(swing), np.sin(tilt) * np.sin(swing), np.cos(tilt)])
        right = np.array([np.cos(roll), np.sin(roll), 0.0])
        right -= forward * (right @ forward)
        right /= np.linalg.norm(right)
        return np.stack([right, np.cross(forward, right), forward])

    def stand_mm(self) -> Array:
        """Where the camera stands."""
        width, height = self.print_mm()
        x, y = self.look_at_mm or (width / 2, height / 2)
        return np.asarray(np.array([x, y, 0.0]) - self.rotation()[2] * self.distance_mm)

    def seen_px(self, points_mm: Array) -> Array:
        """Where points are seen."""
        inside = (points_mm - self.stand_mm()) @ self.rotation().T
        flat = inside[:, :2] / inside[:, 2:]
        square = (flat**2).sum(axis=1, keepdims=True)
        bent = flat * (1 + self.bend_2 * square + self.bend_4 * square**2)
        return np.asarray(bent * self.focal_px + ((self.width_px - 1) / 2, (self.height_px - 1) / 2))


def drawn_mat(mat: dict[str, Any], print_scale: float = 1.0) -> NDArray[np.float32]:
    """The light of the paper with the mat on it, smaller about its middle where the printer shrank it."""
    width, height = mat["size_mm"]
    size = round(height * DRAWN_PX_PER_MM), round(width * DRAWN_PX_PER_MM)
    paper = np.empty((*size, 3), np.float32)
    paper[:] = _LINEAR[mat["paper_srgb"]]
    middle = np.array([width / 2, height / 2])

    def box(rect: Any, colour: Any) -> None:
        """A rectangle; a pixel that it covers in part takes that part of its light."""
        (left, top), (right, bottom) = (
            (np.asarray(rect, dtype=float).reshape(2, 2) - middle) * print_scale + middle
        ) * DRAWN_PX_PER_MM
        columns = np.arange(int(left), min(int(right) + 1, size[1]))
        rows = np.arange(int(top), min(int(bottom) + 1, size[0]))
        across = np.clip(np.minimum(columns + 1, right) - np.maximum(columns, left), 0, 1)
        down = np.clip(np.minimum(rows + 1, bottom) - np.maximum(rows, top), 0, 1)
        share = (down[:, None] * across[None, :])[..., None].astype(np.float32)
        part = paper[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
        part += share * (_LINEAR[colour] - part)

    box(mat["work_area_mm"], mat["background_srgb"])
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, mat["dictionary"]))
    modules = dictionary.markerSize + 2
    for marker in mat["markers"]:
        (left, top), _, (right, bottom), _ = marker["corners_mm"]
        box([left, top, right, bottom], [0, 0, 0])
        step = (right - left) / modules
        bits = cv2.aruco.generateImageMarker(dictionary, marker["id"], modules)
        for row, column in zip(*np.nonzero(bits), strict=True):
            x, y = left + column * step, top + row * step
            box([x, y, x + step, y + step], mat["paper_srgb"])
    for patch in mat["patches"]:
        box(patch["rect_mm"], [patch["srgb"]] * 3)
    return paper


def photographed(scene: Scene) -> NDArray[np.uint8]:
    """The photo, upright, sRGB."""
    seen = _light_of(replace(scene, blur_px=0.0, exposure=1.0, grain=0.0, seed=0)) * np.float32(
        scene.exposure
    )
    if scene.blur_px:
        seen = np.asarray(cv2.GaussianBlur(seen, (0, 0), scene.blur_px), dtype=np.float32)
    chance = np.random.default_rng(scene.seed)
    seen = seen + scene.grain * chance.standard_normal(seen.shape, dtype=np.float32)
    return np.rint(_srgb(np.clip(seen, 0, 1)) * 255).astype(np.uint8)


def _light_of(scene: Scene) -> NDArray[np.float32]:
    """What comes to the camera from paper and table; kept, since many photos differ only in what follows."""
    key = repr(scene)
    if key not in _KEPT:
        _KEPT.clear()
        _KEPT[key] = _light_seen(scene)
    return _KEPT[key]


def _light_seen(scene: Scene) -> NDArray[np.float32]:
    width, height = scene.print_mm()
    light = drawn_mat(scene.mat, scene.print_scale)
    for left, top, right, bottom, colour in scene.paint:
        first = np.rint(np.array([top, left]) * DRAWN_PX_PER_MM).astype(int)
        last = np.rint(np.array([bottom, right]) * DRAWN_PX_PER_MM).astype(int)
        light[first[0] : last[0], first[1] : last[1]] = _LINEAR[list(colour)]
    x, y = _ground_mm(scene, width)
    seen = _looked_up(light, x, y, width, height)
    if scene.second_mat_at_mm:
        dx, dy = scene.second_mat_at_mm
        second = _looked_up(light, x - dx, y - dy, width, height)
        seen = np.where(np.isnan(seen), second, seen)
    seen = np.where(np.isnan(seen), _LINEAR[list(TABLE_SRGB)], seen)
    u, v = 2 * x / width - 1, 2 * y / height - 1
    return np.asarray(seen * np.exp(scene.lamp[0] * u + scene.lamp[1] * v)[..., None], dtype=np.float32)


def jpeg_of(scene: Scene, quality: int = 92) -> bytes:
    """The photo as a JPEG."""
    out = io.BytesIO()
    Image.fromarray(photographed(scene)).save(out, "JPEG", quality=quality)
    return out.getvalue()


def mat_record(text: str) -> dict[str, Any]:
    """A mat's file as plain data."""
    read: dict[str, Any] = json.loads(text)
    return read


def _ground_mm(scene: Scene, width: float) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Where the ray of each pixel meets the paper; a curled paper rises to both sides, as a parabola."""
    columns = (np.arange(scene.width_px) - (scene.width_px - 1) / 2)[None, :] / scene.focal_px
    rows = (np.arange(scene.height_px) - (scene.height_px - 1) / 2)[:, None] / scene.focal_px
    across, down = np.broadcast_arrays(columns, rows)
    bent = np.hypot(across, down)
    straight = bent
    for _ in range(8):
        straight = bent / (1 + scene.bend_2 * straight**2 + scene.bend_4 * straight**4)
    ratio = np.where(bent > 0, straight / np.maximum(bent, 1e-12), 1.0)
    turn, stand = scene.rotation(), scene.stand_mm()
    rays = [ratio * (across * turn[0, at] + down * turn[1, at]) + turn[2, at] for at in range(3)]
    depth = np.zeros_like(ratio)
    for _ in range(12 if scene.curl_mm else 1):
        reach = (depth - stand[2]) / rays[2]
        x, y = stand[0] + reach * rays[0], stand[1] + reach * rays[1]
        depth = -scene.curl_mm * np.clip(2 * x / width - 1, -1, 1) ** 2
    return x.astype(np.float32), y.astype(np.float32)


def _looked_up(
    light: NDArray[np.float32], x: NDArray[np.float32], y: NDArray[np.float32], width: float, height: float
) -> NDArray[np.float32]:
    """The light of the paper at places, and nothing beside it."""
    place_x, place_y = x * DRAWN_PX_PER_MM - np.float32(0.5), y * DRAWN_PX_PER_MM - np.float32(0.5)
    found = cv2.remap(light, place_x, place_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    beside = (x < 0) | (x > width) | (y < 0) | (y > height)
    return np.where(beside[..., None], np.float32(np.nan), found)


def _srgb(linear: NDArray[np.float32]) -> NDArray[np.float32]:
    bright = 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055
    return np.where(linear <= 0.0031308, linear * 12.92, bright)
