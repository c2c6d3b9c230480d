"""What the two networks are trained to bring down."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from nets import PITCHES
from pieces import SIZES

DEV = "cuda" if torch.cuda.is_available() else "cpu"


def _edges(ids):
    """Where a piece has another within two pixels."""
    f = ids.float()[:, None]
    far = F.max_pool2d(f, 5, 1, 2)
    near = -F.max_pool2d(-torch.where(f == 0, torch.full_like(f, 999), f), 5, 1, 2)
    return ((far > 0) & (near < 900) & (far != near)).float()


def find_loss(out, ids, mids):
    on = (ids > 0).float()
    edge = _edges(ids)[:, 0]
    out = out.float()
    bce = F.binary_cross_entropy_with_logits(out[:, 0], on, reduction="none") * (1 + 3 * edge)
    p = torch.sigmoid(out[:, 0])
    dice = 1 - (2 * (p * on).sum() + 1) / (p.sum() + on.sum() + 1)
    border = F.binary_cross_entropy_with_logits(out[:, 1], edge, pos_weight=torch.tensor(6.0, device=DEV))
    way = (F.smooth_l1_loss(out[:, 2:], mids, reduction="none", beta=.1).sum(1) * on).sum() / on.sum().clamp(1)
    return bce.mean() + dice + .5 * border + way


_LOG_PITCH = PITCHES.log().to(DEV)


def read_loss(out, lab, tell=None):
    kinds, looks, sizes, pitch, flags, points = (o.float() for o in out)
    loss = F.cross_entropy(kinds, lab["kind"], label_smoothing=.02) + .7 * F.cross_entropy(looks, lab["look"], label_smoothing=.04)
    mean, logb = sizes[:, : len(SIZES)] * 10, sizes[:, len(SIZES) :].clamp(-5, 4)
    have = ~torch.isnan(lab["sizes"])
    err = (mean - torch.nan_to_num(lab["sizes"])).abs()
    nll = (err * torch.exp(-logb) + logb + .02 * err) * have
    loss = loss + .5 * nll.sum() / have.sum().clamp(1)
    threaded = ~torch.isnan(lab["pitch"])
    step = _LOG_PITCH[1] - _LOG_PITCH[0]
    where = (torch.nan_to_num(lab["pitch"], nan=1.0).log()[:, None] - _LOG_PITCH[None]) / step
    soft = torch.softmax(-.5 * (where / .7) ** 2, -1)
    ce = -(soft * F.log_softmax(pitch, -1)).sum(-1) * threaded
    loss = loss + .6 * ce.sum() / threaded.sum().clamp(1)
    loss = loss + .3 * F.binary_cross_entropy_with_logits(flags, lab["flags"])
    has = ~torch.isnan(lab["points"])
    loss = loss + 1.5 * ((points - torch.nan_to_num(lab["points"])).abs() * has).sum() / has.sum().clamp(1)
    if tell is not None:
        tell.append({
            "kind": (kinds.argmax(1) == lab["kind"]).float().mean().item(),
            "look": (looks.argmax(1) == lab["look"]).float().mean().item(),
            "pitch2%": ((pitch.argmax(1).gather(0, torch.arange(len(pitch), device=pitch.device)) * step + _LOG_PITCH[0] - torch.nan_to_num(lab["pitch"], nan=1.0).log()).abs()[threaded] < .02).float().mean().item(),
            **{s: err[:, i][have[:, i]].median().item() if have[:, i].any() else 0 for i, s in enumerate(SIZES)},
            "len95": err[:, 0][have[:, 0]].quantile(.95).item(),
        })  # fmt: skip
    return loss
