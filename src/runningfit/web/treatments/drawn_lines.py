"""The line that warns beside a chosen treatment, and the way to the others."""

from __future__ import annotations

from html import escape

from django.utils.safestring import SafeString

from runningfit.core.treatments.warning import TreatmentWarning
from runningfit.core.verdicts import Outcome
from runningfit.web.addresses import address
from runningfit.workshop.pieces.models import Lot


def compare_link(lot: Lot) -> SafeString:
    """Draw the way to the page on which the treatments of a lot stand side by side."""
    return SafeString(
        f'<a class="go" href="{address("compare_treatments", lot.job_id, lot.number)}">compare'
        f'<span class="unseen"> what can be done with lot {lot.number}</span></a>'
    )


def warning(lot: Lot, said: TreatmentWarning | None) -> SafeString:
    """Draw what is wrong with the treatment that was chosen, with the way to the others; or nothing."""
    if said is None:
        return SafeString("")
    if said.must_not_go:
        stamp = '<span class="stamp bad">do not send</span>'
    elif said.outcome is Outcome.NOT_SOUND:
        stamp = '<span class="stamp bad">not sound</span>'
    else:
        stamp = '<span class="stamp after">needs a bake</span>'
    return SafeString(f'<div class="why warned">{stamp} {escape(said.says)} {compare_link(lot)}</div>')
