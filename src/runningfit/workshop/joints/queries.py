"""Reads of the joints room: every joint of a job with what it comes to, one of them, one lot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece
from runningfit.core.treatments.threaded_joint.answers import JointJudgement
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.units import LengthUnit
from runningfit.workshop.joints import gathering
from runningfit.workshop.joints.facts import NOTHING_FOUND, facts_of
from runningfit.workshop.joints.gathering import Gathered
from runningfit.workshop.joints.models import JointDecision, KnownOfLot, KnownOfPlace
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace
from runningfit.workshop.joints.typed_units import UNIT, shown
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import the_shop


@dataclass(frozen=True, slots=True)
class JudgedJoint:
    """One threaded joint, or one loose lot: what is known of it, what that comes to, what a person decided.

    Parameters
    ----------
    place : Place or None
        Where it belongs; none for a loose lot.
    lot : Lot or None
        The pieces; none for a place that has none yet.
    count : int
        How many pieces; of a place without any, how many it needs.
    decision : JointDecision or None
        The last one that stands.
    """

    place: Place | None
    lot: Lot | None
    count: int
    facts: JointFacts
    judgement: JointJudgement
    decision: JointDecision | None


def judged_joints(job: Job, places: Sequence[Place] | None = None) -> list[JudgedJoint]:
    """Return every joint of a job and every loose lot that is judged; what needs a person first.

    Parameters
    ----------
    places : sequence of Place or None
        Only the joints at these places of the job; loose lots are then left out.
    """
    gathered = gathering.of_job(job) if places is None else gathering.of_places(job, places)
    lots = gathering.judged_lots_of(gathered)
    filled = {lot.place_id for lot in lots}
    judged = [_judged(gathered, lot, gathered.places.get(lot.place_id or 0)) for lot in lots]
    judged += [
        _judged(gathered, None, place)
        for place in gathered.places.values()
        if place.pk not in filled and place.end_a and Kind(place.kind).has_thread
    ]
    return sorted(judged, key=_order)


def judged_joint(place: Place | None, lot: Lot | None) -> JudgedJoint:
    """Return one joint: a lot at a place, a place without a lot, or a lot alone."""
    gathered = gathering.of_lots([lot] if lot is not None else [], [place] if place is not None else [])
    return _judged(gathered, lot, place)


def judged_lot(lot: Lot) -> JudgedJoint:
    """Return the joint of a lot, at its place if it has one."""
    return judged_lots([lot])[lot.pk]


def judged_lots(lots: Sequence[Lot]) -> dict[int, JudgedJoint]:
    """Return the joints of some lots, by the lot's id, each at its place if it has one."""
    gathered = gathering.of_lots(lots)
    return {lot.pk: _judged(gathered, lot, gathered.places.get(lot.place_id or 0)) for lot in lots}


def known_of_lot(lot: Lot) -> KnownOfLot | None:
    """Return what is known of a lot: its own, or that of the nearest lot it was split off from."""
    return gathering.of_lots([lot]).known.get(lot.pk)


def known_of_place(place: Place) -> KnownOfPlace | None:
    """Return what is known of a place beyond its row."""
    return KnownOfPlace.objects.filter(place=place, withdrawn=False).first()


def decisions_of(lot: Lot) -> list[JointDecision]:
    """Return what was decided of a lot, the latest first."""
    return list(
        JointDecision.objects.filter(lot=lot, withdrawn=False).select_related("place").order_by("-pk")
    )


def said_of_lot(lot: Lot) -> SaidOfLot:
    """Return what is known of a lot as it was typed, for a form."""
    known = known_of_lot(lot)
    if known is None:
        return SaidOfLot()
    typed = _shown(known.typed)
    plain = {name: getattr(known, name) for name in SaidOfLot.__dataclass_fields__ if hasattr(known, name)}
    plain["material"] = known.material.replace("_", " ")
    for name in ("stretch", "stretch_most", "neck", "neck_most", "thread_length", "over_ten", "rust"):
        plain[name] = _as_typed(typed, name, getattr(known, f"{name}_mm"), "mm")
    return SaidOfLot(**plain)


def said_of_place(place: Place) -> SaidOfPlace:
    """Return what is known of a place's joint as it was typed, for a form."""
    known = known_of_place(place) or KnownOfPlace()
    typed = _shown(known.typed)
    return SaidOfPlace(
        mate=known.mate,
        material=place.hole_material,
        mate_grade=known.mate_grade,
        mate_class=known.mate_class,
        mate_finish=known.mate_finish,
        mate_coat=known.mate_coat,
        turned=known.turned,
        blind=place.hole_blind,
        depth=_as_typed({}, "depth", place.hole_depth_mm, "mm"),
        chamfer=_as_typed(typed, "chamfer", known.chamfer_mm, "mm"),
        clamped=_as_typed(typed, "clamped", known.clamped_mm, "mm"),
        washer=_as_typed(typed, "washer", known.washer_mm, "mm"),
        engaged=_as_typed(typed, "engaged", known.engaged_mm, "mm"),
        prevailing=_as_typed(typed, "prevailing", known.prevailing_nm, "N m"),
        damaged_turns=_as_typed(typed, "damaged_turns", known.damaged_turns or None, ""),
        hole_minor=typed.get("hole_minor", known.hole_minor_typed),
        hole_pitch_diameter=typed.get("hole_pitch_diameter", known.hole_pitch_diameter_typed),
        on_aluminium=known.on_aluminium,
        torque=place.torque_typed or _as_typed({}, "torque", place.torque_nm, "N m"),
        torque_page=known.torque_page,
        torque_assumed=known.torque_assumed,
        lubricant=known.lubricant,
        scatter=_as_typed(typed, "scatter", known.scatter, ""),
        wanted_clamp=_as_typed(typed, "wanted_clamp", known.wanted_clamp_n, "N"),
        role=known.role,
        note=known.note,
    )


def _shown(typed: dict[str, str]) -> dict[str, str]:
    """Return what was typed as a form shows it now, whatever the shop's unit was then."""
    if UNIT not in typed:
        return typed
    unit = LengthUnit(the_shop().unit)
    return {name: shown(typed, name, unit) for name in typed}


def _as_typed(typed: dict[str, str], name: str, value: float | None, unit: str) -> str:
    if value is None:
        return ""
    return typed.get(name) or f"{value:.6g} {unit}".strip()


def _judged(gathered: Gathered, lot: Lot | None, place: Place | None) -> JudgedJoint:
    facts = facts_of(
        lot=lot,
        place=place,
        known=gathered.known.get(lot.pk) if lot is not None else None,
        known_place=gathered.known_places.get(place.pk) if place is not None else None,
        found=gathering.found_of(gathered, lot),
        found_there=gathered.found_there.get(place.pk, NOTHING_FOUND) if place is not None else NOTHING_FOUND,
        mates=gathered.mates.get(lot.pk, ()) if lot is not None else (),
    )
    threaded = bool(facts.piece.threads) and place is not None
    count = gathered.counts.get(lot.pk, 0) if lot is not None else place.count if place is not None else 0
    return JudgedJoint(
        place=place,
        lot=lot,
        count=count,
        facts=facts,
        judgement=judge_joint(facts) if threaded else judge_piece(facts.piece),
        decision=gathered.decisions.get((lot.pk, place.pk if place is not None else None))
        if lot is not None
        else None,
    )


def _order(one: JudgedJoint) -> tuple[int, str, int, int]:
    area = one.place.area.name if one.place is not None else ""
    return (
        one.judgement.rank,
        area,
        one.place.pk if one.place is not None else 0,
        one.lot.number if one.lot is not None else 0,
    )
