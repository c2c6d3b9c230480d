"""`runningfit photo measure`: the pieces on the mat of a photo, as JSON or as a table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from runningfit.cli.photo_measuring import measured_file, on_a_photo

if TYPE_CHECKING:
    from runningfit.core.photos.items import Estimate, MeasuredPhoto, PhotoItem


@click.command()
@on_a_photo
def measure(*, photo: Path, mat_file: Path | None, print_scale: float | None, as_json: bool) -> None:
    """Measure the loose fasteners on a mat in PHOTO: kind, length, thread and look of each piece."""
    from runningfit.core.photos.answers import CouldNotMeasure
    from runningfit.core.photos.measured_files import photo_text

    found = measured_file(photo, mat_file, print_scale)
    if as_json:
        click.echo(photo_text(found.answer, print_scale=found.print_scale, time_s=found.seconds))
    elif isinstance(found.answer, CouldNotMeasure):
        click.echo(f"Could not measure: {found.answer.reason}\n{found.answer.remedy}")
    else:
        click.echo(_page(found.answer))


def _page(found: MeasuredPhoto) -> str:
    count = len(found.items)
    lines = [f"{count} piece{'' if count == 1 else 's'} on the mat, a pixel covers {found.gsd_mm:.3f} mm"]
    for item in found.items:
        lines.append(f"{item.number:4d}  {_said(item)}")
        if item.ask:
            lines.append(f"      {item.ask}")
    return "\n".join([*lines, *(["Mind", *(f"  {one}" for one in found.cautions)] if found.cautions else [])])


def _said(item: PhotoItem) -> str:
    from runningfit.core.pieces.kinds import label

    if item.could_not is not None:
        return f"could not be measured: {item.could_not.reason} {item.could_not.remedy}"
    sizes = item.sizes
    parts = [
        label(item.kind, 1).removeprefix("1 "),
        " or ".join(f"{one.designation} ({one.probability * 100:.0f} %)" for one in item.threads),
        _size("", sizes.length),
        _size("diameter ", sizes.major),
        _size("pitch ", sizes.pitch, decimals=3),
        _size("across flats ", sizes.head_across_flats),
        _size("outside ", sizes.outside),
        _size("inside ", sizes.inside),
        _size("thick ", sizes.thickness),
        _look(item),
    ]
    return ", ".join(part for part in parts if part)


def _size(words: str, size: Estimate | None, decimals: int = 2) -> str:
    if size is None:
        return ""
    return f"{words}{size.value_mm:.{decimals}f} mm ± {1.96 * size.u_mm:.{decimals}f}"


def _look(item: PhotoItem) -> str:
    """How it looks, where one look is likelier than all others together."""
    look = max(item.looks, key=lambda one: item.looks[one], default=None)
    return f"looks {look}" if look and item.looks[look] > 0.5 else ""
