"""The cut-outs that training draws from, kept on the card; the oldest go when it is full."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from nets import CUT_MM
from shots import EDGE, SHAPES, encode


class Store:
    """Cut-outs and labels by shape: rings of so many places each."""

    def __init__(self, places, dev):
        self.dev, self.places = dev, places
        self.cuts = [torch.empty(n, h + 2 * EDGE, w + 2 * EDGE, 4, dtype=torch.uint8, device=dev) for n, (h, w) in zip(places, SHAPES)]
        self.told = [None for _ in places]
        self.next, self.count = [0] * len(places), [0] * len(places)

    def add(self, groups):
        for i, group in enumerate(groups):
            if group is None:
                continue
            n = len(group["cut"])
            at = (self.next[i] + torch.arange(n)) % self.places[i]
            if self.told[i] is None:
                self.told[i] = {k: torch.zeros(self.places[i], *v.shape[1:], dtype=v.dtype, device=self.dev) for k, v in group.items() if k != "cut"}
            at = at.to(self.dev)
            self.cuts[i][at] = group["cut"].to(self.dev, non_blocking=True)
            for k, v in group.items():
                if k != "cut":
                    self.told[i][k][at] = v.to(self.dev)
            self.next[i] = (self.next[i] + n) % self.places[i]
            self.count[i] = min(self.count[i] + n, self.places[i])

    def batch(self, i, n, rng, low=False):
        """So many cut-outs of a shape, shifted and mirrored: light and mask [B, 4, H, W], view [B, 3], labels."""
        dev, (h, w) = self.dev, SHAPES[i]
        if low:
            h = 256
            some = self.told[i]["short"][: self.count[i]].nonzero()[:, 0]
            at = some[torch.from_numpy(rng.integers(0, len(some), n)).to(dev)]
        else:
            at = torch.from_numpy(rng.integers(0, self.count[i], n)).to(dev)
        full_h, full_w = self.cuts[i].shape[1:3]
        shift = (torch.randn(n, 2, device=dev) * 4).round().clamp(-EDGE, EDGE).long()  # x, y
        top, left = (full_h - h) // 2 + shift[:, 1], (full_w - w) // 2 + shift[:, 0]
        flip = torch.rand(n, 2, device=dev) < .5  # x, y
        rows, columns = torch.arange(h, device=dev).expand(n, h), torch.arange(w, device=dev).expand(n, w)
        rows = torch.where(flip[:, 1:], h - 1 - rows, rows) + top[:, None]
        columns = torch.where(flip[:, :1], w - 1 - columns, columns) + left[:, None]
        cut = self.cuts[i][at[:, None, None], rows[:, :, None], columns[:, None, :]].permute(0, 3, 1, 2)
        lab = {k: v[at] for k, v in self.told[i].items()}
        moved, sign = shift.float() * CUT_MM, torch.where(flip, -1.0, 1.0)
        view = lab.pop("view").clone()
        view[:, :2] = (view[:, :2] - moved * view[:, 2:] / 100) * sign
        lab["points"] = (lab["points"] - moved[:, None] / 10) * sign[:, None]
        ends = lab["points"][:, 1:]
        # Two ends alike: the one at the left counts as the start.
        swap = lab["even"] & (ends[:, 0, 0] > ends[:, 1, 0])
        lab["points"] = torch.cat([lab["points"][:, :1], torch.where(swap[:, None, None], ends.flip(1), ends)], 1)
        light = encode(cut[:, :3], lab.pop("paper"))
        return torch.cat([_jitter(light), _worn(cut[:, 3:].float() / 255)], 1), view, lab


def _jitter(x):
    b, dev = x.shape[0], x.device
    # Exposure strays more than colour: what is yellow and what is brass is told by colour alone.
    gain = (1 + .07 * torch.randn(b, 1, 1, 1, device=dev)) * (1 + .03 * torch.randn(b, 3, 1, 1, device=dev))
    x = (x * gain).clamp(0, 4) ** (1 + .12 * torch.randn(b, 1, 1, 1, device=dev))
    return x + torch.rand(b, 1, 1, 1, device=dev) * .03 * torch.randn_like(x)


def _worn(mask):
    """The mask as a finder would give it: an edge that strays, now and then a bite out of it."""
    b, _, h, w = mask.shape
    mask = F.avg_pool2d(mask, 4)
    mask = torch.sigmoid((mask - torch.empty(b, 1, 1, 1, device=mask.device).uniform_(.3, .7)) * 12)
    y, x = torch.meshgrid(torch.linspace(-1, 1, h // 4, device=mask.device), torch.linspace(-w / h, w / h, w // 4, device=mask.device), indexing="ij")
    spot = torch.rand(b, 4, 1, 1, device=mask.device)
    away = ((x - (2 * spot[:, 0] - 1) * w / h) / (.05 + .3 * spot[:, 2])) ** 2 + ((y - (2 * spot[:, 1] - 1) * .6) / (.05 + .2 * spot[:, 3])) ** 2
    bitten = (torch.rand(b, 1, 1, device=mask.device) < .3) & (away < 1)
    mask = torch.where(bitten[:, None], torch.zeros_like(mask), mask)
    return F.interpolate(mask, scale_factor=4, mode="bilinear", align_corners=False)
