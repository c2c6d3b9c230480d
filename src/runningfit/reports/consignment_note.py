"""The note that goes along with a consignment: counted out, asked, warned, and counted back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from contextlib import suppress

from runningfit.core.errors import NotFound
from runningfit.core.treatments import treatment
from runningfit.core.units import LengthUnit, both_units
from runningfit.reports.bag_address import address_fault, address_of, qr_drawing
from runningfit.reports.papers import render
from runningfit.reports.plater_words import Told, told_together
from runningfit.workshop.outside_work.expecting import sort_of
from runningfit.workshop.outside_work.models import Consignment, ConsignmentLine
from runningfit.workshop.outside_work.queries import lines_of
from runningfit.workshop.outside_work.telling import HeldBack, held_back, told_of
from runningfit.workshop.photos.files import read
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.records.queries import the_shop
from runningfit.workshop.treatments.machining_orders import operation_count

# A note is read at a counter: a few pictures help, a hundred hide the words.
MOST_PHOTOS = 24
# Of bags that are told the same, so many sorts are named; the table below names each.
MOST_SORTS = 3


def consignment_note(consignment: Consignment, *, today: dt.date) -> bytes:
    """Set the note of a consignment, with its photos and the boxes for counting out and back.

    Parameters
    ----------
    consignment : Consignment
        With its outside shop.
    today : date
        The day it is printed.

    Returns
    -------
    bytes
        The PDF.
    """
    shop = the_shop()
    lines = lines_of(consignment)
    told = told_of(lines)
    against = held_back(lines, told)
    stopped = {one.line.pk for one in against if not one.anyway}
    going = [line for line in lines if line.pk not in stopped]
    keys = list(dict.fromkeys(line.treatment for line in going))
    photos = _photos(lines)
    images = {f"photo-{photo.pk}.jpg": content for photo, content in photos}
    reachable = not address_fault(shop.label_address)
    if reachable:
        images["qr.svg"] = qr_drawing(address_of(shop.label_address, f"outside/{consignment.number}"))
    data = {
        "title": f"Consignment {consignment.number}",
        "job": ", ".join(dict.fromkeys(line.lot.job.name for line in lines)),
        "printed": _day(today),
        "facts": [
            ["from", shop.name or "the workshop"],
            ["to", ", ".join(part for part in (consignment.shop.name, consignment.shop.address) if part)],
            ["sent", _day(consignment.sent_on)],
            ["wanted back", _day(consignment.due_on)],
            *_reprint(lines, today),
        ],
        "pieces": sum(line.count for line in lines),
        "lots": len(lines),
        "stops": _stops(against),
        "tank": [_at_the_tank(one) for one in told_together(going, told)],
        "asked": [f"{treatment(key).label}: {_lots(going, key)}" for key in keys],
        "words": consignment.asked,
        "sheet": _sheet(consignment),
        "must_not": _must_not(consignment, lines, keys),
        "cautions": list(dict.fromkeys(said.text for key in keys for said in treatment(key).cautions)),
        "lines": [_line(line, LengthUnit(shop.unit), is_stopped=line.pk in stopped) for line in lines],
        "photos": [
            {"file": f"photo-{photo.pk}.jpg", "words": _under(photo, lines)} for photo, _content in photos
        ],
        "qr": "qr.svg" if reachable else "",
    }
    return render("consignment_note.typ", data, images)


def _reprint(lines: Sequence[ConsignmentLine], today: dt.date) -> list[list[str]]:
    """Say that a note of what went already is printed again, and whether it says what was told then."""
    if not lines or lines[0].consignment.sent_on is None:
        return []
    then = all(line.told for line in lines)
    said = "it says what was told when it went" if then else "it says what is known today"
    return [["printed again", f"{_day(today)}: {said}"]]


def _line(line: ConsignmentLine, unit: LengthUnit, *, is_stopped: bool) -> dict[str, object]:
    lot = line.lot
    words = _words(line, line.count)
    if lot.length_mm is not None:
        words += f" ({both_units(lot.length_mm, unit)})" if not lot.length_nominal else ""
    bag = line.bag if line.consignment.sent_on else lot.bag
    said = [f"lot {lot.number}", lot.area.name if lot.area else "", lot.defect, line.must_not]
    return {
        "bag": bag.code if bag else "–",
        "count": line.count,
        "words": words,
        "said": ", ".join(part for part in said if part),
        "treatment": "nothing: see above" if is_stopped else treatment(line.treatment).label,
    }


def _stops(against: Sequence[HeldBack]) -> list[dict[str, object]]:
    """What must not be done, lots with the same reason in one box."""
    boxes: dict[tuple[str, str, str], list[ConsignmentLine]] = {}
    for one in against:
        boxes.setdefault((one.line.treatment, one.why, one.anyway), []).append(one.line)
    return [
        {
            "bags": ", ".join(dict.fromkeys(line.bag.code for line in its if line.bag)) or "–",
            "what": "; ".join(
                f"lot {line.lot.number}, {line.count} {_words(line, line.count)}" for line in its
            ),
            "asked": treatment(key).label,
            "why": why,
            "anyway": anyway,
        }
        for (key, why, anyway), its in boxes.items()
    ]


def _at_the_tank(told: Told) -> dict[str, object]:
    pieces = sum(line.count for line in told.lines)
    numbers = ", ".join(str(line.lot.number) for line in told.lines)
    sorts = dict.fromkeys(_words(line, 2) for line in told.lines)
    shown = ", ".join(list(sorts)[:MOST_SORTS]) + (" …" if len(sorts) > MOST_SORTS else "")
    return {
        "bags": told.bags,
        "pieces": pieces,
        "what": f"{shown} (lot{'s' if len(told.lines) > 1 else ''} {numbers})",
        "treatment": told.treatment,
        "bake": told.bake,
        "says": list(told.says),
    }


def _words(line: ConsignmentLine, count: int) -> str:
    """What the pieces are, without their count in front."""
    return sort_of(line.lot).said(count).partition(" ")[2]


def _sheet(consignment: Consignment) -> str:
    count = operation_count(consignment)
    return f"A machine-shop sheet goes along: {count} operation{'s' if count > 1 else ''}." if count else ""


def _must_not(consignment: Consignment, lines: Sequence[ConsignmentLine], keys: Iterable[str]) -> list[str]:
    own = [consignment.must_not] if consignment.must_not else []
    listed = [rule for key in keys for rule in treatment(key).must_not]
    single = [f"Lot {line.lot.number}: {line.must_not}" for line in lines if line.must_not]
    return list(dict.fromkeys([*own, *single, *listed]))


def _lots(lines: Sequence[ConsignmentLine], key: str) -> str:
    numbers = [line for line in lines if line.treatment == key]
    pieces = sum(line.count for line in numbers)
    return (
        f"{pieces} piece{'s' if pieces != 1 else ''} of {len(numbers)} lot{'s' if len(numbers) != 1 else ''}"
    )


def _photos(lines: Sequence[ConsignmentLine]) -> list[tuple[Photo, bytes]]:
    """Return the newest photo of each lot, or else of its bag, leaving out those whose file is lost."""
    lots = {line.lot_id for line in lines}
    bags = {line.lot.bag_id for line in lines if line.lot.bag_id}
    standing = Photo.objects.filter(withdrawn=False).order_by("pk")
    of_lots = {photo.lot_id: photo for photo in standing.filter(lot__in=lots)}
    of_bags = {photo.bag_id: photo for photo in standing.filter(bag__in=bags)}
    chosen = [of_lots.get(line.lot_id) or of_bags.get(line.lot.bag_id) for line in lines]
    found: list[tuple[Photo, bytes]] = []
    for photo in {photo.pk: photo for photo in chosen if photo is not None}.values():
        with suppress(NotFound):
            found.append((photo, read(photo)))
    return found[:MOST_PHOTOS]


def _under(photo: Photo, lines: Sequence[ConsignmentLine]) -> str:
    shown = [
        line
        for line in lines
        if photo.lot_id == line.lot_id or (photo.bag_id and photo.bag_id == line.lot.bag_id)
    ]
    bags = dict.fromkeys(f"bag {line.lot.bag.code}" for line in shown if line.lot.bag)
    return ", ".join([*bags, *(f"lot {line.lot.number}" for line in shown[:4])])


def _day(day: dt.date | None) -> str:
    return f"{day.day} {day:%b %Y}" if day else "not said"
