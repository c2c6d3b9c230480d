"""A large shop for measuring: many jobs of thousands of lots each, made from the same chance every time."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from random import Random

from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from measured_engine import measure

from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine, Discrepancy, OutsideShop
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.ledger import count_of, move
from runningfit.workshop.pieces.lots import LotFacts, keep_lots
from runningfit.workshop.pieces.models import Area, Bag, Finding, Lot, Place, TallyPress, TallySheet
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.records.models import Change, Engine, Job, Record
from runningfit.workshop.records.services import add_donor, loose_stock_kept, open_job
from runningfit.workshop.records.writing import Entry, Hand, write

HAND = Hand(who="Bench")
AREAS, BAGS, PLACES, LINES, PHOTOS, PAST_ACTS, SORTS = 40, 400, 1000, 60, 200, 1500, 700
LOOKS = ("clear", "yellow", "black", "none", "brass", "nickel")
THREADS = (
    *("1/4-28 UNF", "5/16-24 UNF", "3/8-24 UNF", "7/16-20 UNF", "1/2-20 UNF"),
    *("1/4-20 UNC", "5/16-18 UNC", "3/8-16 UNC", "7/16-14 UNC", "1/2-13 UNC"),
    *("1/4-26 BSF", "5/16-22 BSF", "3/8-20 BSF", "M8x1.25", "M10x1.5", "2BA", "4BA"),
)
LENGTHS = {
    f"{eighths // 8} {eighths % 8}/8 in": eighths * 25.4 / 8 for eighths in range(9, 32) if eighths % 8
}


@dataclass(frozen=True, slots=True)
class Size:
    """How large the shop is."""

    jobs: int = 20
    lots: int = 5000


def build(size: Size) -> Job:
    """Build the shop in an empty data folder; returns the job that is measured."""
    chance = Random(1959)
    shop = OutsideShop.objects.create(name="An invented plater", trade="plater")
    jobs = []
    for number in range(size.jobs):
        with transaction.atomic():
            jobs.append(_job(number, size.lots, shop, chance))
        measure(jobs[-1], chance)
    with transaction.atomic(), write(verb="stock", summary="stock", hand=HAND) as entry:
        stock = loose_stock_kept(hand=HAND)
        keep_lots(entry, job=stock, facts=[_facts(chance, None, None, None, None) for _ in range(500)])
    return jobs[len(jobs) // 2]


def _job(number: int, lots: int, shop: OutsideShop, chance: Random) -> Job:
    job = open_job(name=f"Job {number + 1}", engine_name=f"engine {number + 1}", hand=HAND)
    donor = add_donor(job=job, name=f"donor {number + 1}", hand=HAND)
    with write(verb="fill", summary="filled a job", hand=HAND, job=job) as entry:
        areas = entry.create_many(Area, [Area(job=job, name=f"area {index:02}") for index in range(AREAS)])
        bags = entry.create_many(
            Bag, [Bag(job=job, code=f"T{index}", area=chance.choice(areas)) for index in range(BAGS)]
        )
        places = entry.create_many(
            Place, [_place(index, areas[index % AREAS], chance) for index in range(PLACES)]
        )
        made = keep_lots(
            entry, job=job, facts=[_lot(index, places, bags, donor, chance) for index in range(lots)]
        )
        _outside(entry, job, made, shop, chance)
        _around(entry, job, made, places, areas, chance)
    _past(job, made, chance)
    to_go = [lot.pk for lot in made[2000:2300]]
    Lot.objects.filter(pk__in=to_go).update(treatment="zinc_clear")
    return job


def _spec(chance: Random) -> dict[str, object]:
    """Return one of the sorts of pieces that there are; an engine has hundreds of them, not thousands."""
    return dict(_sorts()[int(SORTS * chance.random() ** 2)])


@cache
def _sorts() -> list[dict[str, object]]:
    chance = Random(2117)
    return [_sort(chance) for _ in range(SORTS)]


def _sort(chance: Random) -> dict[str, object]:
    kind = chance.choice(("hex_bolt", "hex_bolt", "setscrew", "stud", "nut", "plain_washer", "spring_washer"))
    thread = chance.choice(THREADS)
    if kind.endswith("washer"):
        return {"kind": kind, "size_said": thread.split("-")[0]}
    if kind == "nut":
        return {"kind": kind, "end_a": thread}
    said = chance.choice(tuple(LENGTHS))
    basis = "overall" if kind == "stud" else "under_head"
    spec: dict[str, object] = {
        "kind": kind,
        "end_a": thread,
        "length_mm": LENGTHS[said],
        "length_nominal": said,
        "length_basis": basis,
    }
    if kind == "stud":
        spec["end_b"] = chance.choice(THREADS)
    return spec


def _place(index: int, area: Area, chance: Random) -> Place:
    return Place(
        area=area,
        name=f"place {index:04}",
        count=chance.randint(1, 12),
        basis=chance.choice(("holes_counted", "parts_list", "manual_page", "assumed")),
        finish_wanted=chance.choice(LOOKS),
        visible=chance.random() < 0.4,
        thread_state="not_proven" if chance.random() < 0.01 else "",
        **_spec(chance),
    )


def _lot(index: int, places: list[Place], bags: list[Bag], donor: Engine, chance: Random) -> LotFacts:
    bag = bags[index % BAGS]
    origin = donor if index % 9 == 0 else None
    if index < len(places) * 9 // 10:
        return _facts(chance, places[index], places[index].area, bag, origin)
    return _facts(chance, None, bag.area, bag, origin)


def _facts(
    chance: Random, place: Place | None, area: Area | None, bag: Bag | None, origin: Engine | None
) -> LotFacts:
    spec = _spec(chance)
    if place is not None:
        names = ("kind", "end_a", "end_b", "size_said", "length_mm", "length_nominal", "length_basis")
        spec = {name: getattr(place, name) for name in names}
    end_a, end_b = ((str(spec[name]),) if spec.get(name) else () for name in ("end_a", "end_b"))
    spec = {name: value for name, value in spec.items() if name not in ("end_a", "end_b")}
    return LotFacts(
        count=place.count if place else chance.randint(1, 40),
        area=area,
        bag=bag,
        place=place,
        origin=origin,
        finish_look=chance.choice(LOOKS),
        remarks=chance.choice(("", "", "deep pattern", "through the boss", "as found")),
        questions=("which thread is it?",) if chance.random() < 0.02 else (),
        end_a=end_a,
        end_b=end_b,
        **spec,  # type: ignore[arg-type]
    )


def _outside(entry: Entry, job: Job, lots: list[Lot], shop: OutsideShop, chance: Random) -> None:
    today = timezone.localdate()
    for turn in range(2):
        last = Consignment.objects.aggregate(last=Max("number"))["last"] or 0
        consignment = entry.create(
            Consignment(
                number=last + 1,
                shop=shop,
                made_up_on=today - dt.timedelta(days=30),
                sent_on=today - dt.timedelta(days=20),
                due_on=today + dt.timedelta(days=chance.randint(-9, 30)),
                quoted=Decimal(chance.randint(40, 400)),
            )
        )
        lines = []
        for lot in lots[200 + turn * LINES : 200 + (turn + 1) * LINES]:
            held = count_of(lot).bench
            move(entry, lot, count=held, from_account="bench", to_account="outside")
            line = ConsignmentLine(
                consignment=consignment,
                lot=lot,
                bag=lot.bag,
                count=held,
                treatment="zinc_clear",
                finish_asked="clear",
            )
            lines.append(line)
        entry.create_many(ConsignmentLine, lines)
        open_ones = [
            Discrepancy(
                consignment=consignment,
                line=line,
                lot=line.lot,
                job=job,
                kind="short",
                count=1,
                said="one short",
                opened_at=entry.at,
            )
            for line in lines[:5]
        ]
        entry.create_many(Discrepancy, open_ones)


def _around(
    entry: Entry, job: Job, lots: list[Lot], places: list[Place], areas: list[Area], chance: Random
) -> None:
    what = ("stuck", "broken", "cracked", "missing", "altered")
    entry.create_many(
        Finding,
        [
            Finding(
                job=job,
                area=chance.choice(areas),
                lot=chance.choice(lots),
                what=chance.choice(what),
                at=entry.at,
            )
            for _ in range(60)
        ],
    )
    entry.create_many(
        Photo,
        [
            Photo(
                job=job,
                lot=None if index % 8 == 0 else lots[index],
                original="none.jpg",
                shown="none.jpg",
                thumb="none.jpg",
                sha256=f"{job.pk:032}{index:032}",
                width_px=1000,
                height_px=750,
                described=index % 8 != 0,
                taken_at=entry.at,
            )
            for index in range(PHOTOS)
        ],
    )
    entry.create_many(
        ToBuy,
        [
            ToBuy(
                job=job,
                place=place,
                what="bought",
                count=place.count,
                kind=place.kind,
                end_a=place.end_a,
                price_each=Decimal("1.20"),
            )
            for place in places[-30:]
        ],
    )
    sheet = entry.create(
        TallySheet(
            job=job,
            kind="hex_bolt",
            end_a="5/16-24 UNF",
            series="in",
            unit="mm",
            opened_at=entry.at,
            opened_by="Bench",
        )
    )
    TallyPress.objects.bulk_create(
        TallyPress(
            sheet=sheet,
            token=f"bench-{job.pk}-{index}",
            typed="34.92",
            measured_mm=34.92,
            length_mm=34.925,
            length_nominal="1 3/8 in",
            at=entry.at,
            who="Bench",
        )
        for index in range(250)
    )


def _past(job: Job, lots: list[Lot], chance: Random) -> None:
    """Give the job a history, as months of work leave one."""
    before = timezone.now() - dt.timedelta(days=90)
    records = Record.objects.bulk_create(
        [
            Record(job=job, verb="change_lot", summary=f"changed lot {index}", who="Bench", at=before)
            for index in range(PAST_ACTS)
        ],
        batch_size=500,
    )
    Change.objects.bulk_create(
        [
            Change(
                record=record,
                kind=Change.CHANGED,
                model="Lot",
                object_id=chance.choice(lots).pk,
                before={"condition": ""},
                after={"condition": "cleaned"},
            )
            for record in records
        ],
        batch_size=500,
    )
