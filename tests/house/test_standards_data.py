"""Every table of a standard is a folder that says where its values came from."""

from __future__ import annotations

from house.tree import CORE, project_files

DATA = CORE / "standards" / "data"


def test_every_table_has_its_source_beside_it() -> None:
    files: dict[str, set[str]] = {}
    for path in project_files():
        if path.is_relative_to(DATA) and path.name != "__init__.py":
            folder, _, name = path.relative_to(DATA).as_posix().partition("/")
            files.setdefault(folder, set()).add(name)
    assert files
    wrong = {folder: names for folder, names in files.items() if names != {"table.csv", "source.toml"}}
    assert not wrong, "A folder of data holds table.csv and source.toml, and nothing else"
