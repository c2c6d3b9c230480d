"""`runningfit measure two-point` and `vee-block`: form by bore gauge, micrometer or indicator."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.joint_options import millimetres, rounded
from runningfit.cli.measure_options import text_of
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.measurements.form.two_point import TwoPoint

_FILE = click.Path(path_type=Path)


@click.command("two-point")
@click.argument("file", metavar="READINGS.csv", type=_FILE)
@click.option("--u", "u_text", required=True, metavar="LENGTH", help="Standard deviation of one reading.")
@click.option("--nominal", metavar="LENGTH", help="What they are about; shows a sheet in another unit.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def two_point(*, file: Path, u_text: str, nominal: str | None, as_json: bool) -> None:
    """Give taper, barrel and out-of-round of bores or journals, and what such readings cannot see.

    READINGS.csv has the columns depth_mm,angle_deg,diameter_mm and, of several, bore or journal.
    """
    from runningfit.core.measurements.form.reading_sheets import read_diameters
    from runningfit.core.measurements.form.two_point import two_point_form

    read = read_diameters(text_of(file), nominal_mm=millimetres(nominal, "nominal"))
    u_mm = length(u_text, "u")
    found = {label: two_point_form(diameters, u_mm) for label, diameters in read.items()}
    if as_json:
        shown = [{"name": label, **_record(one)} for label, one in found.items()]
        click.echo(json.dumps({"parts": shown}, ensure_ascii=False, indent=1))
        return
    click.echo("\n".join(line for label, one in found.items() for line in _lines(label, one)))


def _record(found: TwoPoint) -> dict[str, Any]:
    return {
        "max_mm": rounded(found.max_mm, 9),
        "min_mm": rounded(found.min_mm, 9),
        "out_of_round_mm": rounded(found.out_of_round_mm),
        "taper_mm": rounded(found.taper_mm),
        "barrel_mm": None if found.barrel_mm is None else rounded(found.barrel_mm),
        "scatter_mm": rounded(found.scatter_mm),
        "sections": [
            {
                "depth_mm": rounded(one.depth_mm),
                "mean_mm": rounded(one.mean_mm, 9),
                "out_of_round_mm": rounded(one.out_of_round_mm),
                "longest_deg": None if one.longest_deg is None else rounded(one.longest_deg),
            }
            for one in found.sections
        ],
        "cautions": [one.text for one in found.cautions],
    }


def _lines(label: str, found: TwoPoint) -> list[str]:
    barrel = "" if found.barrel_mm is None else f", barrel {found.barrel_mm:+.4f} mm"
    lines = [
        f"{label or 'readings'}: {found.min_mm:.4f} to {found.max_mm:.4f} mm, out of round "
        f"{found.out_of_round_mm:.4f} mm, taper {found.taper_mm:+.4f} mm{barrel}",
        f"  the gauge's scatter alone would show {found.scatter_mm:.4f} mm of out-of-round",
    ]
    for one in found.sections:
        longest = "" if one.longest_deg is None else f", longest across {one.longest_deg:.0f}°"
        lines.append(
            f"  at {one.depth_mm:g} mm: {one.mean_mm:.4f} mm, out of round "
            f"{one.out_of_round_mm:.4f} mm{longest}"
        )
    return [*lines, *(f"  {one.text}" for one in found.cautions)]


@click.command("vee-block")
@click.argument("file", metavar="READINGS.csv", type=_FILE)
@click.option("--vee", "vee_deg", type=float, default=90.0, show_default=True, help="Angle of the vee, °.")
@click.option("--u", "u_text", required=True, metavar="LENGTH", help="Standard deviation of one reading.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def vee_block(*, file: Path, vee_deg: float, u_text: str, as_json: bool) -> None:
    """Give run-out and bend of a shaft that was turned between V-blocks under an indicator.

    READINGS.csv has the columns angle_deg,reading_mm.
    """
    from runningfit.core.measurements.form.reading_sheets import read_turn
    from runningfit.core.measurements.form.vee_block import runout

    angles, readings = read_turn(text_of(file))
    found = runout(angles, readings, vee_deg, length(u_text, "u"))
    cautions = [one.text for one in found.cautions]
    if as_json:
        record = {
            "total_mm": rounded(found.total_mm),
            "bow_mm": rounded(found.bow_mm),
            "u_bow_mm": rounded(found.u_bow_mm),
            "towards_deg": rounded(found.towards_deg),
            "rest_mm": rounded(found.rest_mm),
            "cautions": cautions,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    lines = [
        f"total run-out {found.total_mm:.4f} mm; bent by {found.bow_mm:.4f} ± {found.u_bow_mm:.4f} mm "
        f"towards {round(found.towards_deg) % 360}°; without the bend {found.rest_mm:.4f} mm are left",
        *cautions,
    ]
    click.echo("\n".join(lines))


def length(text: str, name: str) -> float:
    """A length with its unit [mm]."""
    found = millimetres(text, name)
    if found is None:
        raise InvalidInput(name, needs="a length such as 0.002mm", came=text)
    return found
