"""Sixty-six lines as mechanics type and dictate them, each one's meaning written before the reader saw it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from runningfit.core.pieces.quick_line import read_quick_line

AREAS = ("gear case", "oil tray", "cylinder head", "raw-water pump", "rocker box", "magneto")
BAGS = ("T1", "B2", "K14")
WRITTEN = Path(__file__).parents[2] / "data" / "bench_lists" / "quick-lines.expected.json"
LINES: list[dict[str, Any]] = json.loads(WRITTEN.read_text(encoding="utf-8"))


@pytest.mark.parametrize("meant", LINES, ids=[line["text"] for line in LINES])
def test_a_line_means_what_was_said(meant: dict[str, Any]) -> None:
    line = read_quick_line(meant["text"], known_areas=AREAS, known_bags=BAGS)
    came: dict[str, Any] = {
        "kind": line.kind,
        "count": line.count,
        "ends": [set(end.candidates) for end in line.ends],
        "nominal": line.length_nominal,
        "look": line.finish_look,
        "process": line.finish_process,
        "defects": [[defect.count, defect.what] for defect in line.defects],
        "area": line.area,
        "bag": line.bag,
    }
    wanted: dict[str, Any] = {
        "nominal": came["nominal"] if "mm" in meant else None,
        "look": "unknown",
        "process": came["process"] if meant.get("look") in {"paint", "chrome"} else None,
        "defects": [],
        "area": "",
        "bag": "",
        **{key: value for key, value in meant.items() if key in came},
    }
    named = [{one for one in end.split(" | ") if one} for end in meant.get("ends", [])]
    wanted["ends"] = [
        end if "+" in want and want - {"+"} <= end else want
        for want, end in zip(named, came["ends"] + [set()] * len(named), strict=False)
    ]
    assert came == wanted
    if "size" in meant:
        assert line.size_said == meant["size"]
    if "mm" in meant:
        assert line.length_mm == pytest.approx(meant["mm"])
    assert meant.get("remarks", "") in line.remarks
    said = " ".join(problem.sentence for problem in line.problems)
    assert meant.get("problem", "").lower() in said.lower()
    assert bool(said) is ("problem" in meant), said
