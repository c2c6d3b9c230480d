"""Fit how finishes look to the colours of pieces in photos with known finish, and write the weights.

`python looks.py FOLDER OUT.json`: the folder holds NAME.jpg, NAME.json (the finish of each item) and the mats named.
Needs the package and PyTorch.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F

from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.cutting import cut_out, frame_of
from runningfit.core.photos.mats import read_mat
from runningfit.core.photos.seeking import seek

LOOKS = ("yellow", "clear", "black", "brass", "steel", "rust")


def statistics(cut):
    pixels = cut[:3][:, cut[3] > .5].astype(float)
    plain = np.concatenate([pixels.mean(1), *np.quantile(pixels, [.1, .25, .5, .75, .9], axis=1)])
    return np.concatenate([plain, np.log(plain + .02)])


def pieces(folder):
    for told in sorted(folder.glob("*.json")):
        record = json.loads(told.read_text())
        if "items" not in record:
            continue
        mat = read_mat((folder / record["mat"]).read_text())
        plane = check_photo((folder / record["image"]).read_bytes(), mat=mat, print_scale=record.get("print_scale", 1.0))
        if not isinstance(plane, Plane):
            continue
        spots = np.array([item["mat_xy_mm"] for item in record["items"]])
        for found in seek(plane):
            away = np.hypot(*(spots - found.outline_mm.mean(0) / plane.pose.print_scale).T)
            frame = frame_of(found)
            if away.min() < 5 and frame:
                yield statistics(cut_out(plane, found, frame)[0]), record["items"][away.argmin()]["finish"]


def main() -> None:
    rows, finishes = zip(*pieces(Path(sys.argv[1])))
    x, y = np.array(rows), torch.tensor([LOOKS.index(one) for one in finishes])
    middle, spread = x.mean(0), x.std(0) + 1e-6
    seen = torch.from_numpy((x - middle) / spread).float()
    weights, offsets = torch.zeros(x.shape[1], len(LOOKS), requires_grad=True), torch.zeros(len(LOOKS), requires_grad=True)
    search = torch.optim.LBFGS([weights, offsets], max_iter=300)

    def loss():
        search.zero_grad()
        value = F.cross_entropy(seen @ weights + offsets, y) + 2e-3 * (weights**2).sum()
        value.backward()
        return value

    search.step(loss)
    scaled = weights.detach().numpy() / spread[:, None]
    moved = offsets.detach().numpy() - middle @ scaled
    record = {"looks": LOOKS, "weights": np.round(scaled, 4).tolist(), "offsets": np.round(moved, 4).tolist()}
    Path(sys.argv[2]).write_text(json.dumps(record, indent=0))
    print(len(y), "pieces,", float(((x @ scaled + moved).argmax(1) == y.numpy()).mean()), "right of those fitted to")


if __name__ == "__main__":
    main()
