"""What is tightened in an area and its parts: one line for each place and each finish worn there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.threaded_joint.answers import Check, Question, TorqueFigure, open_line
from runningfit.core.verdicts import Outcome
from runningfit.workshop.joints.deciding import USE, is_used_in_spite_of, unseen_words
from runningfit.workshop.joints.facts import CHANGES_FINISH
from runningfit.workshop.joints.queries import JudgedJoint, judged_joints
from runningfit.workshop.pieces.models import Area, Lot, Place
from runningfit.workshop.pieces.queries import areas_of
from runningfit.workshop.records.prepared import attach


@dataclass(frozen=True, slots=True)
class TightenedPlace:
    """One place that is tightened, with the lots there of which the same is to be said.

    Parameters
    ----------
    place : Place
        With its area.
    joint : JudgedJoint or None
        That of the first lot, or of the place where it has none; none where no thread of it is named.
    lots : tuple of Lot
        The pieces, with their bags; none yet where it is empty.
    count : int
        How many pieces they are; how many the place needs where it has none.
    """

    place: Place
    joint: JudgedJoint | None
    lots: tuple[Lot, ...]
    count: int

    @property
    def has_torque(self) -> bool:
        """Return whether the maker's figure, or the clamp that is wanted, is known."""
        wanted = self.joint is not None and bool(self.joint.facts.torque.wanted_clamp_n)
        return bool(self.place.torque_nm or self.place.torque_typed) or wanted

    @property
    def stopped_by(self) -> Check | None:
        """Return what is not sound about the pieces, so that they must not be tightened to any figure.

        What a person saw and uses them in spite of stops them no more; what came after it does.
        """
        decision = self.joint.decision if self.joint is not None else None
        return next((check for check in self._against if not is_used_in_spite_of(decision, check)), None)

    @property
    def stopped_because(self) -> str:
        """Say why they must not be tightened; of what came after a decision only what is new. Else empty."""
        stopped = self.stopped_by
        if stopped is None or self.joint is None:
            return ""
        if self.decided_before and self.joint.decision is not None:
            return unseen_words(self.joint.decision, open_line(stopped))
        return stopped.says

    @property
    def decided_against(self) -> bool:
        """Return whether a person uses the pieces in spite of all that is not sound about them now."""
        if self.joint is None or self.joint.decision is None or self.joint.decision.choice != USE:
            return False
        is_against = self.joint.judgement.outcome is Outcome.NOT_SOUND or bool(self._against)
        return is_against and not any(
            check.verdict.outcome is Outcome.NOT_SOUND or self._stops(check)
            for check in self.joint.judgement.checks
            if not is_used_in_spite_of(self.joint.decision, check)
        )

    @property
    def decided_before(self) -> bool:
        """Return whether a person decided to use the pieces before that was known which stops them."""
        decision = self.joint.decision if self.joint is not None else None
        return decision is not None and decision.choice == USE and self.stopped_by is not None

    @property
    def _against(self) -> list[Check]:
        return [check for check in self.joint.judgement.checks if self._stops(check)] if self.joint else []

    def _stops(self, check: Check) -> bool:
        if check.question is Question.HYDROGEN and check.needs_a_person:
            # A bake may still come with its coat; of pieces that wear the coat nobody ordered one.
            coming = any(lot.treatment in CHANGES_FINISH for lot in self.lots)
            return check.verdict.outcome is Outcome.NOT_SOUND or not coming
        return check.verdict.outcome is Outcome.NOT_SOUND and check.question is not Question.TORQUE

    @property
    def figure(self) -> TorqueFigure:
        """Return the figure, or why there is none."""
        if self.joint is None:
            return TorqueFigure(None, refused="No figure: nobody named its thread.")
        stopped = self.stopped_by
        if stopped is not None:
            return TorqueFigure(None, refused=f"Do not tighten them: {self.stopped_because}")
        if not self.lots:
            return TorqueFigure(
                None, refused="No figure: no pieces are here yet, so nobody knows their finish."
            )
        return self.joint.judgement.torque


@dataclass(frozen=True, slots=True)
class TorqueSheet:
    """What is tightened in an area and its parts.

    Parameters
    ----------
    area : Area
        The area.
    tightened : tuple of TightenedPlace
        Those of which a torque or a clamp is known, in the order of the areas and places.
    without : tuple of TightenedPlace
        Threaded places of which nobody said a torque.
    not_to_fit : tuple of TightenedPlace
        Pieces without a thread, or without a torque, that are not sound, as plated spring washers.
    """

    area: Area
    tightened: tuple[TightenedPlace, ...]
    without: tuple[TightenedPlace, ...]
    not_to_fit: tuple[TightenedPlace, ...]


def torque_sheet_of(area: Area) -> TorqueSheet:
    """Return what is tightened in an area and in all that is part of it."""
    areas = _with_parts(area)
    order = {one.pk: index for index, one in enumerate(areas)}
    rows = Place.objects.filter(area__in=list(order), withdrawn=False)
    places = sorted(rows, key=lambda one: (order[one.area_id], one.pk))
    for place in places:
        place.area = areas[order[place.area_id]]
    found: dict[int, list[JudgedJoint]] = {}
    beside = []
    for joint in judged_joints(area.job, places=places):
        if joint.place is not None and _is_turned(joint):
            found.setdefault(joint.place.pk, []).append(joint)
        elif joint.place is not None and joint.lot is not None:
            beside.append(TightenedPlace(joint.place, joint, (joint.lot,), joint.count))
    lines = [line for place in places for line in _lines(place, found.get(place.pk, []))]
    beside += [line for line in lines if not line.has_torque]
    attach([lot for line in (*lines, *beside) for lot in line.lots], "bag")
    return TorqueSheet(
        area,
        tuple(line for line in lines if line.has_torque),
        tuple(line for line in lines if not line.has_torque and line.joint is not None),
        tuple(line for line in beside if line.stopped_by is not None),
    )


def _with_parts(area: Area) -> list[Area]:
    """Return an area, then its parts and theirs, by name."""
    children: dict[int | None, list[Area]] = {}
    for one in areas_of(area.job):
        children.setdefault(one.parent_id, []).append(one)
    found, waiting = [area], [area]
    while waiting:
        parts = [one for one in children.get(waiting.pop(0).pk, ()) if one not in found]
        found += parts
        waiting += parts
    return found


def _is_turned(joint: JudgedJoint) -> bool:
    """Whether it is a piece with a thread, and not a washer that lies with it."""
    return bool(joint.facts.piece.threads) and joint.facts.piece.kind.has_thread


def _lines(place: Place, joints: Sequence[JudgedJoint]) -> Iterable[TightenedPlace]:
    if not joints:
        threaded = Kind(place.kind).has_thread
        if threaded or place.torque_nm or place.torque_typed:
            yield TightenedPlace(place, None, (), place.count)
        return
    alike: dict[object, list[JudgedJoint]] = {}
    for joint in sorted(joints, key=lambda one: one.lot.number if one.lot is not None else 0):
        piece, judgement = joint.facts.piece, joint.judgement
        told = joint.decision.pk if joint.decision is not None else None
        key = (piece.threads, piece.finish_received, piece.role, judgement.torque, judgement.says, told)
        alike.setdefault(key, []).append(joint)
    for its in alike.values():
        lots = tuple(joint.lot for joint in its if joint.lot is not None)
        yield TightenedPlace(place, its[0], lots, sum(joint.count for joint in its))
