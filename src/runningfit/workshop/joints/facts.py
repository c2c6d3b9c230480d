"""From rows to what the core judges: lot, place, what is known of both, the last gauging, what was found."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from runningfit.core.pieces.finishes import FinishLook, FinishProcess
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments import all_treatments
from runningfit.core.treatments.advice import Material
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.facts import (
    JointFacts,
    Mate,
    MateFacts,
    PieceFacts,
    ThreadState,
    TorqueFacts,
    Turned,
)
from runningfit.core.treatments.threaded_joint.work import steps_done
from runningfit.workshop.joints.models import KnownOfLot, KnownOfPlace
from runningfit.workshop.joints.reading import read_diameter
from runningfit.workshop.joints.told import LotRow, PlaceRow
from runningfit.workshop.pieces.done_work import DoneWork, works_of
from runningfit.workshop.pieces.understanding import is_thread_fault

# What these leave on a piece, nobody can see: it is confirmed, or it is not known.
COATING = frozenset(one.key for one in all_treatments() if one.process is not None)
# These take a coat off, or bring other pieces: the finish from before says nothing any more.
BARING = frozenset({"derust", "bead_blast", "machine", "replace", "swap_donor"})
CHANGES_FINISH = COATING | BARING
# These take nothing back of what a bath did before.
_LEAVES = frozenset({"", "leave", "clean", "degrease", "crack_test", "thread_insert"})
# Worst first.
_STATES = (ThreadState.DEFECTIVE, ThreadState.NOT_PROVEN, ThreadState.NOT_LOOKED_AT, ThreadState.GOOD)
_FAULTS = ("stretch", "neck", "crack", "bent", "broken", "shear", "waist", "wasted")
# Pieces without a thread that are hard by their work, so that a treatment can crack them.
HARD_KINDS = (Kind.SPRING_WASHER.value, Kind.CLIP.value, Kind.PIN.value)
SPRING_WORDS = ("spring", "circlip")
THREADED_KINDS = tuple(kind.value for kind in Kind if kind.has_thread and kind is not Kind.OTHER)


@dataclass(frozen=True, slots=True)
class Gauged:
    """The last readings of one end that tell of its joint."""

    end: str
    go: bool | None = None
    no_go: bool | None = None
    pitch_diameter: Measured | None = None
    major: Measured | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """What was found of a lot or place beyond its own row: open findings, readings end by end, its source."""

    findings: frozenset[str] = frozenset()
    gauged: tuple[Gauged, ...] = ()
    bought: bool = False


NOTHING_FOUND = Found()


def is_judged(kind: str, end_a: str, kind_said: str) -> bool:
    """Return whether a lot is judged at all: it has a thread, or is hard by its work."""
    if Kind(kind).has_thread and end_a:
        return True
    return kind in HARD_KINDS or (kind == Kind.OTHER and is_spring(kind_said))


def is_spring(kind_said: str) -> bool:
    """Return whether what a piece is called names a spring."""
    words = kind_said.lower()
    return any(word in words for word in SPRING_WORDS)


def candidates(ends: str) -> tuple[str, ...]:
    """Return the designations that an end may have."""
    return tuple(end for end in ends.split("|") if end)


def facts_of(
    *,
    lot: LotRow | None,
    place: PlaceRow | None,
    known: KnownOfLot | None,
    known_place: KnownOfPlace | None,
    found: Found,
    found_there: Found,
    mates: Collection[str] = (),
) -> JointFacts:
    """Put together what is known of one lot at one place.

    Parameters
    ----------
    lot, place : LotRow or None, PlaceRow or None
        One of them at least.
    known, known_place : KnownOfLot or None, KnownOfPlace or None
        What was said of them for this.
    found, found_there : Found
        What was found of the lot, and of the place.
    mates : collection of str
        States of the threads of other lots of the place that screw together with this one.
    """
    role = Role.ORDINARY
    if Role.SAFETY_CRITICAL in {one.role for one in (known, known_place) if one is not None}:
        role = Role.SAFETY_CRITICAL
    if lot is None:
        assert place is not None
        piece = PieceFacts(
            kind=Kind(place.kind), threads=candidates(place.end_a), length_mm=place.length_mm, role=role
        )
    else:
        piece = _piece(lot, place, known, found, role)
    if place is None:
        return JointFacts(piece)
    return JointFacts(
        piece, _mate(piece.kind, place, known_place, found_there, mates), _torque(place, known_place)
    )


def finish_worn(lot: LotRow) -> str:
    """Return the finish that the pieces wear now, as words of a condition; empty where nobody knows."""
    if not was_treated(lot):
        return _finish_word(lot.finish_process, lot.finish_look)
    process, look = lot.finish_received_process, lot.finish_received_look
    if lot.treatment_done not in CHANGES_FINISH and look in ("", lot.finish_look):
        # It was away for something that leaves the finish alone, and looks as it did.
        process = process or lot.finish_process
    return _finish_word(process, look)


def finish_received(lot: LotRow) -> str:
    """Return the finish that is confirmed; empty while a treatment that changes it is still to come."""
    return "" if lot.treatment in CHANGES_FINISH else finish_worn(lot)


def was_treated(lot: LotRow) -> bool:
    """Return whether the pieces came back from something, so that their finish is the one received."""
    return bool(
        lot.finish_received_look or lot.finish_received_process or lot.treatment_done in CHANGES_FINISH
    )


def _piece(
    lot: LotRow, place: PlaceRow | None, known: KnownOfLot | None, found: Found, role: Role
) -> PieceFacts:
    said = known if known is not None else _nothing_of_lot()
    end = _judged_end(lot, place)
    readings = next((one for one in found.gauged if one.end == end), Gauged(end))
    words = f"{lot.condition} {lot.defect}".lower()
    faults = sorted(found.findings & {"cracked", "broken"})
    if any(word in words for word in _FAULTS):
        seen = lot.defect or lot.condition
        faults += [seen] if seen not in faults else []
    works = works_of(lot.done_chain)
    done = lot.treatment_done if lot.treatment_done in COATING and lot.treatment in _LEAVES else ""
    if done:
        # The last work is the coat that is judged; a lot that was treated before chains were kept has none.
        last = works[-1] if works and works[-1].treatment == done else DoneWork(done, lot.ordered_steps)
        works = works[:-1] if works and works[-1] == last else works
    else:
        last = DoneWork(lot.treatment, lot.ordered_steps)
    return PieceFacts(
        kind=Kind(lot.kind),
        threads=candidates(lot.end_a if end == "end_a" else lot.end_b),
        length_mm=lot.length_mm,
        grade=said.grade,
        head_marking=said.head_marking,
        hardness=said.hardness,
        material=said.material or _material_by_words(lot),
        thread_class=said.thread_class,
        role=role,
        torque_to_yield=said.torque_to_yield,
        thread_state=_state_of_lot(lot, found, words),
        passes_go=readings.go,
        stops_no_go=None if readings.no_go is None else not readings.no_go,
        pitch_diameter=readings.pitch_diameter,
        major=readings.major,
        stretch_mm=said.stretch_mm,
        stretch_most_mm=said.stretch_most_mm,
        neck_mm=said.neck_mm,
        neck_most_mm=said.neck_most_mm,
        thread_length_mm=said.thread_length_mm,
        over_ten_mm=said.over_ten_mm,
        rust_mm=said.rust_mm,
        lost=said.lost,
        looks_sound=False if faults else said.looks_sound,
        fault=", ".join(faults),
        crack_tested=said.crack_tested,
        is_new=said.is_new or found.bought,
        finish_now=finish_worn(lot),
        old_coat=said.old_coat,
        own_steps=said.own_steps,
        done_steps=", ".join(filter(None, map(_steps_of, works))),
        ordered_steps=last.ordered,
        treatment=last.treatment,
        is_treated=bool(done),
        baked=last.baked,
        coat=lot.ordered_coat or said.coat,
        finish_received=finish_received(lot),
    )


def _steps_of(work: DoneWork) -> str:
    return steps_done(work.treatment, came=work.came, ordered=work.ordered, baked=work.baked)


def _mate(
    kind: Kind, place: PlaceRow, known: KnownOfPlace | None, found: Found, mates: Collection[str]
) -> MateFacts:
    said = known if known is not None else _nothing_of_place()
    hole_said = bool(place.hole_material or place.hole_blind or place.hole_depth_mm)
    mate = Mate(said.mate)
    if mate is Mate.NOT_SAID and kind in (Kind.NUT, Kind.DOMED_NUT):
        mate = Mate.STUD
    elif mate is Mate.NOT_SAID and hole_said:
        mate = Mate.TAPPED_HOLE
    states = [ThreadState(place.thread_state), *map(ThreadState, mates)]
    if "thread_defective" in found.findings:
        states.append(ThreadState.DEFECTIVE)
    return MateFacts(
        mate=mate,
        material=place.hole_material,
        grade=said.mate_grade,
        thread_class=said.mate_class,
        finish=said.mate_finish,
        coat=said.mate_coat,
        turned=Turned(said.turned),
        thread_state=_worst(states),
        blind={"blind": True, "through": False}.get(place.hole_blind),
        depth_mm=place.hole_depth_mm,
        chamfer_mm=said.chamfer_mm,
        clamped_mm=said.clamped_mm,
        washer_mm=said.washer_mm,
        damaged_turns=said.damaged_turns,
        pitch_diameter=_kept_diameter(said.hole_pitch_diameter_typed),
        minor=_kept_diameter(said.hole_minor_typed),
        on_aluminium=said.on_aluminium,
        engaged_mm=said.engaged_mm,
        prevailing_nm=said.prevailing_nm,
    )


def _torque(place: PlaceRow, known: KnownOfPlace | None) -> TorqueFacts:
    said = known if known is not None else _nothing_of_place()
    return TorqueFacts(
        torque_nm=place.torque_nm,
        said=place.torque_typed,
        page=said.torque_page,
        assumed=said.torque_assumed,
        lubricant=said.lubricant,
        scatter=said.scatter,
        wanted_clamp_n=said.wanted_clamp_n,
    )


def _judged_end(lot: LotRow, place: PlaceRow | None) -> str:
    """Return the end that is judged: of a stud with two threads, the one that the place needs."""
    wanted = set(candidates(place.end_a)) if place is not None else set()
    only_second = wanted & set(candidates(lot.end_b)) and not wanted & set(candidates(lot.end_a))
    return "end_b" if only_second or not lot.end_a else "end_a"


def _state_of_lot(lot: LotRow, found: Found, words: str) -> ThreadState:
    state = ThreadState(lot.thread_state)
    if state is ThreadState.GOOD:
        return state
    if "thread_defective" in found.findings or is_thread_fault(words):
        return _worst([state, ThreadState.DEFECTIVE if lot.defect else ThreadState.NOT_PROVEN])
    return state


def _worst(states: Collection[ThreadState]) -> ThreadState:
    """Return the worst of what was found; good counts only where nobody saw anything else."""
    said = [state for state in states if state is not ThreadState.NOT_LOOKED_AT]
    return min(said, key=_STATES.index, default=ThreadState.NOT_LOOKED_AT)


def _finish_word(process: str, look: str) -> str:
    if process:
        return FinishProcess(process).said
    # Bare steel and paint show by themselves what they are; a colour of plating does not.
    return {FinishLook.NONE.value: "plain", FinishLook.PAINT.value: "paint"}.get(look, "")


def _material_by_words(lot: LotRow) -> str:
    return Material.SPRING_STEEL.value if is_spring(lot.kind_said) else ""


@cache
def _nothing_of_lot() -> KnownOfLot:
    return KnownOfLot()


@cache
def _nothing_of_place() -> KnownOfPlace:
    return KnownOfPlace()


def _kept_diameter(text: str) -> Measured | None:
    return read_diameter(text) if text else None
