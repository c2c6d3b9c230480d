"""Taking back: in reverse order all is as it was; in any order it works, or says what depends on it."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.db import models, transaction
from hypothesis import given, settings
from hypothesis import strategies as st

from runningfit.core.errors import AlreadyDone, Conflict, RunningFitError
from runningfit.workshop.models import Area, Bag, Change, Engine, Job, Lot, Movement, Record
from runningfit.workshop.pieces import bags, ledger, lots, places
from runningfit.workshop.pieces.lots import LotFacts
from runningfit.workshop.records import services
from runningfit.workshop.records.archive import carried_models
from runningfit.workshop.records.taking_back import standing, take_back
from runningfit.workshop.records.writing import Hand, fields_of, write

ANN = Hand(who="Ann", why="a slip")
Act = Callable[[random.Random, Job], object]


def keep(dice: random.Random, job: Job) -> object:
    area, bag = some(dice, Area, job), some(dice, Bag, job)
    facts = LotFacts(count=dice.randint(1, 9), kind="hex_bolt", area=area, bag=bag)
    return lots.keep_lot(job=job, facts=facts, hand=ANN)


def keep_many(dice: random.Random, job: Job) -> object:
    with write(verb="import", summary="took in a list", hand=ANN, job=job) as entry:
        return lots.keep_lots(entry, job=job, facts=[LotFacts(count=2, kind="nut")] * dice.randint(2, 6))


def split(dice: random.Random, job: Job) -> object:
    return lots.split_lot(lot=need(dice, Lot, job), count=dice.randint(1, 4), hand=ANN, defect="bent")


def move(dice: random.Random, job: Job) -> None:
    there, to = dice.sample(["bench", "store", "outside", "missing", "scrapped"], 2)
    lot = need(dice, Lot, job)
    lots.move_pieces(lot=lot, count=dice.randint(1, 4), from_custody=there, to_custody=to, hand=ANN)


def recount(dice: random.Random, job: Job) -> object:
    lot, missing = need(dice, Lot, job), dice.random() < 0.5
    return lots.recount(lot=lot, counted=dice.randint(0, 12), hand=ANN, missing=missing)


def join(dice: random.Random, job: Job) -> object:
    return lots.join_lots(into=need(dice, Lot, job), other=need(dice, Lot, job), hand=ANN)


def change(dice: random.Random, job: Job) -> object:
    looks = {"finish_look": dice.choice(["clear", "black"]), "length_mm": dice.choice([25.4, 34.925, None])}
    return lots.change_lot(lot=need(dice, Lot, job), hand=ANN, **looks, area=some(dice, Area, job))


def add_area(dice: random.Random, job: Job) -> object:
    return places.add_area(job=job, name=f"Area {dice.random()}", hand=ANN, parent=some(dice, Area, job))


def make_bag(dice: random.Random, job: Job) -> object:
    return bags.make_bag(job=job, hand=ANN, area=some(dice, Area, job))


def pack(dice: random.Random, job: Job) -> object:
    lot = need(dice, Lot, job)
    return bags.pack(bag=need(dice, Bag, job), lots=[(lot, dice.randint(1, 9))], hand=ANN)


def change_bag(dice: random.Random, job: Job) -> object:
    return bags.change_bag(bag=need(dice, Bag, job), hand=ANN, note=f"note {dice.random()}")


def add_donor(dice: random.Random, job: Job) -> object:
    return services.add_donor(job=job, name=f"donor {dice.random()}", hand=ANN)


def change_job(dice: random.Random, job: Job) -> object:
    job.refresh_from_db()
    return services.change_job(job=job, hand=ANN, note=f"note {dice.random()}")


ACTS: list[Act] = [
    *(keep, keep, keep_many, split, split, move, move, recount, join, change, change),
    *(add_area, make_bag, pack, pack, change_bag, add_donor, change_job),
]


def some(dice: random.Random, model: type[models.Model], job: Job) -> Any:
    rows = list(model._default_manager.filter(job=job, withdrawn=False).order_by("pk"))
    return dice.choice([*rows, None])


def need(dice: random.Random, model: type[models.Model], job: Job) -> Any:
    rows = list(model._default_manager.filter(job=job, withdrawn=False).order_by("pk"))
    if not rows:
        raise Conflict("there is none yet")
    return dice.choice(rows)


def work(dice: random.Random, job: Job, acts: int) -> list[Record]:
    """Do random acts; those that are refused leave nothing, which the records show."""
    before = Record.objects.latest("pk").pk
    done = 0
    for _act in range(acts):
        try:
            with transaction.atomic():
                dice.choice(ACTS)(dice, job)
        except RunningFitError:
            continue
        done += 1
    records = list(Record.objects.filter(pk__gt=before).order_by("pk"))
    assert len(records) == done
    return records


def as_it_stands() -> dict[str, list[tuple[int, dict[str, Any]]]]:
    """Return every row that stands, of every table but the history's own."""
    return {
        model.__name__: [
            (row.pk, fields_of(row))
            for row in model._default_manager.order_by("pk")
            if not getattr(row, "withdrawn", False)
        ]
        for model in carried_models()
        if model not in (Record, Change, Movement)
    }


def holdings() -> dict[int, ledger.Counts]:
    standing_lots = Lot.objects.filter(withdrawn=False)
    return dict(ledger.counts_of(list(standing_lots)))


def on_a_fresh_job(seed: int, check: Callable[[random.Random, Job], None]) -> None:
    with transaction.atomic():
        job = services.open_job(name="Launch engine", engine_name="Pellworth Tern", hand=ANN)
        dice = random.Random(seed)
        work(dice, job, 8)
        check(dice, job)
        transaction.set_rollback(True)


def back_in_reverse_order(dice: random.Random, job: Job) -> None:
    before, counted = as_it_stands(), holdings()
    for record in reversed(work(dice, job, 14)):
        assert standing(record) is None
        take_back(record=record, hand=ANN)
    assert as_it_stands() == before
    assert holdings() == counted
    came, here = ledger.books_balance()
    assert came == here


def back_in_any_order(dice: random.Random, job: Job) -> None:
    before, counted = as_it_stands(), holdings()
    left = work(dice, job, 14)
    while left:
        record = dice.choice(left)
        leaning = standing(record)
        if leaning is None:
            take_back(record=record, hand=ANN)
            left.remove(record)
        else:
            assert leaning in left
            assert leaning.pk > record.pk
            named = re.escape(f"cannot be taken back: '{leaning.summary}' (Ann, ")
            with pytest.raises(Conflict, match=named), transaction.atomic():
                take_back(record=record, hand=ANN)
        came, here = ledger.books_balance()
        assert came == here
    assert as_it_stands() == before
    assert holdings() == counted


@pytest.mark.django_db
@settings(max_examples=12)
@given(seed=st.integers(0, 2**32))
def test_acts_taken_back_in_reverse_order_leave_every_table_as_it_was(seed: int) -> None:
    on_a_fresh_job(seed, back_in_reverse_order)


@pytest.mark.django_db
@settings(max_examples=12)
@given(seed=st.integers(0, 2**32))
def test_acts_taken_back_in_any_order_work_or_name_what_depends_on_them(seed: int) -> None:
    on_a_fresh_job(seed, back_in_any_order)


@pytest.fixture
def job(db: None) -> Job:
    return services.open_job(name="Launch engine", engine_name="Pellworth Tern", hand=ANN)


def newest() -> Record:
    return Record.objects.latest("pk")


def test_a_job_in_which_something_was_done_is_not_taken_back_from_under_it(job: Job) -> None:
    opened = newest()
    lots.keep_lot(job=job, facts=LotFacts(count=9), hand=ANN)
    with pytest.raises(Conflict, match=r"'kept lot 1: 9 other' .* depends on it"):
        take_back(record=opened, hand=ANN)
    take_back(record=newest(), hand=ANN)
    take_back(record=opened, hand=ANN)
    assert not Engine.objects.filter(withdrawn=False).exists()


def test_an_area_that_a_kept_lot_names_is_not_taken_back_from_under_it(job: Job) -> None:
    area = places.add_area(job=job, name="Gear case", hand=ANN)
    added = newest()
    lot = lots.keep_lot(job=job, facts=LotFacts(count=9, area=area), hand=ANN)
    kept = newest()
    lots.change_lot(lot=lot, hand=ANN, area=None)
    with pytest.raises(Conflict, match=r"'changed lot 1' \(Ann, .* depends on it"):
        take_back(record=added, hand=ANN)
    take_back(record=newest(), hand=ANN)
    assert standing(added) == kept


def test_the_form_that_takes_back_sent_twice_is_done_once_and_says_so(job: Job) -> None:
    lots.keep_lot(job=job, facts=LotFacts(count=9), hand=ANN)
    kept = newest()
    hand = Hand(who="Ann", why="a slip", token="form-1")
    take_back(record=kept, hand=hand)
    with pytest.raises(AlreadyDone, match="nothing was done twice"):
        take_back(record=kept, hand=hand)
    assert ledger.books_balance() == (0, 0)


def test_an_import_of_two_thousand_lots_is_taken_back_with_few_questions(
    job: Job, django_assert_max_num_queries: Any
) -> None:
    with write(verb="import", summary="took in a list", hand=ANN, job=job) as entry:
        lots.keep_lots(entry, job=job, facts=[LotFacts(count=2)] * 2000)
    with django_assert_max_num_queries(120):
        take_back(record=entry.record, hand=ANN)
    assert not Lot.objects.filter(withdrawn=False).exists()
    assert ledger.books_balance() == (0, 0)


def test_pieces_split_off_go_back_though_the_rest_of_their_lot_was_sent_out_since(job: Job) -> None:
    lot = lots.keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt"), hand=ANN)
    lots.split_lot(lot=lot, count=2, hand=ANN, defect="worn")
    split_off = newest()
    lots.move_pieces(lot=lot, count=7, from_custody="bench", to_custody="outside", hand=ANN)
    take_back(record=split_off, hand=ANN)
    counts = ledger.count_of(lot)
    assert (counts.bench, counts.outside) == (2, 7)


def test_pieces_split_off_and_sent_out_themselves_do_not_go_back(job: Job) -> None:
    lot = lots.keep_lot(job=job, facts=LotFacts(count=9, kind="hex_bolt"), hand=ANN)
    worn = lots.split_lot(lot=lot, count=2, hand=ANN, defect="worn")
    split_off = newest()
    lots.move_pieces(lot=worn, count=1, from_custody="bench", to_custody="outside", hand=ANN)
    with pytest.raises(Conflict, match=re.escape(f"'{newest().summary}'") + r".* depends on it"):
        take_back(record=split_off, hand=ANN)


@pytest.mark.django_db
def test_pieces_do_not_go_back_into_a_lot_that_was_joined_when_it_was_empty(job: Job) -> None:
    facts = LotFacts(count=5, kind="hex_bolt")
    into, other = (lots.keep_lot(job=job, facts=facts, hand=ANN) for _ in range(2))
    lots.recount(lot=other, counted=0, hand=ANN, missing=False)
    emptied = Record.objects.latest("pk")
    lots.join_lots(into=into, other=other, hand=ANN)
    joined = Record.objects.latest("pk")
    with pytest.raises(Conflict, match=re.escape(f"'{joined.summary}'") + r".* depends on it"):
        take_back(record=emptied, hand=ANN)
    assert ledger.count_of(Lot.objects.get(pk=other.pk)).usable == 0
    take_back(record=joined, hand=ANN)
    take_back(record=emptied, hand=ANN)
    again = Lot.objects.get(pk=other.pk)
    assert not again.withdrawn
    assert ledger.count_of(again).usable == 5
