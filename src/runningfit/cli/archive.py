"""The commands backup, restore, export, import: everything out as one ZIP, and back."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from runningfit.cli.standing import answer, data_option, json_option, wake


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@data_option
@json_option
def backup(file: Path | None, data: str | None, as_json: bool) -> None:
    """Write everything, original photos too, to FILE or to the folder's own backups."""
    _write(file, data, as_json, originals=True)


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@data_option
@json_option
def export(file: Path, data: str | None, as_json: bool) -> None:
    """Write everything to FILE for others: open CSV and JSON, photos without place and device data."""
    _write(file, data, as_json, originals=False)


@click.command(name="import")
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@data_option
@json_option
def import_(file: Path, data: str | None, as_json: bool) -> None:
    """Read FILE, which export or backup wrote, into an empty data folder."""
    wake(data)
    from runningfit.workshop.records.archive import read_archive
    from runningfit.workshop.records.folder import bring_up_to_date, held

    with held("runningfit import"):
        bring_up_to_date()
        carried = read_archive(file)
    answer(
        as_json,
        {"file": str(file), "rows": dict(carried.rows), "files": carried.files},
        f"Read {carried.row_count} rows and {carried.files} photos and lists from {file}.",
    )


@click.command()
@click.argument("file", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@data_option
@json_option
def restore(file: Path, data: str | None, as_json: bool) -> None:
    """Read FILE back; what the folder holds now is set aside whole, never overwritten."""
    wake(data)
    from runningfit.workshop.records.folder import held
    from runningfit.workshop.records.folder import restore as read_back

    with held("runningfit restore"):
        carried, aside = read_back(file)
    answer(
        as_json,
        {
            "file": str(file),
            "rows": dict(carried.rows),
            "files": carried.files,
            "set_aside": str(aside) if aside else None,
        },
        f"Read {carried.row_count} rows and {carried.files} photos and lists from {file}."
        + (f" What was there before lies in {aside}." if aside else ""),
    )


def _write(file: Path | None, data: str | None, as_json: bool, *, originals: bool) -> None:
    wake(data)
    from django.conf import settings

    from runningfit.core.errors import DataFolderError
    from runningfit.workshop.photos.sweeping import sweep
    from runningfit.workshop.records.archive import write_archive_file
    from runningfit.workshop.records.folder import bring_up_to_date

    if not Path(settings.DATA).is_dir():
        raise DataFolderError(f"There is no data folder {settings.DATA}; name another with --data.")
    bring_up_to_date()
    if originals:
        sweep()
    stamp = dt.datetime.now().astimezone()
    target = file or Path(settings.DATA) / "backups" / f"running-fit-{stamp:%Y%m%d-%H%M%S}.zip"
    carried = write_archive_file(target, originals=originals)
    answer(
        as_json,
        {"file": str(target), "rows": dict(carried.rows), "files": carried.files},
        f"Wrote {carried.row_count} rows and {carried.files} photos and lists to {target}.",
    )
