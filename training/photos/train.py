"""Render scenes and train one network, on one graphics card or with a second one that renders.

`python train.py read OUT --seconds 500 [--start nets.pt] [--store FILE] [--flats FOLDER] [--seed 1]`
`python train.py find OUT --seconds 300 --flats FOLDER` (photos that the first has left there)
"""

from __future__ import annotations

import argparse
import copy
import ctypes
import itertools
import math
import queue
import signal
import sys
import time
from collections import deque
from pathlib import Path

import numpy as np
import torch
import torch.multiprocessing as mp
import torch.nn.functional as F
from losses import edges, find_loss, read_loss
from nets import FIND_MM, Finder, Reader
from scenes import draw_scene
from shots import SHAPES, Shot, build, cuts_of, encode
from store import Store

# Every so many photos, one is held back from training; of each maker's first so many, every second is left for the
# finder, which holds at most so many.
HELD, LEFT, HOLDS = 25, 3000, 1600


def photos(lib, seeds, dev, out, flats, draw):
    """Render without end: cut-outs into the queue, flattened mats into the folder."""
    torch.set_num_threads(1)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit())
    if dev != "cpu":
        torch.cuda.set_device(dev)
    lib = ctypes.CDLL(lib)
    with mp.get_context("spawn").Pool(draw) as pool:
        # Scenes are drawn ahead, but only a few: each holds a picture of its mat.
        drawn = deque((seed, pool.apply_async(draw_scene, (seed,))) for seed in seeds[: 3 * draw])
        for seed in seeds[3 * draw :]:
            drawn.append((seed, pool.apply_async(draw_scene, (seed,))))
            _photo(lib, *drawn.popleft(), dev, out, flats)


def _photo(lib, seed, drawn, dev, out, flats):
    scene = drawn.get()
    rng = np.random.default_rng(seed)
    shot = Shot(lib, scene, int(rng.choice([6, 9, 14])), rng, dev)
    out.put((seed, cuts_of(shot, rng, 2)))
    if flats and seed % 2 == 0 and seed % 100_000 < LEFT:
        told = {"flat": shot.flat, "ids": shot.flat_ids, "middle": shot.middle, "paper": shot.paper}
        torch.save({k: v.cpu() for k, v in told.items()}, flats / f"{seed}.part")
        (flats / f"{seed}.part").rename(flats / f"{seed}.pt")


def find_batch(flats, rng, n, size, dev):
    xs, ids, mids = [], [], []
    for _ in range(n):
        s = flats[rng.integers(len(flats))]
        h, w = s["ids"].shape
        y, x = int(rng.integers(0, max(1, h - size + 1))), int(rng.integers(0, max(1, w - size + 1)))
        a, i = s["flat"][:, y : y + size, x : x + size], s["ids"][y : y + size, x : x + size]
        here = torch.meshgrid(torch.arange(x, x + i.shape[1], device=dev), torch.arange(y, y + i.shape[0], device=dev), indexing="xy")
        m = s["middle"][i.long()] - torch.stack(here, -1)
        pad = (0, size - i.shape[1], 0, size - i.shape[0])
        a, i, m = F.pad(encode(a[None], s["paper"])[0], pad), F.pad(i, pad), F.pad(m.permute(2, 0, 1), pad)
        k = int(rng.integers(4))
        a, i, m = torch.rot90(a, k, (1, 2)), torch.rot90(i, k, (0, 1)), torch.rot90(m, k, (1, 2))
        for _ in range(k):
            m = torch.stack([m[1], -m[0]])
        if rng.random() < .5:
            a, i, m = a.flip(2), i.flip(1), m.flip(2) * torch.tensor([-1.0, 1], device=dev).view(2, 1, 1)
        xs.append(a), ids.append(i), mids.append(m)
    x = torch.stack(xs)
    x = (x * (1 + .08 * torch.randn(n, 3, 1, 1, device=dev))).clamp(0, 4) ** (1 + .12 * torch.randn(n, 1, 1, 1, device=dev))
    x = x + torch.rand(n, 1, 1, 1, device=dev) * .03 * torch.randn_like(x)
    return (x.to(memory_format=torch.channels_last),), (torch.stack(ids), torch.stack(mids) * (FIND_MM / 10))


def run(net, dev, seconds, batch, loss_of, lr, every, check, keep):
    net = net.to(dev).to(memory_format=torch.channels_last)
    ema = copy.deepcopy(net).eval()
    opt = torch.optim.AdamW(net.parameters(), lr=lr, weight_decay=.02, betas=(.9, .98))
    pairs = list(zip(ema.state_dict().values(), net.state_dict().values()))
    slow, quick = ([pair[i] for pair in pairs if pair[0].dtype.is_floating_point] for i in range(2))
    counts = [pair for pair in pairs if not pair[0].dtype.is_floating_point]
    start = time.time()
    for step in itertools.count(1):
        part = (time.time() - start) / seconds
        if part >= 1:
            break
        for g in opt.param_groups:
            g["lr"] = lr * min(1, step / 200) * (.5 + .5 * math.cos(math.pi * part) + .004)
        data = batch()
        with torch.autocast(dev.split(":")[0], torch.bfloat16):
            out = net(*data[0])
        loss = loss_of(out, *data[1])
        opt.zero_grad()
        loss.backward()
        norm = torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        if torch.isfinite(norm):
            opt.step()
        d = min(.999, (step + 1) / (step + 20))
        with torch.no_grad():
            torch._foreach_lerp_(slow, quick, 1 - d)
            for a, b in counts:
                a.copy_(b)
        if step in (10, 50) or step % every == 0:
            print(step, f"{time.time() - start:.0f}s loss {loss.item():.3f} norm {norm.item():.2f}", flush=True)
        if step % every == 0:
            print("   held", check(ema), flush=True)
            keep(ema)
    print("steps", step, check(ema), flush=True)
    keep(ema)


def read(a, keep, reader):
    dev = a.device
    kept, held = Store(a.places, dev), Store([max(8, n // 20) for n in a.places], dev)
    if a.store and a.store.exists():
        for store, groups in zip((kept, held), torch.load(a.store, map_location="cpu")):
            store.add(groups)
    lib, ctx = build(), mp.get_context("spawn")
    coming = ctx.Queue(maxsize=6)
    if a.flats:
        a.flats.mkdir(parents=True, exist_ok=True)
    makers = [ctx.Process(target=photos, args=(lib, range((a.seed + i) * 100_000, (a.seed + i) * 100_000 + 99_000), a.render_device, coming, a.flats, a.draw)) for i in range(a.makers)]
    for one in makers:
        one.start()
    rng, photos_in, began = np.random.default_rng(a.seed), 0, time.time()

    def take(wait):
        nonlocal photos_in
        try:
            seed, groups = coming.get(timeout=60) if wait else coming.get_nowait()
        except queue.Empty:
            return
        (held if seed % HELD == 0 else kept).add(groups)
        photos_in += 1
        if photos_in in (1, 10, 50) or photos_in % 100 == 0:
            print("photos", photos_in, f"{time.time() - began:.0f}s", kept.count, held.count, torch.cuda.memory_allocated(dev) >> 20 if dev != "cpu" else "", flush=True)

    while min(kept.count) < min(24, *a.places) or photos_in < a.first:
        take(True)
    while min(held.count) < 2:
        take(True)
    turns = itertools.count()

    def batch():
        if next(turns) % 4 == 0:
            take(False)
        share = np.array(kept.count, float) * [.5, 1, 1, 1]
        i = int(rng.choice(len(SHAPES), p=share / share.sum()))
        cut, view, lab = kept.batch(i, a.batch[i], rng, low=i > 0 and rng.random() < .35)
        return (cut.to(memory_format=torch.channels_last), view), (lab,)

    def check(net):
        tell, r = [], np.random.default_rng(7)
        with torch.no_grad():
            for i in (1, 2, 3, 1, 2, 0):
                cut, view, lab = held.batch(i, min(held.count[i], 2 * a.batch[i]), r)
                with torch.autocast(dev.split(":")[0], torch.bfloat16):
                    out = net(cut.to(memory_format=torch.channels_last), view)
                read_loss(out, lab, tell)
        return {k: round(float(np.nanmean([t[k] for t in tell])), 3) for k in tell[0]}

    run(reader, dev, a.seconds - (time.time() - began), batch, read_loss, a.lr, a.every, check, keep)
    for one in makers:
        one.terminate()
    if a.store:
        told = [[{"cut": s.cuts[i][: s.count[i]].cpu()} | {k: v[: s.count[i]].cpu() for k, v in s.told[i].items()} for i in range(len(SHAPES))] for s in (kept, held)]
        torch.save(told, a.store)


def find(a, keep, finder):
    rng, dev = np.random.default_rng(a.seed), a.device

    def loaded(name):
        return {k: v.to(dev) for k, v in torch.load(name).items()}

    names = sorted(a.flats.glob("*.pt"), key=lambda one: int(one.stem) % 100_000)
    flats = [loaded(one) for one in names]
    many = max(1, len(flats) // 20)
    held, flats = flats[:many], flats[many:]
    print("photos", len(flats), flush=True)
    seen, waiting, turns = set(names), deque(), itertools.count()

    def batch():
        # Photos that the reader's renderers leave meanwhile are learned from too.
        turn = next(turns)
        if turn % 100 == 0:
            new = [one for one in sorted(a.flats.glob("*.pt")) if one not in seen]
            seen.update(new)
            waiting.extend(new)
        if turn % 3 == 0 and waiting and len(flats) < HOLDS:
            flats.append(loaded(waiting.popleft()))
        if turn % 1000 == 0:
            print("photos", len(flats), flush=True)
        return find_batch(flats, rng, a.batch[0], 512, dev)

    def check(net):
        r, inter, union, way, n, edge, told = np.random.default_rng(5), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
        with torch.no_grad(), torch.autocast(dev.split(":")[0], torch.bfloat16):
            for _ in range(4):
                (x,), (ids, mids) = find_batch(held, r, a.batch[0], 512, dev)
                o = net(x).float()
                p, on = o[:, 0] > 0, ids > 0
                inter, union = inter + (p & on).sum().item(), union + (p | on).sum().item()
                way += ((o[:, 2:] - mids).norm(dim=1) * on).sum().item()
                n += on.sum().item()
                b = edges(ids)[:, 0] > 0
                edge, told = edge + b.sum().item(), told + (b & (o[:, 1] > 0)).sum().item()
        return {"iou": round(inter / union, 4), "way_mm": round(10 * way / n, 3), "border_seen": round(told / max(edge, 1), 3)}

    run(finder, dev, a.seconds, batch, find_loss, a.lr, a.every, check, keep)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("what", choices=("read", "find"))
    ap.add_argument("out", type=Path)
    ap.add_argument("--seconds", type=float, default=500)
    ap.add_argument("--lr", type=float, default=1.5e-3)
    ap.add_argument("--start", type=Path)
    ap.add_argument("--store", type=Path)
    ap.add_argument("--flats", type=Path)
    ap.add_argument("--device", default="cuda:0")
    ap.add_argument("--render-device", default="cuda:0")
    ap.add_argument("--makers", type=int, default=2)
    ap.add_argument("--draw", type=int, default=6, help="processes that draw scenes, for each that renders")
    ap.add_argument("--first", type=int, default=60, help="photos before training begins")
    ap.add_argument("--places", type=int, nargs=4, default=[9000, 22000, 14000, 5000])
    ap.add_argument("--batch", type=int, nargs=4, default=[160, 128, 80, 56])
    ap.add_argument("--every", type=int, default=500)
    ap.add_argument("--seed", type=int, default=1)
    a = ap.parse_args()
    a.out.mkdir(parents=True, exist_ok=True)
    if a.device != "cpu":
        torch.cuda.set_device(a.device)
    net = Reader() if a.what == "read" else Finder()
    print(a.what, "parameters", sum(p.numel() for p in net.parameters()), flush=True)
    name = {"read": "reader", "find": "finder"}[a.what]
    if a.start:
        net.load_state_dict({k: v.float() if v.dtype == torch.float16 else v for k, v in torch.load(a.start, map_location="cpu").items()})

    def keep(net):
        half = {k: (v.half() if v.dtype.is_floating_point else v).cpu() for k, v in net.state_dict().items()}
        torch.save(half, a.out / f"{name}.pt")

    {"read": read, "find": find}[a.what](a, keep, net)


if __name__ == "__main__":
    main()
