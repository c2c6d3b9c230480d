"""Fasteners as they lie on paper in the light of a lamp: drawn from their sizes, shaded, a little dirty."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

Colour = tuple[int, int, int]

FINISHES: dict[str, Colour] = {
    "clear": (192, 197, 202),
    "yellow": (203, 172, 88),
    "black": (58, 57, 58),
    "brass": (196, 160, 82),
    "bronze": (152, 112, 72),
    "nickel": (206, 201, 188),
    "chrome": (222, 227, 232),
    "none": (132, 125, 115),
    "fibre": (128, 62, 44),
}
PX_PER_INCH = 250


@dataclass(frozen=True, slots=True)
class Look:
    """How a piece looks: its finish, how rusty and how dirty it is (0 to 1)."""

    finish: str
    rust: float = 0.0
    dirt: float = 0.25


def px(inches: float) -> int:
    """Return a length on the picture."""
    return max(1, round(inches * PX_PER_INCH))


def _lit(colour: Colour, light: float) -> Colour:
    if light > 1:
        part = min(1.0, light - 1)
        red, green, blue = (round(one + (255 - one) * part) for one in colour)
    else:
        red, green, blue = (round(one * max(0.0, light)) for one in colour)
    return red, green, blue


def _round_light(t: float, shine: float) -> float:
    """Return the light on a cylinder at t from its upper (-1) to its lower edge (1)."""
    height = math.sqrt(max(0.0, 1 - t * t))
    diffuse = max(0.0, 0.62 * height - 0.66 * t)
    gleam = shine * math.exp(-(((t + 0.42) / 0.16) ** 2))
    bounce = 0.16 * max(0.0, t) ** 6
    return 0.26 + 0.78 * diffuse + gleam + bounce


def _shine(finish: str) -> float:
    return {"chrome": 0.75, "nickel": 0.55, "clear": 0.45, "black": 0.3, "fibre": 0.02}.get(finish, 0.32)


def cylinder(length: int, width: int, look: Look) -> Image.Image:
    """Return a cylinder lying from left to right."""
    colour = FINISHES[look.finish]
    strip = Image.new("RGB", (1, width))
    for y in range(width):
        t = 2 * (y + 0.5) / width - 1
        strip.putpixel((0, y), _lit(colour, _round_light(t, _shine(look.finish))))
    return strip.resize((length, width)).convert("RGBA")


def threaded(length: int, width: int, pitch: float, look: Look, *, worn: bool = False) -> Image.Image:
    """Return a threaded cylinder; worn threads are smeared away."""
    piece = cylinder(length, width, look)
    marks = Image.new("RGBA", piece.size, (0, 0, 0, 0))
    draw = ImageDraw.Draw(marks)
    edge = piece.getchannel("A")
    cut = ImageDraw.Draw(edge)
    depth = max(2, round(pitch * 0.42))
    strength = 0.35 if worn else 1.0
    x = -pitch
    while x < length + pitch:
        lean = pitch * 0.5
        draw.line(
            [(x, 0), (x + lean, width)],
            fill=(12, 10, 8, round(135 * strength)),
            width=max(1, round(pitch * 0.42)),
        )
        draw.line(
            [(x + pitch * 0.5, 0), (x + pitch * 0.5 + lean, width)],
            fill=(255, 252, 244, round(70 * strength)),
            width=max(1, round(pitch * 0.22)),
        )
        if not worn:
            cut.polygon([(x - pitch / 2, -1), (x + pitch / 2, -1), (x, depth)], fill=0)
            low = x + lean
            cut.polygon([(low - pitch / 2, width), (low + pitch / 2, width), (low, width - depth)], fill=0)
        x += pitch
    piece = Image.alpha_composite(piece, marks)
    piece.putalpha(edge)
    return piece


def hexagon_side(height: int, across: int, look: Look) -> Image.Image:
    """Return a hexagon seen from its side, three faces in the light, chamfered on its left."""
    colour = FINISHES[look.finish]
    piece = Image.new("RGBA", (height, across), (0, 0, 0, 0))
    draw = ImageDraw.Draw(piece)
    shine = _shine(look.finish)
    for top, low, light in ((0, 0.25, 1.08 + shine * 0.3), (0.25, 0.75, 0.84), (0.75, 1.0, 0.36)):
        for y in range(round(across * top), round(across * low)):
            inside = (y / across - top) / (low - top)
            draw.line([(0, y), (height, y)], fill=(*_lit(colour, light + 0.1 * (0.5 - inside)), 255))
    for line in (0.25, 0.75):
        y = round(across * line)
        draw.line([(0, y), (height, y)], fill=(*_lit(colour, 0.55), 255), width=2)
    # The chamfer leaves an arc on each face.
    shape = Image.new("L", piece.size, 0)
    ImageDraw.Draw(shape).rounded_rectangle(
        (0, 0, height + across, across - 1), radius=max(3, height // 4), fill=255
    )
    for top, low in ((0, 0.25), (0.25, 0.75), (0.75, 1.0)):
        middle, half = across * (top + low) / 2, across * (low - top) / 2
        draw.arc(
            (1, middle - half, max(4, height * 0.42), middle + half),
            90,
            270,
            fill=(*_lit(colour, 1.15), 190),
            width=2,
        )
    piece.putalpha(shape)
    return piece


def hexagon_top(across_flats: int, hole: int, look: Look, *, dome: bool = False) -> Image.Image:
    """Return a nut seen from above, or a domed one."""
    colour, size = FINISHES[look.finish], round(across_flats * 1.16)
    piece = Image.new("RGBA", (size, size), (0, 0, 0, 0))
    draw = ImageDraw.Draw(piece)
    middle, radius = size / 2, across_flats / math.sqrt(3)
    corners = [
        (middle + radius * math.cos(math.radians(a)), middle + radius * math.sin(math.radians(a)))
        for a in range(0, 360, 60)
    ]
    for index, corner in enumerate(corners):
        turn = math.radians(60 * index + 30)
        light = 0.72 + 0.42 * math.cos(turn - math.radians(230))
        draw.polygon([(middle, middle), corner, corners[(index + 1) % 6]], fill=(*_lit(colour, light), 255))
    flat = across_flats * 0.485
    draw.ellipse(
        (middle - flat, middle - flat, middle + flat, middle + flat), fill=(*_lit(colour, 0.97), 255)
    )
    if dome:
        for step in range(60):
            part = step / 60
            reach = flat * 0.93 * (1 - part)
            shift = flat * 0.34 * part
            light = 0.45 + 0.62 * part + (_shine(look.finish) * 1.2 if part > 0.9 else 0)
            draw.ellipse(
                (
                    middle - reach - shift,
                    middle - reach - shift,
                    middle + reach - shift,
                    middle + reach - shift,
                ),
                fill=(*_lit(colour, light), 255),
            )
        return piece
    for step, light in enumerate((1.25, 0.5, 0.9, 0.4, 0.75, 0.32)):
        reach = hole / 2 - step * 3
        draw.ellipse(
            (middle - reach, middle - reach, middle + reach, middle + reach), fill=(*_lit(colour, light), 255)
        )
    bore = hole / 2 - 16
    draw.ellipse((middle - bore, middle - bore, middle + bore, middle + bore), fill=(0, 0, 0, 0))
    return piece


def ring(outside: int, inside: int, look: Look, *, split: bool = False, tab: bool = False) -> Image.Image:
    """Return a washer seen from above: plain, split, or with a tab."""
    colour, size = FINISHES[look.finish], round(outside * 1.5) if tab else outside + 8
    piece = Image.new("RGBA", (size, size), (0, 0, 0, 0))
    draw = ImageDraw.Draw(piece)
    middle = size / 2
    if tab:
        wide = outside * 0.27
        draw.polygon(
            [
                (middle, middle - wide),
                (size - 4, middle - wide * 0.8),
                (size - 4, middle + wide * 0.8),
                (middle, middle + wide),
            ],
            fill=(*_lit(colour, 0.84), 255),
        )
        draw.line(
            [(middle + outside * 0.52, middle - wide), (middle + outside * 0.52, middle + wide)],
            fill=(*_lit(colour, 1.25), 255),
            width=4,
        )
    for shrink, light in ((0, 0.5), (2, 1.18), (5, 0.93)):
        reach = outside / 2 - shrink
        draw.ellipse(
            (middle - reach, middle - reach, middle + reach, middle + reach), fill=(*_lit(colour, light), 255)
        )
    sheen = Image.new("L", (1, size))
    for y in range(size):
        sheen.putpixel((0, y), round(70 * max(0.0, 1 - y / size)))
    light_layer = Image.new("RGBA", piece.size, (255, 252, 244, 0))
    light_layer.putalpha(ImageChops.multiply(sheen.resize(piece.size), piece.getchannel("A")))
    piece = Image.alpha_composite(piece, light_layer)
    draw = ImageDraw.Draw(piece)
    for shrink, light in ((-4, 0.6), (-2, 1.2), (0, 0.45)):
        reach = inside / 2 - shrink
        draw.ellipse(
            (middle - reach, middle - reach, middle + reach, middle + reach), fill=(*_lit(colour, light), 255)
        )
    reach = inside / 2 - 2
    draw.ellipse((middle - reach, middle - reach, middle + reach, middle + reach), fill=(0, 0, 0, 0))
    if split:
        far = outside
        draw.line(
            [(middle, middle), (middle + far, middle - far * 0.32)],
            fill=(0, 0, 0, 0),
            width=max(5, outside // 14),
        )
        draw.line(
            [(middle + inside * 0.5, middle - inside * 0.10), (middle + far, middle - far * 0.27)],
            fill=(*_lit(colour, 0.4), 0),
            width=3,
        )
    return piece


def joined(*parts: Image.Image) -> Image.Image:
    """Return parts one behind the other, on one middle line."""
    height = max(part.height for part in parts)
    whole = Image.new("RGBA", (sum(part.width for part in parts), height), (0, 0, 0, 0))
    x = 0
    for part in parts:
        whole.paste(part, (x, (height - part.height) // 2))
        x += part.width
    return whole


def weathered(piece: Image.Image, look: Look, chance: Random) -> Image.Image:
    """Return a piece with rust, dirt and fine grain on it."""
    shape = piece.getchannel("A")
    whole = piece
    for colour, amount, cells in (((112, 60, 28), look.rust, 9), ((30, 26, 22), look.dirt * 0.55, 14)):
        if not amount:
            continue
        spots = blotches(piece.size, chance, cells=cells).point(
            lambda value, amount=amount: max(0, min(230, round((value - 255 * (0.72 - 0.6 * amount)) * 2.1)))
        )
        layer = Image.new("RGBA", piece.size, (*colour, 0))
        layer.putalpha(ImageChops.multiply(spots, shape))
        whole = Image.alpha_composite(whole, layer)
    fine = grain(piece.size, chance)
    layer = Image.new("RGBA", piece.size, (20, 16, 12, 0))
    layer.putalpha(ImageChops.multiply(fine.point(lambda value: value // 9), shape))
    whole = Image.alpha_composite(whole, layer)
    whole.putalpha(shape)
    return whole


def blotches(size: tuple[int, int], chance: Random, *, cells: int) -> Image.Image:
    """Return soft spots of light and dark."""
    wide, high = max(2, size[0] * cells // 400 + 2), max(2, size[1] * cells // 400 + 2)
    small = Image.frombytes("L", (wide, high), chance.randbytes(wide * high))
    finer = Image.frombytes("L", (wide * 4, high * 4), chance.randbytes(wide * high * 16))
    return Image.blend(
        small.resize(size, Image.Resampling.BICUBIC), finer.resize(size, Image.Resampling.BICUBIC), 0.4
    )


def grain(size: tuple[int, int], chance: Random) -> Image.Image:
    """Return fine noise."""
    half = (max(1, size[0] // 2), max(1, size[1] // 2))
    return Image.frombytes("L", half, chance.randbytes(half[0] * half[1])).resize(size)


def laid(picture: Image.Image, piece: Image.Image, at: tuple[float, float], angle: float) -> None:
    """Lay a piece on the picture, turned, with its shadow."""
    turned = piece.rotate(angle, Image.Resampling.BICUBIC, expand=True)
    margin = 40
    box = (turned.width + 2 * margin, turned.height + 2 * margin)
    left, top = round(at[0] - box[0] / 2), round(at[1] - box[1] / 2)
    shadow = Image.new("L", box, 0)
    shadow.paste(turned.getchannel("A"), (margin + 11, margin + 15))
    soft = shadow.filter(ImageFilter.GaussianBlur(13)).point(lambda value: round(value * 0.5))
    picture.paste((38, 30, 22), (left, top), soft)
    near = Image.new("L", box, 0)
    near.paste(turned.getchannel("A"), (margin + 4, margin + 5))
    picture.paste((24, 18, 12), (left, top), near.filter(ImageFilter.GaussianBlur(3)).point(lambda v: v // 2))
    picture.paste(turned, (left + margin, top + margin), turned)
