"""Read the file of corrections that a shop saved, and check it against docs/photo-corrections.md.

    python training/photos/corrections.py corrections.zip

Needs nothing but Python. `read` gives the lines with their cut-outs as JPEG bytes; what is not as documented is
refused with the line and the column.
"""

from __future__ import annotations

import csv
import io
import json
import sys
import zipfile
from collections import Counter
from dataclasses import dataclass

COLUMNS = (
    "cut_out", "photo", "piece", "what", "proposed_kind", "proposed_threads", "proposed_sizes_mm",
    "proposed_looks", "said_kind", "said_thread", "said_other_thread", "said_size", "said_length_mm", "said_look",
    "part_of", "mm_per_px", "outline_px",
)
SAID = ("so", "other", "no_piece", "piece", "part", "several")


@dataclass(frozen=True)
class Correction:
    """A line: the cut-out, what was proposed, what was said."""

    cut_out: bytes | None
    photo: str
    piece: int
    what: str
    proposed_kind: str
    proposed_threads: list
    proposed_sizes_mm: dict
    proposed_looks: dict
    said_kind: str
    said_threads: tuple
    said_other_threads: tuple
    said_size: str
    said_length_mm: float | None
    said_look: str
    part_of: int | None
    mm_per_px: float | None
    outline_px: list


def read(path) -> list[Correction]:
    """Read a file of corrections; ValueError says what is not as documented."""
    with zipfile.ZipFile(path) as archive:
        files = set(archive.namelist())
        if "corrections.csv" not in files:
            raise ValueError("corrections.csv is missing: is this the file that the page saves?")
        rows = csv.DictReader(io.StringIO(archive.read("corrections.csv").decode("utf-8-sig")))
        if tuple(rows.fieldnames or ()) != COLUMNS:
            raise ValueError(f"the columns are {rows.fieldnames}, not {list(COLUMNS)}")
        found = [_line(number, row, archive, files) for number, row in enumerate(rows, 1)]
        named = {"corrections.csv", "read-me.txt"} | {f"cut-outs/{n:05d}.jpg" for n in range(1, len(found) + 1)}
        if files - named:
            raise ValueError(f"no line speaks of {sorted(files - named)}")
    return found


def _line(number, row, archive, files) -> Correction:
    cell = {name: text[1:] if text.startswith("'") else text for name, text in row.items()}

    def take(name, form):
        try:
            return form(cell[name])
        except (ValueError, TypeError, AssertionError) as error:
            raise ValueError(f"line {number}, {name}: {cell[name][:60]!r} is not as documented") from error

    path = cell["cut_out"]
    if path and path != f"cut-outs/{number:05d}.jpg":
        raise ValueError(f"line {number}, cut_out: {path} is another line's")
    if path and path not in files:
        raise ValueError(f"line {number}, cut_out: {path} is not in the file")
    picture = archive.read(path) if path else None
    if picture is not None and picture[:3] != b"\xff\xd8\xff":
        raise ValueError(f"line {number}, cut_out: {path} is no JPEG")
    what = take("what", _one_of(SAID))
    part_of = take("part_of", _maybe(int))
    if (part_of is None) == (what == "part"):
        raise ValueError(f"line {number}, part_of: goes with `part` alone")
    return Correction(
        picture, take("photo", _hex), take("piece", int), what, take("proposed_kind", _word),
        take("proposed_threads", _pairs), take("proposed_sizes_mm", _sizes), take("proposed_looks", _shares),
        take("said_kind", _word), take("said_thread", _threads), take("said_other_thread", _threads),
        cell["said_size"], take("said_length_mm", _maybe(float)), take("said_look", _word), part_of,
        take("mm_per_px", _maybe(float)), take("outline_px", _points),
    )


def _one_of(words):
    def form(text):
        assert text in words
        return text

    return form


def _maybe(form):
    return lambda text: form(text) if text else None


def _word(text):
    assert text and text.replace("_", "").isalpha()
    return text


def _hex(text):
    assert len(text) == 12
    int(text, 16)
    return text


def _threads(text):
    return tuple(text.split("|")) if text else ()


def _pairs(text):
    pairs = json.loads(text)
    assert all(isinstance(name, str) and 0 <= chance <= 1 for name, chance in pairs)
    return pairs


def _sizes(text):
    sizes = json.loads(text)
    assert all(value > 0 and u >= 0 for value, u in sizes.values())
    return sizes


def _shares(text):
    shares = json.loads(text)
    assert all(0 <= share <= 1 for share in shares.values())
    return shares


def _points(text):
    points = json.loads(text) if text else []
    assert all(len(point) == 2 for point in points)
    return points


def main(path) -> None:
    lines = read(path)
    print(f"{len(lines)} corrections in {len({one.photo for one in lines})} photos, as documented")
    for what, count in Counter(one.what for one in lines).most_common():
        print(f"{count:6d} {what}")
    wrong = Counter((one.proposed_kind, one.said_kind) for one in lines if one.what == "other")
    for (proposed, said), count in wrong.most_common(12):
        print(f"{count:6d} {proposed} was said to be {said}")


if __name__ == "__main__":
    main(sys.argv[1])
