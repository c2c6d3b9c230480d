"""How long a photo of a mat takes, step by step, how much memory, and how far the plane lies from the truth.

    .venv/bin/python bench/photos.py [FOLDER]

A 12-megapixel photo is simulated. A FOLDER of rendered photos (NAME.jpg with its camera in NAME.json, and the
mat that this names) is measured as well, and its planes are held against the cameras.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.decoding import Photo, decode
from runningfit.core.photos.finding import find_markers, sightings
from runningfit.core.photos.light import fit_light, reflectance
from runningfit.core.photos.mats import mat_text, read_mat
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.core.photos.paper_edges import paper_size
from runningfit.core.photos.pose import fit_pose
from runningfit.core.photos.rectifying import rectify
from simulators.mat_photos import Scene, jpeg_of, mat_record

TIMES = 5
SIMULATE = "--simulate"
AIM_S, AIM_MIB = 3.0, 1024
T = TypeVar("T")


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """Do something some times; what it gives, and the middle of the seconds."""
    took = []
    for _ in range(TIMES):
        began = time.perf_counter()
        found = work()
        took.append(time.perf_counter() - began)
    return found, statistics.median(took)


def steps(data: bytes) -> list[tuple[str, float]]:
    """The seconds of each step with a photo of the A3 mat."""
    mat = own_mat(Paper.A3)
    photo, decoding = timed(lambda: decode(data))
    assert isinstance(photo, Photo)
    seen, looking = timed(lambda: sightings(photo, mat.dictionary))
    found, measuring = timed(lambda: find_markers(photo, mat, seen))
    pose, fitting = timed(lambda: fit_pose(photo, mat, found))
    light, lighting = timed(lambda: fit_light(photo, pose, mat))
    assert light is not None
    _, edging = timed(lambda: paper_size(photo, pose, mat))
    _, whole = timed(lambda: check_photo(data))
    above, turning = timed(lambda: rectify(photo, pose, mat.work_area, mm_per_px=0.1))
    _, balancing = timed(lambda: reflectance(above, light, mat))
    return [
        ("decoding", decoding), ("looking for markers", looking), ("measuring their corners", measuring),
        ("fitting the camera", fitting), ("fitting the light", lighting), ("edges of the paper", edging),
        ("**the whole check**", whole), ("from above at 0.1 mm", turning),
        ("white balance of that", balancing),
    ]  # fmt: skip


def simulate(file: Path) -> None:
    """Write the simulated photo."""
    mat = mat_record(mat_text(own_mat(Paper.A3)))
    file.write_bytes(jpeg_of(Scene(mat, 4000, 3000, 3000.0, distance_mm=400, tilt_deg=10)))


def as_a_command(file: Path) -> tuple[float, float]:
    """Seconds and peak memory [MiB] of the command in a process of its own."""
    began = time.perf_counter()
    command = [sys.executable, "-m", "runningfit", "photo", "check", str(file), "--json"]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0
    return time.perf_counter() - began, used.ru_maxrss / 1024


def against_truth(folder: Path) -> None:
    """Print how far the plane of each photo lies from the one that it was rendered with."""
    print(
        "\n| photo | markers | mm per px | residual px | focal length, % | plane, mm | 10 mm above it, mm |"
    )
    print("|---|---|---|---|---|---|---|")
    for told in sorted(folder.glob("*.json")):
        record = json.loads(told.read_text())
        if "camera" not in record:
            continue
        mat = read_mat((folder / record["mat"]).read_text())
        found = check_photo((folder / record["image"]).read_bytes(), mat=mat, print_scale=1.0)
        if isinstance(found, CouldNotMeasure):
            print(f"| {told.stem} | {found.reason} | | | | | |")
            continue
        camera = record["camera"]
        off = [_off_mm(found, camera, mat.height_mm, height) for height in (0.0, 10.0)]
        print(
            f"| {told.stem} | {len(found.found.numbers)} of {len(mat.markers)} | {found.gsd_mm:.3f} "
            f"| {found.pose.rms_px:.3f} | {100 * (found.pose.camera.focal_px / camera['f_px'] - 1):+.2f} "
            f"| {off[0]:.3f} | {off[1]:.3f} |"
        )


def _off_mm(plane: Plane, camera: dict[str, float], paper_mm: float, height_mm: float) -> float:
    """The root mean square over the work area, x and y [mm]."""
    area = plane.mat.work_area
    x, y = np.meshgrid(
        np.linspace(area.left_mm, area.right_mm, 15), np.linspace(area.top_mm, area.bottom_mm, 11)
    )
    points = np.stack([x.ravel(), y.ravel()], axis=1)
    world = np.stack([points[:, 0], paper_mm - points[:, 1], np.full(len(points), height_mm)], axis=1)
    inside = (world - camera["C_world"]) @ np.array(camera["R_world_to_cam"]).T
    flat = inside[:, :2] / inside[:, 2:]
    square = (flat**2).sum(axis=1, keepdims=True)
    seen = camera["f_px"] * flat * (1 + camera["k1"] * square + camera["k2"] * square**2)
    seen += np.array([camera["cx"], camera["cy"]])
    off = plane.pose.camera.to_mat_mm(seen, height_mm) - points
    return float(np.sqrt((off**2).mean()))


def main() -> int:
    """Measure and print."""
    if sys.argv[1:2] == [SIMULATE]:
        simulate(Path(sys.argv[2]))
        return 0
    # Simulated in a process of its own: a command's peak counts what its caller held before it.
    with tempfile.TemporaryDirectory(prefix="runningfit-bench-") as folder:
        file = Path(folder) / "photo.jpg"
        subprocess.run([sys.executable, __file__, SIMULATE, str(file)], check=True)
        data = file.read_bytes()
        command, memory_mib = as_a_command(file)
    print(
        f"## Photos\n\nA simulated photo of 12 megapixels, {len(data) / 2**20:.1f} MiB; middle of {TIMES}.\n"
    )
    print("| step | s |\n|---|---|")
    for name, seconds in steps(data):
        over = " **over**" if name.startswith("**") and seconds > AIM_S else ""
        print(f"| {name} | {seconds:.2f}{over} |")
    over = " **over**" if command > AIM_S else ""
    print(f"| `runningfit photo check`, once, with its start | {command:.2f}{over} |")
    print(f"\nPeak memory of that command: {memory_mib:.0f} MiB (aim: less than {AIM_MIB}).")
    if len(sys.argv) > 1:
        against_truth(Path(sys.argv[1]))
    print()
    return 0


if __name__ == "__main__":
    sys.exit(main())
