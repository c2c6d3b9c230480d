"""Verbs of lots: keep, change, split, join, recount, move, take to another bag."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import Max

from runningfit.core.errors import Conflict, InvalidInput, LedgerRefused
from runningfit.workshop.pieces.inheriting import inherit, keep_all, need_the_same
from runningfit.workshop.pieces.ledger import (
    CUSTODY_WORDS,
    count_of,
    move,
    move_many,
    need_count,
    out_of_the_books,
)
from runningfit.workshop.pieces.models import CUSTODIES, Area, Bag, Lot, Place
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Entry, Hand, write

ALIKE = ("kind", "end_a", "end_b", "size_said")
# What is planned for a lot and what was done to it, beside what is said of it.
WORK = (
    "treatment",
    "treatment_done",
    "done_chain",
    "ordered_steps",
    "ordered_coat",
    "finish_received_look",
    "finish_received_process",
)


@dataclass(frozen=True, slots=True)
class LotFacts:
    """What is said of a lot when it is kept; everything may be unknown but the count.

    Threads are designations in the one form of core.pieces; an open question keeps every candidate.
    """

    count: int
    kind: str = "other"
    end_a: tuple[str, ...] = ()
    end_b: tuple[str, ...] = ()
    size_said: str = ""
    length_mm: float | None = None
    length_nominal: str = ""
    length_typed: str = ""
    length_basis: str = ""
    finish_look: str = "unknown"
    finish_process: str = ""
    condition: str = ""
    defect: str = ""
    remarks: str = ""
    kind_said: str = ""
    area: Area | None = None
    bag: Bag | None = None
    place: Place | None = None
    origin: Engine | None = None
    origin_lost: bool = False
    origin_said: str = ""
    thread_state: str = ""
    questions: tuple[str, ...] = field(default=())


def keep_lots(
    entry: Entry,
    *,
    job: Job,
    facts: Sequence[LotFacts],
    source: str = "found",
    custody: str = "bench",
    parent: Lot | None = None,
) -> list[Lot]:
    """Keep new lots inside an open record and bring their pieces into the books.

    Parameters
    ----------
    entry : Entry
        The open record.
    job : Job
        The job they belong to.
    facts : sequence of LotFacts
        One for each lot.
    source : str
        found, bought or received_over.
    custody : str
        Where the pieces are.
    parent : Lot or None
        The lot they were told apart from, if any.

    Returns
    -------
    list of Lot
        In the order of the facts.
    """
    for fact in facts:
        need_count(fact.count)
    first = next_number(job)
    rows = [
        Lot(job=job, number=first + index, parent=parent, **_fields(fact)) for index, fact in enumerate(facts)
    ]
    for row in rows:
        row.words = row.words_now()
    lots = entry.create_many(Lot, rows)
    move_many(
        entry,
        [(lot, fact.count) for lot, fact in zip(lots, facts, strict=True)],
        source=source,
        custody=custody,
    )
    return lots


def keep_lot(*, job: Job, facts: LotFacts, hand: Hand, source: str = "found") -> Lot:
    """Keep one lot, as a quick line or a form does; returns the lot."""
    with write(verb="keep_lot", summary="kept a lot", hand=hand, job=job) as entry:
        (lot,) = keep_lots(entry, job=job, facts=[facts], source=source)
        entry.say(f"kept lot {lot.number}: {facts.count} {describe(lot)}")
    return lot


def change_lot(*, lot: Lot, hand: Hand, **values: object) -> Lot:
    """Change what is said of a lot (never its count); returns the lot.

    Raises
    ------
    InvalidInput
        A field that is not a lot's to change was named.
    """
    with write(verb="change_lot", summary=f"changed lot {lot.number}", hand=hand, job=lot.job) as entry:
        return change_facts(entry, lot, **values)


def change_facts(entry: Entry, lot: Lot, **values: object) -> Lot:
    """Change what is said of a lot inside an open record; threads may come as tuples of candidates."""
    allowed = {name for name in LotFacts.__dataclass_fields__ if name != "count"} | {"treatment"}
    wrong = set(values) - allowed
    if wrong:
        raise InvalidInput(
            "field", needs=f"one of {', '.join(sorted(allowed))}", came=", ".join(sorted(wrong))
        )
    for name in ("end_a", "end_b"):
        if name in values and isinstance(values[name], tuple):
            values[name] = "|".join(values[name])  # type: ignore[arg-type]
    if "questions" in values:
        values["questions"] = list(values["questions"])  # type: ignore[call-overload]
    held = held_lot(lot)
    if values.get("treatment", held.treatment) != held.treatment:
        # The bake and the coat that were ordered went with the treatment that is not wanted any more.
        values |= {"ordered_steps": "", "ordered_coat": ""}
    return entry.change(held, **values)


def held_lot(lot: Lot) -> Lot:
    """Return a lot read afresh and held; nothing is put into one that was taken back or joined meanwhile.

    Raises
    ------
    Conflict
        It was withdrawn.
    """
    fresh = Lot.objects.select_for_update().get(pk=lot.pk)
    if fresh.withdrawn:
        raise Conflict(
            f"Lot {fresh.number} was withdrawn already: taken back, or joined into another. "
            "Look at its history."
        )
    return fresh


def split_off(
    entry: Entry,
    lot: Lot,
    *,
    count: int,
    custody: str | None = None,
    concerns: str = "both",
    **values: object,
) -> Lot:
    """Split n pieces off a lot inside an open record; the new lot differs by the values given.

    What was found, gauged and known of the whole is taken to hold of both, unless somebody says which it was.

    Parameters
    ----------
    concerns : str
        Which pieces what was found and gauged concerns: both, part or rest.
    custody : str or None
        Where the pieces are taken from; None takes the one custody that holds enough, the bench first.

    Raises
    ------
    LedgerRefused
        No custody of the lot holds that many.
    """
    need_count(count)
    lot = held_lot(lot)
    counts = count_of(lot)
    where = custody or next((c for c in CUSTODIES if getattr(counts, c) >= count), None)
    if where is None:
        held = ", ".join(f"{getattr(counts, c)} {CUSTODY_WORDS[c]}" for c in CUSTODIES if getattr(counts, c))
        raise LedgerRefused(f"Lot {lot.number} has {held or 'no pieces'}; {count} cannot be split off.")
    copied = {
        name: getattr(lot, name)
        for name in LotFacts.__dataclass_fields__
        if name not in ("count", "questions")
    }
    new = Lot(
        job=lot.job,
        number=next_number(lot.job),
        parent=lot,
        questions=list(lot.questions),
        **{name: getattr(lot, name) for name in WORK},
        **(copied | values),
    )
    entry.create(new)
    inherit(entry, lot, new, concerns)
    move(entry, lot, count=count, from_account=where, to_account=where, to_lot=new)
    return new


def split_lot(
    *,
    lot: Lot,
    count: int,
    hand: Hand,
    custody: str | None = None,
    concerns: str = "both",
    **values: object,
) -> Lot:
    """Split n pieces off a lot, since their fates differ; returns the new lot; see `split_off`."""
    with write(verb="split_lot", summary=f"split lot {lot.number}", hand=hand, job=lot.job) as entry:
        new = split_off(entry, lot, count=count, custody=custody, concerns=concerns, **values)
        entry.say(f"split {count} off lot {lot.number} as lot {new.number}")
    return new


def move_pieces(*, lot: Lot, count: int, from_custody: str, to_custody: str, hand: Hand) -> None:
    """Move n pieces of a lot from one custody to another, such as from the bench to the store."""
    with write(
        verb="move_pieces",
        summary=f"moved {count} of lot {lot.number}: {from_custody} to {to_custody}",
        hand=hand,
        job=lot.job,
    ) as entry:
        move(entry, held_lot(lot), count=count, from_account=from_custody, to_account=to_custody)


def recount(*, lot: Lot, counted: int, hand: Hand, custody: str = "bench", missing: bool = True) -> int:
    """Enter a fresh count of a lot in one custody as a movement; returns the difference.

    Parameters
    ----------
    counted : int
        How many are there now, 0 or more.
    missing : bool
        True when fewer means that some are missing; False when the first count was simply wrong.
    """
    with write(verb="recount", summary=f"recounted lot {lot.number}", hand=hand, job=lot.job) as entry:
        difference = count_again(entry, lot, counted=counted, custody=custody, missing=missing)
        entry.say(
            f"recounted lot {lot.number}: {counted} {CUSTODY_WORDS[custody]}, "
            f"{counted - difference} were in the books"
        )
    return difference


def count_again(entry: Entry, lot: Lot, *, counted: int, custody: str = "bench", missing: bool = True) -> int:
    """Enter a fresh count of a lot in one custody inside an open record; returns the difference."""
    if isinstance(counted, bool) or not isinstance(counted, int) or not 0 <= counted <= 100_000:
        raise InvalidInput("count", needs="a whole number from 0 to 100,000", came=counted)
    if custody not in CUSTODIES:
        raise InvalidInput("custody", needs=f"one of {', '.join(CUSTODIES)}", came=custody)
    lot = held_lot(lot)
    entry.refuse_if_moved(lot)
    counts = count_of(lot)
    there: int = getattr(counts, custody)
    difference = counted - there
    if difference < 0:
        if missing and custody != "missing":
            move(entry, lot, count=-difference, from_account=custody, to_account="missing")
        else:
            out_of_the_books(entry, lot, count=-difference, custody=custody)
    elif difference > 0:
        # Pieces that turn up again are the missing ones first; only the rest is newly found.
        back = min(difference, counts.missing) if custody != "missing" else 0
        if back:
            move(entry, lot, count=back, from_account="missing", to_account=custody)
        if difference - back:
            move(entry, lot, count=difference - back, from_account="found", to_account=custody)
    return difference


def join_lots(*, into: Lot, other: Lot, hand: Hand) -> Lot:
    """Join two lots of the same job that are alike after all; the other one is left empty and withdrawn.

    Every finding of both is kept.

    Raises
    ------
    Conflict
        They are not alike, were not treated alike, or something else is known of one than of the other.
    """
    if into.pk == other.pk or into.job_id != other.job_id:
        raise Conflict("Two different lots of one job can be joined.")
    with write(
        verb="join_lots", summary=f"joined lot {other.number} into lot {into.number}", hand=hand, job=into.job
    ) as entry:
        into, other = held_lot(into), held_lot(other)
        if any(getattr(into, name) != getattr(other, name) for name in ALIKE):
            raise Conflict(
                f"Lot {into.number} is {describe(into)}, lot {other.number} is {describe(other)}: they are "
                "not alike. Where one of them was taken down wrongly, change that first."
            )
        need_the_same(into, other)
        counts = count_of(other)
        for custody in CUSTODIES:
            held: int = getattr(counts, custody)
            if held:
                move(entry, other, count=held, from_account=custody, to_account=custody, to_lot=into)
        keep_all(entry, into, other)
        entry.change(other, withdrawn=True)
    return into


def next_number(job: Job) -> int:
    """Return the next lot number of a job; safe only inside an open record, which holds the job."""
    highest: int | None = Lot.objects.filter(job=job).aggregate(Max("number"))["number__max"]
    return (highest or 0) + 1


def describe(lot: Lot | Place) -> str:
    """Return a lot in one line, as people say it: kind, thread, length, look."""
    ends = " and ".join(end.replace("|", " or ") for end in (lot.end_a, lot.end_b) if end)
    parts = [lot.kind.replace("_", " ") if lot.kind != "other" else getattr(lot, "kind_said", "") or "other"]
    if ends or lot.size_said:
        parts.append(ends or lot.size_said)
    if lot.length_nominal:
        parts.append(f"x {lot.length_nominal}")
    return " ".join(parts)


def _fields(fact: LotFacts) -> dict[str, object]:
    values: dict[str, object] = {
        name: getattr(fact, name) for name in LotFacts.__dataclass_fields__ if name != "count"
    }
    values["end_a"] = "|".join(fact.end_a)
    values["end_b"] = "|".join(fact.end_b)
    values["questions"] = list(fact.questions)
    return values
