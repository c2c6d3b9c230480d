"""Two readings of one bench list compared: which rows are the same, changed, new or gone."""

from __future__ import annotations

from bisect import bisect
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.pieces.understood import Meaning, UnderstoodRow

# Two rows are the same lot, edited, when at least this share of what they tell agrees. With the weights below
# an edit of the count, length, finish, condition and remarks together is still a change; another kind in
# another bag is another lot.
SAME_LOT_SHARE = 0.5
_WEIGHTS = {
    Meaning.BAG: 2.0, Meaning.AREA: 1.5, Meaning.KIND: 3.0, Meaning.SIZE: 3.0, Meaning.LENGTH: 1.5,
    Meaning.DESCRIPTION: 5.0,
}  # fmt: skip
# Rows that share a pair of values with more than this many others are compared with the nearest only.
_MOST_PARTNERS = 40
_KEYS = (
    (Meaning.KIND, Meaning.SIZE),
    (Meaning.BAG, Meaning.KIND),
    (Meaning.AREA, Meaning.KIND),
    (Meaning.BAG, Meaning.SIZE),
    (Meaning.SIZE, Meaning.LENGTH),
    (Meaning.BAG, Meaning.AREA),
    (Meaning.DESCRIPTION,),
    (Meaning.BAG,),
)


@dataclass(frozen=True, slots=True)
class Difference:
    """One value that was edited: what it tells, and how it was and is typed."""

    field: Meaning
    old: str
    new: str


@dataclass(frozen=True, slots=True)
class Pair:
    """A row as it was and as it is."""

    old: UnderstoodRow
    new: UnderstoodRow


@dataclass(frozen=True, slots=True)
class ChangedRow:
    """A row that was edited, with the differences value by value."""

    old: UnderstoodRow
    new: UnderstoodRow
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True)
class RowChanges:
    """What an edited file changes; every old and every new row is in exactly one class."""

    same: tuple[Pair, ...]
    changed: tuple[ChangedRow, ...]
    added: tuple[UnderstoodRow, ...]
    gone: tuple[UnderstoodRow, ...]


def compare(old_rows: Sequence[UnderstoodRow], new_rows: Sequence[UnderstoodRow]) -> RowChanges:
    """Compare the rows of a list read before with those of the edited file.

    Parameters
    ----------
    old_rows, new_rows : sequence of UnderstoodRow
        As understood; only what was typed is compared, never where it stands.

    Returns
    -------
    RowChanges
        Rows typed alike are the same, wherever they moved; then the most similar pairs are changed ones, down
        to half of what they tell (`SAME_LOT_SHARE`); what is left was added or is gone. The order of the
        files decides between equals, so that the answer is always the same.
    """
    waiting: dict[tuple[tuple[str, str], ...], list[int]] = defaultdict(list)
    for at, row in enumerate(new_rows):
        waiting[_key(row)].append(at)
    for places in waiting.values():
        places.reverse()
    same: list[Pair] = []
    old_left: list[int] = []
    taken: set[int] = set()
    for at, row in enumerate(old_rows):
        if alike := waiting.get(_key(row)):
            new_at = alike.pop()
            taken.add(new_at)
            same.append(Pair(row, new_rows[new_at]))
        else:
            old_left.append(at)
    new_left = [at for at in range(len(new_rows)) if at not in taken]
    pairs = _pairs(old_rows, new_rows, old_left, new_left)
    paired_old, paired_new = set(pairs), set(pairs.values())
    return RowChanges(
        tuple(same),
        tuple(_changed(old_rows[old], new_rows[new]) for old, new in sorted(pairs.items())),
        tuple(new_rows[at] for at in new_left if at not in paired_new),
        tuple(old_rows[at] for at in old_left if at not in paired_old),
    )


def _key(row: UnderstoodRow) -> tuple[tuple[str, str], ...]:
    """What was typed, without regard to the order of the columns."""
    return tuple(sorted((pair.meaning.value, " ".join(pair.text.split())) for pair in row.typed))


def _values(row: UnderstoodRow) -> dict[Meaning, str]:
    values: dict[Meaning, list[str]] = defaultdict(list)
    for pair in row.typed:
        values[pair.meaning].append(" ".join(pair.text.split()))
    return {meaning: "; ".join(texts) for meaning, texts in values.items()}


def _pairs(
    old_rows: Sequence[UnderstoodRow],
    new_rows: Sequence[UnderstoodRow],
    old_left: list[int],
    new_left: list[int],
) -> dict[int, int]:
    """The most similar pairs of rows, by their places; no row is in two."""
    old_values = {at: _lowered(old_rows[at]) for at in old_left}
    new_values = {at: _lowered(new_rows[at]) for at in new_left}
    places: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for at in new_left:
        for shared in _shared_keys(new_values[at]):
            places[shared].append(at)
    scored: list[tuple[float, int, int, int]] = []
    for old in old_left:
        partners: set[int] = set()
        for shared in _shared_keys(old_values[old]):
            partners.update(_nearest(places.get(shared, []), old))
        for new in partners:
            share = _agreement(old_values[old], new_values[new])
            if share >= SAME_LOT_SHARE:
                scored.append((-share, abs(old - new), old, new))
    pairs: dict[int, int] = {}
    used: set[int] = set()
    for _, _, old, new in sorted(scored):
        if old not in pairs and new not in used:
            pairs[old] = new
            used.add(new)
    return pairs


def _nearest(places: list[int], place: int) -> list[int]:
    """Of places in rising order, those around that one."""
    if len(places) <= _MOST_PARTNERS:
        return places
    middle = bisect(places, place)
    first = min(max(0, middle - _MOST_PARTNERS // 2), len(places) - _MOST_PARTNERS)
    return places[first : first + _MOST_PARTNERS]


def _lowered(row: UnderstoodRow) -> dict[Meaning, str]:
    return {meaning: text.lower() for meaning, text in _values(row).items()}


def _shared_keys(values: dict[Meaning, str]) -> list[tuple[str, ...]]:
    return [
        (str(number), *(values[meaning] for meaning in meanings))
        for number, meanings in enumerate(_KEYS)
        if all(meaning in values for meaning in meanings)
    ]


def _agreement(old: dict[Meaning, str], new: dict[Meaning, str]) -> float:
    """The weighted share of what either row tells on which both agree."""
    total = agreed = 0.0
    for meaning, text in old.items():
        weight = _WEIGHTS.get(meaning, 1.0)
        total += weight
        if new.get(meaning) == text:
            agreed += weight
    total += sum(_WEIGHTS.get(meaning, 1.0) for meaning in new if meaning not in old)
    return agreed / total if total else 0.0


def _changed(old: UnderstoodRow, new: UnderstoodRow) -> ChangedRow:
    before, after = _values(old), _values(new)
    differences = tuple(
        Difference(meaning, before.get(meaning, ""), after.get(meaning, ""))
        for meaning in Meaning
        if before.get(meaning, "") != after.get(meaning, "")
    )
    return ChangedRow(old, new, differences)
