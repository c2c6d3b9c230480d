"""Rendered photos on the card, and the pieces cut out of them as the reading network takes them."""

from __future__ import annotations

import ctypes
import math
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F
from nets import CUT_MM, FIND_MM
from pieces import KINDS, LOOKS, SIZES
from scenes import phone, render, shadow_on_plane

HERE = Path(__file__).parent


def build():
    """The renderer for the card, or where there is none for the processor."""
    out = Path(tempfile.mkdtemp()) / "librender.so"
    on_card = ["nvcc", "-O3", "-use_fast_math", "-arch=sm_90", "-shared", "-Xcompiler", "-fPIC", str(HERE / "render.cu"), "-o", str(out)]
    on_bench = ["g++", "-x", "c++", "-O3", "-march=native", "-ffast-math", "-fopenmp", "-shared", "-fPIC", str(HERE / "render.cu"), "-o", str(out)]
    subprocess.run(on_card if shutil.which("nvcc") and torch.cuda.is_available() else on_bench, check=True)
    return str(out)


def linear(u8):
    x = u8.float() / 255
    return torch.where(x < .04045, x / 12.92, ((x + .055) / 1.055) ** 2.4)


def encode(u8, paper):
    """What the networks see: light over the paper's, by its root."""
    return (linear(u8) / paper.view(-1, 3, 1, 1) * .85).clamp(0, 3).sqrt()


class Shot:
    """A rendered photo on the card with what the losses need of it."""

    def __init__(self, lib, scene, spp, rng, dev):
        self.dev = dev
        light, ids = render(lib, scene, dev, spp)
        self.cam = {k: (torch.tensor(v, device=dev, dtype=torch.float32) if isinstance(v, np.ndarray) else v) for k, v in scene.cam.items()}  # fmt: skip
        self.eye = scene.cam["eye"]
        self.rgb, self.ids, self.size = phone(light, rng), ids, scene.size
        h, w = scene.cam["H"], scene.cam["W"]
        # The white of the paper as the photo shows it: by it a cut-out's colours are made comparable.
        band = self.plane_rect(-0.0, 1.5, scene.size[0], 3.5, 0.5)
        low = self.plane_rect(0, scene.size[1] - 3.5, scene.size[0], scene.size[1] - 1.5, 0.5)
        both = torch.cat([self.sample(g, self.rgb)[:, 0].flatten(1) for g in (band, low)], 1)
        self.paper = linear(both.quantile(.5, 1)).clamp(.02)
        x0, y0, x1, y1 = scene.area[0], scene.size[1] - scene.area[3], scene.area[2], scene.size[1] - scene.area[1]
        grid = self.plane_rect(x0, y0, x1, y1, FIND_MM / 2)
        flat = F.avg_pool2d(self.sample(grid, self.rgb)[:, 0][None], 2)[0]
        self.flat = flat.round().clamp(0, 255).to(torch.uint8)
        self.flat_ids = self.sample(self.plane_rect(x0, y0, x1, y1, FIND_MM), self.ids[None], "nearest")[0, 0].round().to(torch.uint8)
        rows, cols = (min(a, b) for a, b in zip(self.flat.shape[1:], self.flat_ids.shape))
        self.flat, self.flat_ids = self.flat[:, :rows, :cols].contiguous(), self.flat_ids[:rows, :cols].contiguous()
        n = len(scene.truths) + 1
        flat_ids = self.flat_ids.flatten().long()
        hh, ww = self.flat_ids.shape
        count = torch.bincount(flat_ids, minlength=n).clamp(1).float()
        xs = torch.arange(ww, device=dev).float().repeat(hh)
        ys = torch.arange(hh, device=dev).float().repeat_interleave(ww)
        self.middle = torch.stack([torch.bincount(flat_ids, xs, n) / count, torch.bincount(flat_ids, ys, n) / count], 1)
        self.items = []
        for k, t in enumerate(scene.truths):
            if count[k + 1] < 40:
                continue
            axis, at = t["axis"], t["at"]
            marks = {m: shadow_on_plane(scene.cam, at + axis * v) for m, v in t["marks"].items()}
            px = (flat_ids == k + 1).nonzero()[:, 0]
            pts = torch.stack([px % ww, px // ww], 1).float().cpu().numpy() * FIND_MM + FIND_MM / 2 + [x0, y0]
            self.items.append({"k": k, "t": t, "marks": marks, "pts": pts[:: max(1, len(pts) // 400)], "across": float(np.hypot(*np.ptp(pts, 0))), "lying": t["pose"] in ("lying", "on_edge")})

    def plane_rect(self, x0, y0, x1, y1, step):
        xs = torch.arange(x0 + step / 2, x1, step, device=self.dev)
        ys = torch.arange(y0 + step / 2, y1, step, device=self.dev)
        # Rows run along world y, which points up; the flattened mat is thus upside down, which no loss minds.
        return torch.stack(torch.meshgrid(xs, ys, indexing="xy"), -1)[None]

    def sample(self, plane, img, mode="bilinear"):
        c = self.cam
        q = F.pad(plane, (0, 1)) - c["eye"]
        basis = torch.stack([c["right"], c["down"], c["fwd"]], 1)
        q = q @ basis
        x, y = q[..., 0] / q[..., 2], q[..., 1] / q[..., 2]
        r2 = x * x + y * y
        s = 1 + c["k1"] * r2 + c["k2"] * r2 * r2
        u, v = x * s * c["f"] + c["cx"], y * s * c["f"] + c["cy"]
        h, w = img.shape[-2:]
        grid = torch.stack([(2 * u + 1) / w - 1, (2 * v + 1) / h - 1], -1)
        b, gh, gw, _ = grid.shape
        out = F.grid_sample(img[None].float(), grid.reshape(1, b * gh, gw, 2), mode=mode, padding_mode="border", align_corners=False)
        return out.view(-1, b, gh, gw)


# Sizes of cut-outs [px]: as they are kept, `EDGE` larger on each side than they are used, for shifts.
SHAPES = ((256, 256), (320, 384), (320, 640), (320, 896))
EDGE = 16
_BESIDE_MM = 4.0
# Pieces whose two ends are alike.
_EVEN = ("stud", "spacer", "grub_screw")


def cuts_of(shot, rng, repeats):
    """Cut the pieces out of a photo, each so many times, turned and set a little differently: a list for each shape."""
    asked = [[] for _ in SHAPES]
    for it in shot.items:
        for _ in range(repeats):
            ax = it["t"]["axis"][:2]
            ang = math.atan2(ax[1], ax[0]) if it["lying"] else rng.uniform(0, 2 * np.pi)
            ang += rng.normal(0, np.radians(3.0))
            if rng.random() < .06:
                ang += rng.uniform(0, 2 * np.pi)
            c, sn = math.cos(ang), math.sin(ang)
            turn = np.array([[c, sn], [-sn, c]])  # plane to cut-out
            q = it["pts"] @ turn.T
            lo, hi = q.min(0), q.max(0)
            needs = (hi - lo + 2 * _BESIDE_MM) / CUT_MM
            room = [i for i, (h, w) in enumerate(SHAPES) if needs[0] <= w and needs[1] <= h]
            if not room:
                continue
            at = room[1] if len(room) > 1 and rng.random() < (.6 if room[0] == 0 else .15) else room[0]
            mid = ((lo + hi) / 2 + rng.normal(0, .05, 2)) @ turn
            asked[at].append((it, mid, turn, needs[1] <= 256))
    return [_cut(shot, asked[i], *SHAPES[i]) if asked[i] else None for i in range(len(SHAPES))]


def _cut(shot, asked, height, width):
    height, width, dev = height + 2 * EDGE, width + 2 * EDGE, shot.dev
    ys, xs = torch.meshgrid(torch.arange(height, device=dev), torch.arange(width, device=dev), indexing="ij")
    local = torch.stack([(xs + .5 - width / 2) * CUT_MM, (ys + .5 - height / 2) * CUT_MM], -1).float()
    turn = torch.tensor(np.array([a[2] for a in asked]), device=dev, dtype=torch.float32)
    mid = torch.tensor(np.array([a[1] for a in asked]), device=dev, dtype=torch.float32)
    plane = torch.einsum("hwk,bkj->bhwj", local, turn) + mid[:, None, None]
    rgb = shot.sample(plane, shot.rgb).permute(1, 2, 3, 0)
    ids = shot.sample(plane, shot.ids[None], "nearest")[0]
    number = torch.tensor([a[0]["k"] + 1 for a in asked], device=dev).view(-1, 1, 1)
    mask = (ids.round() == number)[..., None] * 255
    cut = torch.cat([rgb.round().clamp(0, 255), mask], -1).to(torch.uint8).cpu()
    labels = [_label(it, m, t) | {"view": _view(shot, m, t), "short": short} for it, m, t, short in asked]
    told = {k: torch.tensor(np.array([one[k] for one in labels])) for k in labels[0]}
    told["paper"] = shot.paper.cpu().expand(len(asked), 3).clone()
    return {"cut": cut} | told


def _view(shot, mid, turn):
    v = (turn @ (shot.eye[:2] - mid)) / shot.eye[2]
    return np.array([v[0], v[1], 100 / shot.eye[2]], np.float32)


def _label(it, mid, turn):
    t = it["t"]
    sizes = np.array([t["sizes"][s] if t["sizes"][s] is not None else np.nan for s in SIZES], np.float32)
    points = np.full((3, 2), np.nan, np.float32)
    for i, m in enumerate(("top", "under", "tip")):
        if m in it["marks"]:
            points[i] = turn @ (it["marks"][m] - mid) / 10
    pitch = t["pitch"] if t["pitch"] and t["kind"] in ("hex_bolt", "slotted_screw", "stud", "grub_screw") and it["lying"] else np.nan
    return {
        "kind": KINDS.index(t["kind"]), "look": LOOKS.index(t["look"]), "sizes": sizes, "points": points, "pitch": np.float32(pitch),
        "flags": np.array([t["threaded_to_head"], t["pose"] == "standing"], np.float32), "even": t["kind"] in _EVEN,
    }  # fmt: skip
