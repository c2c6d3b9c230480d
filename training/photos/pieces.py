"""Loose fasteners drawn at random, as the renderer takes them, with their true sizes.

Proportions are spread widely about common practice (no source): the network must not learn one maker's shapes.
"""

from __future__ import annotations

import numpy as np

KINDS = (
    "hex_bolt", "stud", "nut", "domed_nut", "plain_washer", "spring_washer", "tab_washer", "spacer", "grub_screw",
    "slotted_screw", "other",
)  # fmt: skip
LOOKS = ("yellow", "clear", "black", "brass", "steel", "rust")
# What is asked of the network of each piece, in millimetres.
SIZES = ("length", "major", "across_flats", "outside", "inside", "thickness")
STRIDE, G = 64, 19

IN = 25.4
# (major, pitch, across flats) of sizes in use: the network sees them jittered as well as any pitch at all.
THREADS = (
    [(m, p, s) for m, p, s in ((3, .5, 5.5), (4, .7, 7), (5, .8, 8), (6, 1, 10), (7, 1, 11), (8, 1.25, 13), (8, 1, 13), (10, 1.5, 17), (10, 1.25, 16), (12, 1.75, 19), (12, 1.25, 18), (14, 2, 22))]
    + [(a * IN, IN / n, s * IN) for a, n, s in ((.138, 32, .25), (.164, 32, .25), (.19, 24, .3125), (.19, 32, .3125), (.25, 20, .4375), (.25, 28, .4375), (.3125, 18, .5), (.3125, 24, .5), (.375, 16, .5625), (.375, 24, .5625), (.4375, 14, .625), (.4375, 20, .625), (.5, 13, .75), (.5, 20, .75))]
    + [(a * IN, IN / n, s * IN) for a, n, s in ((.1875, 24, .34), (.1875, 32, .34), (.21875, 28, .4), (.25, 20, .525), (.25, 26, .445), (.3125, 18, .6), (.3125, 22, .525), (.375, 16, .71), (.375, 20, .6), (.4375, 14, .82), (.4375, 18, .71), (.5, 12, .92), (.5, 16, .82), (.25, 26, .525), (.3125, 26, .525), (.375, 26, .6))]
    + [(m, p, s) for m, p, s in ((6, 1, 9.65), (5.3, .9, 8.64), (4.7, .81, 8.25), (4.1, .73, 7.16), (3.6, .66, 6.35), (2.8, .53, 4.9))]
)  # fmt: skip


def _thread(rng):
    """A size in use, or one of no table, that the network may not learn the tables by heart."""
    major, pitch, flats = THREADS[rng.integers(len(THREADS))]
    if rng.random() < 0.35:
        major *= rng.uniform(0.94, 1.06)
        pitch = np.clip(major * rng.uniform(0.09, 0.19), 0.45, 2.2)
        flats = major * rng.uniform(1.42, 1.9)
    if rng.random() < 0.25:
        flats *= rng.uniform(0.95, 1.12)
    return float(major), float(pitch), float(flats)


def _turn(axis, angle):
    c, s = np.cos(angle), np.sin(angle)
    return {
        "x": np.array([[1, 0, 0], [0, c, -s], [0, s, c]]),
        "y": np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]]),
        "z": np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]),
    }[axis]


_LYING = np.array([[0, 0, 1], [1, 0, 0], [0, 1, 0.0]])  # the axis along world x


def _rest(profile):
    """Tilt and height of the axis of a round piece lying on its side, from its profile of (z, radius)."""
    pts = sorted(profile)
    z = np.array([p[0] for p in pts])
    r = np.array([p[1] for p in pts])
    volume = np.array([(r[i] + r[i + 1]) ** 2 / 4 * (z[i + 1] - z[i]) for i in range(len(z) - 1)])
    mid = float((volume * (z[1:] + z[:-1]) / 2).sum() / max(volume.sum(), 1e-9))
    best = None
    for i in range(len(z)):
        for j in range(i + 1, len(z)):
            if z[j] - z[i] < 0.2 or not z[i] <= mid <= z[j]:
                continue
            slope = (r[j] - r[i]) / (z[j] - z[i])
            if np.all(r <= r[i] + slope * (z - z[i]) + 1e-6):
                best = (slope, r[i] - slope * z[i])
    if best is None:
        return 0.0, float(r.max())
    slope, at = best
    tilt = np.arctan(slope)
    return float(-tilt), float(at * np.cos(tilt))


def _look(rng, look, row):
    u = rng.uniform
    # Brass and bare iron lie about what their optical constants give (0.91, 0.78, 0.42 and 0.56, 0.57, 0.58 of the light,
    # from memory); how passivated zinc looks is common practice, no source.
    base, other, metal, rough, amount = {
        "yellow": ((u(.62, .86), u(.66, .84), u(.12, .32)), None, 1, u(.16, .42), u(.2, 1)),
        "clear": ((u(.62, .84),) * 3, None, 1, u(.14, .42), u(.1, .6)),
        "black": ((u(.018, .05),) * 3, None, u(.2, .8), u(.25, .55), u(.2, 1)),
        "brass": ((u(.68, .92), u(.72, .88), u(.34, .54)), None, 1, u(.14, .4), u(.2, .8)),
        "steel": ((u(.36, .6),) * 3, None, 1, u(.2, .5), u(.2, 1)),
        "rust": ((u(.2, .42), u(.2, .36), u(.18, .32)), None, u(.6, 1), u(.35, .6), u(.3, 1)),
    }[look]  # fmt: skip
    base = np.array(base) * rng.uniform(.97, 1.03, 3)
    if look in ("yellow", "brass"):  # green and blue are told as parts of red
        base = base * np.array([1, base[0], base[0]])
    if look == "clear":
        base = base * np.array([u(.95, 1.0), u(.97, 1.02), u(1.0, 1.1)])
    if look == "steel":
        base = base * np.array([u(1.0, 1.06), 1, u(.9, 1.0)])
    bright = look in ("clear", "steel", "brass")
    other = base * (u(.85, 1.12) if bright else u(.75, 1.2)) * rng.uniform(.95, 1.05, 3)
    if look == "yellow":  # it plays into red and green, patch by patch
        other = base * np.array([u(.85, 1.1), u(.75, 1.12), u(.6, 1.5)])
    if look == "brass" and rng.random() < 0.3:  # tarnished: brown
        other = base * np.array([.8, .68, .6]) * u(.7, 1.1)
    if look == "black" and rng.random() < 0.4:
        other = np.array([.3, .29, .27]) * u(.6, 1)
    if look == "clear" and rng.random() < 0.15:  # white rust and dulled zinc
        other, rough = np.array([.55, .56, .58]) * u(.7, 1.1), rough * 1.5
    row[45:48], row[56:59] = np.clip(base, .01, .97), np.clip(other, .01, .97)
    row[48], row[49] = metal, np.clip(rough, .1, .9)
    row[50] = u(-1.1, -.15) if rng.random() < 0.35 else -9
    row[51], row[52] = u(.12, .8), amount
    row[53] = {"rust": u(-.35, 1.2)}.get(look, u(-1.9, -1.1) if rng.random() < 0.25 else -9)
    row[54] = u(.01, .07) if look == "rust" else (u(.004, .03) if rng.random() < 0.4 else 0)
    row[55] = u(.6, 3.5)
    row[59] = u(.05, .3) if rng.random() < 0.5 and look != "rust" else 0


def piece(rng, kind=None, look=None):
    """Draw a piece: its row for the renderer (without place), its outline for placing and its truth."""
    weights = np.array([.32, .09, .13, .05, .09, .06, .03, .08, .03, .08, .04])
    kind = kind or str(rng.choice(KINDS, p=weights / weights.sum()))
    look = look or str(rng.choice(LOOKS, p=[.16, .25, .13, .14, .18, .14]))
    row, g, u = np.zeros(STRIDE), np.zeros(24), rng.uniform
    row[0], row[43], row[44] = KINDS.index(kind), LOOKS.index(look), rng.integers(1 << 20)
    _look(rng, look, row)
    d, pitch, flats = _thread(rng)
    depth = pitch * u(.56, .68)
    wear = u(.08, .35) if rng.random() < 0.2 else 0
    crest, root = u(.05, .22), u(.05, .25)
    truth = {"kind": kind, "look": look, "threaded_to_head": False, "pitch": None}
    size = dict.fromkeys(SIZES)
    roll, az = u(0, 2 * np.pi), u(0, 2 * np.pi)
    marks = {}
    if kind in ("hex_bolt", "slotted_screw"):
        short = rng.random() < 0.35
        length = u(max(5, 1.0 * d), 4 * d) if short else u(2 * d, min(9 * d, 88))
        full = bool(length < 3.2 * d and rng.random() < 0.75 or rng.random() < 0.3)
        zs = u(0, 1.2) * pitch if full else length - np.clip(u(1.4, 2.6) * d + u(0, 6), 0, length * .85)
        shank = d * u(.97, 1.0) if rng.random() < 0.75 else d * u(.86, .95)
        if full:
            shank = min(shank, d - u(.3, 1.1) * depth)
        tip = int(rng.choice([0, 0, 0, 1, 3, 2]))
        chamfer = u(.5, 1.5) * depth
        g[:10] = d, pitch, depth, crest, root, zs, length, shank, tip, chamfer
        g[18] = wear
        if kind == "hex_bolt":
            k = d * u(.55, .75)
            wf = u(.15, .6) if rng.random() < 0.45 else 0
            g[10:16] = 0, flats, k, u(.86, 1.02), wf, flats * u(.88, .97)
            g[23] = u(.1, .5) if rng.random() < 0.15 else 0
            size["across_flats"] = flats
            profile = [(-k + flats * .04, flats / 2), (-wf, flats / 2)]
            roll = np.radians(60 * rng.integers(6))
        else:
            hk = int(rng.choice([1, 1, 2, 2, 3]))
            dia, k = d * u(1.45, 2.1), d * u(.45, .75)
            if hk == 3:
                k = (dia - d) / 2 * u(.9, 1.2)
            g[10:14] = hk, dia, k, u(.1, .5)
            g[16:18] = max(.4, d * u(.13, .24)), k * u(.35, .55)
            size["outside"] = dia
            profile = [(-k + (.5 if hk == 1 else k * .85 if hk == 2 else .1), dia / 2), (-.1 if hk < 3 else -k + .15, dia / 2)]
            if hk == 3:
                length += k
                truth["countersunk"] = True
        body = g[6] - chamfer
        profile += [(0.05, max(shank, d if full else 0) / 2), (body, d / 2)]
        profile = [p for i, p in enumerate(profile) if i == 0 or p[0] > profile[i - 1][0] + 1e-3]
        size["length"], size["major"] = length, d
        truth["threaded_to_head"], truth["pitch"] = full, pitch
        z0, z1 = -k, g[6]
        half = max(flats / 2 / np.cos(np.pi / 6) if kind == "hex_bolt" else dia / 2, d / 2)
        marks = {"top": -k, "under": 0.0, "tip": g[6], "thread": zs}
        if rng.random() < (0.12 if g[6] < 4 * d else 0.0):
            pose, spin, height, lift = "standing", _turn("z", roll), k, None
        else:
            tilt, height = _rest(profile)
            pose = "lying"
            # The axis runs along x; a positive tilt about y lowers the tip.
            spin = _turn("y", tilt) @ _LYING @ _turn("z", roll)
    elif kind in ("stud", "grub_screw"):
        if kind == "stud":
            length = u(2.6 * d, min(10 * d, 95))
            one, two = (u(.9, 2.4) * d for _ in range(2))
            full = bool(one + two > length - 1.5 * pitch or rng.random() < 0.12)
            pitch2 = pitch * (u(.7, 1.4) if rng.random() < 0.3 else 1)
            g[5], g[19], g[20] = (0, 0, pitch) if full else (length - one, two, pitch2)
            shank = d * u(.97, 1.0) if rng.random() < 0.6 else d * u(.84, .95)
        else:
            length, full, shank = u(1.0 * d, 2.8 * d), True, d
            if rng.random() < 0.5:
                g[16], g[17] = max(.4, d * u(.13, .22)), d * u(.25, .4)
            else:
                g[22], g[17] = d * u(.42, .56), d * u(.4, .7)
        g[0:5] = d, pitch, depth, crest, root
        g[6:10] = length, min(shank, d) if not full else d, int(rng.choice([0, 0, 1, 3] if kind == "stud" else [0, 4, 3, 2])), u(.5, 1.4) * depth
        g[18] = wear
        size["length"], size["major"], truth["pitch"] = length, d, pitch
        truth["threaded_to_head"] = full
        z0, z1, half, pose, height = 0, length, d / 2, "lying", d / 2
        spin = _LYING @ _turn("z", roll)
        marks = {"under": 0.0, "tip": length}
        if kind == "grub_screw" and rng.random() < 0.15:
            pose, spin, height = "standing", np.diag([1.0, -1, -1]) @ _turn("z", roll), length
    elif kind in ("nut", "domed_nut"):
        h = d * (u(.75, 1.05) if rng.random() < 0.8 else u(.4, .7))
        cham = u(.9, 1.02)
        wf = u(.15, .5) if rng.random() < 0.3 else 0
        g[0:5] = d, pitch, pitch * u(.5, .6), crest, root
        g[11:16] = flats, h, cham, wf, flats * u(.9, .97)
        size["across_flats"], truth["pitch"] = flats, pitch
        half, z0, z1, height = flats / 2 / np.cos(np.pi / 6), 0, h, 0.0
        pose, spin = "flat", _turn("z", roll)
        if kind == "nut":
            if rng.random() < 0.07:
                g[16], g[17] = d * u(.2, .28), h * u(.3, .42)
            size["thickness"], size["inside"] = h, d - 2 * .5 * g[2]
            if wf and rng.random() < 0.5:
                spin, height = np.diag([1.0, -1, -1]) @ spin, h
            if rng.random() < 0.08:
                pose, height = "on_edge", flats / 2
                spin = _LYING @ _turn("z", np.radians(60 * rng.integers(6)))
        else:
            g[16], g[17] = flats * u(.38, .47), h + u(.05, .25) * d
            g[21] = h * u(.85, 1.0)
            z1 = g[17] + g[16]
            size["length"] = z1
            size["thickness"] = h
            if rng.random() < 0.4:
                tilt, height = _rest([(0.3, flats / 2), (h, flats / 2), (g[17], g[16]), (z1 - .3 * g[16], g[16] * .71)])
                pose = "lying"
                spin = _turn("y", tilt) @ _LYING @ _turn("z", np.radians(60 * rng.integers(6)))
        marks = {"under": 0.0, "tip": z1}
    elif kind in ("plain_washer", "tab_washer"):
        inner = d * u(1.02, 1.2)
        outer, t = inner * u(1.5, 2.7), float(np.clip(d * u(.07, .24), .5, 3.5))
        g[0:5] = outer, inner, t, u(.03, .2), (u(-.05, .05) if rng.random() < 0.2 else 0)
        half, z0, z1 = outer / 2, 0, t
        if kind == "tab_washer":
            t = g[2] = min(t, 1.3)
            reach = outer / 2
            for i in range(int(rng.choice([1, 1, 2]))):
                bend = float(rng.random() < 0.25)
                g[6 + 4 * i : 10 + 4 * i] = u(.15, .6) * outer, u(.25, .6) * outer, (0, np.pi / 2, np.pi)[rng.integers(3)] if i else 0, bend
                reach = max(reach, outer / 2 + (0.6 if bend else g[6 + 4 * i]))
                z1 = max(z1, g[6 + 4 * i] if bend else t)
            half = reach
        size["outside"], size["inside"], size["thickness"] = outer, inner, t
        pose, spin, height = "flat", np.diag([1.0, 1, 1]) @ _turn("z", roll), 0.02 + abs(g[4]) * outer / 4
        z0, z1 = -abs(g[4]) * outer, z1 + abs(g[4]) * outer
    elif kind == "spring_washer":
        inner, w, t = d * u(1.01, 1.1), d * u(.2, .34) + .3, d * u(.15, .3) + .2
        lift = u(.1, 1.1) * t
        g[0:7] = inner, w, t, lift, u(.2, 1.6), u(-.7, .7), u(.02, .25) * min(w, t)
        size["outside"], size["inside"], size["thickness"] = inner + 2 * w, inner, t
        half, z0, z1, pose, spin, height = inner / 2 + w, 0, t + lift, "flat", _turn("z", roll), 0.0
    elif kind == "spacer":
        inner = d * u(1.02, 1.15)
        outer, length = inner + u(1.6, 5.5), u(.35, 2.6) * d + 2
        g[0:4] = outer, inner, length, u(.05, .5)
        if rng.random() < 0.12 and length > 6:
            g[4], g[5] = u(.2, .6), length * u(.1, .3)
        size["length"], size["outside"], size["inside"] = length, outer, inner
        half, z0, z1 = outer / 2, 0, length
        if length > 0.8 * outer and rng.random() < 0.65:
            pose, spin, height = "lying", _LYING @ _turn("z", roll), outer / 2
        else:
            pose, spin, height = "flat", _turn("z", roll), 0.0
        marks = {"under": 0.0, "tip": length}
    else:
        sub = int(rng.integers(6))
        g[23] = sub
        pose, height, spin, z0 = "flat", 0.0, _turn("z", roll), 0
        if sub == 0:
            g[0], g[1], g[2] = u(2, 10), u(10, 60), u(.1, .8)
            if rng.random() < 0.3:
                g[3], g[4] = g[0] * .3, g[1] - g[0]
            half, z1, pose, height, spin = g[0] / 2, g[1], "lying", g[0] / 2, _LYING @ _turn("z", roll)
        elif sub == 1:
            g[0], g[1], g[2], g[3] = u(14, 55), u(8, 24), u(.8, 4), u(.3, 3.5)
            for i in range(int(rng.integers(0, 4))):
                g[4 + 3 * i : 7 + 3 * i] = (i - 1) * g[0] * .32, u(-.1, .1) * g[1], g[1] * u(.25, .6)
            half, z1 = np.hypot(g[0], g[1]) / 2, g[2]
        elif sub == 2:
            g[0] = u(9, 22)
            g[1], g[2] = -g[0] * u(-.05, .12), u(2, 5)
            half, z1 = g[0] / 2, g[2]
        elif sub == 3:
            g[0] = u(8, 30)
            g[1], g[2], g[3], g[4] = g[0] * u(.08, .16), u(.8, 1.6), u(.3, .7), g[0] * u(.1, .16)
            half, z1 = g[0] / 2 + g[4] * 1.5, g[2]
        elif sub == 4:
            g[0], g[1] = u(5, 20), u(.8, 2.6)
            g[2], g[3] = g[1] * u(1.3, 3), rng.integers(4, 12)
            half, z1 = (g[0] + g[1]) / 2, g[2] * g[3]
            z0, pose, height, spin = -g[2], "lying", half, _LYING @ _turn("z", roll)
        else:
            g[0], g[1], g[2], g[3] = flats * u(1.1, 1.5), u(4, 9), d * u(1.1, 1.5), u(10, 24)
            g[4], g[5], g[6] = d * u(.9, 1.3), u(0, 12), d * u(.3, .6) if rng.random() < 0.6 else 0
            half, z0, z1 = g[0] / 2 / np.cos(np.pi / 6), -g[5], g[3]
            pose, height = "lying", g[0] / 2
            spin = _LYING @ _turn("z", np.radians(60 * rng.integers(6)))
    row[G : G + 24] = g
    turn = _turn("z", az) @ spin
    row[1:10] = turn.ravel()
    row[13:16] = 0, 0, (z0 + z1) / 2
    row[16:19] = half + .15, half + .15, (z1 - z0) / 2 + .15
    corners = np.array([[x, y, z] for x in (-half, half) for y in (-half, half) for z in (z0, z1)])
    if pose == "lying" or pose == "on_edge":
        along = turn[:2, 2]
        along = along / np.linalg.norm(along)
    else:
        along = np.array([np.cos(az), np.sin(az)])
    across = np.array([-along[1], along[0]])
    flat = corners @ turn.T
    ext = [(flat[:, :2] @ axis).min() for axis in (along, across)], [(flat[:, :2] @ axis).max() for axis in (along, across)]
    truth |= {"sizes": size, "pose": pose, "marks": marks, "axis": turn[:, 2], "outline": _seen_from_above(kind, pose, g, half, marks, ext)}
    truth["tall"] = float(height + flat[:, 2].max())
    return row, height, (along, np.array(ext[0]), np.array(ext[1])), truth


def _seen_from_above(kind, pose, g, half, marks, ext):
    """A piece from above as convex parts, corners along and across from its place; a nut by its corners' circle."""
    if pose == "lying" and kind in ("hex_bolt", "slotted_screw"):
        body = g[0] / 2
        return [_box(marks["top"], 0, -half, half), _box(0, marks["tip"], -body, body)]
    if pose in ("flat", "standing") and kind not in ("tab_washer", "other"):
        turns = np.linspace(0, 2 * np.pi, 24, endpoint=False)
        return [half * np.stack([np.cos(turns), np.sin(turns)], 1)]
    (x0, y0), (x1, y1) = ext
    return [_box(x0, x1, y0, y1)]


def _box(x0, x1, y0, y1):
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], float)
