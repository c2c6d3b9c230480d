"""Verbs that say what is to be done with lots, and that it was done here."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.treatments import treatment as treatment_of
from runningfit.core.treatments.embrittlement import read_process
from runningfit.core.treatments.threaded_joint.work import coat_said
from runningfit.workshop.joints.facts import CHANGES_FINISH, was_treated
from runningfit.workshop.outside_work.models import ConsignmentLine
from runningfit.workshop.outside_work.opening import held_jobs
from runningfit.workshop.outside_work.queries import drafts_of
from runningfit.workshop.outside_work.states import in_state
from runningfit.workshop.pieces.done_work import DoneWork, chain_with
from runningfit.workshop.pieces.ledger import count_of, move
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.writing import Hand


def say_treatment(
    *,
    lots: Sequence[Lot],
    treatment: str,
    hand: Hand,
    ordered_steps: str | None = None,
    ordered_coat: str | None = None,
) -> int:
    """Say for many lots at once what is to be done with them; returns how many changed.

    Parameters
    ----------
    lots : sequence of Lot
        Of one job or several.
    treatment : str
        A key of the plain list, or nothing: not decided after all.
    ordered_steps : str or None
        What an outside shop shall do beside it, such as the bake; None keeps what was said for the same
        treatment.
    ordered_coat : str or None
        Thickness or class of the coat, such as ASTM F1941 Fe/Zn 5; None as for the steps.
    hand : Hand
        Its reason is kept in the history.

    Raises
    ------
    InvalidInput
        No lot was chosen, or there is no such treatment or step.
    Conflict
        A lot is outside, where it can no longer be changed by saying so here.
    """
    _need_lots(lots)
    asked = treatment_of(treatment) if treatment else None
    label = asked.label if asked else "not decided"
    if ordered_steps:
        read_process(ordered_steps)
        label += f", with: {ordered_steps}"
    if ordered_coat:
        coat_said(ordered_coat, treatment)
        label += f", coat: {ordered_coat}"
    with held_jobs([lot.job for lot in lots], verb="say_treatment", summary=label, hand=hand) as (
        entry,
        _ids,
    ):
        fresh = list(Lot.objects.select_for_update().filter(pk__in=[lot.pk for lot in lots]).order_by("pk"))
        out = in_state(Lot.objects.filter(pk__in=[lot.pk for lot in fresh]), "out")
        away = sorted(out.values_list("number", flat=True))
        if away:
            raise Conflict(
                f"{_lots_said(away)} outside. Ring the shop it went to and log the call; here it can be "
                "changed when it is back."
            )
        drafts: dict[int, ConsignmentLine] = drafts_of(fresh)
        changed = 0
        for lot in fresh:
            changed += lot.treatment != treatment
            same = lot.treatment == treatment
            kept = lot.ordered_steps if ordered_steps is None and same else ""
            coat = lot.ordered_coat if ordered_coat is None and same else ""
            entry.change(
                lot,
                treatment=treatment,
                ordered_steps=ordered_steps or kept,
                ordered_coat=ordered_coat or coat,
            )
            line = drafts.get(lot.pk)
            if line is not None and asked is not None:
                # A reason to send them all the same was given against another treatment.
                anyway = line.sent_anyway if line.treatment == treatment else ""
                look = asked.look.value if asked.look else ""
                entry.change(line, treatment=treatment, finish_asked=look, sent_anyway=anyway)
            elif line is not None:
                raise Conflict(
                    f"Lot {lot.number} is on consignment {line.consignment.number}. Take it off there first."
                )
        entry.say(f"{_lots_said([lot.number for lot in fresh], verb='')}: {label}")
    return changed


def say_done(*, lots: Sequence[Lot], hand: Hand, look: str = "", process: str = "") -> None:
    """Say that what was to be done here was done; scrapping moves the pieces that are here.

    Parameters
    ----------
    look : str
        The look the pieces have now, where it changed.
    process : str
        The process, where one gave it.

    Raises
    ------
    InvalidInput
        A lot has nothing to be done, or the look is none of the list.
    """
    _need_lots(lots)
    if look and look not in set(FinishLook):
        raise InvalidInput("look", needs=f"one of {', '.join(FinishLook)}", came=look)
    with held_jobs([lot.job for lot in lots], verb="say_done", summary="done here", hand=hand) as (
        entry,
        _ids,
    ):
        fresh = list(Lot.objects.select_for_update().filter(pk__in=[lot.pk for lot in lots]).order_by("pk"))
        for lot in fresh:
            if not lot.treatment:
                raise InvalidInput(
                    f"lot {lot.number}", needs="something to be done first", came="nothing said"
                )
            if lot.treatment == "scrap":
                counts = count_of(lot)
                for custody in ("bench", "store"):
                    if here := getattr(counts, custody):
                        move(entry, lot, count=here, from_account=custody, to_account="scrapped")
            entry.change(lot, **_done(lot, look, process))
        entry.say(f"{_lots_said([lot.number for lot in fresh], verb='')}: done here")


def _done(lot: Lot, look: str, process: str) -> dict[str, str]:
    """What stands of a lot whose treatment was done here."""
    asked = treatment_of(lot.treatment)
    values = {"treatment": "", "finish_received_look": look, "finish_received_process": process}
    if lot.treatment not in CHANGES_FINISH:
        if was_treated(lot):
            # What leaves the finish alone leaves standing what was confirmed of it.
            values["finish_received_look"] = look or lot.finish_received_look
            if values["finish_received_look"] == lot.finish_received_look:
                values["finish_received_process"] = process or lot.finish_received_process
        else:
            values["finish_received_look"] = look or lot.finish_look
        return values
    # How pieces look from which a coat was taken, or that are others now, nobody can say but by looking.
    unseen = asked.look.value if asked.look else FinishLook.UNKNOWN.value
    values["finish_received_look"] = look or unseen
    values["finish_received_process"] = process or (asked.process.value if asked.process else "")
    done = DoneWork(lot.treatment, lot.ordered_steps, came=values["finish_received_process"])
    return values | {"treatment_done": lot.treatment, "done_chain": chain_with(lot.done_chain, done)}


def _need_lots(lots: Sequence[Lot]) -> None:
    if not lots:
        raise InvalidInput("lots", needs="at least one", came="none", remedy="Tick the lots first.")


def _lots_said(numbers: Sequence[int], verb: str = "is") -> str:
    if len(numbers) == 1:
        return f"Lot {numbers[0]} {verb}".strip()
    shown = ", ".join(str(number) for number in numbers[:12]) + (" …" if len(numbers) > 12 else "")
    return f"Lots {shown} {'are' if verb else ''}".strip()
