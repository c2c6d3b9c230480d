"""Keeping and changing a lot as a form tells it: with the area and the bag it names, in one record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.workshop.pieces.bag_codes import normal_code
from runningfit.workshop.pieces.lots import LotFacts, change_facts, describe, keep_lots, split_off
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.understanding import AreasByName, BagsByCode
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Hand, write


def keep_described(*, job: Job, facts: LotFacts, hand: Hand, area_name: str = "", bag_code: str = "") -> Lot:
    """Keep a lot in the area and the bag named; either is made where it is not there yet.

    Raises
    ------
    InvalidInput
        The count or the bag's code cannot be used.
    """
    with write(verb="keep_lot", summary="kept a lot", hand=hand, job=job) as entry:
        area = AreasByName(entry, job, facts.origin).named(area_name)
        if bag_code.strip():
            normal_code(bag_code)
        bag, _question = BagsByCode(entry, job).coded(bag_code, area)
        (lot,) = keep_lots(entry, job=job, facts=[replace(facts, area=area, bag=bag)])
        for used in (area, bag, facts.origin):
            entry.refer(used)
        entry.say(f"kept lot {lot.number}: {facts.count} {describe(lot)}")
    return lot


def change_described(
    *, lot: Lot, hand: Hand, area_name: str | None = None, bag_code: str | None = None, **values: object
) -> Lot:
    """Change what is said of a lot, its area and its bag by name; None leaves them as they are.

    Raises
    ------
    InvalidInput
        The bag's code cannot be used.
    """
    with write(verb="change_lot", summary=f"changed lot {lot.number}", hand=hand, job=lot.job) as entry:
        if area_name is not None:
            values["area"] = AreasByName(entry, lot.job, lot.origin).named(area_name)
        if bag_code is not None:
            if bag_code.strip():
                normal_code(bag_code)
            values["bag"] = BagsByCode(entry, lot.job).coded(bag_code, lot.area)[0]
        lot = change_facts(entry, lot, **values)
        entry.say(f"changed lot {lot.number}: {describe(lot)}")
    return lot


def settle_thread(*, lot: Lot, end: str, designation: str, hand: Hand) -> Lot:
    """Settle an open thread of a lot as one of its candidates; a stud alike at both ends is settled at both.

    Parameters
    ----------
    end : str
        end_a or end_b.

    Raises
    ------
    InvalidInput
        The designation is none of the candidates.
    Conflict
        It is settled already.
    """
    kept = lot.end_a if end == "end_a" else lot.end_b
    if end not in ("end_a", "end_b") or designation not in kept.split("|"):
        raise InvalidInput(
            "thread", needs=f"one of {kept.replace('|', ', ') or 'no candidates'}", came=designation
        )
    if "|" not in kept:
        raise Conflict(f"Lot {lot.number} is settled as {kept} already.")
    values: dict[str, object] = {end: designation}
    if lot.end_a == lot.end_b:
        values = {"end_a": designation, "end_b": designation}
    still_open = {"end_a": lot.end_a, "end_b": lot.end_b} | values
    if not any("|" in str(ends) for ends in still_open.values()):
        values["questions"] = without_open_thread(lot.questions)
    with write(
        verb="settle_thread", summary=f"lot {lot.number} is {designation}", hand=hand, job=lot.job
    ) as entry:
        return change_facts(entry, lot, **values)


def settle_question(*, lot: Lot, question: str, hand: Hand) -> Lot:
    """Strike out one question of a lot, since somebody looked.

    Raises
    ------
    NotFound
        The lot has no such question any more.
    """
    if question not in lot.questions:
        raise NotFound(f"Lot {lot.number} has no such question any more.")
    rest = [other for other in lot.questions if other != question]
    with write(
        verb="settle_question", summary=f"looked at lot {lot.number}: {question}", hand=hand, job=lot.job
    ) as entry:
        return change_facts(entry, lot, questions=rest)


def give_origin(*, lot: Lot, hand: Hand, origin: Engine | None, lost: bool, said: str = "") -> Lot:
    """Say which engine a lot came off, or that this is lost."""
    if lost and origin is not None:
        raise InvalidInput("origin", needs="an engine, or lost, not both", came=origin.name)
    said_as = "which engine: lost" if lost else origin.name if origin else "engine not said"
    with write(verb="give_origin", summary=f"lot {lot.number}: {said_as}", hand=hand, job=lot.job) as entry:
        return change_facts(entry, lot, origin=origin, origin_lost=lost, origin_said=said.strip()[:200])


def without_open_thread(questions: Sequence[str]) -> list[str]:
    """Return the questions without the one which thread it is."""
    return [question for question in questions if "more than one thread" not in question]


def split_described(
    *, lot: Lot, count: int, hand: Hand, bag_code: str = "", defect: str = "", concerns: str = "both"
) -> Lot:
    """Split n pieces off a lot into the bag named, with the defect that they have; returns the new lot.

    Parameters
    ----------
    concerns : str
        Which pieces what was found and gauged of the lot concerns: both, part or rest.

    Raises
    ------
    LedgerRefused
        No custody of the lot holds that many.
    """
    with write(verb="split_lot", summary=f"split lot {lot.number}", hand=hand, job=lot.job) as entry:
        bag = lot.bag
        if bag_code.strip():
            normal_code(bag_code)
            bag = BagsByCode(entry, lot.job).coded(bag_code, lot.area)[0]
        values = {"defect": defect.strip()} if defect.strip() else {}
        new = split_off(entry, lot, count=count, concerns=concerns, bag=bag, **values)
        entry.refer(new.bag)
        entry.say(f"split {count} off lot {lot.number} as lot {new.number}")
    return new
