"""A table without a source, or changed since it was checked, is refused."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import DATA, folders, rows, source

COPIED = "bs_811_1950"


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    shutil.copytree(DATA / COPIED, tmp_path / COPIED)
    return tmp_path


@pytest.mark.parametrize("folder", folders())
def test_every_table_says_where_it_was_read(folder: str) -> None:
    record = source(folder)
    assert folder.startswith(record.standard.lower().replace(" ", "_").replace(".", "_").replace("-", "_"))
    assert list(record.columns) == list(rows(folder)[0])
    assert all(row["status"] and row["source"] for row in rows(folder))


def test_a_table_without_a_source_is_refused(copy: Path) -> None:
    (copy / COPIED / "source.toml").unlink()
    with pytest.raises(
        InvalidInput, match=r"The table bs_811_1950 needs a source.toml beside it; 'none' came"
    ):
        source(COPIED, copy)


def test_a_table_whose_source_is_incomplete_is_refused(copy: Path) -> None:
    record = copy / COPIED / "source.toml"
    lines = record.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(("edition", "checked_against"))]
    record.write_text("\n".join(kept), encoding="utf-8")
    with pytest.raises(
        InvalidInput, match=r"needs a complete source.toml; 'no edition, checked_against' came"
    ):
        source(COPIED, copy)


def test_a_table_that_was_changed_is_refused(copy: Path) -> None:
    table = copy / COPIED / "table.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("0.2295", "0.2259"), encoding="utf-8")
    with pytest.raises(
        InvalidInput, match=r"needs the content that was checked; 'sha256 .*record the new hash"
    ):
        source(COPIED, copy)


def test_a_column_that_is_not_described_is_refused(copy: Path) -> None:
    record = copy / COPIED / "source.toml"
    lines = record.read_text(encoding="utf-8").splitlines()
    record.write_text("\n".join(line for line in lines if not line.startswith("tpi")), encoding="utf-8")
    with pytest.raises(InvalidInput, match=r"needs each column described in order: size, tpi, d_in"):
        source(COPIED, copy)


def test_the_rows_cannot_be_changed() -> None:
    row = rows(COPIED)[0]
    with pytest.raises(TypeError, match=r"does not support item assignment"):
        row["tpi"] = "20"  # type: ignore[index]
