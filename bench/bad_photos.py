"""How long a photo that cannot be measured, or not all of it, takes to say so: once as a command, and warm.

.venv/bin/python bench/bad_photos.py
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image, ImageDraw

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.photos.checking import check_photo
from runningfit.core.photos.items import MeasuredPhoto
from runningfit.core.photos.mats import mat_text
from runningfit.core.photos.measuring import measure_photo
from runningfit.core.photos.own_mats import Paper, own_mat
from simulators.mat_photos import Scene, jpeg_of, mat_record, photographed

DATA = Path(__file__).parents[1] / "tests" / "data" / "photos"
AIM_S = 3.0
MANY_AIM_S = 5.0
RENDERED = {
    "pieces that touch": "touching",
    "pieces on each other": "on_each_other",
    "over the border": "over_the_border",
    "a hand": "under_a_hand",
    "a finger": "beside_a_finger",
    "a cable": "beside_a_cable",
    "150 washers": "washers_150",
}


def cases() -> Iterator[tuple[str, bytes]]:
    """Each bad photo with its name; those that are simulated have 12 megapixels."""
    good = Scene(mat_record(mat_text(own_mat(Paper.A4))), 4000, 3000, 3900.0)
    table = np.clip(np.random.default_rng(3).normal(120, 30, (3000, 4000, 3)), 0, 255).astype(np.uint8)
    yield "no mat", _file(table)
    yield "half a mat", jpeg_of(good.but(look_at_mm=(60.0, 105.0)))
    yield "two mats", jpeg_of(good.but(second_mat_at_mm=(20.0, 215.0), distance_mm=440.0))
    yield "printed at 97 %", jpeg_of(good.but(print_scale=0.97))
    yield "curled", jpeg_of(good.but(curl_mm=6.0))
    yield "dark", jpeg_of(good.but(exposure=0.03))
    yield "blurred", jpeg_of(good.but(blur_px=8.0))
    yield "burnt out", jpeg_of(good.but(exposure=30.0))
    yield "too far", jpeg_of(good.but(distance_mm=1300.0))
    yield "portrait", jpeg_of(good.but(width_px=3000, height_px=4000))
    yield "screenshot", _screenshot()
    yield "HEIC", _heic(photographed(good))
    yield "empty mat", jpeg_of(good)
    for name, file in RENDERED.items():
        yield name, (DATA / f"{file}.jpg").read_bytes()


def _file(pixels: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> bytes:
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=90)
    return out.getvalue()


def _heic(pixels: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> bytes:
    out = io.BytesIO()
    pillow_heif.from_pillow(Image.fromarray(pixels)).save(out, quality=70, enc_params={"preset": "ultrafast"})
    return out.getvalue()


def _screenshot() -> bytes:
    screen = Image.new("RGB", (1080, 2340), (250, 248, 240))
    draw = ImageDraw.Draw(screen)
    for row in range(12):
        draw.rectangle((40, 150 + 170 * row, 1040, 290 + 170 * row), fill=(225, 230, 238))
        draw.text((80, 200 + 170 * row), "9 hex bolts 5/16-24 UNF", fill=(20, 20, 20))
    out = io.BytesIO()
    screen.save(out, "PNG")
    return out.getvalue()


def answered(data: bytes) -> MeasuredPhoto | CouldNotMeasure:
    """What the photo answers, in this process."""
    plane = check_photo(data)
    return plane if isinstance(plane, CouldNotMeasure) else measure_photo(plane)


def as_a_command(data: bytes) -> float:
    """Seconds of the command in a process of its own."""
    with tempfile.NamedTemporaryFile(suffix=".jpg") as file:
        file.write(data)
        file.flush()
        began = time.perf_counter()
        command = [sys.executable, "-m", "runningfit", "photo", "measure", file.name, "--json"]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        return time.perf_counter() - began


def said(answer: MeasuredPhoto | CouldNotMeasure) -> str:
    """The answer in a few words."""
    if isinstance(answer, CouldNotMeasure):
        return answer.fault.replace("_", " ")
    refused = [one.could_not.fault for one in answer.items if one.could_not]
    faults = [f"{refused.count(fault)} {fault.replace('_', ' ')}" for fault in dict.fromkeys(refused)]
    return ", ".join([f"{len(answer.items) - len(refused)} measured", *faults])


def main() -> int:
    """Measure and print."""
    answered((DATA / "bag_before.jpg").read_bytes())
    print(
        "## Bad photos\n\nWarm: in a process that measured a photo before. Command: once, with its start.\n"
    )
    print("| photo | answer | warm, s | command, s |\n|---|---|---|---|")
    for name, data in cases():
        began = time.perf_counter()
        answer = answered(data)
        warm = time.perf_counter() - began
        command = as_a_command(data)
        aim = MANY_AIM_S if "150" in name else AIM_S
        over = " **over**" if command > aim else ""
        print(f"| {name} | {said(answer)} | {warm:.2f} | {command:.2f}{over} |", flush=True)
    print()
    return 0


if __name__ == "__main__":
    sys.exit(main())
