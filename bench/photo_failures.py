"""The worst pieces of photos with exact truth, as one picture of their cut-outs and a table that says why.

    .venv/bin/python bench/photo_failures.py FOLDER PICTURE.jpg

Of each way to fail the worst are shown: pieces that were not measured or misnamed, lengths and pitches that
are off, threads named surely and wrongly, looks. The table goes to standard output; its reasons rest on the
truth (how the piece lies, what its finish is) and on what the photo can show of it.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from measured_photos import measured, truths

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.photos.items import MeasuredPhoto, PhotoItem
from runningfit.core.photos.scoring.finding import found_pieces
from runningfit.core.photos.truths import TruePiece, thread_named
from runningfit.core.pieces.identification.identities import geometric_twins

TILE, ACROSS, EACH = 300, 4, 3
OFF_MM, OFF_SHARE, SURE = 1.5, 0.02, 0.9


@dataclass(frozen=True)
class Failure:
    """A piece that was read wrongly: in what, how badly, what came in place of what, and why."""

    what: str
    weight: float
    photo: Path
    spot_px: tuple[float, float]
    reach_px: float
    true: str
    came: str
    why: str


def reason(what: str, raw: dict[str, Any], piece: TruePiece, item: PhotoItem, photo: MeasuredPhoto) -> str:
    """Why a piece is read wrongly, by how it lies and what the photo can show."""
    pose = raw.get("pose")
    pose = pose.get("type", "") if isinstance(pose, dict) else str(pose)
    pixels = min(piece.pitches_mm, default=0.0) / photo.gsd_mm
    if what in ("length", "pitch") and "standing" in pose:
        return "it stands: from above its length shows only by how far its upper end leans away"
    if what == "pitch" and pixels < 6:
        return f"{pixels:.1f} pixels to a turn"
    if what == "look":
        return f"{piece.look} and {max(item.looks, key=lambda one: item.looks[one])} look alike in this light"
    if piece.look in ("clear", "yellow", "brass", "steel"):
        return f"bright ({piece.look}): it mirrors the mat, and its edges with it"
    return f"not clear; it lies {pose or 'flat'}, {piece.look}"


def failures(photo_at: Path, told: Path) -> Iterator[Failure]:
    """What was read wrongly in one photo."""
    answer, truth, _, _ = measured(photo_at, told)
    if isinstance(answer, CouldNotMeasure):
        return
    raws = {row.get("id", place): row for place, row in enumerate(json.loads(told.read_text())["items"])}
    found = found_pieces(truth.pieces, answer.items)
    for piece, item in found.pairs:
        outline = np.array(item.outline_px)
        middle, reach = outline.mean(axis=0), float(np.ptp(outline, axis=0).max()) * 0.7 + 20
        for what, weight, true, came in _wrong(piece, item):
            why = reason(what, raws.get(piece.number, {}), piece, item, answer)
            spot = (float(middle[0]), float(middle[1]))
            yield Failure(what, weight, photo_at, spot, reach, true, came, why)


def _wrong(piece: TruePiece, item: PhotoItem) -> Iterator[tuple[str, float, str, str]]:
    called = piece.drawn_as.replace("_", " ")
    if item.could_not is not None:
        yield "not measured", 1.0, called, item.could_not.reason
        return
    if item.kind not in piece.kinds:
        yield "kind", item.kinds[item.kind], called, str(item.kind).replace("_", " ")
    length = item.sizes.length
    if piece.length_mm is not None and length is not None and abs(length.value_mm - piece.length_mm) > OFF_MM:
        off = abs(length.value_mm - piece.length_mm)
        yield (
            "length",
            off,
            f"{called}, {piece.length_mm:.1f} mm",
            f"{length.value_mm:.1f} ± {2 * length.u_mm:.1f} mm",
        )
    pitch = item.sizes.pitch
    if piece.pitches_mm and (
        pitch is None or all(abs(pitch.value_mm / one - 1) > OFF_SHARE for one in piece.pitches_mm)
    ):
        true = f"{called}, {' and '.join(f'{one:.3f}' for one in piece.pitches_mm)} mm"
        yield (
            "pitch",
            0.5 if pitch is None else 1.0,
            true,
            "not told" if pitch is None else f"{pitch.value_mm:.3f} mm",
        )
    if item.threads and piece.threads and item.threads[0].probability >= SURE:
        first = thread_named(item.threads[0].designation)
        if first is not None and not any(
            first.designation == one.designation or geometric_twins(first, one) for one in piece.threads
        ):
            true = " / ".join(one.designation for one in piece.threads)
            yield "thread named surely", 1.0, true, f"{first.designation}, {item.threads[0].probability:.2f}"
    look = max(item.looks, key=lambda one: item.looks[one], default=None)
    if look is not None and look is not piece.look:
        yield "look", item.looks[look], f"{called}, {piece.look}", f"{look}, {item.looks[look]:.2f}"


def tile(one: Failure, number: int) -> np.ndarray:
    """The cut-out of a piece with its number."""
    photo = cv2.imread(str(one.photo))
    assert photo is not None
    reach = int(one.reach_px)
    wide = cv2.copyMakeBorder(photo, reach, reach, reach, reach, cv2.BORDER_REPLICATE)
    x, y = int(one.spot_px[0]), int(one.spot_px[1])
    cut = cv2.resize(wide[y : y + 2 * reach, x : x + 2 * reach], (TILE, TILE), interpolation=cv2.INTER_AREA)
    cut = cv2.copyMakeBorder(cut, 2, 2, 2, 2, cv2.BORDER_CONSTANT, value=(255, 255, 255))
    cv2.rectangle(cut, (2, 2), (44, 36), (255, 255, 255), -1)
    cv2.putText(cut, str(number), (8, 29), cv2.FONT_HERSHEY_SIMPLEX, 0.8, (0, 0, 0), 2, cv2.LINE_AA)
    return np.asarray(cut)


def main() -> int:
    """Measure, choose, draw, and print the table."""
    folder, picture = Path(sys.argv[1]), Path(sys.argv[2])
    all_of = [one for pair in truths(folder) for one in failures(*pair)]
    chosen: list[Failure] = []
    for what in ("not measured", "kind", "length", "pitch", "thread named surely", "look"):
        these = sorted((one for one in all_of if one.what == what), key=lambda one: -one.weight)
        print(f"{what}: {len(these)}", file=sys.stderr)
        # One of each reason before a second of any.
        seen: dict[str, int] = {}
        ranked = []
        for one in these:
            seen[one.why] = seen.get(one.why, 0) + 1
            ranked.append((seen[one.why], -one.weight, one))
        chosen += [one for _, _, one in sorted(ranked, key=lambda row: row[:2])[:EACH]]
    print("| | photo | wrong in | it is | it was called | why |\n|---|---|---|---|---|---|")
    tiles = []
    for number, one in enumerate(chosen, 1):
        tiles.append(tile(one, number))
        print(f"| {number} | {one.photo.stem} | {one.what} | {one.true} | {one.came} | {one.why} |")
    blank = np.full_like(tiles[0], 255)
    tiles += [blank] * (-len(tiles) % ACROSS)
    rows = [np.hstack(tiles[at : at + ACROSS]) for at in range(0, len(tiles), ACROSS)]
    cv2.imwrite(str(picture), np.vstack(rows), [cv2.IMWRITE_JPEG_QUALITY, 82])
    return 0


if __name__ == "__main__":
    sys.exit(main())
