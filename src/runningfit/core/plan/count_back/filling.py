"""Which counted pieces of one sort go back to which line: exact in whole pieces, best match first."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.plan.count_back.bucket import Expected


@dataclass(frozen=True, slots=True)
class Loose:
    """What can be told of a counted piece besides its sort: its group, its look, whether it is damaged."""

    key: int
    look: FinishLook
    damaged: bool


@dataclass(frozen=True, slots=True)
class Dealt:
    """So many loose pieces dealt to a line."""

    line: int
    loose: Loose
    count: int


@dataclass(frozen=True, slots=True)
class Filled:
    """Pieces of one sort brought to their lines; ``mixed`` are sets of lines that nobody can tell apart."""

    dealt: tuple[Dealt, ...]
    mixed: tuple[tuple[Expected, ...], ...]
    hidden_defects: tuple[tuple[Expected, int], ...]


@dataclass(frozen=True, slots=True)
class _Class:
    """Lines of one sort that a piece cannot tell apart by its look or its damage."""

    finish: FinishLook | None
    defective: bool
    waiting: bool


_Pieces = dict[Loose, int]


def share(total: int, rooms: Sequence[int]) -> tuple[int, ...]:
    """Share whole pieces over rooms in proportion to their size, by the largest remainder.

    Parameters
    ----------
    total : int
        Pieces to share, at most the sum of the rooms.
    rooms : sequence of int
        How many each may take.

    Returns
    -------
    tuple of int
        One share for each room, none above its room; they add up to the total. Equal remainders go to the
        first.

    Raises
    ------
    InvalidInput
        There are more pieces than room.
    """
    whole = sum(rooms)
    if not 0 <= total <= whole:
        raise InvalidInput("pieces to share", needs=f"a number from 0 to {whole}", came=total)
    if not total:
        return (0,) * len(rooms)
    parts = [total * room // whole for room in rooms]
    by_remainder = sorted(range(len(rooms)), key=lambda index: (-(total * rooms[index] % whole), index))
    for index in by_remainder[: total - sum(parts)]:
        parts[index] += 1
    return tuple(parts)


def fill(lines: Sequence[Expected], left: _Pieces, fixed: Mapping[int, int]) -> Filled:
    """Bring the loose pieces of one sort to the lines that sent such pieces; they are taken from ``left``.

    Parameters
    ----------
    lines : sequence of Expected
        All lines of the sort.
    left : dict of Loose to int
        The counted pieces; on return those that no line has room for.
    fixed : mapping of int to int
        For a line the pieces that a person says came back to it; others are shared by count.

    Returns
    -------
    Filled

    Raises
    ------
    InvalidInput
        What a person says does not add up to the pieces that came.
    """
    classes: dict[_Class, list[Expected]] = {}
    for line in lines:
        classes.setdefault(_Class(line.finish, bool(line.defect), line.waiting), []).append(line)
    flows = _flows(classes, left)
    sets = _mixed(classes, flows)
    counts: dict[int, int] = {}
    for one, members in classes.items():
        rooms = [line.count for line in members]
        missing = share(sum(rooms) - sum(flows[one].values()), rooms)
        counts |= {line.line: line.count - gap for line, gap in zip(members, missing, strict=True)}
    for together in sets:
        _fix(together, counts, fixed)
    dealt = _deal(classes, flows, sets, counts)
    by_line = {line.line: line for line in lines}
    hidden = [
        (by_line[one.line], one.count) for one in dealt if by_line[one.line].defect and not one.loose.damaged
    ]
    return Filled(tuple(dealt), tuple(sets), tuple(hidden))


def _flows(classes: Mapping[_Class, Sequence[Expected]], left: _Pieces) -> dict[_Class, _Pieces]:
    """Let pieces flow to classes of lines, the surest match first."""
    rooms = {one: sum(line.count for line in members) for one, members in classes.items()}
    flows: dict[_Class, _Pieces] = {one: {} for one in classes}
    for waiting in (False, True):
        for look, condition in _PASSES:
            for loose in [loose for loose, count in left.items() if count]:
                eligible = [
                    one
                    for one in classes
                    if one.waiting is waiting
                    and rooms[one]
                    and look(loose, one)
                    and not (condition and loose.damaged is not one.defective)
                ]
                offered = [rooms[one] for one in eligible]
                parts = share(min(left[loose], sum(offered)), offered)
                for one, part in zip(eligible, parts, strict=True):
                    if part:
                        flows[one][loose] = flows[one].get(loose, 0) + part
                        rooms[one] -= part
                        left[loose] -= part
    return flows


def _same_look(loose: Loose, one: _Class) -> bool:
    return one.finish is loose.look and loose.look is not FinishLook.UNKNOWN


def _unsaid_look(loose: Loose, one: _Class) -> bool:
    return FinishLook.UNKNOWN in (loose.look, one.finish) or one.finish is None


def _any_look(_loose: Loose, _one: _Class) -> bool:
    return True


_LOOKS: tuple[Callable[[Loose, _Class], bool], ...] = (_same_look, _unsaid_look, _any_look)


# Within each match of the look the matching condition comes first: a damaged piece to a line sent damaged.
_PASSES = tuple((look, condition) for look in _LOOKS for condition in (True, False))


def _mixed(
    classes: Mapping[_Class, Sequence[Expected]], flows: Mapping[_Class, _Pieces]
) -> list[tuple[Expected, ...]]:
    """Join the classes that the pieces did not tell apart after all."""
    known = [one for one in classes if flows[one]]
    looks_blur = any(not _same_look(loose, one) for one in known for loose in flows[one])
    defects_blur = any(loose.damaged is not one.defective for one in known for loose in flows[one])
    sets: dict[tuple[object, ...], list[Expected]] = {}
    for one, members in classes.items():
        if not flows[one]:
            # Nothing came back to these, so nothing of theirs lies among the others.
            sets[(one,)] = list(members)
            continue
        look = None if looks_blur else one.finish
        defective = None if defects_blur else one.defective
        sets.setdefault(("filled", look, defective), []).extend(members)
    return [tuple(members) for members in sets.values()]


def _fix(together: Sequence[Expected], counts: dict[int, int], fixed: Mapping[int, int]) -> None:
    """Put what a person says in the place of what was shared by count."""
    said = {line.line: fixed[line.line] for line in together if line.line in fixed}
    came = sum(counts[line.line] for line in together)
    now = counts | said
    for line in together:
        if not 0 <= now[line.line] <= line.count:
            raise InvalidInput(
                f"back in {line.bag or line.name}",
                needs=f"a number from 0 to {line.count}",
                came=now[line.line],
            )
    if sum(now[line.line] for line in together) != came:
        raise InvalidInput(
            f"back in {' and '.join(line.bag or line.name for line in together)}",
            needs=f"numbers that add up to the {came} counted",
            came=" + ".join(str(now[line.line]) for line in together),
            remedy="Move a piece from one bag to the other, or count again.",
        )
    counts |= said


def _deal(
    classes: Mapping[_Class, Sequence[Expected]],
    flows: Mapping[_Class, _Pieces],
    sets: Sequence[Sequence[Expected]],
    counts: Mapping[int, int],
) -> list[Dealt]:
    """Deal each class's pieces to its own lines, then what a person moved within the set."""
    dealt: list[Dealt] = []
    need = dict(counts)
    stock = {one: dict(pieces) for one, pieces in flows.items()}
    class_of = {line.line: one for one, members in classes.items() for line in members}
    for together in sets:
        for line in together:
            dealt += _take(line, stock[class_of[line.line]], need)
        for line in together:
            for one in dict.fromkeys(class_of[other.line] for other in together):
                dealt += _take(line, stock[one], need)
    return dealt


def _take(line: Expected, stock: _Pieces, need: dict[int, int]) -> list[Dealt]:
    taken: list[Dealt] = []
    # Pieces that match the line's own condition first: a damaged one only where nothing else is left.
    for loose in sorted(stock, key=lambda loose: (loose.damaged is not bool(line.defect), loose.key)):
        count = min(stock[loose], need[line.line])
        if count:
            stock[loose] -= count
            need[line.line] -= count
            taken.append(Dealt(line.line, loose, count))
    return taken
