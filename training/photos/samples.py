"""Render two photos of one bag on the project's own mat, before and after, with their truth, for the tests.

`python samples.py MAT.pdf MAT.json OUT [librender.so]`: the second lacks one piece and has another in place of one.
"""

from __future__ import annotations

import ctypes
import json
import sys
from pathlib import Path

import numpy as np
import pypdfium2
import torch
from pieces import piece
from PIL import Image
from scenes import Scene, _meets, draw_camera, draw_light, phone, render

_DPMM = 6


def _turned(seed, kind, look, angle):
    """A piece drawn from its seed, so that two of one seed are alike, and turned on the mat."""
    row, height, (along, lo, hi), truth = piece(np.random.default_rng(seed), kind, look)
    c, s = np.cos(angle), np.sin(angle)
    spin = np.array([[c, -s], [s, c]])
    turn = np.eye(3)
    turn[:2, :2] = spin
    row[1:10] = (turn @ row[1:10].reshape(3, 3)).ravel()
    return row, height, (spin @ along, lo, hi), truth | {"axis": turn @ truth["axis"]}


# The truth files of the samples call kinds so.
_SAID = {"nut": "hex_nut", "domed_nut": "acorn_nut", "plain_washer": "flat_washer", "spring_washer": "lock_washer", "grub_screw": "set_screw_grub"}
# Kind, look and from how long to how long: a pair, a long one, one that is there before, one that took its place.
_BOLTS = (
    ("hex_bolt", "yellow", 20, 28), ("hex_bolt", "clear", 38, 48), ("hex_bolt", "black", 28, 34), ("hex_bolt", "black", 16, 20),
)  # fmt: skip


def _seed(kind, look, pose, least, most):
    """The first seed that draws a plain piece of that kind, pose and size."""
    for seed in range(5000):
        row, _, _, truth = piece(np.random.default_rng(seed), kind, look)
        sizes = truth["sizes"]
        size = sizes["length"] or sizes["across_flats"] or sizes["outside"]
        if truth["pose"] == pose and least <= size <= most and (sizes["major"] is None or 6 < sizes["major"] < 9) and row[50] < -1:
            return seed
    raise RuntimeError(kind)


def _scene(seed, bag, mat, size, area):
    rng = np.random.default_rng(seed)
    rows, truths, boxes = [], [], []
    x0, y0, x1, y1 = area[0], size[1] - area[3], area[2], size[1] - area[1]
    for given in bag:
        for _ in range(4000):
            row, height, (along, lo, hi), truth = _turned(*given, rng.uniform(0, 2 * np.pi))
            axes = np.array([along, [-along[1], along[0]]])
            at = rng.uniform([x0, y0], [x1, y1])
            half, mid = (hi - lo) / 2, (hi + lo) / 2
            centre = at + mid @ axes
            reach = np.abs(axes.T) @ half + 6
            inside = np.all(centre - reach > [x0, y0]) and np.all(centre + reach < [x1, y1])
            if inside and not any(_meets(centre, axes, half + 7, *b) for b in boxes):
                break
        else:
            raise RuntimeError("no room on the mat")
        row[10:13] = at[0], at[1], height
        boxes.append((centre, axes, half))
        rows.append(row)
        truths.append(truth | {"at": np.array([at[0], at[1], height]), "middle": centre})
    env, clutter, lights = draw_light(rng)
    camera = draw_camera(rng, size, area, 0.8)
    while camera["eye"][2] / camera["f"] > 0.115:
        camera = draw_camera(rng, size, area, 0.8)
    return Scene(np.array(rows, np.float32), truths, env, clutter, lights, camera, mat, size, area, [.2, .17, .13], .7, .04, (72, 150), seed)


def _truth(truth, number, size):
    sizes = truth["sizes"]
    x, y = truth["middle"]
    return {
        "id": number, "kind": _SAID.get(truth["kind"], truth["kind"]), "finish": truth["look"], "thread": None, "major_mm": sizes["major"],
        "pitch_mm": truth["pitch"], "length_mm": sizes["length"], "under_head_length_mm": sizes["length"] if truth["kind"] in ("hex_bolt", "slotted_screw") else None,
        "head_across_flats_mm": sizes["across_flats"], "od_mm": sizes["outside"] if "washer" in truth["kind"] or truth["kind"] == "spacer" else None,
        "id_mm": sizes["inside"], "thickness_mm": sizes["thickness"], "fully_threaded": truth["threaded_to_head"],
        "mat_xy_mm": [round(float(x), 3), round(float(size[1] - y), 3)], "pose": {"type": truth["pose"]},
    }  # fmt: skip


def main() -> None:
    pdf, geometry, out = Path(sys.argv[1]), json.loads(Path(sys.argv[2]).read_text()), Path(sys.argv[3])
    lib = ctypes.CDLL(sys.argv[4] if len(sys.argv) > 4 else "/tmp/librender.so")
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=_DPMM * 25.4 / 72).to_numpy()[..., :3][..., ::-1]
    size, area = tuple(geometry["size_mm"]), tuple(geometry["work_area_mm"])
    # Two alike, a longer one, and what else is in a bag.
    bolt, long, black, other = (_seed(kind, look, "lying", *size) for kind, look, *size in _BOLTS)
    bag = [
        (bolt, "hex_bolt", "yellow"), (bolt, "hex_bolt", "yellow"), (long, "hex_bolt", "clear"),
        (_seed("stud", "steel", "lying", 30, 50), "stud", "steel"), (_seed("nut", "yellow", "flat", 11, 16), "nut", "yellow"),
        (_seed("nut", "yellow", "flat", 11, 16), "nut", "yellow"), (_seed("plain_washer", "clear", "flat", 14, 20), "plain_washer", "clear"),
        (black, "hex_bolt", "black"),
    ]  # fmt: skip
    after = [bag[0], *bag[2:7], (other, "hex_bolt", "black")]
    for name, seed, pieces in (("bag_before", 5, bag), ("bag_after", 6, after)):
        scene = _scene(seed, pieces, np.ascontiguousarray(page), size, area)
        light, _ = render(lib, scene, "cpu", spp=12)
        picture = phone(light, np.random.default_rng(seed)).permute(1, 2, 0).numpy()
        Image.fromarray(picture).save(out / f"{name}.jpg", quality=82)
        items = [_truth(t, i, size) for i, t in enumerate(scene.truths)]
        record = {"image": f"{name}.jpg", "mat": geometry["name"], "print_scale": 1.0, "n_items": len(items), "items": items}
        (out / f"{name}_pieces.json").write_text(json.dumps(record, indent=1))
        print(name, picture.shape, [(t["kind"], {k: round(v, 2) for k, v in t["sizes"].items() if v}, t["pitch"]) for t in scene.truths])


if __name__ == "__main__":
    torch.set_num_threads(2)
    main()
