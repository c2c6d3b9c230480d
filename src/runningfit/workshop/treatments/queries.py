"""Reads of treatments: those of a lot side by side, and what is wrong with the ones that were chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.treatments import treatment
from runningfit.core.treatments.comparing import Compared, compare
from runningfit.core.treatments.warning import TreatmentWarning, warning_of
from runningfit.workshop.joints.queries import JudgedJoint, judged_lot, judged_lots
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.treatments.past import (
    Past,
    competing_with,
    past_of_buying,
    past_of_refurbishing,
    past_of_treatments,
)


@dataclass(frozen=True, slots=True)
class LotTreatment:
    """One treatment of a lot: what it does, and what this shop knows of its cost and days.

    Parameters
    ----------
    compared : Compared
        Judged.
    past : Past
        Cost and days as the records have them.
    is_done_here : bool
        Whether the shop itself usually does it, so that no bill comes.
    is_chosen : bool
        Whether the lot is down for it now.
    """

    compared: Compared
    past: Past
    is_done_here: bool
    is_chosen: bool


@dataclass(frozen=True, slots=True)
class LotTreatments:
    """The treatments of a lot side by side, and the joint they were judged in."""

    judged: JudgedJoint
    treatments: tuple[LotTreatment, ...]
    wanted: FinishLook


def treatments_of(lot: Lot) -> LotTreatments:
    """Return the treatments of a lot side by side."""
    judged = judged_lot(lot)
    place = judged.place
    wanted = FinishLook(place.finish_wanted) if place is not None else FinishLook.UNKNOWN
    compared = compare(
        judged.facts,
        look_now=FinishLook(lot.finish_received_look or lot.finish_look),
        look_wanted=wanted,
        visible=place is not None and place.visible,
        loose=place is None or not judged.facts.piece.threads,
    )
    past = past_of_treatments()
    past["replace"] = past_of_buying(lot)
    refurbished = past_of_refurbishing(competing_with(lot))
    if lot.treatment and refurbished.each and lot.treatment != "replace":
        past[lot.treatment] = refurbished
    return LotTreatments(
        judged,
        tuple(
            LotTreatment(
                one,
                past.get(one.candidate.treatment, Past()),
                is_done_here=not treatment(one.candidate.treatment).goes_outside
                and one.candidate.treatment != "replace",
                is_chosen=one.candidate.treatment == lot.treatment and one.can_be_chosen,
            )
            for one in compared
        ),
        wanted,
    )


def warnings_of(lots: Sequence[Lot]) -> dict[int, TreatmentWarning]:
    """Return by the lot's id what is wrong with the treatment chosen for it; nothing for the others."""
    chosen = [lot for lot in lots if lot.treatment]
    if not chosen:
        return {}
    judged = judged_lots(chosen)
    found = {lot.pk: warning_of(judged[lot.pk].judgement) for lot in chosen}
    return {pk: said for pk, said in found.items() if said is not None}
