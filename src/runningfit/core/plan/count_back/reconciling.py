"""From what went out and what was counted to a proposal in which every piece has exactly one place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.plan.count_back.bucket import (
    Back,
    Counted,
    Expected,
    Over,
    Proposal,
    Short,
    Twins,
    Unproven,
    Wrong,
)
from runningfit.core.plan.count_back.filling import Dealt, Filled, Loose, fill
from runningfit.core.plan.count_back.sorts import alike
from runningfit.core.plan.count_back.swaps import pair_swaps

ENGINE_NOT_SAID = "an engine nobody said"

_Pool = tuple[object, ...]


def reconcile(
    expected: Sequence[Expected],
    counted: Sequence[Counted],
    *,
    finished: bool = True,
    fixed: Mapping[int, int] | None = None,
) -> Proposal:
    """Bring a bucket, or one bag, back to the lots it was sent from.

    Parameters
    ----------
    expected : sequence of Expected
        Every line that may come back, with the pieces still outside.
    counted : sequence of Counted
        The groups of pieces as counted, in any order.
    finished : bool
        True when no more is to come: what is missing is short. False: it is still out.
    fixed : mapping of int to int or None
        For lines with pieces alike, how many a person says came back to each.

    Returns
    -------
    Proposal
        Lines with pieces alike are filled by count; what is missing is shared in proportion, and says so.

    Raises
    ------
    InvalidInput
        A count is negative, more are damaged than counted, a line or group comes twice, or what a person says
        does not add up.

    Notes
    -----
    Exact in whole pieces. A group goes to the lines of its very sort, then to lines it may be one of (an open
    thread, a length not said), the nearest first; within a sort by look and by damage, then by count
    (largest remainder).
    """
    _check(expected, counted)
    by_line = {one.line: one for one in expected}
    by_key = {one.key: one for one in counted}
    pools: dict[_Pool, list[Expected]] = {}
    for one in expected:
        pools.setdefault(one.sort.identity, []).append(one)
    loose, questions = _sorted_out(pools, counted)
    filled = {pool: fill(lines, loose[pool], fixed or {}) for pool, lines in pools.items()}
    backs = [dealt for one in filled.values() for dealt in one.dealt]
    among = _among(filled)
    missing = _missing(by_line, backs, among)
    shorts = [one for one in missing if finished and not by_line[one.line].waiting]
    still_out = tuple(one for one in missing if one not in shorts)
    overs = _overs(loose.values())
    swaps, overs, shorts = pair_swaps(overs, shorts, counted=by_key, expected=by_line)
    return Proposal(
        back=_back(backs, among),
        short=tuple(shorts),
        over=tuple(overs),
        swapped=tuple(swaps),
        still_out=still_out,
        twins=_twins(filled),
        unproven=_unproven(filled),
        wrong_finish=_wrong(by_line, backs),
        questions=tuple(questions),
    )


def _check(expected: Sequence[Expected], counted: Sequence[Counted]) -> None:
    if len({one.line for one in expected}) != len(expected) or len({one.key for one in counted}) != len(
        counted
    ):
        raise InvalidInput("count", needs="each line and each group once", came="one twice")
    for one in expected:
        if one.count < 1:
            raise InvalidInput(one.name, needs="at least one piece outside", came=one.count)
    for group in counted:
        if group.count < 0:
            raise InvalidInput(
                "count", needs="a whole number, 0 or more", came=group.count, remedy="Count again."
            )
        if not 0 <= group.damaged <= group.count:
            raise InvalidInput(
                "damaged",
                needs=f"at most the {group.count} counted of {group.sort.said(1).removeprefix('1 ')}",
                came=group.damaged,
                remedy="The damaged ones are among those counted.",
            )


def _sorted_out(
    pools: Mapping[_Pool, Sequence[Expected]], counted: Sequence[Counted]
) -> tuple[dict[_Pool, dict[Loose, int]], list[str]]:
    """Put every counted group to the sorts it is, or may be, one of; what fits none goes to the pool ()."""
    loose: dict[_Pool, dict[Loose, int]] = {pool: {} for pool in (*pools, ())}
    room = {pool: sum(line.count for line in lines) for pool, lines in pools.items()}
    questions: list[str] = []
    for group in counted:
        if group.sort.identity in pools:
            _put(loose[group.sort.identity], group, group.count, group.damaged)
            room[group.sort.identity] -= group.count
    for group in counted:
        if group.sort.identity in pools or not group.count:
            continue
        may_be = [
            pool for pool, lines in pools.items() if room[pool] > 0 and alike(group.sort, lines[0].sort)
        ]
        may_be.sort(key=lambda pool: _length_apart(group, pools[pool][0]))
        if len(may_be) > 1:
            sorts = " or ".join(pools[pool][0].sort.said(1).removeprefix("1 ") for pool in may_be)
            questions.append(f"{group.sort.said(group.count)}: may be {sorts}. Gauge them, then count again.")
        count, damaged = group.count, group.damaged
        for pool in may_be:
            here = min(count, room[pool])
            bad = max(0, here - (count - damaged))
            _put(loose[pool], group, here, bad)
            room[pool] -= here
            count, damaged = count - here, damaged - bad
        _put(loose[()], group, count, damaged)
    return loose, questions


def _length_apart(group: Counted, line: Expected) -> float:
    if group.sort.length_mm is None or line.sort.length_mm is None:
        return float("inf")
    return abs(group.sort.length_mm - line.sort.length_mm)


def _put(pool: dict[Loose, int], group: Counted, count: int, damaged: int) -> None:
    for bad, pieces in ((False, count - damaged), (True, damaged)):
        if pieces:
            pool[Loose(group.key, group.look, bad)] = pieces


def _among(filled: Mapping[_Pool, Filled]) -> dict[int, tuple[int, ...]]:
    """Name for each line the lines whose pieces lie among its own."""
    among: dict[int, tuple[int, ...]] = {}
    for one in filled.values():
        came = {dealt.line for dealt in one.dealt}
        for together in one.mixed:
            if len(together) > 1 and any(line.line in came for line in together):
                lines = tuple(line.line for line in together)
                among |= dict.fromkeys(lines, lines)
    return among


def _missing(
    by_line: Mapping[int, Expected], backs: Sequence[Dealt], among: Mapping[int, tuple[int, ...]]
) -> list[Short]:
    gaps = {line: one.count for line, one in by_line.items()}
    for dealt in backs:
        gaps[dealt.line] -= dealt.count
    return [Short(line, gap, among.get(line, ())) for line, gap in gaps.items() if gap]


def _overs(pools: Iterable[Mapping[Loose, int]]) -> list[Over]:
    counts: dict[int, list[int]] = {}
    for pool in pools:
        for loose, count in pool.items():
            if count:
                sums = counts.setdefault(loose.key, [0, 0])
                sums[0] += count
                sums[1] += count if loose.damaged else 0
    return [Over(key, count, damaged) for key, (count, damaged) in counts.items()]


def _back(backs: Sequence[Dealt], among: Mapping[int, tuple[int, ...]]) -> tuple[Back, ...]:
    sums: dict[tuple[int, int], list[int]] = {}
    for dealt in backs:
        both = sums.setdefault((dealt.line, dealt.loose.key), [0, 0])
        both[0] += dealt.count
        both[1] += dealt.count if dealt.loose.damaged else 0
    return tuple(
        Back(line, key, count, damaged, among.get(line, ())) for (line, key), (count, damaged) in sums.items()
    )


def _twins(filled: Mapping[_Pool, Filled]) -> tuple[Twins, ...]:
    found: list[Twins] = []
    for one in filled.values():
        came = {dealt.line for dealt in one.dealt}
        for together in one.mixed:
            origins = tuple(dict.fromkeys(line.origin or ENGINE_NOT_SAID for line in together))
            bags = {line.bag for line in together}
            if any(line.line in came for line in together) and (len(origins) > 1 or len(bags) > 1):
                found.append(Twins(tuple(line.line for line in together), origins))
    return tuple(found)


def _unproven(filled: Mapping[_Pool, Filled]) -> tuple[Unproven, ...]:
    found: list[Unproven] = []
    for one in filled.values():
        came = {dealt.line for dealt in one.dealt}
        for line, count in one.hidden_defects:
            together = next(members for members in one.mixed if line in members)
            lines = tuple(other.line for other in together if other.line in came)
            found.append(Unproven(lines, count, line.defect))
    return tuple(found)


def _wrong(by_line: Mapping[int, Expected], backs: Sequence[Dealt]) -> tuple[Wrong, ...]:
    sums: dict[tuple[int, FinishLook], int] = {}
    for dealt in backs:
        asked = by_line[dealt.line].finish
        if asked in (None, FinishLook.UNKNOWN, dealt.loose.look) or dealt.loose.look is FinishLook.UNKNOWN:
            continue
        sums[dealt.line, dealt.loose.look] = sums.get((dealt.line, dealt.loose.look), 0) + dealt.count
    return tuple(
        Wrong(line, count, by_line[line].finish or FinishLook.UNKNOWN, look)
        for (line, look), count in sums.items()
    )
