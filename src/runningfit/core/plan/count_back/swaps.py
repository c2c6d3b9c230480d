"""Pairing pieces too many with missing ones near to them: one short bolt where one long one was sent."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from runningfit.core.plan.count_back.bucket import Counted, Expected, Over, Short, Swap
from runningfit.core.plan.count_back.sorts import nearness


def pair_swaps(
    overs: Sequence[Over],
    shorts: Sequence[Short],
    *,
    counted: Mapping[int, Counted],
    expected: Mapping[int, Expected],
) -> tuple[list[Swap], list[Over], list[Short]]:
    """Pair what came too many with what is missing, the nearest first.

    Parameters
    ----------
    overs : sequence of Over
        Pieces that no line sent.
    shorts : sequence of Short
        Pieces that did not come.
    counted, expected : mapping
        The groups by key and the lines by line.

    Returns
    -------
    swaps : list of Swap
        Pairs of the same kind that share the thread or the length.
    overs, shorts : list
        What is left of each; together with the swaps they hold the same pieces as before.
    """
    over_left = {one.key: one for one in overs}
    short_left = {one.line: one for one in shorts}
    pairs = sorted(
        (near, short.line, over.key)
        for over in overs
        for short in shorts
        for near in [nearness(counted[over.key].sort, expected[short.line].sort)]
        if near is not None
    )
    swaps: list[Swap] = []
    for _near, line, key in pairs:
        over, short = over_left[key], short_left[line]
        count = min(over.count, short.count)
        if not count:
            continue
        # Sound pieces are paired first, so that a damaged stray stays a stray.
        damaged = max(0, count - (over.count - over.damaged))
        swaps.append(Swap(line, key, count, damaged, short.among))
        over_left[key] = Over(key, over.count - count, over.damaged - damaged)
        short_left[line] = Short(line, short.count - count, short.among)
    return (
        swaps,
        [one for one in over_left.values() if one.count],
        [one for one in short_left.values() if one.count],
    )
