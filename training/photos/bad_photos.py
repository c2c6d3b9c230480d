"""Render photos of hardware laid out as it should not be, on the project's own A4 mat, for the tests.

`python bad_photos.py MAT.pdf MAT.json OUT librender.so [NAME ...]`: pieces that touch, that lie on each other, over the
border, under a hand, beside a cable, and 150 washers. The hand and the cable are rods of skin and of black plastic. Beside
each photo goes what lies on its mat, as `samples.py` writes it.
"""

from __future__ import annotations

import ctypes
import json
import sys
from pathlib import Path

import numpy as np
import pypdfium2
import torch
from pieces import KINDS, LOOKS, STRIDE, G, piece
from PIL import Image
from samples import _DPMM, _seed, _truth
from scenes import Scene, draw_camera, draw_light, phone, render

_SKIN = (.62, .36, .26), (.5, .24, .17)
_PLASTIC = (.03, .03, .035), (.05, .05, .05)


def _spun(angle):
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def _laid(given, at, towards=0.0, lift=0.0, nod=0.0, size=(297, 210)):
    """A piece drawn from its seed, its axis or x turned to point `towards` degrees on the mat; x right, y down [mm]."""
    row, height, (along, lo, hi), truth = piece(np.random.default_rng(given[0]), *given[1:])
    turn = row[1:10].reshape(3, 3)
    now = np.arctan2(along[1], along[0])
    turn = _spun(-np.radians(towards) - now) @ turn
    ahead = np.array([np.cos(-np.radians(towards)), np.sin(-np.radians(towards))])
    if nod:
        # About the axis across the piece: its far end sinks.
        k = np.array([-ahead[1], ahead[0], 0.0])
        cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
        turn = (np.eye(3) + np.sin(np.radians(nod)) * cross + (1 - np.cos(np.radians(nod))) * cross @ cross) @ turn
    middle = (lo[0] + hi[0]) / 2
    place = np.array([at[0], size[1] - at[1], height + lift])
    # `at` is the middle of the piece along its axis.
    place[:2] -= ahead * middle
    row[1:10], row[10:13] = turn.ravel(), place
    truth |= {"axis": turn[:, 2], "at": place, "middle": np.array([at[0], size[1] - at[1]])}
    return row, truth


def _rod(frm, to, wide, colours, seed, size=(297, 210)):
    """A rod with round ends between two points (x right, y down, z up) [mm]."""
    a, b = (np.array([p[0], size[1] - p[1], p[2]]) for p in (frm, to))
    long = float(np.linalg.norm(b - a))
    z = (b - a) / long
    x = np.cross([0, 0, 1.0], z) if abs(z[2]) < .95 else np.cross([1.0, 0, 0], z)
    x /= np.linalg.norm(x)
    row = np.zeros(STRIDE)
    row[0], row[43], row[44] = KINDS.index("stud"), LOOKS.index("rust"), seed
    row[1:10], row[10:13] = np.stack([x, np.cross(z, x), z], 1).ravel(), a
    # As thick as told, no thread, a round tip; its start is hidden in the one before it.
    row[G : G + 24][[0, 1, 6, 7, 8, 5]] = wide, 1.0, long + wide / 2, wide, 1, 1e3
    row[13:16] = 0, 0, (long + wide / 2) / 2
    row[16:19] = wide / 2 + .2, wide / 2 + .2, (long + wide) / 2 + .2
    row[45:48], row[56:59], row[48], row[49] = *colours, 0, .55
    row[50], row[51], row[52], row[53], row[54], row[55] = -9, .25, 1, -9, .12, 1.4
    return row


def _chain(points, wide, colours, seed):
    wides = np.broadcast_to(wide, len(points) - 1)
    return [_rod(a, b, float(w), colours, seed + i) for i, (a, b, w) in enumerate(zip(points, points[1:], wides))]


def _hand():
    """A right hand that lies on the mat from the lower right, fingers spread a little, one of them on the pieces."""
    rows = []
    for i, (base, mid, tip) in enumerate((
        ((196, 128, 22), (170, 108, 18), (149, 97, 8)), ((203, 116, 24), (180, 88, 20), (163, 68, 8)),
        ((214, 108, 24), (200, 77, 20), (188, 58, 8)), ((227, 106, 21), (222, 82, 17), (215, 65, 7)),
    )):  # fmt: skip
        rows += _chain([base, mid, tip], [19 - i * .8, 16.5 - i * .8], _SKIN, 40 + 3 * i)
    rows += _chain([(222, 160, 22), (192, 158, 18), (172, 146, 9)], [24, 19], _SKIN, 60)
    for i, (a, b) in enumerate((((196, 128), (240, 168)), ((204, 118), (246, 160)), ((214, 110), (252, 154)), ((227, 108), (258, 150)))):
        rows += [_rod((*a, 20), (*b, 24), 27, _SKIN, 70 + i)]
    return rows + [_rod((236, 150, 30), (330, 245, 60), 58, _SKIN, 80)]


def _cable():
    points = [(20 + 26 * i, 128 + 18 * np.sin(i * 1.1), 3.0) for i in range(11)]
    return _chain(points, 6.0, _PLASTIC, 90)


def _scenes():
    bolt, long = (_seed("hex_bolt", look, "lying", *size) for look, *size in (("yellow", 20, 28), ("clear", 38, 48)))
    black = (_seed("hex_bolt", "black", "lying", 28, 34), "hex_bolt", "black")
    bolt, long = (bolt, "hex_bolt", "yellow"), (long, "hex_bolt", "clear")
    nut = (_seed("nut", "yellow", "flat", 11, 16), "nut", "yellow")
    washer = (_seed("plain_washer", "clear", "flat", 14, 20), "plain_washer", "clear")
    flats = piece(np.random.default_rng(bolt[0]), *bolt[1:])[3]["sizes"]["across_flats"]
    across, wide = (piece(np.random.default_rng(one[0]), *one[1:])[3]["sizes"][key] for one, key in ((nut, "across_flats"), (washer, "outside")))
    corners = flats / np.cos(np.pi / 6)
    alone = [_laid(bolt, (60, 165), 20), _laid(nut, (120, 168)), _laid(washer, (165, 165)), _laid(long, (225, 160), 160)]
    yield "touching", 11, [
        _laid(bolt, (60, 55), 90), _laid(bolt, (60 + corners + .05, 56), 90),
        _laid(nut, (115, 60), 30), _laid(washer, (115 + across / 2 + wide / 2 + .1, 60)),
        _laid(washer, (185, 55)), _laid(washer, (185 + wide * .8, 55 + wide * .6 + .05)),
        _laid(black, (238, 80), 75), _laid(nut, (60, 115)), _laid(bolt, (110, 118), 150), *alone,
    ], []  # fmt: skip
    yield "on_each_other", 12, [
        _laid(long, (70, 70), 20), _laid(bolt, (70, 70), 100, lift=7.5, nod=12),
        _laid(washer, (140, 65)), _laid(washer, (140 + wide * .45, 68), lift=1.6),
        _laid(black, (215, 70), 60), _laid(washer, (213, 66), lift=7.5), _laid(nut, (130, 115)), *alone,
    ], []  # fmt: skip
    yield "over_the_border", 13, [
        _laid(long, (24, 90), 8), _laid(washer, (150, 185)), _laid(nut, (277, 100)), _laid(nut, (95, 60)),
        _laid(bolt, (200, 70), 45), *alone[:1],
    ], []  # fmt: skip
    few = [_laid(nut, (60, 60)), _laid(bolt, (105, 60), 30), _laid(washer, (60, 110)), _laid(black, (95, 150), 10), _laid(nut, (165, 60))]
    yield "under_a_hand", 14, few, _hand()
    finger = _chain([(262, 205, 40), (228, 158, 26), (205, 132, 17), (190, 115, 8)], [21, 19, 16.5], _SKIN, 50)
    yield "beside_a_finger", 17, [_laid(nut, (60, 60)), _laid(bolt, (110, 65), 30), _laid(washer, (60, 120)), _laid(black, (178, 100), 20)], finger
    yield "beside_a_cable", 15, [_laid(nut, (60, 60)), _laid(bolt, (110, 65), 30), _laid(washer, (180, 170)), _laid(black, (215, 65), 110)], _cable()
    rng = np.random.default_rng(16)
    kinds = [(_seed("plain_washer", look, "flat", *size), "plain_washer", look) for look, *size in (("clear", 9, 10.5), ("yellow", 10, 11.5), ("steel", 11, 12.5))]
    spots = [(36 + 15 * i + rng.uniform(-1, 1), 38 + 14.4 * j + rng.uniform(-1, 1)) for j in range(10) for i in range(15)]
    yield "washers_150", 16, [_laid(kinds[rng.integers(3)], spot, rng.uniform(0, 360)) for spot in spots], []


def main() -> None:
    pdf, geometry, out = Path(sys.argv[1]), json.loads(Path(sys.argv[2]).read_text()), Path(sys.argv[3])
    lib = ctypes.CDLL(sys.argv[4])
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=_DPMM * 25.4 / 72).to_numpy()[..., :3][..., ::-1]
    size, area = tuple(geometry["size_mm"]), tuple(geometry["work_area_mm"])
    for name, seed, pieces, others in _scenes():
        if len(sys.argv) > 5 and name not in sys.argv[5:]:
            continue
        rng = np.random.default_rng(seed)
        env, clutter, lights = draw_light(rng)
        scale = .8 if name == "washers_150" else .62
        camera = draw_camera(rng, size, area, scale)
        while camera["eye"][2] / camera["f"] > (.13 if scale < .8 else .115):
            camera = draw_camera(rng, size, area, scale)
        rows = np.array([row for row, _ in pieces] + others, np.float32)
        truths = [truth for _, truth in pieces]
        scene = Scene(rows, truths, env, clutter, lights, camera, np.ascontiguousarray(page), size, area, [.2, .17, .13], .7, .04, (72, 150), seed)
        light, _ = render(lib, scene, "cpu", spp=10)
        picture = phone(light, np.random.default_rng(seed)).permute(1, 2, 0).numpy()
        Image.fromarray(picture).save(out / f"{name}.jpg", quality=80)
        items = [_truth(t, i, size) for i, t in enumerate(truths)]
        record = {"image": f"{name}.jpg", "mat": geometry["name"], "print_scale": 1.0, "n_items": len(items), "items": items}
        (out / f"{name}_pieces.json").write_text(json.dumps(record, indent=1))
        print(name, picture.shape, len(items), flush=True)


if __name__ == "__main__":
    torch.set_num_threads(2)
    main()
