"""What lies on the paper in each of the demo's photos."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from random import Random

from drawn_pieces import (
    Look,
    cylinder,
    hexagon_side,
    hexagon_top,
    joined,
    px,
    ring,
    threaded,
    weathered,
)
from PIL import Image, ImageDraw

Drawing = Callable[[Random], Image.Image]


@dataclass(frozen=True, slots=True)
class Scene:
    """One photo: what lies on the paper, in rows, and the tag beside it."""

    file: str
    tag: str
    rows: tuple[tuple[Drawing, ...], ...]
    oil: int = 2
    with_place: bool = False
    seed: int = 7
    close: float = 1.5


def bolt(
    look: Look, size: float, tpi: int, length: float, *, full: bool = False, worn: bool = False
) -> Drawing:
    """A hexagon bolt lying on its side, or threaded to its head."""

    def draw(chance: Random) -> Image.Image:
        width, run = px(size), px(length)
        thread = run if full else min(run, px(2 * size + 0.25))
        head = hexagon_side(px(size * 0.66), px(size * 1.73), look)
        parts = [head]
        if run > thread:
            parts.append(cylinder(run - thread, width, look))
        if worn:
            sound = thread * 2 // 5
            bare = Look("none", look.rust, look.dirt)
            parts += [
                threaded(sound, width, px(1 / tpi), look),
                threaded(thread - sound, width - px(0.035), px(1 / tpi), bare, worn=True),
            ]
        else:
            parts.append(threaded(thread, width, px(1 / tpi), look))
        return weathered(joined(*parts), look, chance)

    return draw


def stud(look: Look, size: float, coarse: int, fine: int, length: float, *, sheared: bool = False) -> Drawing:
    """A stud with two pitches; sheared, only its fine end is left."""

    def draw(chance: Random) -> Image.Image:
        width, run = px(size), px(length)
        end, short = px(1.6 * size), px(2 * size)
        near = threaded(end, width, px(1 / coarse), look)
        if sheared:
            near = cylinder(px(0.16), width, Look("none", 0.5, 0.1))
            torn = near.getchannel("A")
            draw_on = ImageDraw.Draw(torn)
            points = [(chance.randint(2, near.width - 6), y) for y in range(0, width, 7)]
            draw_on.polygon([(0, 0), *points, (0, width)], fill=0)
            near.putalpha(torn)
        plain = cylinder(max(8, run - end - short), round(width * 0.95), look)
        return weathered(joined(near, plain, threaded(short, width, px(1 / fine), look)), look, chance)

    return draw


def screw(look: Look, size: float, tpi: int, length: float) -> Drawing:
    """A slotted cheese-head screw lying on its side."""

    def draw(chance: Random) -> Image.Image:
        head = cylinder(px(size * 0.62), px(size * 1.6), look)
        slot = head.getchannel("A")
        middle = head.height // 2
        ImageDraw.Draw(slot).rectangle(
            (0, middle - px(size * 0.13), px(size * 0.3), middle + px(size * 0.13)), fill=0
        )
        head.putalpha(slot)
        return weathered(joined(head, threaded(px(length), px(size), px(1 / tpi), look)), look, chance)

    return draw


def pin(look: Look, size: float, length: float) -> Drawing:
    """A plain pin with a short threaded end."""

    def draw(chance: Random) -> Image.Image:
        parts = (
            cylinder(px(0.06), px(size * 1.35), look),
            cylinder(px(length - 0.35), px(size), look),
            threaded(px(0.35), px(size * 0.94), px(1 / 26), look),
        )
        return weathered(joined(*parts), look, chance)

    return draw


def union(look: Look, size: float, tpi: int, *, cracked: bool = False) -> Drawing:
    """A union: a hexagon between two threaded ends."""

    def draw(chance: Random) -> Image.Image:
        nose = cylinder(px(0.1), px(size * 0.7), look)
        body = joined(
            nose,
            threaded(px(size * 0.6), px(size), px(1 / tpi), look),
            hexagon_side(px(size * 0.5), px(size * 1.4), look),
            threaded(px(size * 0.6), px(size), px(1 / tpi), look),
            nose,
        )
        if cracked:
            line = ImageDraw.Draw(body)
            x, y = body.width * 0.47, 0.0
            while y < body.height * 0.8:
                step = (x + chance.uniform(-9, 9), y + chance.uniform(9, 20))
                line.line([(x, y), step], fill=(18, 12, 8, 255), width=4)
                x, y = step
        return weathered(body, look, chance)

    return draw


def nut(look: Look, size: float, *, dome: bool = False) -> Drawing:
    """A nut from above, plain or domed."""
    return lambda chance: weathered(hexagon_top(px(size * 1.6), px(size), look, dome=dome), look, chance)


def washer(look: Look, size: float, *, split: bool = False, tab: bool = False) -> Drawing:
    """A washer from above: plain, spring, or with a tab."""
    outside = size * (1.75 if split else 2.1)
    return lambda chance: weathered(
        ring(px(outside), px(size * 1.06), look, split=split, tab=tab), look, chance
    )


def cup_plug(look: Look, size: float) -> Drawing:
    """A cup plug from above, rusted in its hollow."""

    def draw(chance: Random) -> Image.Image:
        rim = ring(px(size), px(size * 0.86), look)
        hollow = hexagon_top(px(size * 0.86), px(0.2), look, dome=True)
        hollow = hollow.rotate(180).resize((px(size * 0.94), px(size * 0.94)))
        round_hole = Image.new("L", hollow.size, 0)
        ImageDraw.Draw(round_hole).ellipse((6, 6, hollow.width - 6, hollow.height - 6), fill=255)
        at = ((rim.width - hollow.width) // 2, (rim.height - hollow.height) // 2)
        rim.paste(hollow, at, round_hole)
        return weathered(rim, look, chance)

    return draw


def many(count: int, one: Drawing) -> tuple[Drawing, ...]:
    """So many pieces alike, no two quite the same."""
    return (one,) * count


CLEAR, YELLOW, BLACK = Look("clear"), Look("yellow"), Look("black", 0.1, 0.1)
BARE, RUSTY, BRASS = Look("none", 0.3, 0.35), Look("none", 0.75, 0.3), Look("brass", 0.0, 0.35)
CASE = partial(bolt, size=0.3125, tpi=24)
SCENES = (
    Scene(
        "case-bolts.jpg",
        "G1",
        (many(4, CASE(CLEAR, length=1.375)), many(3, CASE(CLEAR, length=1.375))),
        seed=3,
        close=1.15,
    ),
    Scene(
        "pulled-threads.jpg",
        "G1",
        (many(2, CASE(CLEAR, length=1.375, worn=True)),),
        oil=3,
        with_place=True,
        close=1.7,
    ),
    Scene("long-case-bolts.jpg", "G1", (many(3, CASE(CLEAR, length=1.9375)),), seed=11, close=1.35),
    Scene(
        "spring-washers.jpg",
        "G1",
        (many(5, washer(CLEAR, 0.3125, split=True)), many(3, washer(CLEAR, 0.3125, split=True))),
        close=2.2,
    ),
    Scene(
        "tray-screws.jpg",
        "R1",
        tuple(many(5, bolt(BLACK, 0.25, 28, 0.625, full=True)) for _ in range(3)),
        oil=5,
        close=1.55,
    ),
    Scene("drain-plug.jpg", "R2", (many(1, union(Look("bronze", 0.0, 0.4), 0.65, 19)),), seed=5, close=2.6),
    Scene(
        "head-studs.jpg",
        "H1",
        tuple((one,) * 1 for one in many(3, stud(BARE, 0.4375, 14, 20, 5.04))),
        close=1.35,
    ),
    Scene(
        "wasted-studs.jpg",
        "H1",
        tuple((one,) for one in many(2, stud(RUSTY, 0.4375, 14, 20, 5.04))),
        oil=4,
        seed=21,
        close=1.35,
    ),
    Scene(
        "core-plugs.jpg",
        "H3",
        (many(2, cup_plug(RUSTY, 1.5)), many(2, cup_plug(RUSTY, 1.5))),
        oil=4,
        close=1.3,
    ),
    Scene(
        "domed-nuts.jpg",
        "K1",
        (
            many(3, nut(Look("chrome", 0.0, 0.08), 0.3125, dome=True)),
            many(2, nut(Look("chrome", 0.0, 0.3), 0.3125, dome=True)),
        ),
        close=2.4,
    ),
    Scene(
        "box-studs.jpg",
        "K1",
        (many(2, stud(CLEAR, 0.3125, 18, 24, 2.25)), many(2, stud(CLEAR, 0.3125, 18, 24, 2.25))),
        close=1.4,
    ),
    Scene(
        "pump-bolts.jpg",
        "W1",
        (many(2, bolt(YELLOW, 0.375, 16, 1.5)), many(2, bolt(YELLOW, 0.375, 16, 1.75))),
        seed=4,
        close=1.6,
    ),
    Scene(
        "sheared-studs.jpg",
        "E1",
        (many(2, stud(RUSTY, 0.3125, 18, 24, 1.75, sheared=True)),),
        oil=4,
        close=2.0,
    ),
    Scene("brass-nuts.jpg", "E1", (many(3, nut(BRASS, 0.3125)), many(3, nut(BRASS, 0.3125))), close=2.4),
    Scene("metric-bolts.jpg", "Y1", (many(2, bolt(YELLOW, 0.315, 20, 1.374)),), seed=8, close=1.7),
    Scene(
        "flywheel-bolts.jpg",
        "F1",
        (many(4, bolt(BLACK, 0.4375, 20, 1.125)), many(4, bolt(BLACK, 0.4375, 20, 1.125))),
        seed=2,
        close=1.15,
    ),
    Scene(
        "clamp-screws.jpg",
        "L1",
        (many(4, screw(CLEAR, 0.142, 38, 0.5)), many(3, screw(CLEAR, 0.142, 38, 0.5))),
        close=2.1,
    ),
    Scene("pivot-pins.jpg", "L1", (many(3, pin(CLEAR, 0.25, 1.125)),), close=1.9),
    Scene("cracked-union.jpg", "C2", ((union(BRASS, 0.8, 14, cracked=True),),), oil=1, close=2.2),
    Scene(
        "bearer-bolts.jpg",
        "B2",
        (
            many(2, bolt(Look("black", 0.45, 0.3), 0.5, 12, 2.25)),
            many(2, bolt(Look("black", 0.45, 0.3), 0.5, 12, 2.25)),
        ),
        oil=4,
        close=1.3,
    ),
    Scene(
        "rod-bolts.jpg",
        "M2",
        (
            many(2, bolt(BLACK, 0.375, 24, 2.0625)),
            many(2, bolt(BLACK, 0.375, 24, 2.0625)),
            many(4, nut(BLACK, 0.375)),
        ),
        close=1.4,
    ),
    Scene(
        "tin.jpg",
        "T1",
        (
            (bolt(YELLOW, 0.25, 20, 1.0), bolt(CLEAR, 0.25, 20, 0.75), bolt(BLACK, 0.25, 20, 1.25)),
            (bolt(BARE, 0.25, 20, 1.0), nut(YELLOW, 0.25), bolt(YELLOW, 0.25, 20, 1.5)),
            (bolt(YELLOW, 0.25, 20, 0.75, full=True), washer(BARE, 0.25), bolt(RUSTY, 0.25, 20, 1.0)),
        ),
        oil=5,
        close=1.7,
    ),
    Scene(
        "behind-the-idler.jpg",
        "G2",
        (
            (washer(BARE, 0.375, tab=True), bolt(BLACK, 0.375, 24, 1.0, full=True)),
            (bolt(BLACK, 0.375, 24, 1.0, full=True), nut(BARE, 0.4375)),
        ),
        oil=3,
        close=2.0,
    ),
    Scene(
        "loose-in-the-tray.jpg",
        "",
        (
            (bolt(CLEAR, 0.3125, 24, 1.125), washer(CLEAR, 0.3125, split=True)),
            (nut(BARE, 0.4375), washer(Look("fibre", 0.0, 0.4), 0.3125), bolt(CLEAR, 0.3125, 24, 1.125)),
        ),
        oil=6,
        close=2.0,
    ),
)
