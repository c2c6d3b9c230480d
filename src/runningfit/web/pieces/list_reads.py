"""What the pages of a bench list show: its rows page by page, its counts, what accepting will do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Prefetch, Q, QuerySet, Sum

from runningfit.core.pieces.understood import Meaning, Question
from runningfit.web.pieces.saying import Said, said
from runningfit.workshop.pieces.bench_lists import COUNTED, TO_COUNT
from runningfit.workshop.pieces.bench_rows import understood_of
from runningfit.workshop.pieces.models import BenchList, BenchRow, Lot

ROWS_A_PAGE = 60
SHOWN = {
    "all": Q(),
    "asked": Q(reading="asked"),
    "problem": Q(reading="problem"),
    "waiting": Q(pieces__isnull=True) & ~Q(fate="aside"),
    "aside": Q(fate="aside"),
}


@dataclass(frozen=True, slots=True)
class RowShown:
    """One row as the page shows it: as understood, beside what was typed."""

    row: BenchRow
    said: Said
    typed: tuple[str, ...]
    corrected: frozenset[str]
    asked: tuple[Question, ...]
    lots: tuple[Lot, ...]
    is_counted: bool


@dataclass(frozen=True, slots=True)
class ListCounts:
    """How many rows of a list stand how, and what accepting it brings."""

    all: int
    asked: int
    problem: int
    waiting: int
    aside: int
    counted: int
    to_count: int
    pieces: int


def counts_of_list(bench_list: BenchList) -> ListCounts:
    """Count the rows of a list by how they stand."""
    found = bench_list.rows.aggregate(
        counted=Count("pk", filter=COUNTED),
        to_count=Count("pk", filter=TO_COUNT),
        pieces_sum=Sum("pieces", filter=TO_COUNT),
        **{name: Count("pk", filter=where) for name, where in SHOWN.items() if name != "all"},
        all=Count("pk"),
    )
    return ListCounts(pieces=found.pop("pieces_sum") or 0, **found)


def rows_shown(bench_list: BenchList, *, show: str, after: int) -> tuple[list[RowShown], int | None]:
    """Return one page of rows, and the row after which the next page begins."""
    rows = _with_lots(bench_list.rows.filter(SHOWN[show], row__gt=after).order_by("row"))
    page = list(rows[: ROWS_A_PAGE + 1])
    more = page[ROWS_A_PAGE - 1].row if len(page) > ROWS_A_PAGE else None
    return as_shown(page[:ROWS_A_PAGE]), more


def row_shown(row: BenchRow) -> RowShown:
    """Return one row as the page shows it."""
    return as_shown([_with_lots(BenchRow.objects.filter(pk=row.pk)).get()])[0]


def as_shown(rows: Sequence[BenchRow]) -> list[RowShown]:
    """Return rows as the page shows them."""
    counted = set(
        BenchRow.objects.filter(COUNTED, pk__in=[row.pk for row in rows]).values_list("pk", flat=True)
    )
    return [_shown(row, row.pk in counted) for row in rows]


def sample_of(bench_list: BenchList) -> list[dict[str, str]]:
    """Return the first rows as typed, to choose by what their columns tell."""
    return list(bench_list.rows.order_by("row").values_list("typed", flat=True)[:3])


def _with_lots(rows: QuerySet[BenchRow]) -> QuerySet[BenchRow]:
    standing = Lot.objects.filter(withdrawn=False).order_by("number")
    return rows.prefetch_related(Prefetch("lots", queryset=standing))


def _shown(row: BenchRow, is_counted: bool) -> RowShown:
    understood = understood_of(row)
    cells = {**row.typed, **{key: text for key, text in row.corrected.items() if key.startswith("+")}}
    words = said(understood)
    threads = {name for end in words.open_ends for name in end.candidates}
    tapped = (Meaning.SIZE, Meaning.LENGTH)
    return RowShown(
        row=row,
        said=words,
        typed=tuple(cells[key] for key in sorted(cells, key=_column_order)),
        corrected=frozenset(row.corrected.values()) - {""},
        asked=tuple(
            one
            for one in understood.questions
            if one.field in tapped and len(one.readings) > 1 and not threads.issuperset(one.readings)
        ),
        lots=tuple(row.lots.all()),
        is_counted=is_counted,
    )


def _column_order(key: str) -> tuple[bool, int, str]:
    return (key.startswith("+"), 0 if key.startswith("+") else int(key), key)
