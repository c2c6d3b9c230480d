"""What every page is given: the shop, who is at it, and the way through the job."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from runningfit.workshop.records.queries import the_shop

WAY = (("strip", "Strip"), ("plan", "Plan"), ("send", "Send"), ("build", "Build"))


def every_page(request: HttpRequest) -> dict[str, Any]:
    """Return what the base template needs, whatever the page."""
    session = getattr(request, "session", {})
    return {"shop": the_shop(), "who": session.get("who", ""), "way": WAY}
