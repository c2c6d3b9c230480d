"""The forms of a page as a browser would send them, empty fields filled with something harmless."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

FILLED = {"number": "1", "date": "2026-03-01", "text": "9 hex bolts M8 x 35", "": "9 hex bolts M8 x 35"}


@dataclass
class PageForm:
    """One form: where it goes, by which button, with which values."""

    action: str
    values: dict[str, str] = field(default_factory=dict)
    asks_for_files: bool = False


class _Reader(HTMLParser):
    def __init__(self, where: str) -> None:
        super().__init__()
        self.where = where
        self.forms: list[PageForm] = []
        self._form: PageForm | None = None
        self._inside = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            posts = said.get("method", "").lower() == "post"
            self._form = PageForm(said.get("action") or self.where) if posts else None
            if self._form is not None:
                self.forms.append(self._form)
        name = said.get("name", "")
        if self._form is None or not name:
            self._option(tag, said)
            return
        values = self._form.values
        if tag == "input" and said.get("type") == "file":
            self._form.asks_for_files = True
        elif tag == "input" and said.get("type") in ("checkbox", "radio"):
            if "checked" in said or name not in values:
                values[name] = said.get("value", "on")
        elif tag == "input":
            values[name] = said.get("value") or FILLED.get(said.get("type", ""), "")
        elif tag == "textarea":
            values.setdefault(name, FILLED["text"])
        elif tag == "button":
            values.setdefault(name, said.get("value", ""))
        elif tag == "select":
            self._inside = name

    def _option(self, tag: str, said: dict[str, str]) -> None:
        # Any choice will do, as long as it is one.
        if tag != "option" or self._form is None or not self._inside:
            return
        if "selected" in said or not self._form.values.get(self._inside):
            self._form.values[self._inside] = said.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "select":
            self._inside = ""


def forms_of(page: str, where: str) -> list[PageForm]:
    """Return the posting forms of a page that was fetched from an address."""
    reader = _Reader(where)
    reader.feed(page)
    return reader.forms
