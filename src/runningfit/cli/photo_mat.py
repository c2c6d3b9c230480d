"""`runningfit photo mat`: the mat as a PDF at true size, and its design as JSON where that is asked for."""

from __future__ import annotations

import json
from pathlib import Path

import click

from runningfit.core.errors import DataFolderError, InvalidInput


@click.command()
@click.option(
    "--paper",
    required=True,
    type=click.Choice(["A4", "A3", "letter"], case_sensitive=False),
    help="The paper that it is printed on.",
)
@click.option(
    "--out", required=True, metavar="MAT.pdf", type=click.Path(path_type=Path), help="The PDF to write."
)
@click.option(
    "--design", metavar="MAT.json", type=click.Path(path_type=Path), help="Write its design as JSON too."
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def mat(*, paper: str, out: Path, design: Path | None, as_json: bool) -> None:
    """Write the mat to lay hardware on, as a PDF at true size.

    Print it at 100 %, on matt paper, and hold a steel rule against its two rulers: measured over designed
    length is the print scale that `photo check` takes. The project's own mats tell themselves by their
    markers, so that their design is needed by other programs only.
    """
    from runningfit.core.photos.mats import mat_text
    from runningfit.core.photos.own_mats import Paper, own_mat
    from runningfit.reports.mat_sheet import mat_sheet

    if design is not None and design.absolute() == out.absolute():
        raise InvalidInput("design", needs="another file than --out", came=str(design))
    made = own_mat(Paper(paper))
    _write(out, mat_sheet(made))
    if design is not None:
        _write(design, mat_text(made).encode("utf-8"))
    lengths = [one.length_mm for one in made.rulers]
    if as_json:
        answer = {
            "file": str(out),
            "design": None if design is None else str(design),
            "mat": made.name,
            "rulers_mm": lengths,
        }
        click.echo(json.dumps(answer, ensure_ascii=False, indent=1))
        return
    click.echo(
        f"Wrote {out}. Print it at 100 % and measure its rulers: "
        f"{' and '.join(f'{one:g} mm' for one in lengths)}."
    )


def _write(file: Path, content: bytes) -> None:
    try:
        file.write_bytes(content)
    except OSError as error:
        raise DataFolderError(
            f"{file} could not be written: {error.strerror or error}. Name another file."
        ) from error
