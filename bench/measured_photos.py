"""How well the pieces in photos with exact truth are measured, how long each step takes, and how much memory.

    .venv/bin/python bench/measured_photos.py [FOLDER]

The folder holds NAME.jpg with the truth in NAME_pieces.json or NAME.json and the mat that this names; without
one the photos of the tests are measured.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.photos.checking import check_photo
from runningfit.core.photos.items import MeasuredPhoto
from runningfit.core.photos.mats import Mat, read_mat
from runningfit.core.photos.measuring import measure_photo
from runningfit.core.photos.scoring import Errors, Row, Share, score
from runningfit.core.photos.truths import Truth, read_truth

OWN = Path(__file__).parents[1] / "tests" / "data" / "photos"
AIM_S, AIM_MIB = 5.0, 1024


def truths(folder: Path) -> list[tuple[Path, Path]]:
    """The photos of a folder, each with the file that says what is on it."""
    found = []
    for photo in sorted(folder.glob("*.jpg")):
        for told in (photo.with_name(f"{photo.stem}_pieces.json"), photo.with_suffix(".json")):
            if told.exists() and "items" in json.loads(told.read_text()):
                found.append((photo, told))
                break
    return found


def mat_of(told: Path) -> tuple[Mat | None, float]:
    """The mat that a photo shows, None for one of the project's own, and its print scale."""
    record = json.loads(told.read_text())
    named = told.parent / str(record["mat"])
    return (read_mat(named.read_text()) if named.is_file() else None), record.get("print_scale") or 1.0


def measured(photo: Path, told: Path) -> tuple[MeasuredPhoto | CouldNotMeasure, Truth, float, float]:
    """A photo measured: the answer, the truth, and the seconds of the check and of the whole."""
    mat, scale = mat_of(told)
    began = time.perf_counter()
    plane = check_photo(photo.read_bytes(), mat=mat, print_scale=scale, filename=photo.name)
    checked = time.perf_counter() - began
    answer = plane if isinstance(plane, CouldNotMeasure) else measure_photo(plane)
    return answer, read_truth(told.read_text()), checked, time.perf_counter() - began


def as_a_command(photo: Path, told: Path) -> tuple[float, float]:
    """Seconds and peak memory [MiB] of the command in a process of its own."""
    record = json.loads(told.read_text())
    mat = told.parent / str(record["mat"])
    command = [
        sys.executable,
        "-m",
        "runningfit",
        "photo",
        "measure",
        str(photo),
        "--print-scale",
        "1.0",
        "--json",
    ]
    command += ["--mat", str(mat)] if mat.is_file() else []
    began = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0
    return time.perf_counter() - began, used.ru_maxrss / 1024


def table(name: str, rows: list[tuple[str, Row]]) -> None:
    """Print what was found of each kind or look."""
    print(
        f"\n| {name} | pieces | found | kind | length, mm | major, mm | across flats, mm | pitch in 2 % "
        "| thread or twin | look |\n|---|---|---|---|---|---|---|---|---|---|"
    )
    for said, row in rows:
        cells = [
            str(row.pieces), share(row.found), share(row.kind), errors(row.length), errors(row.major),
            errors(row.head_across_flats), share(row.pitch), share(row.thread_or_twin), share(row.look),
        ]  # fmt: skip
        print(f"| {said} | {' | '.join(cells)} |")


def share(one: Share) -> str:
    """So many of so many."""
    return f"{one.right} of {one.of}" if one.of else "–"


def errors(one: Errors) -> str:
    """The middle error and the one that 95 % keep within."""
    return "–" if one.median_mm is None or one.p95_mm is None else f"{one.median_mm:.2f} / {one.p95_mm:.1f}"


def main() -> int:
    """Measure and print."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else OWN
    pairs = truths(folder)
    answers = [measured(*pair) for pair in pairs]
    found = score([(answer, truth) for answer, truth, _, _ in answers])
    print("## Pieces in photos\n\nErrors are the middle one and the one that 95 % keep within.\n")
    print("| photo | pieces | outlines | missed | extra | split | merged | check, s | whole, s |")
    print("|---|---|---|---|---|---|---|---|---|")
    for counts, (_, _, checked, whole) in zip(found.photos, answers, strict=True):
        said = [len(one) for one in (counts.missed, counts.extra, counts.split, counts.merged)]
        over = " **over**" if whole > AIM_S else ""
        print(
            f"| {counts.image} | {counts.pieces} | {counts.outlines} | {' | '.join(map(str, said))} "
            f"| {checked:.2f} | {whole:.2f}{over} |"
        )
    table("kind", [("all", found.all), *((str(kind), row) for kind, row in found.by_kind.items())])
    table("finish", [(str(look), row) for look, row in found.by_finish.items()])
    print(
        f"\n95 % intervals hold the truth: lengths {share(found.all.length_covered)}, diameters "
        f"{share(found.all.diameter_covered)}.\n"
    )
    print("| thread told with | mean | right |\n|---|---|---|")
    for one in found.reliability_of_twins:
        mean = "–" if one.mean is None else f"{one.mean:.2f}"
        print(f"| {one.low:.1f} to {one.high:.1f} | {mean} | {share(one.right)} |")
    steps: dict[str, float] = {}
    for answer, _, _, _ in answers:
        for step, seconds in answer.steps_s.items() if isinstance(answer, MeasuredPhoto) else ():
            steps[step] = steps.get(step, 0.0) + seconds / len(answers)
    print("\n| step, mean of the photos | s |\n|---|---|")
    for step, seconds in steps.items():
        print(f"| {step} | {seconds:.2f} |")
    took, memory_mib = as_a_command(*max(pairs, key=lambda pair: pair[0].stat().st_size))
    print(f"| `runningfit photo measure`, once, with its start | {took:.2f} |")
    print(f"\nPeak memory of that command: {memory_mib:.0f} MiB (aim: less than {AIM_MIB}).\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
