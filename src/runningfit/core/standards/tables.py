"""Tables of standards as folders: the values as printed, and where each of them was read."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from runningfit.core.errors import InvalidInput

DATA = Path(__file__).parent / "data"
_NEEDED = (
    "standard",
    "edition",
    "title",
    "reference",
    "authoritative",
    "transcribed_from",
    "transcribed_by",
    "checked_against",
    "terms",
    "sha256",
)


@dataclass(frozen=True, slots=True)
class Source:
    """Where a table was read: the birth certificate that lies beside it.

    Parameters
    ----------
    folder : str
        Name of the folder, `<standard>_<edition>`.
    standard, edition, title, reference : str
        The standard, its edition and title, and which clause or table.
    authoritative : str
        Which columns count where two of them differ.
    transcribed_from, transcribed_by, checked_against, terms : str
        How the figures came here, what they were held against, and the terms of use.
    sha256 : str
        Hash of the table as it was checked.
    columns : Mapping[str, str]
        What each column holds, and its unit.
    """

    folder: str
    standard: str
    edition: str
    title: str
    reference: str
    authoritative: str
    transcribed_from: str
    transcribed_by: str
    checked_against: str
    terms: str
    sha256: str
    columns: Mapping[str, str]


def folders(root: Path = DATA) -> tuple[str, ...]:
    """Name the folders of all tables, in order.

    Parameters
    ----------
    root : Path
        Where the folders lie.

    Returns
    -------
    tuple of str
        Their names.
    """
    return tuple(sorted(folder.name for folder in root.iterdir() if folder.is_dir()))


@cache
def rows(folder: str) -> tuple[Mapping[str, str], ...]:
    """Read the rows of a table, each value as printed.

    Parameters
    ----------
    folder : str
        Name of the table's folder.

    Returns
    -------
    tuple of Mapping
        Column name to printed value, row by row.
    """
    with (DATA / folder / "table.csv").open(newline="", encoding="utf-8") as table:
        return tuple(MappingProxyType(row) for row in csv.DictReader(table))


def source(folder: str, root: Path = DATA) -> Source:
    """Read where a table comes from, and refuse a table that does not say or was changed since.

    Parameters
    ----------
    folder : str
        Name of the table's folder.
    root : Path
        Where the folders lie.

    Returns
    -------
    Source
        The record that lies beside the table.

    Raises
    ------
    InvalidInput
        There is no record, something is missing in it, a column is not described, or the hash differs.
    """
    # Only the page of standards and the tests read these records, so a look-up does not pay for the readers.
    import tomllib
    from hashlib import sha256

    place, table = root / folder / "source.toml", root / folder / "table.csv"
    name = f"The table {folder}"
    if not place.is_file():
        raise InvalidInput(
            name, needs="a source.toml beside it", came="none", remedy="Write where it was read."
        )
    record = tomllib.loads(place.read_text(encoding="utf-8"))
    missing = [key for key in _NEEDED if not isinstance(record.get(key), str) or not record[key].strip()]
    if missing:
        raise InvalidInput(
            name, needs="a complete source.toml", came=f"no {', '.join(missing)}", remedy="Add it."
        )
    content = table.read_bytes()
    if sha256(content).hexdigest() != record["sha256"]:
        raise InvalidInput(
            name,
            needs="the content that was checked",
            came=f"sha256 {sha256(content).hexdigest()}",
            remedy="Check the change against the standard, then record the new hash.",
        )
    columns = record.get("columns", {})
    header = next(csv.reader(content.decode("utf-8").splitlines()), [])
    if list(columns) != header:
        raise InvalidInput(
            name,
            needs=f"each column described in order: {', '.join(header)}",
            came=", ".join(columns) or "none",
            remedy="Describe the columns in source.toml.",
        )
    return Source(folder=folder, columns=MappingProxyType(columns), **{key: record[key] for key in _NEEDED})
