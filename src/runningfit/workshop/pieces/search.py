"""Finding anything by bag code, lot number, thread in any spelling, length as typed, area, or words."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.designations import read_thread
from runningfit.core.units import LengthQuestion, LengthUnit, read_length
from runningfit.workshop.pieces.models import Area, Bag, Lot, Place
from runningfit.workshop.pieces.queries import LotLine, lines_of
from runningfit.workshop.records.prepared import attach, prepared

SHOWN = 50
# A length is found within this of what was typed [mm]: the caliper and the hand that reads it, no source.
NEAR_MM = 0.4
_LONGEST = 200
_NUMBER = re.compile(r"(?:lot\s*)?(\d{1,9})", re.IGNORECASE)
# A comma inside a number is a decimal comma.
_CROSS = re.compile(r"\s+[x×*]\s+|,\s+|,(?!\d)|(?<!\d),", re.IGNORECASE)
_BARE_SIZE = re.compile(r"m\s?\d+(?:[.,]\d+)?|[#\d\s/.]+(?:\"|in)?", re.IGNORECASE)
_THREADLIKE = re.compile(
    r"[-/]|\d\s*[xX×*]\s*\d|^#|^[MmGgRr]\s?\d|\d\s*(?:ba|BA|bsf|bsw|unf|unc|cei|bsp|npt)\b"
)


@dataclass(frozen=True, slots=True)
class Found:
    """What was found: bags, areas, places, lots with their counts; and how the words were read."""

    bags: tuple[Bag, ...]
    areas: tuple[Area, ...]
    places: tuple[Place, ...]
    lots: tuple[LotLine, ...]
    read_as: tuple[str, ...]
    before: int | None

    @property
    def nothing(self) -> bool:
        """Return whether nothing at all was found."""
        return not (self.bags or self.areas or self.places or self.lots)


def find(text: str, *, before: int | None = None) -> Found:
    """Find bags, areas, places and lots of all jobs by what a person types.

    Parameters
    ----------
    text : str
        A code, a lot number, a thread, a length, an area, words, or several of them parted by x or commas.
    before : int or None
        Only lots older than this id; the next page begins there.
    """
    typed = " ".join(text.split())[:_LONGEST]
    if not typed:
        return Found((), (), (), (), (), None)
    bags = _bags(code := typed.upper().replace(" ", ""), code.removeprefix("BAG"))
    areas = list(Area.objects.filter(name__icontains=typed, withdrawn=False).order_by("-pk")[:SHOWN])
    wanted, read_as = _wanted(typed)
    own = Q(bag__in=[bag.pk for bag in bags]) if bags else Q()
    number = _NUMBER.fullmatch(typed)
    if number is not None:
        own |= Q(number=int(number[1]))
        wanted = own if not typed.isdecimal() else wanted
    lots = Lot.objects.filter(own | wanted if own else wanted, withdrawn=False, job__withdrawn=False)
    if before is not None:
        lots = lots.filter(pk__lt=before)
    rows = list(lots.order_by("-pk")[: SHOWN + 1])
    places = list(Place.objects.filter(name__icontains=typed, withdrawn=False).order_by("-pk")[:SHOWN])
    attach(rows, "job", "area", "bag")
    attach(bags, "job", "area")
    attach(places, "area")
    attach([*areas, *(place.area for place in places)], "job")
    return Found(
        bags=tuple(bags),
        areas=tuple(areas),
        places=tuple(places),
        lots=lines_of(rows[:SHOWN]),
        read_as=tuple(dict.fromkeys(read_as)),
        before=rows[SHOWN - 1].pk if len(rows) > SHOWN else None,
    )


def _wanted(typed: str) -> tuple[Q, list[str]]:
    """Return what a lot must match, every part of the text in some way, and how parts were read."""
    read_as: list[str] = []
    parts = _CROSS.split(typed)
    # An x or a comma may stand inside a thread (5/16 x 24), so the whole is tried as one first.
    whole = _thread(typed, read_as) if len(parts) > 1 else None
    if whole is not None:
        return whole, read_as
    wanted = Q()
    for part in parts:
        if part:
            wanted &= _part(part, read_as)
    return wanted, read_as


def _part(part: str, read_as: list[str]) -> Q:
    thread = _thread(part, read_as)
    length = _length(part, read_as)
    found = Q()
    for way in (thread, length):
        if way is not None:
            found |= way
    if found and re.search(r"\d", part):
        # A bare number stands in the words of nearly every lot.
        return found if part.strip().isdecimal() else found | Q(words__contains=part.strip().lower())
    words = Q()
    for word in part.lower().split():
        near = [Q(words__contains=word)]
        areas = list(
            Area.objects.filter(name__icontains=word, withdrawn=False).values_list("pk", flat=True)[:500]
        )
        bags = list(Bag.objects.filter(code=word.upper(), withdrawn=False).values_list("pk", flat=True)[:500])
        if areas:
            near.append(Q(area_id__in=areas))
        if bags:
            near.append(Q(bag_id__in=bags))
        either = near[0]
        for way in near[1:]:
            either |= way
        words &= either
    return words


@prepared
def _bags(code: str, without_word: str) -> QuerySet[Bag]:
    named = Q(code=code) | Q(code=without_word)
    return Bag.objects.filter(named, withdrawn=False).order_by("-pk")[:SHOWN]


def _thread(text: str, read_as: list[str]) -> Q | None:
    if not _THREADLIKE.search(text):
        return None
    try:
        reading = read_thread(text)
    except InvalidInput:
        return None
    if not reading.candidates:
        return None
    read_as.append(" or ".join(reading.candidates))
    found = Q()
    for name in reading.candidates:
        # The words come first: they fail fast, and only their few lots are looked at end by end.
        found |= Q(words__contains=name.lower()) & (_end("end_a", name) | _end("end_b", name))
    if reading.size_said and _BARE_SIZE.fullmatch(text.strip()):
        found |= Q(size_said=reading.size_said)
    return found


def _end(field: str, name: str) -> Q:
    """Match an end that is this thread, or may be it."""
    return (
        Q(**{field: name})
        | Q(**{f"{field}__startswith": f"{name}|"})
        | Q(**{f"{field}__endswith": f"|{name}"})
        | Q(**{f"{field}__contains": f"|{name}|"})
    )


def _length(text: str, read_as: list[str]) -> Q | None:
    found = Q()
    for unit in (LengthUnit.INCH, LengthUnit.MM):
        try:
            reading = read_length(text, default_unit=unit)
        except InvalidInput:
            return None
        readings = reading.readings if isinstance(reading, LengthQuestion) else (reading,)
        for one in readings:
            found |= Q(length_mm__range=(one.mm - NEAR_MM, one.mm + NEAR_MM))
            read_as.append(one.said)
    return found
