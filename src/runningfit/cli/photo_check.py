"""`runningfit photo check`: whether a photo of a mat can be measured, as JSON or as a page of text."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.measure_options import text_of
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.photos.answers import CouldNotMeasure
    from runningfit.core.photos.checking import Plane

_DECIMALS = 4


@click.command()
@click.argument("photo", metavar="PHOTO", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--mat",
    "mat_file",
    metavar="MAT.json",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="The design of the mat; not needed for the project's own.",
)
@click.option(
    "--print-scale",
    type=float,
    metavar="SCALE",
    help="Measured over designed length of the mat's ruler, such as 0.985; 1 if not told.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def check(*, photo: Path, mat_file: Path | None, print_scale: float | None, as_json: bool) -> None:
    """Say whether PHOTO, a photo of a mat, can be measured; if not, why, and what to do."""
    from runningfit.core.photos.answers import CouldNotMeasure
    from runningfit.core.photos.checking import check_photo
    from runningfit.core.photos.mats import read_mat

    began = time.perf_counter()
    mat = None if mat_file is None else read_mat(text_of(mat_file))
    try:
        data = photo.read_bytes()
    except OSError as error:
        raise InvalidInput("photo", needs="a file that can be read", came=str(photo)) from error
    found = check_photo(data, mat=mat, print_scale=print_scale, filename=photo.name)
    if as_json:
        record = _refused(found, print_scale) if isinstance(found, CouldNotMeasure) else _record(found)
        record["seconds"] = round(time.perf_counter() - began, 2)
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
    elif isinstance(found, CouldNotMeasure):
        click.echo(f"Could not measure: {found.reason}\n{found.remedy}")
    else:
        click.echo(_page(found))


def _refused(found: CouldNotMeasure, print_scale: float | None) -> dict[str, Any]:
    keys = ("mat", "gsd_mm_per_px", "residual_px", "residual_mm", "blur_mm", "markers", "paper_scale")
    return {
        "print_scale": 1.0 if print_scale is None else print_scale,
        "print_scale_told": print_scale is not None,
        **dict.fromkeys(keys),
        "could_not": {"fault": str(found.fault), "reason": found.reason, "remedy": found.remedy},
        "cautions": [],
    }


def _record(found: Plane) -> dict[str, Any]:
    return {
        "print_scale": found.pose.print_scale,
        "print_scale_told": found.print_scale_told,
        "mat": found.mat.name,
        "gsd_mm_per_px": round(found.gsd_mm, _DECIMALS),
        "residual_px": round(found.pose.rms_px, _DECIMALS),
        "residual_mm": round(found.residual_mm, _DECIMALS),
        "blur_mm": round(found.blur_mm, _DECIMALS),
        "markers": {"found": len(found.found.numbers), "of": len(found.mat.markers)},
        "paper_scale": None
        if found.paper is None
        else {"across": round(found.paper.across, _DECIMALS), "down": round(found.paper.down, _DECIMALS)},
        "could_not": None,
        "cautions": list(found.cautions),
    }


def _page(found: Plane) -> str:
    lines = [
        f"Can be measured, on mat {found.mat.name}: {len(found.found.numbers)} of {len(found.mat.markers)} "
        "markers found",
        f"  a pixel covers   {found.gsd_mm:.3f} mm",
        f"  blurred over     {found.blur_mm:.3f} mm",
        f"  markers lie off  {found.residual_mm:.3f} mm ({found.pose.rms_px:.2f} px)",
    ]
    if found.paper is not None:
        lines.append(f"  print scale by the paper's edges {found.paper.mean:.3f}")
    return "\n".join([*lines, *(["Mind", *(f"  {one}" for one in found.cautions)] if found.cautions else [])])
