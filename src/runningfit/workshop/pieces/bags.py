"""Verbs and reads of bags: make, pack, count, label."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Max, QuerySet, Sum
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.workshop.pieces.bag_codes import free_code, looks_of, normal_code
from runningfit.workshop.pieces.ledger import Counts, count_of, counts_of, need_count
from runningfit.workshop.pieces.lots import change_facts, count_again, split_off
from runningfit.workshop.pieces.models import Area, Bag, Holding, Lot
from runningfit.workshop.records.models import Change, Job
from runningfit.workshop.records.prepared import Limit, attach, prepared
from runningfit.workshop.records.writing import Entry, Hand, write

# A bag holds what is on the bench, in the store, or outside with the bag; what is fitted has left it.
IN_A_BAG = ("bench", "store", "outside")


@dataclass(frozen=True, slots=True)
class BaggedLot:
    """A lot in a bag with its counts."""

    lot: Lot
    counts: Counts

    @property
    def pieces(self) -> int:
        """Return the pieces that the bag holds, here or outside."""
        return self.counts.here + self.counts.outside


@dataclass(frozen=True, slots=True)
class BagLine:
    """A bag as one line of a list: how many lots and pieces it holds, and whether its label is true."""

    bag: Bag
    lots: int
    pieces: int
    label_stale: bool


def new_code(job: Job) -> str:
    """Return the next free code of a job: short, without look-alikes, not to be mistaken for another."""
    return free_code(_codes(job.pk))


def make_bag(*, job: Job, hand: Hand, code: str = "", area: Area | None = None, note: str = "") -> Bag:
    """Make a bag; an empty code takes the next free one.

    Raises
    ------
    InvalidInput
        The code has other signs than letters and figures, or more than twelve.
    Conflict
        The job has a bag of that code, or of one that a worn tag makes alike.
    """
    wanted = normal_code(code, argument="code") if code.strip() else ""
    with write(verb="make_bag", summary="made a bag", hand=hand, job=job) as entry:
        bag = make_bag_inside(entry, job=job, code=wanted, area=area, note=note)
        entry.say(f"made bag {bag.code}")
    return bag


def make_bag_inside(
    entry: Entry, *, job: Job, code: str = "", area: Area | None = None, note: str = ""
) -> Bag:
    """Make a bag inside an open record; see make_bag."""
    if code:
        _need_no_double(job, code)
    entry.refer(area)
    return entry.create(Bag(job=job, code=code or new_code(job), area=area, note=note.strip()[:300]))


def change_bag(
    *, bag: Bag, hand: Hand, area: Area | None = None, note: str | None = None, packed: bool | None = None
) -> Bag:
    """Change a bag's area or note, or say that it is packed or open again; None leaves as it is."""
    values: dict[str, object] = {}
    if area is not None:
        values["area"] = area
    if note is not None:
        values["note"] = note.strip()[:300]
    if packed is not None:
        values["packed_on"] = timezone.localdate() if packed else None
    said = {True: "packed", False: "opened", None: "changed"}[packed]
    with write(verb="change_bag", summary=f"{said} bag {bag.code}", hand=hand, job=bag.job) as entry:
        bag = _still_there(bag)
        entry.refer(area)
        return entry.change(bag, **values)


def pack(*, bag: Bag, lots: Sequence[tuple[Lot, int]], hand: Hand) -> list[Lot]:
    """Put pieces of lots into a bag; a lot of which only some go in is split.

    Parameters
    ----------
    bag : Bag
        Where they go.
    lots : sequence of (Lot, int)
        Each with how many of it.

    Returns
    -------
    list of Lot
        The lots as they are in the bag now.

    Raises
    ------
    Conflict
        A lot belongs to another job.
    LedgerRefused
        There are not that many here.
    """
    if not lots:
        raise InvalidInput("lots", needs="at least one lot", came="none", remedy="Tick what goes in.")
    with write(verb="pack", summary=f"packed into bag {bag.code}", hand=hand, job=bag.job) as entry:
        bag = _still_there(bag)
        packed = [_put_in(entry, bag, lot, count) for lot, count in lots]
        entry.refer(bag)
        entry.say(
            f"packed into bag {bag.code}: "
            + ", ".join(f"{count} of lot {lot.number}" for lot, (_, count) in zip(packed, lots, strict=True))
        )
    return packed


def take_out(*, lot: Lot, hand: Hand) -> Lot:
    """Take a lot out of its bag; its pieces stay where they are in the books."""
    code = lot.bag.code if lot.bag else ""
    summary = f"took lot {lot.number} out of bag {code}"
    with write(verb="take_out", summary=summary, hand=hand, job=lot.job) as entry:
        return change_facts(entry, lot, bag=None)


def count_bag(*, bag: Bag, counted: Sequence[tuple[Lot, int]], hand: Hand, missing: bool = True) -> int:
    """Enter a fresh count of lots in a bag, one record for all; returns how many differ.

    Parameters
    ----------
    counted : sequence of (Lot, int)
        How many of each lot are here now, on the bench and in the store together.
    missing : bool
        True when fewer means that some are missing; False when the first count was wrong.
    """
    with write(verb="count_bag", summary=f"counted bag {bag.code}", hand=hand, job=bag.job) as entry:
        different = 0
        for lot, count in counted:
            if lot.bag_id != bag.pk:
                raise Conflict(f"Lot {lot.number} is not in bag {bag.code} any more. Load the page again.")
            different += _count_here(entry, lot, count, missing=missing)
        entry.refer(bag)
        entry.say(f"counted bag {bag.code}: {'all as written' if not different else f'{different} differ'}")
    return different


def mark_labelled(*, job: Job, bags: Sequence[Bag], hand: Hand) -> None:
    """Note that labels were printed for bags, with what was in them at this moment."""
    if not bags:
        raise InvalidInput("bags", needs="at least one bag", came="none", remedy="Tick the bags to label.")
    summary = f"labels for {len(bags)} bag{'s' if len(bags) > 1 else ''}"
    with write(verb="mark_labelled", summary=summary, hand=hand, job=job) as entry:
        for bag in bags:
            entry.change(bag, labelled_on=timezone.localdate())
            # Printed twice on one day nothing changes in the row, yet this moment counts.
            entry.refer(bag)


@prepared
def _bag(job_id: int, code: str) -> QuerySet[Bag]:
    return Bag.objects.select_related("job", "area").filter(job=job_id, code=code, withdrawn=False)


@prepared
def _lots_in(bag: int) -> QuerySet[Lot]:
    return Lot.objects.filter(bag=bag, withdrawn=False).order_by("number")


@prepared
def _codes(job_id: int) -> QuerySet[Bag, str]:
    return Bag.objects.filter(job=job_id, withdrawn=False).values_list("code", flat=True)


def bag_by_code(job: Job, code: str) -> Bag:
    """Return a bag of a job by its code however it is typed, or raise NotFound saying what to do."""
    try:
        wanted = normal_code(code)
    except InvalidInput as error:
        raise NotFound(str(error)) from error
    bag = next(iter(_bag(job.pk, wanted)), None)
    if bag is None:
        raise NotFound(f"There is no bag {wanted} in the job {job.name}. Look at the list of its bags.")
    return bag


def contents(bag: Bag) -> list[BaggedLot]:
    """Return the lots of a bag with their counts, by number."""
    lots = _lots_in(bag.pk)
    attach(lots, "area")
    counts = counts_of(lots)
    return [BaggedLot(lot, counts[lot.pk]) for lot in lots]


def contents_of(bags: Sequence[Bag]) -> dict[int, list[BaggedLot]]:
    """Return the contents of many bags at once, by the bag's id."""
    lots = list(Lot.objects.filter(bag__in=bags, withdrawn=False).select_related("area").order_by("number"))
    counts = counts_of(lots)
    by_bag: dict[int, list[BaggedLot]] = {bag.pk: [] for bag in bags}
    for lot in lots:
        if lot.bag_id is not None:
            by_bag[lot.bag_id].append(BaggedLot(lot, counts[lot.pk]))
    return by_bag


def bags_of(job: Job) -> QuerySet[Bag]:
    """Return the bags of a job by code."""
    return Bag.objects.filter(job=job, withdrawn=False).select_related("area").order_by("code")


def page_of_bags(job: Job, *, most: int, after: str = "") -> list[Bag]:
    """Return so many bags of a job by code, from the one after a given code."""
    bags = _bags(job.pk, after, Limit(most))
    attach(bags, "area")
    return bags


@prepared
def _bags(job_id: int, after: str, most: Limit) -> QuerySet[Bag]:
    return Bag.objects.filter(job=job_id, withdrawn=False, code__gt=after).order_by("code")[:most]


def bag_lines(bags: Sequence[Bag]) -> list[BagLine]:
    """Return bags as lines of a list, with few queries however many they are."""
    ids = [bag.pk for bag in bags]
    lots = dict(_lots_by_bag(ids))
    pieces = dict(_pieces_by_bag(ids))
    stale = stale_labels(bags)
    return [BagLine(bag, lots.get(bag.pk, 0), pieces.get(bag.pk, 0), bag.pk in stale) for bag in bags]


@prepared
def _lots_by_bag(bags: Sequence[int]) -> QuerySet[Lot, tuple[int | None, int]]:
    lots = Lot.objects.filter(bag__in=bags, withdrawn=False)
    return lots.order_by().values_list("bag").annotate(Count("pk"))


@prepared
def _pieces_by_bag(bags: Sequence[int]) -> QuerySet[Holding, tuple[int | None, int]]:
    held = Holding.objects.filter(lot__bag__in=bags, lot__withdrawn=False, account__in=IN_A_BAG)
    return held.order_by().values_list("lot__bag").annotate(Sum("count"))


def stale_labels(bags: Sequence[Bag]) -> set[int]:
    """Return the ids of the labelled bags whose contents changed since their label was printed."""
    labelled = {bag.pk for bag in bags if bag.labelled_on}
    if not labelled:
        return set()
    printed: dict[int, int] = dict(
        Change.objects.filter(model="Bag", object_id__in=labelled, record__verb="mark_labelled")
        .values_list("object_id")
        .annotate(Max("record_id"))
        .order_by()
    )
    inside = dict(Lot.objects.filter(bag__in=labelled).values_list("pk", "bag"))
    since = Change.objects.filter(model="Lot", record_id__gt=min(printed.values(), default=0)).exclude(
        kind=Change.REFERRED
    )
    touched = [
        (inside[lot_id], record_id)
        for lot_id, record_id in since.filter(object_id__in=inside).values_list("object_id", "record_id")
    ]
    jobs = {bag.job_id for bag in bags}
    left = since.filter(kind=Change.CHANGED, record__job__in=jobs, before__bag_id__in=list(labelled))
    touched += left.values_list("before__bag_id", "record_id")
    return {bag_id for bag_id, record_id in touched if bag_id and record_id > printed.get(bag_id, 0)}


def _put_in(entry: Entry, bag: Bag, lot: Lot, count: int) -> Lot:
    need_count(count)
    lot = Lot.objects.select_for_update().get(pk=lot.pk)
    if lot.job_id != bag.job_id:
        raise Conflict(f"Lot {lot.number} belongs to another job than bag {bag.code}.")
    counts = count_of(lot)
    if count == counts.here and not counts.outside and not counts.fitted:
        return change_facts(entry, lot, bag=bag)
    custody = "bench" if counts.bench >= count else "store"
    return split_off(entry, lot, count=count, custody=custody, bag=bag)


def _count_here(entry: Entry, lot: Lot, counted: int, *, missing: bool) -> int:
    """Bring the books to what was counted; what lacks is taken to lack from the bench first."""
    counts = count_of(lot)
    if counted == counts.here:
        return 0
    in_store = min(counts.store, counted)
    count_again(entry, lot, counted=counted - in_store, custody="bench", missing=missing)
    if in_store != counts.store:
        count_again(entry, lot, counted=in_store, custody="store", missing=missing)
    return 1


def _still_there(bag: Bag) -> Bag:
    fresh = Bag.objects.select_for_update(of=("self",)).select_related("job").get(pk=bag.pk)
    if fresh.withdrawn:
        raise Conflict(f"Bag {fresh.code} was taken back meanwhile.")
    return fresh


def _need_no_double(job: Job, code: str) -> None:
    for other in Bag.objects.filter(job=job, withdrawn=False).values_list("code", flat=True):
        if other == code:
            raise Conflict(f"This job has a bag {code} already. Choose another code, or leave it empty.")
        if looks_of(other) == looks_of(code):
            raise Conflict(
                f"On a worn tag {code} looks like bag {other} of this job. Choose another code, "
                "or leave it empty for one that cannot be mistaken."
            )
