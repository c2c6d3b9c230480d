"""Labelled data: each correction as a cut-out and a line of a table, given out only if the shop says so.

docs/photo-corrections.md says what is in the file.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from typing import BinaryIO

from django.db.models import QuerySet

from runningfit.core.errors import NotFound
from runningfit.workshop.photos.cut_outs import Original, as_jpeg, original_of
from runningfit.workshop.photos.hardware_models import PhotoCorrection, PhotoRun
from runningfit.workshop.records.archive import guarded

HEADINGS = (
    "cut_out",
    "photo",
    "piece",
    "what",
    "proposed_kind",
    "proposed_threads",
    "proposed_sizes_mm",
    "proposed_looks",
    "said_kind",
    "said_thread",
    "said_other_thread",
    "said_size",
    "said_length_mm",
    "said_look",
    "part_of",
    "mm_per_px",
    "outline_px",
)
NOTE = (
    "What a shop said of pieces in its photos, beside what was proposed. Neither the shop, its people, its "
    "jobs nor the places and devices of its photos are in here; each picture shows one piece and what lies "
    "beside it. The columns of corrections.csv are described in docs/photo-corrections.md of the program.\n"
)


def standing() -> QuerySet[PhotoCorrection]:
    """Return what was said of pieces and stands, in the order of the photos."""
    rows = PhotoCorrection.objects.filter(withdrawn=False, piece__withdrawn=False)
    return rows.select_related("piece__run__photo").order_by("piece__run_id", "pk")


def write_labelled(stream: BinaryIO) -> int:
    """Write the corrections as a ZIP of cut-outs with a table; returns how many.

    Parameters
    ----------
    stream : binary file
        Where it goes.

    Raises
    ------
    NotFound
        Nothing was corrected or confirmed yet.
    """
    if not standing().exists():
        raise NotFound(
            "Nobody has corrected or confirmed a piece in a photo yet: there is nothing to give out."
        )
    sheet = io.StringIO()
    writer = csv.writer(sheet)
    writer.writerow(HEADINGS)
    count = 0
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as archive:
        for correction, photo in _with_photos():
            count += 1
            name = f"cut-outs/{count:05d}.jpg" if photo is not None else ""
            if photo is not None:
                archive.writestr(name, as_jpeg(photo.within(correction.box_px)))
            writer.writerow([guarded(value) for value in _line(name, correction)])
        archive.writestr("corrections.csv", sheet.getvalue().encode("utf-8-sig"), zipfile.ZIP_DEFLATED)
        archive.writestr("read-me.txt", NOTE)
    return count


def _with_photos() -> Iterator[tuple[PhotoCorrection, Original | None]]:
    """Give each correction with its photo, which is opened once for all its pieces; None where it is gone."""
    opened: tuple[int, Original | None] | None = None
    for correction in standing().iterator(chunk_size=200):
        run = correction.piece.run
        if opened is None or opened[0] != run.pk:
            opened = (run.pk, _opened(run))
        yield correction, opened[1]


def _opened(run: PhotoRun) -> Original | None:
    try:
        return original_of(run)
    except NotFound:
        return None


def _line(name: str, correction: PhotoCorrection) -> list[object]:
    proposed, said = correction.proposed, correction.said
    piece = correction.piece
    return [
        name,
        piece.run.photo.sha256[:12],
        piece.number,
        correction.what,
        proposed["kind"],
        json.dumps(proposed["threads"]),
        json.dumps(proposed["sizes"]),
        json.dumps(proposed["looks"]),
        said["kind"],
        said["end_a"],
        said["end_b"],
        said["size_said"],
        said["length_mm"],
        said["look"],
        said["part_of"] if correction.what == "part" else None,
        piece.run.gsd_mm,
        _outline(correction),
    ]


def _outline(correction: PhotoCorrection) -> str:
    """The outline within the cut-out; none for a piece that was split: where its parts meet is a guess."""
    piece = correction.piece
    if piece.split_off_id is not None:
        return ""
    left, top = correction.box_px[:2]
    return json.dumps([[round(x - left, 1), round(y - top, 1)] for x, y in piece.outline_px])
