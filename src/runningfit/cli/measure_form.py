"""`runningfit measure circle`, `cylinder` and `flatness`: the form of what was measured."""

from __future__ import annotations

import json
from pathlib import Path

import click

from runningfit.cli.joint_options import millimetres, rounded
from runningfit.cli.measure_options import text_of

_FIGURES = 9


@click.command()
@click.argument("file", metavar="POINTS.csv", type=click.Path(path_type=Path))
@click.option(
    "--method",
    type=click.Choice(["lsc", "mzc", "mcc", "mic"]),
    default="lsc",
    show_default=True,
    help="Least squares, minimum zone, smallest around (shafts), largest within (bores).",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def circle(*, file: Path, method: str, as_json: bool) -> None:
    """Lay a circle to the points of a section, in columns x_mm,y_mm or angle_deg,radius_mm."""
    from runningfit.core.measurements.form.circles import Method, fit_circle
    from runningfit.core.measurements.form.point_sheet import read_points

    points = read_points(text_of(file))
    found = fit_circle(points, Method(method))
    if not as_json:
        held = (
            f", held by points {', '.join(str(one + 1) for one in found.contacts)}" if found.contacts else ""
        )
        click.echo(
            f"{len(points)} points, {method}: diameter {2 * found.radius_mm:.4f} mm, centre at "
            f"{found.centre.x_mm:.4f}, {found.centre.y_mm:.4f} mm, out of round by "
            f"{found.out_of_round_mm:.4f} mm{held}"
        )
        return
    record = {
        "method": method,
        "centre_x_mm": rounded(found.centre.x_mm, _FIGURES),
        "centre_y_mm": rounded(found.centre.y_mm, _FIGURES),
        "radius_mm": rounded(found.radius_mm, _FIGURES),
        "diameter_mm": rounded(2 * found.radius_mm, _FIGURES),
        "out_of_round_mm": rounded(found.out_of_round_mm),
        "points": len(points),
        "contacts": [one + 1 for one in found.contacts],
    }
    click.echo(json.dumps(record, indent=1))


@click.command()
@click.argument("file", metavar="POINTS.csv", type=click.Path(path_type=Path))
@click.option(
    "--method",
    type=click.Choice(["lsc", "mzc", "mcc", "mic"]),
    default="lsc",
    show_default=True,
    help="Least squares, minimum zone, smallest around (shafts), largest within (bores).",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def cylinder(*, file: Path, method: str, as_json: bool) -> None:
    """Lay a cylinder to the points of a bore or journal, in columns x_mm,y_mm,z_mm."""
    from runningfit.core.measurements.form.circles import Method
    from runningfit.core.measurements.form.cylinder import fit_cylinder
    from runningfit.core.measurements.form.point_sheet import read_heights

    points = read_heights(text_of(file))
    found = fit_cylinder(points, Method(method))
    if not as_json:
        click.echo(
            f"{len(points)} points, {method}: diameter {2 * found.radius_mm:.4f} mm, cylindricity "
            f"{found.cylindricity_mm:.4f} mm, axis along "
            f"{found.along_x:.5f}, {found.along_y:.5f}, {found.along_z:.5f}"
        )
        return
    record = {
        "method": method,
        "radius_mm": rounded(found.radius_mm, _FIGURES),
        "diameter_mm": rounded(2 * found.radius_mm, _FIGURES),
        "cylindricity_mm": rounded(found.cylindricity_mm),
        "on_axis_mm": [
            rounded(one, _FIGURES) for one in (found.on_axis.x_mm, found.on_axis.y_mm, found.on_axis.z_mm)
        ],
        "along": [rounded(one, _FIGURES) for one in (found.along_x, found.along_y, found.along_z)],
        "points": len(points),
        "contacts": [one + 1 for one in found.contacts],
    }
    click.echo(json.dumps(record, indent=1))


@click.command()
@click.argument("file", metavar="GRID.csv", type=click.Path(path_type=Path))
@click.option("--step", metavar="LENGTH", help="The step of a bare grid of heights in millimetres.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def flatness(*, file: Path, step: str | None, as_json: bool) -> None:
    """Give the flatness of a face from heights, in columns x_mm,y_mm,z_mm or as a bare grid with --step."""
    from runningfit.core.measurements.form.flatness import flatness as flatness_of
    from runningfit.core.measurements.form.point_sheet import read_heights

    heights = read_heights(text_of(file), step_mm=millimetres(step, "step"))
    found = flatness_of(heights)
    high, low = [one + 1 for one in found.highest], [one + 1 for one in found.lowest]
    if not as_json:
        click.echo(
            f"{len(heights)} points: flat within {found.minimum_zone_mm:.4f} mm (minimum zone), "
            f"{found.least_squares_mm:.4f} mm by least squares; highest points {', '.join(map(str, high))}, "
            f"lowest {', '.join(map(str, low))}"
        )
        return
    record = {
        "flatness_mm": rounded(found.minimum_zone_mm),
        "minimum_zone_mm": rounded(found.minimum_zone_mm),
        "least_squares_mm": rounded(found.least_squares_mm),
        "points": len(heights),
        "highest": high,
        "lowest": low,
    }
    click.echo(json.dumps(record, indent=1))
