"""What is said when lots were kept: their numbers, and the way to the first of them."""

from __future__ import annotations

from collections.abc import Sequence

from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from runningfit.workshop.pieces.models import Lot


def kept_as(lots: Sequence[Lot]) -> SafeString:
    """Say as which lots something was kept, with a link that opens the first."""
    return format_html(
        'Kept as {}. <a href="{}">Look at {}</a>',
        " and ".join(f"lot {lot.number}" for lot in lots),
        reverse("lot", args=[lots[0].job_id, lots[0].number]),
        "it" if len(lots) == 1 else f"lot {lots[0].number}",
    )
