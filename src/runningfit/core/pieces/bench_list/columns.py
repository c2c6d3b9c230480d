"""Which column of a table tells what: by its heading, and where there is none by what stands in it."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.bench_list.headings import Heading, read_heading
from runningfit.core.pieces.bench_list.tables import Row, Table
from runningfit.core.pieces.condition import read_condition
from runningfit.core.pieces.counts import Count, read_count
from runningfit.core.pieces.designations import read_thread
from runningfit.core.pieces.finishes import FinishLook, read_finish
from runningfit.core.pieces.kinds import KindUnknown, read_kind
from runningfit.core.pieces.understood import Meaning
from runningfit.core.units import LengthUnit, read_length

_TITLE_ROWS = 25
_SAMPLE_ROWS = 60
# Below this share of its cells, a column is not taken for what some of them look like.
_SURE_SHARE = 0.6
# Columns whose cells hold figures.
_FIGURED = frozenset({Meaning.COUNT, Meaning.SIZE, Meaning.LENGTH, Meaning.DESCRIPTION})
_BAG_CODE = re.compile(r"[A-Z]{1,3}[ -]?\d{1,4}[a-z]?", re.IGNORECASE)
_LENGTH_SIGNS = re.compile(r"\d\s*/\s*\d|\d\s*(?:mm|cm|in|inch|inches)\b|\"|\d[.,]\d")
_THREAD_SIGNS = re.compile(r"-\d|[a-z]|#|/\d+/", re.IGNORECASE)
_SERIES_WORD = re.compile(r"un[cf]|unef|bs[wf]|cei|whit\w*|metric|npt|bsp|ba", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: where it stands, its heading, what it tells, in which unit, and why that is thought."""

    index: int
    heading: str
    meaning: Meaning | None
    unit: LengthUnit | None
    why: str


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """What every column of a table tells, and in which line its headings stand."""

    header_line: int | None
    columns: tuple[Column, ...]

    def remapped(self, index: int, meaning: Meaning | None, unit: LengthUnit | None = None) -> ColumnMap:
        """The same map with one column meaning something else.

        Parameters
        ----------
        index : int
            Which column, from 0.
        meaning : Meaning or None
            What it tells; None keeps its text with the remarks.
        unit : LengthUnit or None
            The unit of its lengths.

        Returns
        -------
        ColumnMap
            A new map.

        Raises
        ------
        InvalidInput
            If the table has no such column.
        """
        if not any(column.index == index for column in self.columns):
            raise InvalidInput(
                "The column",
                needs=f"a number from 1 to {len(self.columns)}",
                came=index + 1,
                remedy="Choose again.",
            )
        return ColumnMap(
            self.header_line,
            tuple(
                dataclasses.replace(column, meaning=meaning, unit=unit, why="chosen by hand")
                if column.index == index
                else column
                for column in self.columns
            ),
        )


def recognise(table: Table) -> ColumnMap:
    """Find the row of headings, if there is one, and what each column tells.

    Parameters
    ----------
    table : Table
        As read; titles above the headings are normal.

    Returns
    -------
    ColumnMap
        Columns that cannot be told have no meaning; their text is kept with the remarks.
    """
    header = _header(table)
    headings = _headings(header, table.width)
    after = header.line_number if header is not None else 0
    body = [row for row in table.rows if row.line_number > after and not row.is_blank][:_SAMPLE_ROWS]
    columns: list[Column] = []
    used: set[Meaning] = set()
    for index, heading in enumerate(headings):
        meaning = heading.meaning
        if meaning in used and meaning is not Meaning.REMARKS:
            columns.append(Column(index, heading.text, None, heading.unit, f"a second column of {meaning}"))
            continue
        if meaning is not None:
            used.add(meaning)
        columns.append(
            Column(index, heading.text, meaning, heading.unit, "by its heading" if meaning else "")
        )
    open_columns = [
        column.index
        for column in columns
        if column.meaning is None and not column.why and _is_open(column, headings, body)
    ]
    for index, meaning in _by_content(open_columns, body, used).items():
        columns[index] = dataclasses.replace(columns[index], meaning=meaning, why="by what stands in it")
    if header is None and (unknown := _unknown_headings(table, columns)) is not None:
        named = tuple(
            dataclasses.replace(column, heading=unknown.cell(column.index).text.strip()) for column in columns
        )
        return ColumnMap(unknown.line_number, named)
    return ColumnMap(header.line_number if header is not None else None, tuple(columns))


def is_header(row: Row) -> bool:
    """Whether a row holds headings rather than pieces.

    Parameters
    ----------
    row : Row
        Any row of a table.

    Returns
    -------
    bool
        True where most of at least two cells are known headings; a row with a number in it never is.
    """
    texts = [cell.text.strip() for cell in row.cells if cell.text.strip()]
    if any(text[0].isdigit() for text in texts):
        return False
    known = [read_heading(text) for text in texts]
    meanings = {heading.meaning for heading in known if heading.meaning is not None}
    return len(meanings) >= 2 and 2 * len(meanings) >= len(texts)


def _header(table: Table) -> Row | None:
    for row in table.rows[:_TITLE_ROWS]:
        if is_header(row):
            return row
    for row in table.rows[:_TITLE_ROWS]:
        texts = [cell.text for cell in row.cells if cell.text.strip()]
        if len(texts) == 1 and table.width <= 2 and read_heading(texts[0]).meaning is not None:
            return row
    return None


def _unknown_headings(table: Table, columns: list[Column]) -> Row | None:
    """The first row, where it holds no figure, no kind, and not what its columns hold below it."""
    row = next((row for row in table.rows if not row.is_blank), None)
    if row is None or row is table.rows[-1]:
        return None
    texts = [cell.text.strip() for cell in row.cells]
    if any(letter.isdigit() for text in texts for letter in text):
        return None
    if any(text and not isinstance(read_kind(text), KindUnknown) for text in texts):
        return None
    unlike = any(column.meaning in _FIGURED and row.cell(column.index).text.strip() for column in columns)
    return row if unlike else None


def _headings(header: Row | None, width: int) -> list[Heading]:
    if header is None:
        return [Heading("", None, None, False)] * width
    return [read_heading(header.cell(index).text) for index in range(width)]


def _is_open(column: Column, headings: list[Heading], body: list[Row]) -> bool:
    """Whether a column without a known heading is to be recognised by its content."""
    texts = [row.cell(column.index).text.strip() for row in body]
    if headings[column.index].is_numbering:
        # A running number is not a count.
        return not _is_running([text for text in texts if text])
    return any(texts)


def _is_running(texts: list[str]) -> bool:
    numbers = [int(text) for text in texts if text.isascii() and text.isdigit()]
    if len(numbers) < len(texts) or len(numbers) < 2:
        return False
    return all(later == earlier + 1 for earlier, later in pairwise(numbers))


def _by_content(open_columns: list[int], body: list[Row], used: set[Meaning]) -> dict[int, Meaning]:
    """Give the open columns the meanings that most of their cells look like, the surest first."""
    shares: list[tuple[float, int, int, Meaning]] = []
    for index in open_columns:
        texts = [text for row in body if (text := row.cell(index).text.strip())]
        if not texts or (_is_running(texts) and len(texts) > 3):
            continue
        for order, (meaning, looks_so) in enumerate(_LOOKS):
            share = sum(1 for text in texts if looks_so(text)) / len(texts)
            if share >= _SURE_SHARE:
                shares.append((-share, order, index, meaning))
    found: dict[int, Meaning] = {}
    taken = set(used)
    if Meaning.KIND in taken or Meaning.SIZE in taken:
        taken.add(Meaning.DESCRIPTION)
    for _, _, index, meaning in sorted(shares):
        if index in found or meaning in taken:
            continue
        found[index] = meaning
        taken.add(meaning)
    return found


def _looks_like_kind(text: str) -> bool:
    """A cell with figures in it says more than the kind."""
    return not any(letter.isdigit() for letter in text) and not isinstance(read_kind(text), KindUnknown)


def _looks_like_description(text: str) -> bool:
    from runningfit.core.pieces.line_parts import take_apart

    parts = take_apart(text)
    return bool(parts.kind) and bool(parts.size or parts.count)


def _looks_like_thread(text: str) -> bool:
    if not re.search(r"\d", text) or not _THREAD_SIGNS.search(text):
        return False
    try:
        return bool(read_thread(text).candidates)
    except InvalidInput:
        return False


def _looks_like_length(text: str) -> bool:
    if not _LENGTH_SIGNS.search(text):
        return False
    try:
        read_length(text, default_unit=LengthUnit.INCH)
    except InvalidInput:
        return False
    return True


def _looks_like_bare_size(text: str) -> bool:
    return re.fullmatch(
        r"\d{1,2}/\d{1,2}\"?|M\d{1,2}", text, re.IGNORECASE
    ) is not None or _looks_like_thread(text)


def _looks_like_finish(text: str) -> bool:
    reading = read_finish(text)
    return reading.look is not FinishLook.UNKNOWN or reading.process is not None


def _looks_like_condition(text: str) -> bool:
    return text.lower() in {"ok", "good", "used", "new", "fair", "poor"} or bool(
        read_condition(text, None).defects
    )


_LOOKS: tuple[tuple[Meaning, Callable[[str], bool]], ...] = (
    (Meaning.COUNT, lambda text: isinstance(read_count(text), Count)),
    (Meaning.KIND, _looks_like_kind),
    (Meaning.SIZE, _looks_like_thread),
    (Meaning.SIZE, _looks_like_bare_size),
    (Meaning.BAG, lambda text: _BAG_CODE.fullmatch(text) is not None),
    (Meaning.LENGTH, _looks_like_length),
    (Meaning.SERIES, lambda text: _SERIES_WORD.fullmatch(text) is not None),
    (Meaning.FINISH, _looks_like_finish),
    (Meaning.CONDITION, _looks_like_condition),
    (Meaning.DESCRIPTION, _looks_like_description),
)
