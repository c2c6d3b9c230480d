"""Hardware photos drawn for the tests, and a measurer that answers of each what it was drawn from."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw

from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.items import (
    Estimate,
    Look,
    MeasuredPhoto,
    PhotoItem,
    Sizes,
    ThreadChance,
)
from runningfit.core.pieces.identification import ThreadPrior
from runningfit.core.pieces.kinds import Kind
from runningfit.workshop.photos.hardware import photograph
from runningfit.workshop.photos.hardware_models import PhotoRun
from runningfit.workshop.photos.hardware_reads import run_of_job
from runningfit.workshop.photos.measuring import FileMeasured, MatPrint, Progress
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.running import compute
from runningfit.workshop.pieces.models import Bag
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand

MEASURER = "hardware_for_tests.measure"
PX_A_MM = 4
WIDTH_PX, HEIGHT_PX = 297 * PX_A_MM, 210 * PX_A_MM
BLURRED = CouldNotMeasure(
    Fault.BLURRED,
    "The photo is blurred over 0.41 mm; 0.30 mm is the most.",
    "Hold still, tap the mat to focus on it, and give it more light.",
)
TOUCHING = CouldNotMeasure(
    Fault.PIECES_TOUCH, "This piece touches another.", "Lay them apart, or say how many pieces it is."
)
_answers: dict[str, MeasuredPhoto | CouldNotMeasure] = {}


def bolt(
    number: int,
    *,
    at: tuple[float, float],
    length_mm: float = 34.9,
    threads: dict[str, float] | None = None,
    kind: Kind = Kind.HEX_BOLT,
    kinds: dict[Kind, float] | None = None,
    look: Look = Look.CLEAR,
    could_not: CouldNotMeasure | None = None,
    ask: str = "",
    sizes: Sizes | None = None,
) -> PhotoItem:
    """A piece as long as it is said, 8 mm wide, its middle on this spot of the mat."""
    x, y = at
    half = length_mm / 2
    outline = ((x - half, y - 4), (x + half, y - 4), (x + half, y + 4), (x - half, y + 4))
    named = {"5/16-24 UNF": 0.97, "M8x1": 0.03} if threads is None else threads
    return PhotoItem(
        number=number,
        kind=kind,
        kinds=kinds or {kind: 0.96, Kind.SETSCREW: 0.04},
        mat_xy_mm=at,
        outline_px=tuple((PX_A_MM * a, PX_A_MM * b) for a, b in outline),
        outline_mm=outline,
        sizes=sizes
        or (Sizes() if could_not else Sizes(length=Estimate(length_mm, 0.15), major=Estimate(7.9, 0.06))),
        threads=tuple(ThreadChance(name, chance) for name, chance in named.items()),
        looks={look: 0.9},
        could_not=could_not,
        ask=ask,
    )


def washer(
    number: int, *, at: tuple[float, float], inside_mm: float = 8.4, outside_mm: float = 16.0
) -> PhotoItem:
    """A plain washer on this spot of the mat."""
    sizes = Sizes(outside=Estimate(outside_mm, 0.1), inside=Estimate(inside_mm, 0.1))
    return bolt(
        number,
        at=at,
        length_mm=outside_mm,
        kind=Kind.PLAIN_WASHER,
        kinds={Kind.PLAIN_WASHER: 0.99},
        threads={},
        sizes=sizes,
    )


def measured(*items: PhotoItem) -> MeasuredPhoto:
    """A photo with these pieces."""
    return MeasuredPhoto(
        print_scale=1.0,
        gsd_mm=1 / PX_A_MM,
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        items=items,
        cautions=("The mat is not quite flat: its markers lie 0.08 mm off.",),
        steps_s={"outlines": 0.4},
    )


def photo_of(answer: MeasuredPhoto | CouldNotMeasure, *, mark: str = "") -> bytes:
    """Draw the photo of an answer, and let the measurer know it; another mark makes another file."""
    picture = Image.new("RGB", (WIDTH_PX, HEIGHT_PX), (112, 72, 190))
    pen = ImageDraw.Draw(picture)
    items: Sequence[PhotoItem] = answer.items if isinstance(answer, MeasuredPhoto) else ()
    for item in items:
        pen.polygon(list(item.outline_px), fill=(205, 207, 210), outline=(60, 60, 60))
    out = BytesIO()
    picture.save(out, "JPEG", quality=80, comment=f"{mark} {answer!r}".encode()[:60_000])
    data = out.getvalue()
    _answers[hashlib.sha256(data).hexdigest()] = answer
    return data


def shot(
    job: Job, answer: MeasuredPhoto | CouldNotMeasure, *, mark: str = "", bag: Bag | None = None, **more: Any
) -> PhotoRun:
    """Photograph these pieces, and measure them at once by what the settings name."""
    picture = read_picture(photo_of(answer, mark=mark))
    run, _is_new = photograph(job=job, picture=picture, bag=bag, hand=Hand(who="Ann"), **more)
    compute(run.pk)
    return run_of_job(job, run.pk)


def measure(
    data: bytes, filename: str, mats: Sequence[MatPrint], prior: ThreadPrior, progress: Progress
) -> FileMeasured:
    """Answer of a photo what it was drawn from; of any other that it is blurred."""
    progress("looking for the mat", 0.1)
    progress("outlining the pieces", 0.6)
    answer = _answers.get(hashlib.sha256(data).hexdigest(), BLURRED)
    return FileMeasured(answer, mats[0] if mats else None)


# Seven pieces of which one is unsure and one touches another; and the same with fewer.
FULL_TRAY = measured(
    bolt(1, at=(40, 30)),
    bolt(2, at=(120, 30)),
    bolt(3, at=(40, 60), length_mm=50.6),
    bolt(4, at=(120, 60), threads={"5/16-24 UNF": 0.6, "M8x1": 0.4}, ask="Screw an M8x1 nut on it."),
    washer(5, at=(60, 100)),
    washer(6, at=(100, 100), inside_mm=8.6, outside_mm=16.3),
    bolt(7, at=(150, 120), could_not=TOUCHING),
)
SMALL_TRAY = measured(
    bolt(1, at=(40, 30)),
    bolt(2, at=(120, 30)),
    bolt(3, at=(120, 60), threads={"5/16-24 UNF": 0.6, "M8x1": 0.4}, ask="Screw an M8x1 nut on it."),
    washer(4, at=(60, 100)),
    bolt(5, at=(150, 120), could_not=TOUCHING),
)
