"""What every page is given: the shop, who is at it, and the way through the job."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from runningfit.workshop.records.queries import the_shop

WAY = (
    ("strip", "Strip"),
    ("measure", "Measure"),
    ("judge", "Judge"),
    ("plan", "Plan"),
    ("send", "Send"),
    ("build", "Build"),
)


def every_page(request: HttpRequest) -> dict[str, Any]:
    """Return what the base template needs, whatever the page."""
    session = getattr(request, "session", {})
    here = request.get_host().partition(":")[0]
    # The own folder beside the demo is served to this machine only, so a phone is not shown the way there.
    own_address = settings.OWN_ADDRESS if here in ("127.0.0.1", "localhost") else ""
    return {"shop": the_shop(), "who": session.get("who", ""), "way": WAY, "own_address": own_address}
