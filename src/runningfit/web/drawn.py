"""Words and small parts of table lines, drawn in Python.

A page has up to a hundred lines, and filling a template for each takes ten times as long. Whatever came from
a person goes through ``escape``; every function here returns HTML that is safe as it stands.
"""

from __future__ import annotations

import datetime as dt
from functools import lru_cache
from html import escape

from django.utils import timezone

from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.units import LengthUnit, both_units
from runningfit.web.addresses import address
from runningfit.workshop.pieces.models import Fastener, Lot, Place


def thread(ends: str) -> str:
    """Draw a thread as kept; an open question shows every candidate."""
    return ' <i class="or">or</i> '.join(map(escape, ends.split("|"))) if "|" in ends else escape(ends)


def ends(row: Fastener) -> str:
    """Draw the threads of both ends, or the size alone."""
    if not row.end_a:
        return escape(row.size_said)
    other = f" / {thread(row.end_b)}" if row.end_b and row.end_b != row.end_a else ""
    return thread(row.end_a) + other


@lru_cache(maxsize=4096)
def length(mm: float, unit: str) -> str:
    """Draw a length in the shop's unit with the other one beside it."""
    return escape(both_units(mm, LengthUnit(unit)))


def times_length(row: Fastener, unit: str) -> str:
    """Draw the length behind a cross, as the trade writes it where that is known."""
    if not row.length_mm:
        return ""
    return f" × {escape(row.length_nominal) if row.length_nominal else length(row.length_mm, unit)}"


def kind_word(row: Fastener, count: int) -> str:
    """Draw the kind of a lot or a place, in the number that fits."""
    said: str = getattr(row, "kind_said", "") if row.kind == "other" else ""
    return escape(said) if said else _kind_word(row.kind, count == 1)


@lru_cache(maxsize=256)
def _kind_word(kind: str, one: bool) -> str:
    return escape(label(Kind(kind), 1 if one else 2).partition(" ")[2])


def swatch(look: str) -> str:
    """Draw the look of a finish as a swatch with its name beside it."""
    return f'<span class="sw {escape(look)}" aria-hidden="true"></span>{escape(look)}'


def bag_code(lot: Lot) -> str:
    """Draw the code of the bag a lot is in, or nothing."""
    return f'<span class="code">{escape(lot.bag.code)}</span>' if lot.bag else ""


def lot_link(lot: Lot, job_id: int) -> str:
    """Draw a lot as the way to its page, with its bag."""
    bag = f" · bag {bag_code(lot)}" if lot.bag else ""
    return f'<a href="{address("lot", job_id, lot.number)}">lot {lot.number}</a>{bag}'


def what(row: Fastener, count: int, unit: str) -> str:
    """Draw what a lot is or a place needs: kind, threads, length."""
    words = kind_word(row, count)
    if row.end_a:
        words += f' <span class="num">{thread(row.end_a)}</span>'
        if row.end_b and row.end_b != row.end_a:
            words += f' and <span class="num">{thread(row.end_b)}</span>'
    elif row.size_said:
        words += f' <span class="num">{escape(row.size_said)}</span>'
    if row.length_nominal:
        words += f' x <span class="num">{escape(row.length_nominal)}</span>'
    elif row.length_mm:
        words += f' x <span class="num">{length(row.length_mm, unit)}</span>'
    return words


def lot_words(lot: Lot, count: int, unit: str) -> str:
    """Draw a lot in words: kind, threads, length."""
    return f'{kind_word(lot, count)} <span class="num">{ends(lot)}{times_length(lot, unit)}</span>'


def thread_stamp(state: str, of: str = "") -> str:
    """Draw what is wrong with a thread, or nothing.

    Parameters
    ----------
    state : str
        A thread state of a lot or a place.
    of : str
        Whose thread, such as ``hole``, said before the state.
    """
    before = f"{of} " if of else ""
    if state == "defective":
        return f'<span class="stamp bad">{before or "thread "}defective</span>'
    return f'<span class="stamp open">{before}not proven</span>' if state == "not_proven" else ""


def day(date: dt.date, *, year: bool = True) -> str:
    """Draw a day, with its year or without."""
    return f"{date:%-d %b %Y}" if year else f"{date:%-d %b}"


def moment(at: dt.datetime) -> str:
    """Draw a moment on the shop's own clock."""
    return f"{timezone.localtime(at):%-d %b %Y %H:%M}"


def plural(count: int, one: str = "", many: str = "s") -> str:
    """Return the ending that fits a count."""
    return one if count == 1 else many


def place_state(place: Place) -> str:
    """Draw what is wrong with the thread of a place's hole, or nothing."""
    return thread_stamp(place.thread_state, "hole")
