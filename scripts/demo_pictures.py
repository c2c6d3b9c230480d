"""Draws the demo's photos, each from the same chance every time: .venv/bin/python scripts/demo_pictures.py"""

from __future__ import annotations

import sys
from io import BytesIO
from pathlib import Path
from random import Random

from demo_scenes import SCENES, Scene
from drawn_pieces import Look, blotches, grain, laid, px, weathered
from PIL import ExifTags, Image, ImageDraw, ImageFilter, ImageFont

FOLDER = Path(__file__).resolve().parent.parent / "src" / "runningfit" / "cli" / "demo" / "pictures"
LARGE, SHOWN = (2400, 1800), (1000, 750)
RULE_HIGH = 190


def paper(size: tuple[int, int], chance: Random, oil: int) -> Image.Image:
    """The sheet of paper on the bench, with its stains."""
    sheet = Image.new("RGB", size, (226, 217, 197))
    for colour, spots, strength in (
        ((255, 250, 236), blotches(size, chance, cells=1), 60),
        ((120, 100, 74), blotches(size, chance, cells=2), 46),
        ((70, 58, 44), grain(size, chance), 20),
    ):
        sheet.paste(colour, (0, 0), spots.point(lambda value, strength=strength: value * strength // 255))
    stains = Image.new("L", size, 0)
    draw = ImageDraw.Draw(stains)
    for _ in range(oil):
        x, y, wide = chance.randint(0, size[0]), chance.randint(0, size[1]), chance.randint(50, 200)
        draw.ellipse((x - wide, y - wide * 0.7, x + wide, y + wide * 0.7), fill=chance.randint(24, 70))
    sheet.paste((64, 48, 30), (0, 0), stains.filter(ImageFilter.GaussianBlur(46)))
    left, top = size[0] // 5, size[1] // 5
    lamp = Image.radial_gradient("L").resize((size[0] * 3 // 2, size[1] * 3 // 2))
    lamp = lamp.crop((left, top, left + size[0], top + size[1]))
    sheet.paste((40, 30, 20), (0, 0), lamp.point(lambda value: max(0, value - 70) * 3 // 5))
    return sheet


def steel_rule(picture: Image.Image, chance: Random) -> None:
    """A steel rule along the lower edge, in sixteenths of an inch."""
    rule = Image.new("RGBA", (picture.width + 120, RULE_HIGH), (0, 0, 0, 255))
    draw = ImageDraw.Draw(rule)
    for y in range(RULE_HIGH):
        light = 168 + round(46 * (1 - abs(2 * y / RULE_HIGH - 0.7)))
        draw.line([(0, y), (rule.width, y)], fill=(light, light, light - 4, 255))
    figures = ImageFont.load_default(48)
    for step in range(16 * 10):
        x = 70 + round(step * px(1) / 16)
        high = 74 if step % 16 == 0 else 56 if step % 8 == 0 else 42 if step % 4 == 0 else 26
        draw.line([(x, 4), (x, high)], fill=(26, 26, 28, 255), width=3)
        if step % 16 == 0 and step:
            draw.text((x - 38, 66), str(step // 16), font=figures, fill=(26, 26, 28, 255))
    at = (picture.width / 2, picture.height - RULE_HIGH * 0.3)
    laid(picture, weathered(rule, Look("clear", 0.0, 0.04), chance), at, 0.35)


def paper_tag(picture: Image.Image, code: str, chance: Random) -> None:
    """A manila tag with the bag's code, written large."""
    tag = Image.new("RGBA", (300, 160), (0, 0, 0, 0))
    draw = ImageDraw.Draw(tag)
    draw.polygon([(0, 42), (42, 0), (299, 0), (299, 159), (42, 159), (0, 118)], fill=(206, 174, 116, 255))
    draw.ellipse((25, 64, 57, 96), fill=(150, 118, 70, 255))
    draw.ellipse((32, 71, 50, 89), fill=(40, 32, 24, 255))
    for shift in (0, 1, 2):
        draw.text((90 + shift, 22), code, font=ImageFont.load_default(98), fill=(34, 32, 44, 235))
    at = (picture.width - 200, 140)
    laid(picture, weathered(tag, Look("none", 0.0, 0.0), chance), at, chance.uniform(-9, 5))


def photographed(scene: Scene) -> Image.Image:
    """The whole photo of a scene."""
    chance = Random(f"{scene.file} {scene.seed}")
    size = round(LARGE[0] / scene.close), round(LARGE[1] / scene.close)
    picture = paper(size, chance, scene.oil)
    steel_rule(picture, chance)
    high = (size[1] - RULE_HIGH * 0.9) / len(scene.rows)
    for number, row in enumerate(scene.rows):
        pieces = [one(chance) for one in row]
        beside_tag = scene.tag and high * (number + 0.5) < 340
        wide = (size[0] - (420 if beside_tag else 80)) / len(pieces)
        for index, piece in enumerate(pieces):
            room = max(0.0, wide - piece.width) / 2
            x = 40 + wide * (index + 0.5) + chance.uniform(-0.6, 0.6) * min(room, 80)
            y = 20 + high * (number + 0.5) + chance.uniform(-0.1, 0.1) * high
            long = piece.width > 1.4 * piece.height
            angle = chance.gauss(0, 4 if piece.width > 600 else 12) if long else chance.uniform(0, 360)
            laid(picture, piece, (x, y), angle)
    if scene.tag:
        paper_tag(picture, scene.tag, chance)
    small = picture.resize(SHOWN, Image.Resampling.LANCZOS)
    small.paste((0, 0, 0), (0, 0), grain(SHOWN, chance).point(lambda value: value // 26))
    return small


def invented_place() -> bytes:
    """The data of a camera that says where it was, all invented, to show that it is taken away."""
    data = Image.Exif()
    data[ExifTags.Base.Make] = "Invented Camera Works"
    place = data.get_ifd(ExifTags.IFD.GPSInfo)
    place[ExifTags.GPS.GPSLatitudeRef] = "N"
    place[ExifTags.GPS.GPSLatitude] = (0.0, 0.0, 59.0)
    place[ExifTags.GPS.GPSLongitudeRef] = "W"
    place[ExifTags.GPS.GPSLongitude] = (20.0, 0.0, 59.0)
    return data.tobytes()


def main(names: list[str]) -> int:
    """Draw all pictures, or those named."""
    FOLDER.mkdir(exist_ok=True)
    for scene in SCENES:
        if names and scene.file not in names:
            continue
        out = BytesIO()
        exif = invented_place() if scene.with_place else b""
        photographed(scene).save(out, "JPEG", quality=72, optimize=True, exif=exif)
        (FOLDER / scene.file).write_bytes(out.getvalue())
        print(f"{scene.file}: {len(out.getvalue()) // 1024} KB")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
