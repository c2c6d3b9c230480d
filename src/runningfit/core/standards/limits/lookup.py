"""The limits of any thread, looked up by its class."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.limits import ba, bsp, cycle, metric, unified, whitworth
from runningfit.core.standards.limits.limits_of_size import ExternalLimits, InternalLimits
from runningfit.core.standards.limits.taper import why_no_limits
from runningfit.core.standards.threads import Thread, ThreadSeries


@dataclass(frozen=True, slots=True)
class _Rules:
    """The rules of one standard: which classes there are, and the limits of each."""

    external_classes: Callable[[Thread], tuple[str, ...]]
    internal_classes: Callable[[Thread], tuple[str, ...]]
    external: Callable[[Thread, str], ExternalLimits]
    internal: Callable[[Thread, str], InternalLimits]


def _always(*classes: str) -> Callable[[Thread], tuple[str, ...]]:
    return lambda _thread: classes


_UNIFIED = _Rules(_always(*unified.EXTERNAL), _always(*unified.INTERNAL), unified.external, unified.internal)
_WHITWORTH = _Rules(
    _always(*whitworth.EXTERNAL), _always(*whitworth.INTERNAL), whitworth.external, whitworth.internal
)
_METRIC = _Rules(metric.external_classes, metric.internal_classes, metric.external, metric.internal)
_RULES = {
    ThreadSeries.UNC: _UNIFIED,
    ThreadSeries.UNF: _UNIFIED,
    ThreadSeries.UNEF: _UNIFIED,
    ThreadSeries.UN: _UNIFIED,
    ThreadSeries.UNS: _UNIFIED,
    ThreadSeries.BSW: _WHITWORTH,
    ThreadSeries.BSF: _WHITWORTH,
    ThreadSeries.CEI: _Rules(
        _always(*cycle.EXTERNAL), _always(*cycle.INTERNAL), cycle.external, cycle.internal
    ),
    ThreadSeries.BA: _Rules(ba.external_classes, _always(*ba.INTERNAL), ba.external, ba.internal),
    ThreadSeries.METRIC_COARSE: _METRIC,
    ThreadSeries.METRIC_FINE: _METRIC,
    ThreadSeries.G: _Rules(_always(*bsp.EXTERNAL), _always(*bsp.INTERNAL), bsp.external, bsp.internal),
}
# BS 84 calls the widest class of nuts normal from 1956 on (from memory).
_ALSO_CALLED = {"normal": "free"}


@cache
def external_classes(thread: Thread) -> tuple[str, ...]:
    """The classes that the external thread can have.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    tuple of str
        The usual class first; none for a taper thread.
    """
    rules = _RULES.get(thread.series)
    return rules.external_classes(thread) if rules else ()


@cache
def internal_classes(thread: Thread) -> tuple[str, ...]:
    """The classes that the internal thread can have.

    Parameters
    ----------
    thread : Thread
        Any standard thread.

    Returns
    -------
    tuple of str
        The usual class first; none for a taper thread.
    """
    rules = _RULES.get(thread.series)
    return rules.internal_classes(thread) if rules else ()


def _refuse(thread: Thread, thread_class: str | None, classes: tuple[str, ...], side: str) -> NoReturn:
    if not classes:
        why = why_no_limits(thread)
        raise InvalidInput(
            "class",
            needs=f"a thread with limits of diameter; {thread.designation} has none",
            came=thread_class or thread.designation,
            remedy=f"{why[:1].upper()}{why[1:]}.",
        )
    raise InvalidInput(
        "class",
        needs=f"one that an {side} {thread.series} thread has: {', '.join(classes)}",
        came=thread_class or "",
        remedy=f"{classes[0]} is the usual one.",
    )


def _named(thread: Thread, thread_class: str | None, classes: tuple[str, ...], side: str) -> str:
    """Find the class meant; capitals tell a metric hole from a bolt, elsewhere they do not matter."""
    if not classes:
        _refuse(thread, thread_class, classes, side)
    if thread_class is None:
        return classes[0]
    said = thread_class.strip()
    if said in classes:
        return said
    also = _ALSO_CALLED.get(said.lower(), said.lower())
    metric_said = thread.series in {ThreadSeries.METRIC_COARSE, ThreadSeries.METRIC_FINE}
    folded = {one.lower(): one for one in classes}
    if also in folded and not metric_said:
        return folded[also]
    _refuse(thread, thread_class, classes, side)


@cache
def external_limits(thread: Thread, thread_class: str | None = None) -> ExternalLimits:
    """The limits of the external thread.

    Parameters
    ----------
    thread : Thread
        Any standard thread.
    thread_class : str or None
        The class; none is the usual one: 2A, medium, 6g, normal (B.A.), A (G).

    Returns
    -------
    ExternalLimits
        Before plating.

    Raises
    ------
    InvalidInput
        The thread tapers, or the series has no such class; those that it has are named.
    """
    named = _named(thread, thread_class, external_classes(thread), "external")
    return _RULES[thread.series].external(thread, named)


@cache
def internal_limits(thread: Thread, thread_class: str | None = None) -> InternalLimits:
    """The limits of the internal thread.

    Parameters
    ----------
    thread : Thread
        Any standard thread.
    thread_class : str or None
        The class; none is the usual one: 2B, medium, 6H, normal (B.A.).

    Returns
    -------
    InternalLimits
        Before plating.

    Raises
    ------
    InvalidInput
        The thread tapers, or the series has no such class; those that it has are named.
    """
    named = _named(thread, thread_class, internal_classes(thread), "internal")
    return _RULES[thread.series].internal(thread, named)
