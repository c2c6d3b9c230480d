"""Limits read in as a sheet: each row shown as understood before any is kept, no faulty one lost."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from io import StringIO

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Quantity
from runningfit.core.measurements.sheets.limit_rows import LimitRow, limit_rows
from runningfit.core.pieces.bench_list import Table, read_table
from runningfit.workshop.measurements.models import FeatureLimit, FeatureSet
from runningfit.workshop.measurements.queries import sets_of_job
from runningfit.workshop.measurements.sets import SaidLimit, check_limit, held_set, put_limit
from runningfit.workshop.measurements.typed import typed_number, typed_rate
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand, write


@dataclass(frozen=True, slots=True)
class LimitAsUnderstood:
    """A row of a sheet of limits with the set it means; ``said`` is None where it is faulty."""

    row: LimitRow
    feature_set: FeatureSet | None
    said: SaidLimit | None
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetOfLimits:
    """A sheet of limits as understood, with every line as it came under its number."""

    rows: tuple[LimitAsUnderstood, ...]
    lines: tuple[tuple[int, str], ...]

    @property
    def text(self) -> str:
        """The table as text that can be corrected and sent again."""
        return "\n".join(line for _number, line in self.lines)

    @property
    def left(self) -> SheetOfLimits:
        """The sheet without the rows that can be kept: its headings, and the faulty rows as they came."""
        kept = {one.row.line_number for one in self.good}
        return SheetOfLimits(
            tuple(one for one in self.rows if one.said is None),
            tuple(line for line in self.lines if line[0] not in kept),
        )

    @property
    def good(self) -> list[LimitAsUnderstood]:
        """The rows that can be kept."""
        return [one for one in self.rows if one.said is not None]


def read_limit_sheet(*, job: Job, data: bytes, filename: str, unit: str) -> SheetOfLimits:
    """Read a CSV or XLSX sheet of limits for the sets of a job, without writing.

    Parameters
    ----------
    unit : str
        mm or in, for lengths that name no unit.

    Raises
    ------
    InvalidInput
        The file is no table, or no row heads its columns.
    """
    table = read_table(data, filename=filename)
    rows = limit_rows(
        [(row.line_number, [cell.text or cell.merged_text for cell in row.cells]) for row in table.rows]
    )
    sets = sets_of_job(job)
    return SheetOfLimits(tuple(_understood(row, sets, unit) for row in rows), _lines(table))


def keep_limits(
    *, job: Job, rows: Sequence[LimitAsUnderstood], source: str, hand: Hand
) -> list[FeatureLimit]:
    """Keep the rows that were understood, each in the place of an older limit for the same thing.

    Raises
    ------
    InvalidInput
        None of them can be kept.
    """
    good = [(one.feature_set, one.said) for one in rows if one.feature_set is not None and one.said]
    if not good:
        raise InvalidInput(
            "sheet", needs="at least one row that can be kept", came="none",
            remedy="Correct the rows that are named.",
        )  # fmt: skip
    with write(
        verb="add_limit", summary=f"read {len(good)} limits in from {source}", hand=hand, job=job
    ) as entry:
        return [put_limit(entry, held_set(feature_set), said) for feature_set, said in good]


def _understood(row: LimitRow, sets: Sequence[FeatureSet], unit: str) -> LimitAsUnderstood:
    faults = list(row.faults)
    feature_set, fault = _set_named(row.cells["set"], sets)
    faults += [fault] if fault else []
    if faults or feature_set is None:
        return LimitAsUnderstood(row, feature_set, None, tuple(faults))
    try:
        said = _said(row, feature_set, unit)
        check_limit(said, FeatureKind(feature_set.kind))
    except InvalidInput as error:
        return LimitAsUnderstood(row, feature_set, None, (str(error),))
    return LimitAsUnderstood(row, feature_set, said, ())


def _said(row: LimitRow, feature_set: FeatureSet, unit: str) -> SaidLimit:
    kind = FeatureKind(feature_set.kind)
    # A difference among sizes is no size: it may be nought, and so is read as a gap is.
    is_size = row.what == "size"
    kind = kind if is_size or kind.quantity is not Quantity.LENGTH else FeatureKind.GAP
    of = unit if kind.quantity is Quantity.LENGTH else kind.quantity.unit
    lower, upper = (
        typed_rate(name, row.cells.get(name, ""))
        if row.what == "rate"
        else typed_number(name, row.cells.get(name, ""), unit=of, kind=kind)
        for name in ("lower", "upper")
    )
    at = typed_number("at", row.cells.get("at", ""), unit=unit)
    return SaidLimit(
        what=row.what,
        state=row.state,
        lower=lower,
        upper=upper,
        basis="sheet",
        source=row.cells["page"],
        at=at,
    )


def _set_named(name: str, sets: Sequence[FeatureSet]) -> tuple[FeatureSet | None, str]:
    plain = " ".join(name.casefold().replace("_", " ").split())
    if not plain:
        return None, ""
    found = [one for one in sets if plain in (one.name.casefold(), one.purpose.replace("_", " "))]
    found = found or [one for one in sets if plain in one.name.casefold()]
    if len(found) == 1:
        return found[0], ""
    if found:
        return None, f"“{name}” may be {' or '.join(one.name for one in found)}."
    known = ", ".join(one.name for one in sets) or "none yet"
    return None, f"“{name}” is on no set of this sheet ({known})."


def _lines(table: Table) -> tuple[tuple[int, str], ...]:
    """Every row as a line with semicolons, which people can correct and no decimal comma breaks."""
    return tuple(
        (row.line_number, _line([" ".join((cell.text or cell.merged_text).split()) for cell in row.cells]))
        for row in table.rows
    )


def _line(texts: list[str]) -> str:
    written = StringIO()
    csv.writer(written, delimiter=";", lineterminator="").writerow(texts)
    return written.getvalue()
