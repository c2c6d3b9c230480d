"""A ranking is read once for each state of the database, and never when something has changed."""

from __future__ import annotations

import threading

import pytest
from django.db import connection, transaction

from runningfit.workshop.joints.ranking import ranked_joints
from runningfit.workshop.joints.reading import SaidOfLot
from runningfit.workshop.joints.services import say_of_lot
from runningfit.workshop.models import Job, KnownOfLot
from web.joints.judged_shop import ANN, a_lot, a_place

pytestmark = pytest.mark.django_db(transaction=True)


def test_it_is_kept_until_something_is_written_here_or_by_others(job: Job) -> None:
    lot = a_lot(job, a_place(job, "pump to case"))
    first = ranked_joints(job)
    assert ranked_joints(job) is first
    say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 8"), hand=ANN)
    second = ranked_joints(job)
    assert [one.facts.piece.grade for one in second] == ["SAE J429 8"]

    def elsewhere() -> None:
        KnownOfLot.objects.update(grade="SAE J429 5")
        connection.close()

    other = threading.Thread(target=elsewhere)
    other.start()
    other.join()
    assert [one.facts.piece.grade for one in ranked_joints(job)] == ["SAE J429 5"]


def test_nothing_of_a_change_that_is_rolled_back_is_kept(job: Job) -> None:
    lot = a_lot(job, a_place(job, "pump to case"))
    before = ranked_joints(job)
    with transaction.atomic():
        say_of_lot(lot=lot, said=SaidOfLot(grade="SAE J429 8"), hand=ANN)
        assert [one.facts.piece.grade for one in ranked_joints(job)] == ["SAE J429 8"]
        transaction.set_rollback(True)
    assert list(ranked_joints(job)) == list(before)
