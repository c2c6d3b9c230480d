"""What the two networks are trained to bring down."""

from __future__ import annotations

import torch
import torch.nn.functional as F
from nets import PITCHES
from pieces import SIZES


def edges(ids):
    """Where a piece has another within two pixels."""
    f = ids.float()[:, None]
    far = F.max_pool2d(f, 5, 1, 2)
    near = -F.max_pool2d(-torch.where(f == 0, torch.full_like(f, 999), f), 5, 1, 2)
    return ((far > 0) & (near < 900) & (far != near)).float()


def find_loss(out, ids, mids):
    on = (ids > 0).float()
    edge = edges(ids)[:, 0]
    out = out.float()
    # The outline is measured by: what lies within two pixels of it counts more.
    rim = F.max_pool2d(on[:, None], 5, 1, 2) + F.max_pool2d(-on[:, None], 5, 1, 2)
    bce = F.binary_cross_entropy_with_logits(out[:, 0], on, reduction="none") * (1 + 3 * edge + 2 * rim[:, 0])
    p = torch.sigmoid(out[:, 0])
    dice = 1 - (2 * (p * on).sum() + 1) / (p.sum() + on.sum() + 1)
    border = F.binary_cross_entropy_with_logits(out[:, 1], edge, pos_weight=torch.tensor(6.0, device=out.device))
    way = (F.smooth_l1_loss(out[:, 2:], mids, reduction="none", beta=.1).sum(1) * on).sum() / on.sum().clamp(1)
    return bce.mean() + dice + .5 * border + way


# How much a millimetre counts, by size: of a thickness more than of a length.
_WORTH = torch.tensor([1.0, 3.0, 2.0, 1.5, 2.0, 3.0])


def read_loss(out, lab, tell=None):
    kinds, looks, sizes, pitch, flags, points = (o.float() for o in out)
    dev = kinds.device
    loss = F.cross_entropy(kinds, lab["kind"], label_smoothing=.02) + .7 * F.cross_entropy(looks, lab["look"], label_smoothing=.03)
    mean, logb = sizes[:, : len(SIZES)] * 10, sizes[:, len(SIZES) :].clamp(-5, 4)
    have = ~torch.isnan(lab["sizes"])
    err = (mean - torch.nan_to_num(lab["sizes"])).abs()
    b = torch.exp(logb)
    # Weighted by the deviation expected: else the sizes read best would pull hardest and drown all other questions.
    nll = (err * (b.detach() / b) + b.detach() * logb) * have * _WORTH.to(dev)
    loss = loss + .15 * nll.sum() / have.sum().clamp(1)
    threaded = ~torch.isnan(lab["pitch"])
    log_pitch = PITCHES.log().to(dev)
    step = log_pitch[1] - log_pitch[0]
    where = (torch.nan_to_num(lab["pitch"], nan=1.0).log()[:, None] - log_pitch[None]) / step
    soft = torch.softmax(-.5 * (where / .7) ** 2, -1)
    ce = -(soft * F.log_softmax(pitch, -1)).sum(-1) * threaded
    loss = loss + .4 * ce.sum() / threaded.sum().clamp(1)
    loss = loss + .3 * F.binary_cross_entropy_with_logits(flags, lab["flags"])
    has = ~torch.isnan(lab["points"])
    loss = loss + 3 * ((points - torch.nan_to_num(lab["points"])).abs() * has).sum() / has.sum().clamp(1)
    if tell is not None:
        best = pitch.argmax(1) * step + log_pitch[0]
        tell.append({
            "kind": (kinds.argmax(1) == lab["kind"]).float().mean().item(),
            "look": (looks.argmax(1) == lab["look"]).float().mean().item(),
            "pitch2%": ((best - torch.nan_to_num(lab["pitch"], nan=1.0).log()).abs()[threaded] < .02).float().mean().item(),
            **{s: err[:, i][have[:, i]].median().item() if have[:, i].any() else float("nan") for i, s in enumerate(SIZES)},
            "len95": err[:, 0][have[:, 0]].quantile(.95).item(),
            "point": (10 * (points - torch.nan_to_num(lab["points"])).abs())[has].median().item(),
        })  # fmt: skip
    return loss
