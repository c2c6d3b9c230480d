"""Pages of the threads themselves: all of them, those of a size in any spelling, and the card of one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from runningfit.core.errors import InvalidInput, NotFound
from runningfit.core.pieces.designations import read_thread
from runningfit.core.standards import Thread, ThreadSeries, all_threads
from runningfit.core.standards import thread as standard_thread
from runningfit.core.standards.cards import thread_card as card_of
from runningfit.web.pieces.card_saying import card_page
from runningfit.web.pieces.naming_saying import basics
from runningfit.web.pieces.thread_drawing import FORM_NAMES

SERIES_NAMES = {
    ThreadSeries.UNC: "unified coarse",
    ThreadSeries.UNF: "unified fine",
    ThreadSeries.UNEF: "unified extra fine",
    ThreadSeries.BSW: "British Standard Whitworth",
    ThreadSeries.BSF: "British Standard Fine",
    ThreadSeries.BA: "British Association",
    ThreadSeries.CEI: "cycle (CEI, later BSC)",
    ThreadSeries.METRIC_COARSE: "ISO metric coarse",
    ThreadSeries.METRIC_FINE: "ISO metric fine",
    ThreadSeries.UN: "unified, constant pitch",
    ThreadSeries.UNS: "unified, special",
    ThreadSeries.G: "British Standard pipe, parallel (G)",
    ThreadSeries.R: "British Standard pipe, taper (R)",
    ThreadSeries.NPT: "American pipe, taper (NPT)",
}


@dataclass(frozen=True, slots=True)
class NamedThread:
    """A thread with the way to its card, and its basic size in words."""

    designation: str
    address: str
    basics: str


@dataclass(frozen=True, slots=True)
class SeriesOfThreads:
    """A series with its threads, small to large."""

    name: str
    code: str
    threads: tuple[NamedThread, ...]


def threads(request: HttpRequest) -> HttpResponse:
    """Find the threads of a size in any spelling; one that is meant is shown at once."""
    q = request.GET.get("q", "").strip()
    found: list[NamedThread] = []
    refused = ""
    if q:
        try:
            names = read_thread(q, pipe=True).candidates
        except InvalidInput as error:
            names, refused = (), str(error)
        if len(names) == 1:
            return redirect("thread_card", names[0])
        found = [_named(standard_thread(name)) for name in names]
    page = {
        "asked": q,
        "found": found,
        "refused": refused,
        "series": () if found else by_series(),
        "slip": "thread_cards",
        "title": "Threads",
    }
    return render(request, "pieces/threads.html", page)


def thread_card(request: HttpRequest, designation: str) -> HttpResponse:
    """Show the card of one thread: its sizes, limits, drill and spanners, and where each figure is from."""
    try:
        one = standard_thread(designation)
    except InvalidInput as error:
        raise NotFound(str(error)) from error
    card = card_of(one)
    page = {
        "card": card,
        "page": card_page(card),
        "thread": one,
        "form_name": FORM_NAMES[one.form],
        "series_name": series_name(one.series),
        "slip": "thread_cards",
        "title": one.designation,
    }
    return render(request, "pieces/thread_card.html", page)


def series_name(series: ThreadSeries) -> str:
    """Say what a series is called in full."""
    return SERIES_NAMES.get(series, str(series))


@cache
def by_series() -> tuple[SeriesOfThreads, ...]:
    """Return all threads with the ways to their cards, series by series."""
    sorted_in: dict[ThreadSeries, list[NamedThread]] = {}
    for one in all_threads():
        sorted_in.setdefault(one.series, []).append(_named(one))
    return tuple(
        SeriesOfThreads(series_name(series), str(series), tuple(named)) for series, named in sorted_in.items()
    )


def _named(one: Thread) -> NamedThread:
    return NamedThread(one.designation, reverse("thread_card", args=[one.designation]), basics(one))
