"""Render scenes and train both networks on one graphics card within a given number of seconds.

`python train.py OUT --photos 260 --find 120 --read 330 [--start CHECKPOINT] [--seed 1]`
"""

from __future__ import annotations

import argparse
import copy
import ctypes
import itertools
import json
import math
import multiprocessing
import queue
import subprocess
import threading
import time
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F
from losses import find_loss, read_loss
from nets import CUT_MM, FIND_MM, Finder, Reader
from pieces import KINDS, LOOKS, SIZES
from scenes import draw_scene, phone, render, shadow_on_plane

HERE = Path(__file__).parent
DEV = "cuda"


def build():
    out = Path("/tmp/librender.so")
    subprocess.run(["nvcc", "-O3", "-use_fast_math", "-arch=sm_90", "-shared", "-Xcompiler", "-fPIC", str(HERE / "render.cu"), "-o", str(out)], check=True)  # fmt: skip
    return ctypes.CDLL(str(out))


def linear(u8):
    x = u8.float() / 255
    return torch.where(x < .04045, x / 12.92, ((x + .055) / 1.055) ** 2.4)


class Shot:
    """A rendered photo on the card with what the losses need of it."""

    def __init__(self, lib, scene, spp, rng):
        light, ids = render(lib, scene, DEV, spp)
        self.cam = {k: (torch.tensor(v, device=DEV, dtype=torch.float32) if isinstance(v, np.ndarray) else v) for k, v in scene.cam.items()}  # fmt: skip
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
        xs = torch.arange(ww, device=DEV).float().repeat(hh)
        ys = torch.arange(hh, device=DEV).float().repeat_interleave(ww)
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
        xs = torch.arange(x0 + step / 2, x1, step, device=DEV)
        ys = torch.arange(y0 + step / 2, y1, step, device=DEV)
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


def colour_jitter(x, rng_like):
    b = x.shape[0]
    gain = 1 + .08 * torch.randn(b, 3, 1, 1, device=DEV)
    x = (x * gain).clamp(0, 4) ** (1 + .12 * torch.randn(b, 1, 1, 1, device=DEV))
    return x + torch.rand(b, 1, 1, 1, device=DEV) * .03 * torch.randn_like(x)


def encode(u8, paper):
    """What the networks see: light over the paper's, by its root."""
    return (linear(u8) / paper.view(1, 3, 1, 1) * .85).clamp(0, 3).sqrt()


def find_batch(shots, rng, n, size):
    xs, ids, mids = [], [], []
    for _ in range(n):
        s = shots[rng.integers(len(shots))]
        h, w = s.flat_ids.shape
        y, x = int(rng.integers(0, max(1, h - size + 1))), int(rng.integers(0, max(1, w - size + 1)))
        a, i = s.flat[:, y : y + size, x : x + size], s.flat_ids[y : y + size, x : x + size]
        m = s.middle[i.long()] - torch.stack(torch.meshgrid(torch.arange(x, x + i.shape[1], device=DEV), torch.arange(y, y + i.shape[0], device=DEV), indexing="xy"), -1)
        pad = (0, size - i.shape[1], 0, size - i.shape[0])
        a, i, m = F.pad(encode(a[None], s.paper)[0], pad), F.pad(i, pad), F.pad(m.permute(2, 0, 1), pad)
        k = int(rng.integers(4))
        a, i = torch.rot90(a, k, (1, 2)), torch.rot90(i, k, (0, 1))
        m = torch.rot90(m, k, (1, 2))
        for _ in range(k):
            m = torch.stack([m[1], -m[0]])
        if rng.random() < .5:
            a, i, m = a.flip(2), i.flip(1), m.flip(2) * torch.tensor([-1.0, 1], device=DEV).view(2, 1, 1)
        xs.append(a), ids.append(i), mids.append(m)
    return torch.stack(xs), torch.stack(ids), torch.stack(mids) * (FIND_MM / 10)


def read_batch(shots, rng, photos, each, height, width):
    cuts, views, labels = [], [], []
    reach, high = width * CUT_MM - 3, height * CUT_MM - 2
    while len(cuts) < photos:
        s = shots[rng.integers(len(shots))]
        fit = [i for i in s.items if i["across"] < reach and (i["lying"] or i["across"] < high)]
        grids, keys, vs = [], [], []
        for _ in range(4 * each):
            if len(grids) == each or not fit:
                break
            it = fit[rng.integers(len(fit))]
            ax = it["t"]["axis"][:2]
            ang = math.atan2(ax[1], ax[0]) if it["lying"] else rng.uniform(0, 2 * np.pi)
            ang += rng.normal(0, np.radians(3.0)) + (np.pi if rng.random() < .5 else 0)
            if rng.random() < .06:
                ang += rng.uniform(0, 2 * np.pi)
            c, sn = math.cos(ang), math.sin(ang)
            turn = np.array([[c, sn], [-sn, c]])  # plane to cut-out
            q = it["pts"] @ turn.T
            lo, hi = q.min(0), q.max(0)
            if (hi - lo)[0] > reach or (hi - lo)[1] > high:
                continue
            mid = ((lo + hi) / 2 + rng.normal(0, .5, 2)) @ turn
            flip = -1.0 if rng.random() < .5 else 1.0
            grids.append((mid, turn, flip))
            v = (turn @ (s.eye[:2] - mid)) / s.eye[2] * [1, flip]
            vs.append([v[0], v[1], 100 / s.eye[2]])
            keys.append(it)
        if not grids:
            continue
        # A batch of one shape each time, for the card's sake.
        again = rng.integers(0, len(grids), each - len(grids))
        grids, keys, vs = ([*x, *(x[i] for i in again)] for x in (grids, keys, vs))
        ys, xs = torch.meshgrid(torch.arange(height, device=DEV), torch.arange(width, device=DEV), indexing="ij")
        local = torch.stack([(xs + .5 - width / 2) * CUT_MM, (ys + .5 - height / 2) * CUT_MM], -1).float()
        turn = torch.tensor(np.array([g[1] for g in grids]), device=DEV, dtype=torch.float32)
        mid = torch.tensor(np.array([g[0] for g in grids]), device=DEV, dtype=torch.float32)
        flip = torch.tensor([g[2] for g in grids], device=DEV).view(-1, 1, 1)
        loc = local[None].expand(len(grids), -1, -1, -1)
        loc = torch.stack([loc[..., 0], loc[..., 1] * flip], -1)
        plane = torch.einsum("bhwk,bkj->bhwj", loc, turn) + mid[:, None, None]
        rgb = s.sample(plane, s.rgb).permute(1, 0, 2, 3)
        ids = s.sample(plane, s.ids[None], "nearest")[0]
        number = torch.tensor([i["k"] + 1 for i in keys], device=DEV).view(-1, 1, 1)
        mask = (ids.round() == number).float()[:, None]
        mask = F.avg_pool2d(mask, 4)
        mask = torch.sigmoid((mask - torch.empty(len(keys), 1, 1, 1, device=DEV).uniform_(.3, .7)) * 12)
        mask = F.interpolate(mask, scale_factor=4, mode="bilinear", align_corners=False)
        cuts.append(torch.cat([encode(rgb, s.paper), mask], 1))
        views.append(torch.tensor(vs, device=DEV, dtype=torch.float32))
        for it, (m, t, f) in zip(keys, grids):
            labels.append(_label(it, m, t, f))
    cut, view = torch.cat(cuts), torch.cat(views)
    cut = torch.cat([colour_jitter(cut[:, :3], rng), cut[:, 3:]], 1)
    lab = {k: torch.tensor(np.array([x[k] for x in labels]), device=DEV) for k in labels[0]}
    return cut, view, lab


def _label(it, mid, turn, flip):
    t = it["t"]
    sizes = np.array([t["sizes"][s] if t["sizes"][s] is not None else np.nan for s in SIZES], np.float32)
    points = np.full((3, 2), np.nan, np.float32)
    for i, m in enumerate(("top", "under", "tip")):
        if m in it["marks"]:
            points[i] = (turn @ (it["marks"][m] - mid)) * [1, flip] / 10
    if not it["lying"] or (t["kind"] in ("stud", "spacer", "grub_screw")):
        # Two ends alike: the one at the left counts as the start.
        if t["kind"] in ("stud", "spacer", "grub_screw") and not np.isnan(points[1:]).any() and points[1, 0] > points[2, 0]:
            points[[1, 2]] = points[[2, 1]]
    pitch = t["pitch"] if t["pitch"] and t["kind"] in ("hex_bolt", "slotted_screw", "stud", "grub_screw") and it["lying"] else np.nan
    return {
        "kind": KINDS.index(t["kind"]), "look": LOOKS.index(t["look"]), "sizes": sizes, "points": points, "pitch": np.float32(pitch),
        "flags": np.array([t["threaded_to_head"], t["pose"] == "standing"], np.float32),
    }  # fmt: skip


def run(net, seconds, batch, loss_of, lr, name, every, check, keep, ema_decay=.998, fresh=None):
    net = net.to(DEV).to(memory_format=torch.channels_last)
    ema = copy.deepcopy(net).eval()
    opt = torch.optim.AdamW(net.parameters(), lr=lr, weight_decay=.02, betas=(.9, .98))
    # The next batches are drawn while the card works on this one.
    waiting: queue.Queue = queue.Queue(maxsize=3)
    over = threading.Event()

    def ahead():
        while not over.is_set():
            if fresh is not None:
                fresh()
            one = batch()
            while not over.is_set():
                try:
                    waiting.put(one, timeout=1)
                    break
                except queue.Full:
                    continue

    threading.Thread(target=ahead, daemon=True).start()
    start, step = time.time(), 0
    while time.time() - start < seconds:
        part = (time.time() - start) / seconds
        now = lr * min(1, (step + 1) / 100) * (.5 + .5 * math.cos(math.pi * part) + .004)
        for g in opt.param_groups:
            g["lr"] = now
        data = waiting.get(timeout=120)
        with torch.autocast("cuda", torch.bfloat16):
            out = net(*data[0])
        loss = loss_of(out, *data[1])
        if not torch.isfinite(loss):
            continue
        opt.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        opt.step()
        step += 1
        d = min(ema_decay, (step + 1) / (step + 20))
        with torch.no_grad():
            for a, b in zip(ema.state_dict().values(), net.state_dict().values()):
                a.lerp_(b, 1 - d) if a.dtype.is_floating_point else a.copy_(b)
        if step in (10, 50):
            print(name, step, f"{time.time() - start:.1f}s", flush=True)
        if step % every == 0:
            print(name, step, f"{time.time() - start:.0f}s loss {loss.item():.3f}", check(ema), flush=True)
            if name == "read":
                tell = []
                loss_of(out, *data[1], tell)
                print("   of this batch", {k: round(v, 3) for k, v in tell[0].items()}, flush=True)
            keep(ema)
    over.set()
    print(name, "steps", step, check(ema), flush=True)
    return ema


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("out", type=Path)
    ap.add_argument("--photos", type=int, default=200)
    ap.add_argument("--render", type=float, default=150, help="seconds for rendering at most")
    ap.add_argument("--find", type=float, default=100)
    ap.add_argument("--read", type=float, default=250)
    ap.add_argument("--spp", type=int, default=10)
    ap.add_argument("--seed", type=int, default=1)
    ap.add_argument("--start", type=Path)
    ap.add_argument("--names", nargs="*", default=["finder", "reader"], help="which networks to take from there")
    ap.add_argument("--pictures", type=int, default=1)
    a = ap.parse_args()
    t0 = time.time()
    lib = build()
    print("built", round(time.time() - t0, 1), flush=True)
    rng = np.random.default_rng(a.seed)
    pool = multiprocessing.get_context("spawn").Pool(14)
    coming = pool.imap_unordered(draw_scene, range(a.seed * 100_000, a.seed * 100_000 + a.photos + 600))
    shots, started = [], time.time()
    while len(shots) < a.photos and time.time() - started < a.render:
        shots.append(Shot(lib, next(coming), a.spp, rng))
        if len(shots) in (1, 5, 20, 100):
            print("rendered", len(shots), round(time.time() - started, 1), "s; memory", torch.cuda.memory_allocated() >> 20, "MiB", flush=True)
    print("photos", len(shots), "pieces", sum(len(s.items) for s in shots), round(time.time() - started, 1), "s", flush=True)
    from torchvision.io import write_jpeg

    for i in range(a.pictures):
        write_jpeg(shots[i].rgb.cpu(), str(a.out / f"shot{i}.jpg"), quality=85)
    held, shots = shots[: max(2, len(shots) // 25)], shots[max(2, len(shots) // 25) :]
    finder, reader = Finder(), Reader()
    print("parameters", [sum(p.numel() for p in n.parameters()) for n in (finder, reader)])
    if a.start:
        state = torch.load(a.start, map_location="cpu")
        for net, name in ((finder, "finder"), (reader, "reader")):
            if name in a.names:
                net.load_state_dict(state[name])

    def save(finder, reader):
        half = ({k: (v.half() if v.dtype.is_floating_point else v).cpu() for k, v in net.state_dict().items()} for net in (finder, reader))
        torch.save(dict(zip(("finder", "reader"), half)), a.out / "nets.pt")

    if a.find > 0:

        def found():
            x, ids, mids = find_batch(shots, rng, 32, 512)
            return (colour_jitter(x, rng).to(memory_format=torch.channels_last),), (ids, mids)

        def check(net):
            r = np.random.default_rng(5)
            inter = union = way = n = 0.0
            with torch.no_grad(), torch.autocast("cuda", torch.bfloat16):
                for _ in range(4):
                    x, ids, mids = find_batch(held, r, 32, 512)
                    o = net(x).float()
                    p, on = o[:, 0] > 0, ids > 0
                    inter, union = inter + (p & on).sum().item(), union + (p | on).sum().item()
                    way += ((o[:, 2:] - mids).norm(dim=1) * on).sum().item()
                    n += on.sum().item()
            return {"iou": round(inter / union, 4), "way_mm": round(10 * way / n, 3)}

        finder = run(finder, a.find, found, find_loss, 2e-3 if not a.start or "finder" not in a.names else 6e-4, "find", 200, check, lambda net: save(net, reader))
    if a.read > 0:
        shapes = [(320, 384, 16), (320, 640, 10), (320, 896, 8), (256, 256, 24), (256, 512, 14)]

        def pieces():
            h, w, each = shapes[rng.integers(len(shapes))]
            cut, view, lab = read_batch(shots, rng, 8, each, h, w)
            return (cut.to(memory_format=torch.channels_last), view), (lab,)

        def check_read(net):
            r = np.random.default_rng(7)
            tell = []
            with torch.no_grad(), torch.autocast("cuda", torch.bfloat16):
                for h, w, each in shapes[:3] * 2:
                    with torch.autocast("cuda", enabled=False):
                        cut, view, lab = read_batch(held, r, 8, each, h, w)
                    read_loss(net(cut, view), lab, tell)
            return {k: round(float(np.nanmean([t[k] for t in tell])), 3) for k in tell[0]}

        turns = itertools.count(1)

        def renew():
            if next(turns) % 25 == 0:
                try:
                    shots[int(rng.integers(len(shots)))] = Shot(lib, next(coming), a.spp, rng)
                except StopIteration:
                    pass

        reader = run(reader, a.read, pieces, read_loss, 2e-3 if not a.start or "reader" not in a.names else 6e-4, "read", 250, check_read, lambda net: save(finder, net), fresh=renew)
    save(finder, reader)
    (a.out / "run.json").write_text(json.dumps({"photos": len(shots), "seconds": time.time() - t0}))
    pool.terminate()
    print("done", round(time.time() - t0, 1), flush=True)


if __name__ == "__main__":
    main()
