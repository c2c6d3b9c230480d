"""The sentences of a count-back: the same on the screen, on paper and in the record."""

from __future__ import annotations

from collections.abc import Mapping

from runningfit.core.plan.count_back.bucket import (
    Counted,
    Expected,
    Over,
    Short,
    Swap,
    Twins,
    Unproven,
    Wrong,
)

_Lines = Mapping[int, Expected]
# A bucket may hold fifty bags of one sort; the sentence names the first and counts the rest.
MOST_NAMED = 6


def short_said(short: Short, lines: _Lines) -> str:
    """Say what is missing, and where it cannot be said whose it is."""
    line = lines[short.line]
    said = f"{line.sort.said(short.count)} short of {line.count} sent {_where(line)}"
    if len(short.among) > 1:
        which = "bag" if len(_places(short.among, lines)) > 1 else "lot"
        said += f"; alike went {_bags(short.among, lines)}, so nobody can say which {which} it belongs to"
    return said + "."


def over_said(over: Over, counted: Counted) -> str:
    """Say what came that nobody sent."""
    damaged = f", {over.damaged} of them damaged" if over.damaged else ""
    return f"{counted.sort.said(over.count)} came that nobody sent{damaged}."


def swap_said(swap: Swap, lines: _Lines, counted: Counted) -> str:
    """Say what came in the place of what was sent."""
    line = lines[swap.line]
    verb = "was" if swap.count == 1 else "were"
    said = (
        f"{counted.sort.said(swap.count)} came where {line.sort.said(swap.count)} {verb} sent {_where(line)}"
    )
    if len(swap.among) > 1:
        said += f"; alike went {_bags(swap.among, lines)}"
    return said + "."


def damaged_said(line: Expected, count: int, among: tuple[int, ...], lines: _Lines) -> str:
    """Say what came back damaged."""
    said = f"{line.sort.said(count)} came back damaged, sent {_where(line)}"
    if len(among) > 1:
        said += f"; alike went {_bags(among, lines)}"
    return said + "."


def twins_said(twins: Twins, lines: _Lines) -> str:
    """Say which lots can no longer be told apart."""
    names = _and([f"{lines[one].name}{_in_bag(lines[one])}" for one in twins.lines])
    sort = lines[twins.lines[0]].sort.said(2).removeprefix("2 ")
    if not twins.engine_lost:
        return f"{names} are alike ({sort}) and came in one bucket: by count they fill their bags again."
    engines = " or ".join(twins.origins)
    return f"{names} are alike ({sort}) and came in one bucket. Which engine: lost. It may be {engines}."


def unproven_said(unproven: Unproven, lines: _Lines) -> str:
    """Say that pieces with a defect lie among good ones."""
    names = _and([lines[one].name for one in unproven.lines])
    return (
        f"{unproven.count} sent with {unproven.defect} came back unmarked among the good ones ({names}): "
        "gauge every one before it is used."
    )


def wrong_said(wrong: Wrong, lines: _Lines) -> str:
    """Say which finish was asked and which was received."""
    line = lines[wrong.line]
    return (
        f"{line.sort.said(wrong.count)} of {line.name} came back {wrong.received}; {wrong.asked} was asked."
    )


def _where(line: Expected) -> str:
    return f"in bag {line.bag} ({line.name})" if line.bag else f"without a bag ({line.name})"


def _in_bag(line: Expected) -> str:
    return f" (bag {line.bag})" if line.bag else ""


def _bags(among: tuple[int, ...], lines: _Lines) -> str:
    places = _places(among, lines)
    if len(places) > MOST_NAMED:
        places = [*places[: MOST_NAMED - 1], f"{len(places) - MOST_NAMED + 1} more"]
    return "in " + _and(places)


def _places(among: tuple[int, ...], lines: _Lines) -> list[str]:
    """Return each bag once, however many lots lie in it; a lot without a bag is its own place."""
    named = [f"bag {lines[one].bag}" if lines[one].bag else lines[one].name for one in among]
    return list(dict.fromkeys(named))


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
