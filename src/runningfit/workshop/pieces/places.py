"""Verbs of areas and places: where pieces belong, and where that knowledge comes from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.pieces.ledger import counts_of, need_count
from runningfit.workshop.pieces.lots import describe
from runningfit.workshop.pieces.models import BASES, LOOKS, Area, Lot, Place
from runningfit.workshop.pieces.threads import doubt_mates
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.services import need_words
from runningfit.workshop.records.writing import Entry, Hand, write

ASSUMED = "assumed"
BASIS_WORDS = dict(BASES)
CANNOT_SHOW_LOSSES = (
    "This is only assumed from what came off: a piece that was lost before you came to it cannot show. "
    "Count the holes, or look in a parts list."
)
# A length said twice, by rule and by caliper, is the same within this [mm]; common practice, no source.
SAME_LENGTH_MM = 0.8


@dataclass(frozen=True, slots=True)
class PlaceFacts:
    """What is said of a place; all may be unknown but its name, its count and where that comes from."""

    name: str
    count: int
    basis: str
    basis_said: str = ""
    kind: str = "other"
    end_a: tuple[str, ...] = ()
    end_b: tuple[str, ...] = ()
    size_said: str = ""
    length_mm: float | None = None
    length_nominal: str = ""
    length_typed: str = ""
    length_basis: str = ""
    finish_wanted: str = "unknown"
    visible: bool = False
    torque_nm: float | None = None
    torque_typed: str = ""
    hole_material: str = ""
    hole_blind: str = ""
    hole_depth_mm: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A place that could be made from lots that came off: its area, what it would say, and the lots."""

    area: Area
    facts: PlaceFacts
    lots: tuple[Lot, ...]


def add_area(
    *, job: Job, name: str, hand: Hand, parent: Area | None = None, engine: Engine | None = None
) -> Area:
    """Add an area to a job; areas form a tree.

    Raises
    ------
    InvalidInput
        It has no name, or the engine has an area of that name.
    """
    name = _area_name(job, name, engine)
    with write(verb="add_area", summary=f"added the area {name}", hand=hand, job=job) as entry:
        _need_own(job, parent, engine)
        for row in (parent, engine):
            entry.refer(row)
        return entry.create(Area(job=job, name=name, parent=parent, engine=engine))


def change_area(*, area: Area, hand: Hand, name: str, parent: Area | None, engine: Engine | None) -> Area:
    """Change an area's name, what it is a part of, or its engine.

    Raises
    ------
    InvalidInput
        It has no name, or it would become a part of itself.
    """
    name = _area_name(area.job, name, engine, but=area)
    above = parent
    while above is not None:
        if above.pk == area.pk:
            raise InvalidInput("parent", needs="an area that is not a part of this one", came=str(parent))
        above = above.parent
    with write(verb="change_area", summary=f"changed the area {area.name}", hand=hand, job=area.job) as entry:
        _need_own(area.job, parent, engine)
        for row in (parent, engine):
            entry.refer(row)
        return entry.change(area, name=name, parent=parent, engine=engine)


def add_place(*, area: Area, facts: PlaceFacts, hand: Hand) -> Place:
    """Add a place to an area."""
    with write(
        verb="add_place", summary=f"added the place {facts.name} to {area.name}", hand=hand, job=area.job
    ) as entry:
        return keep_place(entry, area=area, facts=facts)


def change_place(*, place: Place, facts: PlaceFacts, hand: Hand) -> Place:
    """Change what is said of a place."""
    check_facts(facts)
    with write(
        verb="change_place", summary=f"changed the place {place.name}", hand=hand, job=place.area.job
    ) as entry:
        return entry.change(place, **_fields(facts))


def confirm_basis(
    *, place: Place, basis: str, hand: Hand, basis_said: str = "", count: int | None = None
) -> Place:
    """Say where the knowledge of a place comes from now, and how many it needs if that was wrong.

    Raises
    ------
    InvalidInput
        The basis is none of those known, or a parts list or page is not named.
    """
    needed = place.count if count is None else need_count(count)
    need_basis(basis, basis_said)
    with write(
        verb="confirm_basis",
        summary=f"{place.name}: {needed}, {BASIS_WORDS[basis]}",
        hand=hand,
        job=place.area.job,
    ) as entry:
        return entry.change(place, basis=basis, basis_said=basis_said.strip(), count=needed)


def withdraw_place(*, place: Place, hand: Hand) -> None:
    """Withdraw a place that was a mistake.

    Raises
    ------
    Conflict
        Lots fill it.
    """
    lots = list(Lot.objects.filter(place=place, withdrawn=False).order_by("number"))
    if lots:
        names = ", ".join(f"lot {lot.number}" for lot in lots[:6])
        raise Conflict(f"The place '{place.name}' is filled by {names}. Take them out of it first.")
    with write(
        verb="withdraw_place", summary=f"withdrew the place {place.name}", hand=hand, job=place.area.job
    ) as entry:
        entry.change(place, withdrawn=True)


def propose_places(*, job: Job, area: Area | None = None) -> list[Proposal]:
    """Return the places that could be made from what came off the subject engine and belongs nowhere yet.

    Lots of donors, lots without an area, and lots that a place of their area already asks for are left out.
    """
    lots = (
        Lot.objects.filter(job=job, withdrawn=False, place=None, area__isnull=False, area__withdrawn=False)
        .exclude(origin__role=Engine.DONOR)
        .exclude(area__engine__role=Engine.DONOR)
        .select_related("area")
        .order_by("area__name", "area_id", "number")
    )
    if area is not None:
        lots = lots.filter(area=area)
    asked = _asked_for(job)
    groups: dict[tuple[object, ...], list[Lot]] = {}
    for lot in lots:
        if not any(_same_need(lot, place) for place in asked.get(lot.area_id, ())):
            groups.setdefault(_alike(lot), []).append(lot)
    counts = counts_of([lot for group in groups.values() for lot in group])
    proposals = []
    for group in groups.values():
        count = sum(counts[lot.pk].total for lot in group)
        if count and group[0].area is not None:
            proposals.append(Proposal(group[0].area, _facts_of(group, count), tuple(group)))
    return proposals


def places_from_lots(*, job: Job, hand: Hand, area: Area | None = None) -> list[Place]:
    """Make places from what came off, in one record; each is only assumed and cannot show losses.

    Raises
    ------
    InvalidInput
        No lot of the subject engine with an area is left that has no place.
    """
    with write(
        verb="places_from_lots", summary="made places from what came off", hand=hand, job=job
    ) as entry:
        proposals = propose_places(job=job, area=area)
        if not proposals:
            raise InvalidInput(
                "area",
                needs="lots with an area that no place asks for",
                came="none",
                remedy="Say where they came off.",
            )
        made = []
        for proposal in proposals:
            place = keep_place(entry, area=proposal.area, facts=proposal.facts)
            for lot in proposal.lots:
                entry.change(lot, place=place)
                if lot.thread_state == "defective":
                    doubt_mates(entry, lot)
            made.append(place)
        entry.say(f"made {len(made)} place{'s' if len(made) != 1 else ''} from what came off, only assumed")
    return made


def keep_place(entry: Entry, *, area: Area, facts: PlaceFacts) -> Place:
    """Keep a new place inside an open record."""
    check_facts(facts)
    entry.refer(area)
    return entry.create(Place(area=area, **_fields(facts)))


def change_facts_of_place(entry: Entry, place: Place, facts: PlaceFacts) -> Place:
    """Change what is said of a place inside an open record."""
    check_facts(facts)
    return entry.change(place, **_fields(facts))


def check_facts(facts: PlaceFacts) -> None:
    """Refuse what cannot be said of a place."""
    need_words("name", facts.name, "what the place is")
    need_count(facts.count)
    need_basis(facts.basis, facts.basis_said)
    if facts.finish_wanted not in LOOKS:
        raise InvalidInput("finish_wanted", needs=f"one of {', '.join(LOOKS)}", came=facts.finish_wanted)
    if facts.hole_blind not in ("", "blind", "through"):
        raise InvalidInput("hole_blind", needs="blind or through, or nothing", came=facts.hole_blind)
    limits = {
        field.name: getattr(Place._meta.get_field(field.name), "max_length", None) for field in fields(facts)
    }
    for name, longest in limits.items():
        value = getattr(facts, name)
        if longest and isinstance(value, str) and len(value) > longest:
            raise InvalidInput(name, needs=f"at most {longest} characters", came=value[:40] + "…")


def need_basis(basis: str, basis_said: str) -> None:
    """Refuse a basis that is none, or a page or list that is not named."""
    if basis not in BASIS_WORDS:
        raise InvalidInput("basis", needs=f"one of {', '.join(BASIS_WORDS.values())}", came=basis)
    if basis in ("parts_list", "manual_page") and not basis_said.strip():
        raise InvalidInput(
            "basis_said",
            needs="which list or page it is",
            came="",
            remedy="Such as: parts list 1958, page 14.",
        )


def _area_name(job: Job, name: str, engine: Engine | None, *, but: Area | None = None) -> str:
    need_words("name", name, "what you call this area")
    name = " ".join(name.split())
    if len(name) > 80:
        raise InvalidInput("name", needs="at most 80 characters", came=name[:40] + "…")
    same = Area.objects.filter(job=job, name__iexact=name, engine=engine, withdrawn=False)
    if but is not None:
        same = same.exclude(pk=but.pk)
    if same.exists():
        raise InvalidInput(
            "name", needs="a name that no other area has", came=name, remedy="That area is there already."
        )
    return name


def _need_own(job: Job, parent: Area | None, engine: Engine | None) -> None:
    if (parent and parent.job_id != job.pk) or (engine and engine.job_id != job.pk):
        raise Conflict("An area, what it is a part of, and its engine belong to one job.")


def _fields(facts: PlaceFacts) -> dict[str, object]:
    values: dict[str, object] = {field.name: getattr(facts, field.name) for field in fields(facts)}
    values["name"] = facts.name.strip()
    values["end_a"] = "|".join(facts.end_a)
    values["end_b"] = "|".join(facts.end_b)
    return values


def _alike(lot: Lot) -> tuple[object, ...]:
    length = lot.length_nominal or (None if lot.length_mm is None else round(lot.length_mm, 1))
    return (
        lot.area_id,
        lot.kind,
        lot.kind_said if lot.kind == "other" else "",
        lot.end_a,
        lot.end_b,
        lot.size_said,
        length,
    )


def _facts_of(lots: Sequence[Lot], count: int) -> PlaceFacts:
    first = lots[0]
    looks = {lot.finish_look for lot in lots} - {"unknown"}
    return PlaceFacts(
        name=describe(first)[:120],
        count=count,
        basis=ASSUMED,
        basis_said=("from " + ", ".join(f"lot {lot.number}" for lot in lots))[:200],
        kind=first.kind,
        end_a=tuple(first.end_a.split("|")) if first.end_a else (),
        end_b=tuple(first.end_b.split("|")) if first.end_b else (),
        size_said=first.size_said,
        length_mm=first.length_mm,
        length_nominal=first.length_nominal,
        length_typed=first.length_typed,
        length_basis=first.length_basis,
        finish_wanted=looks.pop() if len(looks) == 1 else "unknown",
    )


def _asked_for(job: Job) -> dict[int | None, list[Place]]:
    by_area: dict[int | None, list[Place]] = {}
    for place in Place.objects.filter(area__job=job, withdrawn=False):
        by_area.setdefault(place.area_id, []).append(place)
    return by_area


def _same_need(lot: Lot, place: Place) -> bool:
    if lot.kind != place.kind or not (lot.end_a or lot.size_said == place.size_said):
        return False
    if (
        lot.length_mm is not None
        and place.length_mm is not None
        and abs(lot.length_mm - place.length_mm) > SAME_LENGTH_MM
    ):
        return False
    return _shared(lot.end_a, place.end_a) and _shared(lot.end_b, place.end_b)


def _shared(one: str, other: str) -> bool:
    first, second = _candidates(one), _candidates(other)
    return first == second or bool(first & second)


def _candidates(ends: str) -> set[str]:
    return {end for end in ends.split("|") if end}
