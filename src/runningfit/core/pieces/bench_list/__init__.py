"""The bench list: a file of rows about lots, as workshops keep them, read and understood row by row."""

from runningfit.core.pieces.bench_list.columns import Column, ColumnMap, recognise
from runningfit.core.pieces.bench_list.compare import ChangedRow, Difference, Pair, RowChanges, compare
from runningfit.core.pieces.bench_list.rows import (
    BenchList,
    SkippedRow,
    read_bench_list,
    skipped_rows,
    understand,
)
from runningfit.core.pieces.bench_list.tables import Cell, Row, Table, read_table

__all__ = [
    "BenchList",
    "Cell",
    "ChangedRow",
    "Column",
    "ColumnMap",
    "Difference",
    "Pair",
    "Row",
    "RowChanges",
    "SkippedRow",
    "Table",
    "compare",
    "read_bench_list",
    "read_table",
    "recognise",
    "skipped_rows",
    "understand",
]
