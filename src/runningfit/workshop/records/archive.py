"""Everything in one ZIP of open files: tables as JSON lines and CSV, photos, and the imported lists.

The JSON lines are what is read back; the CSV beside them is for people and spreadsheets, with every cell that
a spreadsheet could take for a formula guarded by an apostrophe.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any, BinaryIO

from django.apps import apps
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import DatabaseError, connection, models, transaction

from runningfit.core.errors import DataFolderError
from runningfit.workshop.records.writing import OpenEncoder

FORMAT = 1
MANIFEST = "running-fit.json"
FOLDERS = ("photos", "lists")
ORIGINALS = "photos/original/"
# Rows the database itself makes from others are not carried; they come again by themselves.
MADE_BY_THE_DATABASE = {"Holding"}
LARGEST_TABLE_BYTES = 2 * 2**30
# What a file that is no archive, or one that was tampered with, makes its readers raise.
UNREADABLE = (
    OSError,
    zipfile.BadZipFile,
    zlib.error,
    KeyError,
    ValueError,
    TypeError,
    AttributeError,
    EOFError,
    RuntimeError,
    ValidationError,
    DatabaseError,
)
_EPOCH = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Carried:
    """What an archive holds.

    Parameters
    ----------
    rows : tuple of (str, int)
        Each table with its rows.
    files : int
        Photos and lists.
    """

    rows: tuple[tuple[str, int], ...]
    files: int

    @property
    def row_count(self) -> int:
        """Return the rows of all tables together."""
        return sum(count for _table, count in self.rows)


def write_archive(stream: BinaryIO, *, originals: bool) -> Carried:
    """Write everything in the data folder as one ZIP.

    Parameters
    ----------
    stream : binary file
        Where it goes; must be seekable.
    originals : bool
        True carries photos as they came, with the place and device data in them (a backup);
        False carries only the upright, cleaned ones (an export that goes to others).

    Returns
    -------
    Carried
        What was written.
    """
    sums: dict[str, str] = {}
    rows: list[tuple[str, int]] = []
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        with _steady():
            for model in carried_models():
                table = _table_name(model)
                lines, sheet, count = _dump(model)
                _put(archive, f"tables/{table}.jsonl", lines, sums)
                _put(archive, f"tables/{table}.csv", sheet, sums)
                rows.append((table, count))
        files = 0
        for name, path in _kept_files():
            if name.startswith(ORIGINALS) and not originals:
                continue
            _put(archive, name, path.read_bytes(), sums, packed=False)
            files += 1
        manifest = {
            "what": "Running Fit",
            "format": FORMAT,
            "originals": originals,
            "rows": dict(rows),
            "sha256": sums,
        }
        _put(archive, MANIFEST, json.dumps(manifest, indent=1, sort_keys=True).encode(), {})
    return Carried(tuple(rows), files)


def write_archive_file(path: Path, *, originals: bool) -> Carried:
    """Write an archive to a file, whole or not at all.

    Raises
    ------
    DataFolderError
        The file cannot be written there; the message says why.
    """
    half = path.with_name(path.name + ".half")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with half.open("wb") as stream:
            carried = write_archive(stream, originals=originals)
            stream.flush()
            os.fsync(stream.fileno())
        half.replace(path)
    except (OSError, DatabaseError) as error:
        with suppress(OSError):
            half.unlink(missing_ok=True)
        said = getattr(error, "strerror", None) or error
        raise DataFolderError(
            f"{path} could not be written: {said}. Nothing was left half done; "
            "make room or choose another folder, then try again."
        ) from error
    return carried


def read_archive(path: Path) -> Carried:
    """Read an archive into this data folder, which must hold nothing yet; all of it or nothing.

    Raises
    ------
    DataFolderError
        It is not such an archive, it was damaged, or the folder is not empty.
    """
    _refuse_unless_empty()
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = _manifest(archive, path)
            _check_sums(archive, manifest["sha256"], path)
            rows: list[tuple[str, int]] = []
            with transaction.atomic():
                for model in carried_models():
                    rows.append((_table_name(model), _load(archive, model)))
                _renumber()
                connection.check_constraints()
                files = _unpack_files(archive, manifest["sha256"])
    except UNREADABLE as error:
        raise DataFolderError(
            f"{path.name} could not be read back: {error}. Nothing was kept; "
            "choose a file that 'runningfit export' or 'runningfit backup' wrote."
        ) from error
    return Carried(tuple(rows), files)


def carried_models() -> list[type[models.Model]]:
    """Return the tables an archive carries, those first that others lean on."""
    found = [
        model
        for model in apps.get_app_config("workshop").get_models(include_auto_created=True)
        if model.__name__ not in MADE_BY_THE_DATABASE
    ]
    ordered: list[type[models.Model]] = []

    def place(model: type[models.Model]) -> None:
        if model in ordered:
            return
        for field in model._meta.concrete_fields:
            other = field.related_model
            if isinstance(other, type) and other is not model and other in found:
                place(other)
        ordered.append(model)

    for model in sorted(found, key=_table_name):
        place(model)
    return ordered


def guarded(value: Any) -> str:
    """Return a cell's text that no spreadsheet takes for a formula: an apostrophe in front guards it."""
    text = "" if value is None else value if isinstance(value, str) else json.dumps(value, cls=OpenEncoder)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return text
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r", "\n", "'") else text


def _table_name(model: type[models.Model]) -> str:
    return model._meta.object_name or model.__name__


@contextmanager
def _steady() -> Iterator[None]:
    """Hold one unmoving view of the database while the tables are written; nobody's writing waits for it."""
    connection.ensure_connection()
    mode = getattr(connection, "transaction_mode", None)
    if mode is not None:
        # On SQLite a transaction that only reads sees the state of its beginning without holding up writers.
        vars(connection)["transaction_mode"] = "DEFERRED"
    try:
        with transaction.atomic():
            if connection.vendor == "postgresql" and not connection.savepoint_ids:
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            yield
    finally:
        if mode is not None:
            vars(connection)["transaction_mode"] = mode


def _dump(model: type[models.Model]) -> tuple[bytes, bytes, int]:
    names = [field.attname for field in model._meta.concrete_fields]
    lines = io.StringIO()
    sheet = io.StringIO()
    writer = csv.writer(sheet)
    writer.writerow(names)
    count = 0
    for values in model._default_manager.order_by("pk").values_list(*names).iterator(chunk_size=2000):
        row = json.dumps(dict(zip(names, values, strict=True)), cls=OpenEncoder, ensure_ascii=False)
        lines.write(row + "\n")
        writer.writerow([guarded(value) for value in json.loads(row).values()])
        count += 1
    return lines.getvalue().encode(), sheet.getvalue().encode("utf-8-sig"), count


def _put(
    archive: zipfile.ZipFile, name: str, data: bytes, sums: dict[str, str], *, packed: bool = True
) -> None:
    # A fixed time in every entry: the same content gives the same file, so two exports can be compared.
    entry = zipfile.ZipInfo(name, _EPOCH)
    entry.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
    archive.writestr(entry, data)
    sums[name] = hashlib.sha256(data).hexdigest()


def _kept_files() -> Iterator[tuple[str, Path]]:
    for folder in FOLDERS:
        root = Path(settings.DATA) / folder
        for path in sorted(root.rglob("*")) if root.is_dir() else ():
            if path.is_file() and not path.name.endswith(".half") and not path.name.startswith(".half-"):
                yield path.relative_to(settings.DATA).as_posix(), path


def _refuse_unless_empty() -> None:
    for model in carried_models():
        if model._default_manager.exists():
            raise DataFolderError(
                f"The data folder {settings.DATA} already holds work. Reading an archive needs an empty one; "
                "name another folder with --data, or use 'runningfit restore', which sets the present one "
                "aside."
            )


def _manifest(archive: zipfile.ZipFile, path: Path) -> dict[str, Any]:
    if MANIFEST not in archive.namelist():
        raise DataFolderError(f"{path.name} is not an archive of Running Fit: it holds no {MANIFEST}.")
    with archive.open(MANIFEST) as stream:
        manifest: dict[str, Any] = json.loads(stream.read(50 * 2**20))
    if manifest.get("format") != FORMAT:
        raise DataFolderError(
            f"{path.name} has format {manifest.get('format')}; this version reads format {FORMAT}. "
            "Read it with the version that wrote it."
        )
    return manifest


def _check_sums(archive: zipfile.ZipFile, sums: dict[str, str], path: Path) -> None:
    for entry in archive.infolist():
        name = entry.filename
        if name == MANIFEST:
            continue
        if name not in sums or not _fit_name(name):
            raise DataFolderError(
                f"{path.name} holds '{name}', which does not belong there; nothing was read."
            )
        if name.startswith("tables/") and entry.file_size > LARGEST_TABLE_BYTES:
            raise DataFolderError(
                f"{path.name} claims {entry.file_size} bytes for '{name}'; that is no table."
            )
        digest = hashlib.sha256()
        with archive.open(entry) as stream:
            while block := stream.read(2**20):
                digest.update(block)
        if digest.hexdigest() != sums[name]:
            raise DataFolderError(
                f"'{name}' in {path.name} is damaged (its checksum is another); nothing was read."
            )
    missing = set(sums) - set(archive.namelist())
    if missing:
        raise DataFolderError(f"{path.name} lacks {sorted(missing)[0]}; nothing was read.")


def _fit_name(name: str) -> bool:
    parts = PurePosixPath(name).parts
    return (
        bool(parts)
        and parts[0] in ("tables", *FOLDERS)
        and ".." not in parts
        and not name.startswith("/")
        and "\\" not in name
        and ":" not in name
    )


def _load(archive: zipfile.ZipFile, model: type[models.Model]) -> int:
    name = f"tables/{_table_name(model)}.jsonl"
    names = {field.attname: field for field in model._meta.concrete_fields}
    batch: list[models.Model] = []
    count = 0
    with archive.open(name) as stream:
        for line in io.TextIOWrapper(stream, encoding="utf-8"):
            row = json.loads(line)
            unknown = set(row) - set(names)
            if unknown:
                raise DataFolderError(
                    f"{name} has a column '{sorted(unknown)[0]}' that this version does not know."
                )
            values = {key: _value(names[key], value) for key, value in row.items()}
            batch.append(model(**values))
            count += 1
            if len(batch) == 1000:
                model._default_manager.bulk_create(batch, batch_size=500)
                batch = []
    model._default_manager.bulk_create(batch, batch_size=500)
    return count


def _value(field: models.Field[Any, Any], value: Any) -> Any:
    if field.is_relation or isinstance(field, models.JSONField):
        return value
    return field.to_python(value)


def _renumber() -> None:
    # PostgreSQL counts ids apart from the rows; it must be told to go on behind those that were read back.
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), carried_models()):
            cursor.execute(statement)


def _unpack_files(archive: zipfile.ZipFile, names: dict[str, str]) -> int:
    count = 0
    for name in names:
        if name.startswith("tables/"):
            continue
        target = Path(settings.DATA) / name
        target.parent.mkdir(parents=True, exist_ok=True)
        half = target.with_name(target.name + ".half")
        with archive.open(name) as source, half.open("wb") as stream:
            while block := source.read(2**20):
                stream.write(block)
            stream.flush()
            os.fsync(stream.fileno())
        half.replace(target)
        count += 1
    return count
