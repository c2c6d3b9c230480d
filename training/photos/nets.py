"""The two networks: one finds the pieces on the flattened mat, one reads a piece from its cut-out."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from pieces import KINDS, LOOKS, SIZES
from torch import nn

FIND_MM = 0.25  # a pixel of the flattened mat
CUT_MM = 0.125  # a pixel of a cut-out
PITCHES = torch.exp(torch.linspace(torch.log(torch.tensor(0.4)), torch.log(torch.tensor(3.2)), 128))
POINTS = 3  # top of the head, start (under the head), tip
FREE = 20


def _conv(a, b, k=3, s=1, act=True):
    layers = [nn.Conv2d(a, b, k, s, k // 2, bias=False), nn.BatchNorm2d(b)]
    return nn.Sequential(*layers, nn.ReLU(True)) if act else nn.Sequential(*layers)


class _Block(nn.Module):
    def __init__(self, c, inner):
        super().__init__()
        self.f = nn.Sequential(_conv(c, inner, 1), _conv(inner, inner, 3), _conv(inner, c, 1, act=False))

    def forward(self, x):
        return F.relu(x + self.f(x))


def _stage(a, b, inner, n):
    return nn.Sequential(_conv(a, b, 3, 2), *(_Block(b, inner) for _ in range(n)))


class _Trunk(nn.Module):
    """Features at 2, 4, 8, 16 and 32 pixels, joined again from coarse to fine down to `last`."""

    def __init__(self, inputs, widths, depths, out, last):
        super().__init__()
        self.stem = nn.Sequential(_conv(inputs, widths[0], 5, 2), _conv(widths[0], widths[0]))
        self.stages = nn.ModuleList(_stage(widths[i], widths[i + 1], widths[i + 1] // 2, depths[i]) for i in range(len(depths)))
        self.side = nn.ModuleList(nn.Conv2d(w, out, 1) for w in widths[last:])
        self.mix = nn.ModuleList(_conv(out, out) for _ in widths[last:-1])
        self.last = last

    def forward(self, x):
        feats = [self.stem(x)]
        for stage in self.stages:
            feats.append(stage(feats[-1]))
        sides = [side(f) for side, f in zip(self.side, feats[self.last :])]
        y = sides[-1]
        for s, mix in zip(reversed(sides[:-1]), reversed(self.mix)):
            y = mix(F.interpolate(y, scale_factor=2.0, mode="nearest") + s)
        return y, feats[-1]


class Finder(nn.Module):
    """Pieces on the flattened mat: [B, 3, H, W] to piece, border with a neighbour, way to the middle (x, y; cm)."""

    def __init__(self):
        super().__init__()
        self.trunk = _Trunk(3, (24, 48, 96, 144, 224), (2, 3, 4, 3), 48, 0)
        self.head = nn.Conv2d(48, 4 * 4, 1)

    def forward(self, x):
        y, _ = self.trunk(x)
        return F.pixel_shuffle(self.head(y), 2)


def _mlp(n, *wide):
    return nn.Sequential(*(x for a, b in zip((n, *wide), wide) for x in (nn.Linear(a, b), nn.ReLU(True))))


class Reader(nn.Module):
    """A piece from its cut-out [B, 4, H, W] (light, mask) and view [B, 3] to all that is read of it.

    The cut-out's x lies along the piece; positions are in centimetres from the middle of the cut-out. Each question
    has layers of its own: sizes to the hundredth of a millimetre otherwise drown what colours say.
    """

    def __init__(self):
        super().__init__()
        self.trunk = _Trunk(7, (28, 64, 112, 176, 256), (3, 4, 4, 2), 64, 1)
        self.maps = nn.Conv2d(64, POINTS + FREE, 1)
        self.mood = nn.Conv2d(64, 8, 1)
        # A histogram of colours that is learned: every pixel for itself, then the mean over the piece.
        self.skin = nn.Sequential(nn.Conv2d(4, 48, 1), nn.ReLU(True), nn.Conv2d(48, 64, 1), nn.ReLU(True))
        places = 2 * POINTS + 4 * FREE
        n = 256 + 8 * 64 + places + 3
        self.kind_mlp, self.size_mlp, self.pitch_mlp = _mlp(n, 192, 128), _mlp(n, 256, 160), _mlp(n, 192)
        self.look_mlp = _mlp(64 + 64 + 256, 96, 64)
        self.sizes = nn.Linear(160 + places, 2 * len(SIZES))
        self.gain = nn.Linear(160, 1)
        self.kinds = nn.Linear(128, len(KINDS))
        self.looks = nn.Linear(64, len(LOOKS))
        self.pitch = nn.Linear(192, len(PITCHES))
        self.flags = nn.Linear(128, 2)

    def forward(self, cut, view):
        b, _, h, w = cut.shape
        y, deep = self.trunk(torch.cat([cut, view[:, :, None, None].expand(b, 3, h, w)], 1))
        # Millimetres to the hundredth do not go into 16 bits: from here on all is reckoned in 32.
        with torch.autocast(y.device.type, enabled=False):
            return self._read(cut.float(), y.float(), deep.float(), view)

    def _read(self, cut, y, deep, view):
        hh, ww = y.shape[2:]
        b = y.shape[0]
        xs = (torch.arange(ww, device=y.device, dtype=torch.float32) + 0.5 - ww / 2) * (4 * CUT_MM / 10)
        ys = (torch.arange(hh, device=y.device, dtype=torch.float32) + 0.5 - hh / 2) * (4 * CUT_MM / 10)
        p = torch.softmax(self.maps(y).flatten(2), -1).view(b, -1, hh, ww)
        px, py = p.sum(2), p.sum(3)
        mx, my = (px * xs).sum(-1), (py * ys).sum(-1)
        points = torch.stack([mx, my], -1)
        spread_x = ((px * (xs - mx[..., None]) ** 2).sum(-1) + 1e-5).sqrt()
        spread_y = ((py * (ys - my[..., None]) ** 2).sum(-1) + 1e-5).sqrt()
        att = torch.softmax(self.mood(y).flatten(2), -1)
        pooled = torch.einsum("bkn,bcn->bkc", att, y.flatten(2)).flatten(1)
        places = torch.cat([points.flatten(1), spread_x[:, POINTS:], spread_y[:, POINTS:]], 1)
        deep = deep.mean((2, 3))
        seen = torch.cat([deep, pooled, places, view], 1)
        # Colours are read from the middles of 3 x 3 pixels, and of what lies on the piece alone.
        few = F.avg_pool2d(cut, 3, 3)
        on = few[:, 3:]
        skin = (self.skin(few) * on).sum((2, 3)) / (on.sum((2, 3)) + 1)
        near = F.adaptive_avg_pool2d(y, (1, 1))[:, :, 0, 0]
        looks = self.looks(self.look_mlp(torch.cat([skin, near, deep], 1)))
        z, k = self.size_mlp(seen), self.kind_mlp(seen)
        sizes = self.sizes(torch.cat([z, places], 1))
        # From the shadow of the start to that of the tip: what stands nearer to the eye looks longer by a little.
        apart = (points[:, 2] - points[:, 1]).square().sum(1, keepdim=True).add(1e-6).sqrt()
        length = apart * (1 + 0.2 * torch.tanh(self.gain(z))) + sizes[:, :1]
        sizes = torch.cat([length, sizes[:, 1:]], 1)
        return self.kinds(k), looks, sizes, self.pitch(self.pitch_mlp(seen)), self.flags(k), points[:, :POINTS]
