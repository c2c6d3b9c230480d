"""`runningfit photo check`: whether a photo of a mat can be measured, as JSON or as a page of text."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.photo_measuring import checked_file, on_a_photo

if TYPE_CHECKING:
    from runningfit.core.photos.answers import CouldNotMeasure
    from runningfit.core.photos.checking import Plane

_DECIMALS = 4


@click.command()
@on_a_photo
def check(*, photo: Path, mat_file: Path | None, print_scale: float | None, as_json: bool) -> None:
    """Say whether PHOTO, a photo of a mat, can be measured; if not, why, and what to do."""
    from runningfit.core.photos.answers import CouldNotMeasure

    began = time.perf_counter()
    found = checked_file(photo, mat_file, print_scale)
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
