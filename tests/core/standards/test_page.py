"""The page of standards in the documentation is the one that the records give."""

from __future__ import annotations

from pathlib import Path

from runningfit.core.standards.page import main, standards_page
from runningfit.core.standards.tables import folders

PAGE = Path(__file__).parents[3] / "docs" / "standards.md"


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == standards_page()


def test_every_table_stands_on_the_page() -> None:
    page = standards_page()
    assert all(f"Folder `{folder}`," in page for folder in folders())


def test_the_page_is_written_where_it_is_asked_for(tmp_path: Path) -> None:
    assert main([str(tmp_path / "page.md")]) == 0
    assert (tmp_path / "page.md").read_text(encoding="utf-8") == standards_page()
    assert main([]) == 2
