"""Naming a thread from its readings: kept as one thread or kept open, with all that led to it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping
from dataclasses import asdict, dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import (
    Country,
    Identification,
    TappedMaterial,
    ThreadPrior,
    ThreadReadings,
    identify,
)
from runningfit.core.standards import thread as standard_thread
from runningfit.workshop.pieces.described import without_open_thread
from runningfit.workshop.pieces.lots import change_facts, held_lot
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.thread_models import ENDS, ThreadNaming
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Entry, Hand, write

# What is less probable than this is not kept open; a lot's field holds a handful of names.
LEAST_OPEN, MOST_OPEN = 0.02, 5
MOST_KEPT = 12
MOST_NEIGHBOURS = 24
_METALS = (
    ("alumin", TappedMaterial.ALUMINIUM),
    ("alloy", TappedMaterial.ALUMINIUM),
    ("magnes", TappedMaterial.MAGNESIUM),
    ("bronze", TappedMaterial.BRONZE),
    ("gunmetal", TappedMaterial.BRONZE),
    ("iron", TappedMaterial.CAST_IRON),
    ("steel", TappedMaterial.STEEL),
)
NO_STANDARD = "No standard thread fits what was measured: measure it again, or treat it as a special."


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of a thread: as typed, as it is meant, and what was held likely beforehand."""

    typed: Mapping[str, str]
    readings: ThreadReadings
    prior: ThreadPrior


def name_thread(*, lot: Lot, end: str, measured: Measured, designation: str, hand: Hand) -> ThreadNaming:
    """Keep which thread an end of a lot is, with the readings, the candidates and what was held likely.

    A stud that is alike at both ends is named at both.

    Parameters
    ----------
    end : str
        end_a or end_b.
    designation : str
        The thread it is, by the person's judgement; any standard thread, likely or not.

    Raises
    ------
    InvalidInput
        No such end, or no such thread.
    """
    standard_thread(designation)
    with write(verb="name_thread", summary=f"named lot {lot.number}", hand=hand, job=lot.job) as entry:
        lot = held_lot(lot)
        naming = _keep(entry, lot, end, measured, hand, kept_as=designation)
        chance = next(
            (one["probability"] for one in naming.candidates if one["designation"] == designation), 0.0
        )
        _say_end(entry, lot, end, designation)
        entry.say(f"lot {lot.number} is {designation}, by its readings with probability {chance:.2f}")
    return naming


def keep_thread_open(*, lot: Lot, end: str, measured: Measured, hand: Hand) -> ThreadNaming:
    """Keep the readings of an end of a lot and leave open which thread it is; the likely ones stay.

    Where only one is likely, the end is left as it stands: to settle it is a person's to say.

    Raises
    ------
    InvalidInput
        No such end.
    """
    with write(
        verb="keep_thread_open", summary=f"measured lot {lot.number}", hand=hand, job=lot.job
    ) as entry:
        lot = held_lot(lot)
        naming = _keep(entry, lot, end, measured, hand, kept_as="")
        likely = [one["designation"] for one in naming.candidates if one["probability"] >= LEAST_OPEN]
        if naming.none_of_these >= 0.5 or not likely:
            if NO_STANDARD not in lot.questions:
                change_facts(entry, lot, questions=[*lot.questions, NO_STANDARD])
            entry.say(f"lot {lot.number}: no standard thread fits what was measured")
        elif len(likely) == 1:
            entry.say(f"lot {lot.number} is left as it stands, though its readings say {likely[0]}")
        else:
            _say_end(entry, lot, end, "|".join(likely[:MOST_OPEN]))
            entry.say(f"lot {lot.number} stays open: {' or '.join(likely[:MOST_OPEN])}")
    return naming


def latest_naming(lot: Lot, end: str) -> ThreadNaming | None:
    """Return what was last measured of an end of a lot."""
    return ThreadNaming.objects.filter(lot=lot, end=end, withdrawn=False).order_by("-id").first()


def neighbours_of(lot: Lot) -> tuple[tuple[str, float], ...]:
    """Return the settled threads of the other lots of a lot's area, each lot once, the commonest first."""
    if lot.area_id is None:
        return ()
    others = Lot.objects.filter(area_id=lot.area_id, withdrawn=False).exclude(pk=lot.pk)
    named: Counter[str] = Counter()
    for ends in others.exclude(end_a="").values_list("end_a", "end_b"):
        named.update({end for end in ends if end and "|" not in end})
    return tuple((name, float(count)) for name, count in named.most_common(MOST_NEIGHBOURS))


def prior_of(lot: Lot) -> ThreadPrior:
    """Return what is held likely of a lot: its engine's country and years, its hole, its area.

    Where nobody said the engine's country, it is the one last said of a thread of the job.
    """
    engine = (
        lot.origin or Engine.objects.filter(job_id=lot.job_id, role=Engine.SUBJECT, withdrawn=False).first()
    )
    return ThreadPrior(
        country=Country(engine.country) if engine and engine.country else country_said(lot.job),
        built_from=_year(engine.built_from) if engine else None,
        built_to=_year(engine.built_to) if engine else None,
        neighbours=neighbours_of(lot),
        tapped_material=_metal(lot.place.hole_material) if lot.place else None,
    )


def country_said(job: Job) -> Country | None:
    """Return the country that was last said of a job's threads, so that it is said once."""
    last = (
        ThreadNaming.objects.filter(lot__job=job, withdrawn=False)
        .order_by("-id")
        .values_list("prior")
        .first()
    )
    said = last[0].get("country") if last else None
    return Country(said) if said else None


def _keep(entry: Entry, lot: Lot, end: str, measured: Measured, hand: Hand, *, kept_as: str) -> ThreadNaming:
    if end not in dict(ENDS):
        raise InvalidInput("end", needs="end_a or end_b", came=end)
    found = identify(measured.readings, measured.prior)
    return entry.create(
        ThreadNaming(
            lot=lot,
            end=end,
            internal=measured.readings.internal,
            typed=dict(measured.typed),
            readings={
                name: value for name, value in asdict(measured.readings).items() if value not in (None, ())
            },
            kept_as=kept_as,
            candidates=_candidates(found),
            none_of_these=found.none_of_these,
            tell_apart=found.tell_apart[:400],
            prior=asdict(measured.prior),
            prior_said=found.prior,
            earlier=latest_naming(lot, end),
            at=entry.at,
            who=hand.who,
            why=hand.why[:300],
        )
    )


def _candidates(found: Identification) -> list[dict[str, object]]:
    return [
        {"designation": one.designation, "probability": round(one.probability, 6)}
        for one in found.candidates[:MOST_KEPT]
    ]


def _say_end(entry: Entry, lot: Lot, end: str, threads: str) -> None:
    """Set what an end of a lot is, at both ends where they are alike; a settled thread asks no more."""
    values: dict[str, object] = {end: threads}
    if lot.end_a == lot.end_b:
        values = {"end_a": threads, "end_b": threads}
    after = {"end_a": lot.end_a, "end_b": lot.end_b} | values
    if not any("|" in str(ends) for ends in after.values()):
        rest = [question for question in without_open_thread(lot.questions) if question != NO_STANDARD]
        values["questions"] = rest
    change_facts(entry, lot, **values)


def _metal(said: str) -> TappedMaterial | None:
    """Find the metal in what was said of a hole's material."""
    words = said.lower()
    for name, metal in _METALS:
        if name in words:
            return metal
    return None


def _year(day: dt.date | None) -> int | None:
    return day.year if day is not None and 1850 <= day.year <= 2100 else None
