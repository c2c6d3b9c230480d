"""The view that finds anything across all jobs."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from runningfit.workshop.pieces.search import find as find_rows


def find(request: HttpRequest) -> HttpResponse:
    """Find bags, areas, places and lots by code, number, thread, length, area or words."""
    text, before = request.GET.get("q", ""), request.GET.get("before", "")
    found = find_rows(text, before=int(before) if before.isdecimal() else None)
    return render(request, "pieces/find.html", {"q": text.strip(), "found": found, "title": "Find"})
