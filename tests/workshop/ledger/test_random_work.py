"""Random work at the bench, kept by the program and by a pencil: both books say the same after every act."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from runningfit.core.errors import AlreadyDone, InvalidInput, RunningFitError
from runningfit.workshop.models import Holding, Job, Lot, Movement, Record
from runningfit.workshop.pieces import ledger, lots
from runningfit.workshop.pieces.lots import LotFacts
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.taking_back import standing, take_back
from runningfit.workshop.records.writing import Hand, write
from workshop.ledger.model import CUSTODIES, SOURCES, Books, RefusedError

counts = st.integers(1, 12)
picks = st.integers(0, 10_000)
LOOKS = st.sampled_from(["unknown", "clear", "black", "yellow"])
WORDS = st.sampled_from(["", "rusty", "bent", "=2+2", "½ worn"])


class TwoBooks(RuleBasedStateMachine):
    """The program's books beside the pencil's."""

    def __init__(self) -> None:
        super().__init__()
        self.inside = transaction.atomic()
        self.inside.__enter__()
        self.sent = 0

    @initialize()
    def open_the_job(self) -> None:
        self.pencil = Books()
        self.job = open_job(name="Launch engine", engine_name="Pellworth Tern", hand=Hand(who="Ann"))
        self.before = Record.objects.latest("id").pk

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.inside.__exit__(None, None, None)

    def both(self, program: Callable[[Hand], object], pencil: Callable[[str], object]) -> None:
        """Do an act in both books; both keep it, or both refuse it."""
        self.sent += 1
        token = f"form-{self.sent}"
        hand = Hand(who="Ann", why="a slip", token=token)
        self.again = (program, hand)
        said = {"program": "", "pencil": ""}
        try:
            with transaction.atomic():
                program(hand)
        except RunningFitError as error:
            said["program"] = f"refused: {error}"
        try:
            pencil(token)
        except RefusedError as error:
            said["pencil"] = f"refused: {error}"
        assert bool(said["program"]) == bool(said["pencil"]), said

    def pick(self, at: int, *, gone: bool = False) -> tuple[int, Lot]:
        """Return any lot by number, one that was withdrawn too now and then."""
        numbers = list(self.pencil.lots) if gone and at % 7 == 0 else self.pencil.living()
        number = (numbers or list(self.pencil.lots))[at % len(numbers or self.pencil.lots)]
        return number, Lot.objects.get(job=self.job, number=number)

    @rule(count=counts, source=st.sampled_from(SOURCES))
    def keep(self, count: int, source: str) -> None:
        self.both(
            lambda hand: lots.keep_lot(job=self.job, facts=LotFacts(count=count), hand=hand, source=source),
            lambda token: self.pencil.keep(token, [count], source),
        )

    @rule(many=st.lists(counts, min_size=2, max_size=12))
    def keep_many(self, many: list[int]) -> None:
        def program(hand: Hand) -> None:
            with write(verb="import", summary="took in a list", hand=hand, job=self.job) as entry:
                lots.keep_lots(entry, job=self.job, facts=[LotFacts(count=count) for count in many])

        self.both(program, lambda token: self.pencil.keep(token, many))

    @precondition(lambda self: self.pencil.lots)
    @rule(at=picks, count=counts, custody=st.sampled_from([None, *CUSTODIES]))
    def split(self, at: int, count: int, custody: str | None) -> None:
        number, lot = self.pick(at, gone=True)
        self.both(
            lambda hand: lots.split_lot(lot=lot, count=count, hand=hand, custody=custody),
            lambda token: self.pencil.split(token, number, count, custody),
        )

    @precondition(lambda self: self.pencil.lots)
    @rule(at=picks, count=counts, there=st.sampled_from(CUSTODIES), to=st.sampled_from(CUSTODIES))
    def move(self, at: int, count: int, there: str, to: str) -> None:
        number, lot = self.pick(at, gone=True)
        self.both(
            lambda hand: lots.move_pieces(lot=lot, count=count, from_custody=there, to_custody=to, hand=hand),
            lambda token: self.pencil.move(token, number, count, there, to),
        )

    @precondition(lambda self: self.pencil.lots)
    @rule(at=picks, counted=st.integers(0, 15), custody=st.sampled_from(CUSTODIES), missing=st.booleans())
    def recount(self, at: int, counted: int, custody: str, missing: bool) -> None:
        number, lot = self.pick(at, gone=True)
        self.both(
            lambda hand: lots.recount(lot=lot, counted=counted, hand=hand, custody=custody, missing=missing),
            lambda token: self.pencil.recount(token, number, counted, custody, missing=missing),
        )

    @precondition(lambda self: len(self.pencil.lots) > 1)
    @rule(at=picks, other=picks)
    def join(self, at: int, other: int) -> None:
        into_number, into = self.pick(at, gone=True)
        other_number, gone = self.pick(other, gone=True)
        self.both(
            lambda hand: lots.join_lots(into=into, other=gone, hand=hand),
            lambda token: self.pencil.join(token, into_number, other_number),
        )

    @precondition(lambda self: self.pencil.lots)
    @rule(at=picks, look=LOOKS, condition=WORDS)
    def change(self, at: int, look: str, condition: str) -> None:
        number, lot = self.pick(at, gone=True)
        self.both(
            lambda hand: lots.change_lot(lot=lot, hand=hand, finish_look=look, condition=condition),
            lambda token: self.pencil.change(token, number, look=look, condition=condition),
        )

    @precondition(lambda self: self.pencil.acts)
    @rule(back=st.integers(0, 30))
    def take_back(self, back: int) -> None:
        """Take back any act, the newest rather than old ones; also acts that must be refused."""
        at = max(0, len(self.pencil.acts) - 1 - back)
        record = Record.objects.get(token=self.pencil.acts[at].token)
        expected = self.pencil.dependents(at)
        leaning = standing(record)
        if not self.pencil.acts[at].reversal:
            newest = self.pencil.acts[expected[-1]].token if expected else None
            assert (leaning.token if leaning else None) == newest
        self.both(
            lambda hand: take_back(record=record, hand=hand),
            lambda token: self.pencil.take_back(token, at),
        )

    @precondition(lambda self: self.sent and self.pencil.acts)
    @rule()
    def send_the_last_form_again(self) -> None:
        program, hand = self.again
        if hand.token != self.pencil.acts[-1].token:
            return
        with pytest.raises(AlreadyDone, match="nothing was done twice"), transaction.atomic():
            program(hand)

    @precondition(lambda self: self.pencil.living())
    @rule(at=picks, count=st.sampled_from([0, -1, -4, 100_001, 2.5, True, "some", None]))
    def say_what_is_no_count(self, at: int, count: object) -> None:
        _number, lot = self.pick(at)
        hand = Hand(who="Ann")
        bad: int = count  # type: ignore[assignment]
        for act in (
            lambda: lots.keep_lot(job=self.job, facts=LotFacts(count=bad), hand=hand),
            lambda: lots.split_lot(lot=lot, count=bad, hand=hand),
            lambda: lots.move_pieces(lot=lot, count=bad, from_custody="bench", to_custody="store", hand=hand),
        ):
            with pytest.raises(InvalidInput, match="count needs a whole number"), transaction.atomic():
                act()

    @invariant()
    def both_say_the_same(self) -> None:
        if not hasattr(self, "pencil"):
            return
        stored = {lot.number: lot for lot in Lot.objects.filter(job=self.job)}
        held: dict[int, dict[str, int]] = {number: {} for number in stored}
        for number, account, count in Holding.objects.values_list("lot__number", "account", "count"):
            if count:
                held[number][account] = abs(count)
                assert (count > 0) == (account in CUSTODIES)
        assert held == self.pencil.counts()
        assert {
            number: (lot.finish_look, lot.condition, lot.withdrawn) for number, lot in stored.items()
        } == {number: (lot.look, lot.condition, lot.withdrawn) for number, lot in self.pencil.lots.items()}
        came, here = self.pencil.balance()
        assert came == here
        assert ledger.books_balance() == (came, here)
        assert all(lot.words == lot.words_now() for lot in stored.values())
        kept = list(Record.objects.filter(pk__gt=self.before).order_by("pk").values_list("token", flat=True))
        assert kept == [act.token for act in self.pencil.acts]
        assert Movement.objects.count() == sum(len(act.steps) for act in self.pencil.acts)


def random_work(examples: int, steps: int) -> None:
    run_state_machine_as_test(
        TwoBooks,
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


@pytest.mark.django_db
def test_a_day_of_random_work_leaves_the_books_as_a_pencil_would() -> None:
    random_work(examples=10, steps=30)
    assert not Job.objects.exists()


@pytest.mark.slow
@pytest.mark.django_db
def test_weeks_of_random_work_leave_the_books_as_a_pencil_would() -> None:
    random_work(examples=40, steps=60)
    assert not Job.objects.exists()
