"""The page of standards in the documentation, written from the records beside the tables."""

from __future__ import annotations

from pathlib import Path

from runningfit.core.standards.tables import Source, folders, rows, source

_TITLE = """\
# Standards

Every table of a standard that this project uses, where it was read, and what it was checked against.
This page is written from the `source.toml` beside each table (`python -m runningfit.core.standards.page
docs/standards.md`); do not edit it by hand.

Withdrawn standards stay: old engines were built to them. Each row of a table carries its own status and
source: **VERIFIED** read in a printed table or in two carriers that agree · **SECONDARY** read in a page that
quotes the standard · **RECOMPUTED** by the standard's formula · **DERIVED** from other printed values ·
**MEMORY** from memory, not yet seen in print.
"""


def _statuses(folder: str) -> str:
    """Count the rows of a table by their status."""
    counts: dict[str, int] = {}
    for row in rows(folder):
        counts[row["status"]] = counts.get(row["status"], 0) + 1
    return " · ".join(f"{count} {status}" for status, count in counts.items())


def _section(record: Source) -> str:
    lines = [
        f"## {record.standard}, {record.edition}: {record.title}",
        "",
        f"Folder `{record.folder}`, {len(rows(record.folder))} rows ({_statuses(record.folder)}).",
        "",
        f"- **What**: {record.reference}",
        f"- **Which column counts**: {record.authoritative}",
        f"- **Transcribed from**: {record.transcribed_from}; by {record.transcribed_by}",
        f"- **Checked against**: {record.checked_against}",
        f"- **Terms**: {record.terms}",
        f"- **sha256**: `{record.sha256}`",
        "",
        "| column | holds |",
        "|---|---|",
        *(f"| `{name}` | {holds} |" for name, holds in record.columns.items()),
    ]
    return "\n".join(lines)


def standards_page() -> str:
    """Write the page of standards.

    Returns
    -------
    str
        Markdown; the same every time for the same tables.

    Raises
    ------
    InvalidInput
        A table has no source, or was changed since it was checked.
    """
    sections = [_section(source(folder)) for folder in folders()]
    return _TITLE + "\n" + "\n\n".join(sections) + "\n"


def main(arguments: list[str]) -> int:
    """Write the page to the file named.

    Parameters
    ----------
    arguments : list of str
        The path of the page.

    Returns
    -------
    int
        Exit status: 0, or 2 when no path was given.
    """
    if len(arguments) != 1:
        return 2
    Path(arguments[0]).write_text(standards_page(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    import sys

    raise SystemExit(main(sys.argv[1:]))
