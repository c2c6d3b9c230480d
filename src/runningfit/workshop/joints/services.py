"""Verbs of the joints room: what is known of lots and places, a person's decision, the finish worn."""

from __future__ import annotations

from typing import TypeVar

from runningfit.core.errors import Conflict, InvalidInput, NothingChanged
from runningfit.core.pieces.finishes import FinishLook, FinishProcess
from runningfit.core.pieces.kinds import Kind
from runningfit.core.units import LengthUnit
from runningfit.workshop.joints.deciding import SAID_KEPT, changed_since, kept_lines
from runningfit.workshop.joints.facts import CHANGES_FINISH, candidates, was_treated
from runningfit.workshop.joints.models import CHOICES, JointDecision, KnownOfLot, KnownOfPlace
from runningfit.workshop.joints.queries import judged_joint
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace, read_of_lot, read_of_place
from runningfit.workshop.pieces.done_work import chain_said
from runningfit.workshop.pieces.lots import held_lot
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.records.models import Kept
from runningfit.workshop.records.queries import the_shop
from runningfit.workshop.records.writing import Entry, Hand, write

K = TypeVar("K", bound=Kept)
CHOICE_WORDS = dict(CHOICES)
# Columns that are called otherwise where they are typed.
_FIELDS = {"hole_material": "material", "torque_typed": "torque"}


def say_of_lot(*, lot: Lot, said: SaidOfLot, hand: Hand) -> KnownOfLot:
    """Say what is known of the pieces of a lot; what is left empty is not known.

    Raises
    ------
    InvalidInput
        A value cannot be read, or does not exist for the size; it is named as the field is.
    NothingChanged
        That is what stands there already.
    """
    internal = Kind(lot.kind) in (Kind.NUT, Kind.DOMED_NUT)
    values = read_of_lot(said, threads=candidates(lot.end_a), internal=internal, unit=_unit())
    _need_short(KnownOfLot, values)
    with write(
        verb="say_of_lot", summary=f"said what is known of lot {lot.number}", hand=hand, job=lot.job
    ) as entry:
        lot = held_lot(lot)
        row = KnownOfLot.objects.select_for_update().filter(lot=lot).first()
        return _keep(entry, row or KnownOfLot(lot=lot), values)


def say_of_place(*, place: Place, said: SaidOfPlace, hand: Hand) -> KnownOfPlace:
    """Say what is known of the other side of a place's joint and of its torque; empty is not known.

    Raises
    ------
    InvalidInput
        A value cannot be read, or does not exist for the size; it is named as the field is.
    NothingChanged
        That is what stands there already.
    """
    of_place, values = read_of_place(said, threads=candidates(place.end_a), unit=_unit())
    _need_short(KnownOfPlace, values)
    _need_short(Place, of_place)
    with write(
        verb="say_of_place",
        summary=f"said what is known of the joint at {place.name}",
        hand=hand,
        job=place.area.job,
    ) as entry:
        held = Place.objects.select_for_update().get(pk=place.pk)
        if held.withdrawn:
            raise Conflict(f"The place '{held.name}' was withdrawn already. Look at its history.")
        entry.change(held, **of_place)
        row = KnownOfPlace.objects.select_for_update().filter(place=held).first()
        return _keep(entry, row or KnownOfPlace(place=held), values)


def decide(
    *, lot: Lot, place: Place | None, choice: str, why: str, hand: Hand, shown: str | None = None
) -> JointDecision:
    """Keep what a person decided of a lot at its place, with every answer it was made against.

    Parameters
    ----------
    place : Place or None
        None for a loose lot.
    choice : str
        use, treat, replace, insert or other.
    why : str
        The reason; required.
    shown : str or None
        The verdict that was on the screen, as `verdict_shown` gave it; none takes that of this moment.

    Raises
    ------
    InvalidInput
        The choice is none of those, or no reason was given.
    Conflict
        The lot is not at that place any more, or the verdict is another than was shown.
    """
    if choice not in CHOICE_WORDS:
        raise InvalidInput("choice", needs=f"one of {', '.join(CHOICE_WORDS.values())}", came=choice)
    reason = _need_reason("why", why, "Such as: crack tested, report in the folder.")
    with write(
        verb="decide",
        summary=f"lot {lot.number}: {CHOICE_WORDS[choice]}",
        hand=hand.because(reason),
        job=lot.job,
    ) as entry:
        lot = held_lot(lot)
        if lot.place_id != (place.pk if place is not None else None):
            raise Conflict(
                f"Lot {lot.number} belongs to another place by now. Look at it again, then decide."
            )
        judgement = judged_joint(lot.place, lot).judgement
        if shown is not None and changed_since(shown, judgement):
            raise Conflict("Nothing was decided: the verdict is another than the page showed.")
        return entry.create(
            JointDecision(
                lot=lot,
                place=place,
                choice=choice,
                why=reason,
                who=hand.who,
                at=entry.at,
                outcome=judgement.outcome.value,
                said=judgement.says[:SAID_KEPT],
                lines=kept_lines(judgement),
            )
        )


def keep_finish(entry: Entry, lot: Lot, *, process: str, look: str) -> Lot:
    """Keep the finish that pieces wear inside an open record: as received where they came back.

    Parameters
    ----------
    process : str
        A finish process; empty only where the look is none: bare metal.
    look : str
        What the eye sees; empty keeps what stands there.

    Raises
    ------
    InvalidInput
        No process, none that is known, or a look that is none.
    Conflict
        The treatment that gives it a finish is still to come.
    """
    if look and look not in set(FinishLook):
        raise InvalidInput("look", needs=f"one of {', '.join(FinishLook)}", came=look)
    bare = look == FinishLook.NONE and not process
    if process not in set(FinishProcess) and not bare:
        raise InvalidInput(
            "process",
            needs=f"one of {', '.join(FinishProcess)}",
            came=process,
            remedy="The look alone does not tell: yellow may be zinc or cadmium. Ask the plater.",
        )
    if lot.treatment in CHANGES_FINISH:
        raise Conflict(
            f"Lot {lot.number} is still to be treated, or still outside: "
            "its finish is confirmed when it is back."
        )
    if was_treated(lot):
        values = {"finish_received_process": process}
        if lot.treatment_done in CHANGES_FINISH:
            # Another bath than was asked for stays in what was done, whatever is done next.
            values["done_chain"] = chain_said(lot.done_chain, lot.treatment_done, came=process)
        return entry.change(lot, finish_received_look=look or lot.finish_received_look, **values)
    return entry.change(lot, finish_process=process, finish_look=look or lot.finish_look)


def _keep(entry: Entry, row: K, values: dict[str, object]) -> K:
    if row.pk is None:
        for name, value in values.items():
            setattr(row, name, value)
        return entry.create(row)
    entry.change(row, withdrawn=False, **values)
    if not entry.has_changed_something:
        raise NothingChanged
    return row


def _unit() -> LengthUnit:
    return LengthUnit(the_shop().unit)


def _need_reason(name: str, text: str, remedy: str) -> str:
    reason = " ".join(text.split())
    if not reason:
        raise InvalidInput(name, needs="a reason in a few words", came="", remedy=remedy)
    if len(reason) > 300:
        raise InvalidInput(name, needs="at most 300 characters", came=reason[:40] + "…")
    return reason


def _need_short(model: type[Kept], values: dict[str, object]) -> None:
    for name, value in values.items():
        longest = getattr(model._meta.get_field(name), "max_length", None)
        if longest and isinstance(value, str) and len(value) > longest:
            raise InvalidInput(
                _FIELDS.get(name, name), needs=f"at most {longest} characters", came=value[:40] + "…"
            )
