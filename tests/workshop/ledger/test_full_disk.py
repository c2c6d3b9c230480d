"""A full disk, and books that somebody holds too long: said clearly, and nothing is lost or half kept."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from unittest.mock import patch

import pytest
from django.db import OperationalError, connection
from django.test import Client

from runningfit.web.middleware import trouble_with_the_folder
from runningfit.workshop.models import Job, Lot, Record
from runningfit.workshop.pieces import ledger
from runningfit.workshop.pieces.lots import LotFacts, keep_lot, keep_lots
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import WRITERS, Hand, write
from workshop.ledger.shop_floor import a_floor, answers, faults, kept, let_go, tokens

ANN = Hand(who="Ann")
FULL = [
    OperationalError("database or disk is full"),
    OperationalError("disk I/O error"),
    OperationalError("attempt to write a readonly database"),
    OperationalError('could not extend file "base/1/2": No space left on device'),
    OSError(errno.ENOSPC, "No space left on device"),
]
HELD = [
    OperationalError("database is locked"),
    OperationalError("canceling statement due to lock timeout"),
    OperationalError("deadlock detected"),
]


@contextmanager
def no_more_room() -> Iterator[None]:
    """Let the database file grow no more; on PostgreSQL fail as a full disk does there."""
    if connection.vendor != "sqlite":
        with patch.object(Record.objects.__class__, "create", side_effect=FULL[3]):
            yield
        return
    with connection.cursor() as cursor:
        (pages,) = cursor.execute("PRAGMA page_count").fetchone()
        cursor.execute(f"PRAGMA max_page_count = {pages}")
        try:
            yield
        finally:
            cursor.execute("PRAGMA max_page_count = 1073741823")


@pytest.fixture
def job(transactional_db: None) -> Job:
    return open_job(name="Launch engine", engine_name="Pellworth Tern", hand=ANN)


def test_a_list_that_does_not_fit_on_the_disk_is_not_kept_by_halves(job: Job) -> None:
    keep_lot(job=job, facts=LotFacts(count=9), hand=ANN)
    with (
        no_more_room(),
        pytest.raises(OperationalError, match=r"full|No space left"),
        write(verb="import", summary="took in a list", hand=ANN, job=job) as entry,
    ):
        keep_lots(entry, job=job, facts=[LotFacts(count=2, remarks="x" * 400)] * 2000)
    assert Lot.objects.count() == 1
    assert ledger.books_balance() == (9, 9)
    keep_lot(job=job, facts=LotFacts(count=1), hand=ANN)
    assert ledger.books_balance() == (10, 10)


def test_a_full_disk_is_said_on_a_page_with_what_to_do(client: Client, job: Job) -> None:
    with no_more_room():
        for number in range(200):  # noqa: B007  (how many were kept is asked below)
            answer = client.post("/jobs/new", {"name": "N" * 100, "engine_name": "Tern", "note": "x" * 9000})
            if answer.status_code != 302:
                break
    page = answer.content.decode()
    assert answer.status_code == 507
    assert "The disk with the data folder is full" in page
    assert "Make room on that disk, then go back and send it again" in page
    assert client.get("/").status_code == 200
    assert number == Job.objects.filter(name="N" * 100).count()


@pytest.mark.parametrize("error", FULL, ids=str)
def test_every_sort_of_full_disk_is_known(error: Exception) -> None:
    trouble = trouble_with_the_folder(error)
    assert trouble is not None
    assert trouble[1] == 507
    assert "Nothing that was kept before is lost" in str(trouble[0])


@pytest.mark.parametrize("error", HELD, ids=str)
def test_every_sort_of_waiting_too_long_is_known(error: Exception) -> None:
    trouble = trouble_with_the_folder(error)
    assert trouble is not None
    assert trouble[1] == 503
    assert "Wait a little, then go back and send it again" in str(trouble[0])


@pytest.mark.parametrize(
    "error", [OperationalError("no such table: x"), OSError(errno.EPERM, "no"), KeyError("x")]
)
def test_other_errors_stay_what_they_are(error: Exception) -> None:
    assert trouble_with_the_folder(error) is None


@pytest.mark.django_db
def test_books_held_too_long_are_said_on_a_page(client: Client) -> None:
    with patch("runningfit.workshop.records.writing._begin", side_effect=HELD[0]):
        answer = client.post("/jobs/new", {"name": "Launch", "engine_name": "Tern"})
    assert answer.status_code == 503
    assert "held the books too long" in answer.content.decode()
    assert not Job.objects.exists()


@pytest.mark.django_db
def test_a_disk_too_full_for_the_session_is_said_too(client: Client) -> None:
    client.raise_request_exception = False
    with patch("django.contrib.sessions.backends.db.SessionStore.save", side_effect=FULL[0]):
        answer = client.post("/who", {"who": "Ann"})
    assert answer.status_code == 507
    assert "The disk with the data folder is full" in answer.content.decode()


def test_a_writer_that_waits_too_long_is_told_so(job: Job) -> None:
    other = connection.copy()
    impatient: dict[str, object]
    if connection.vendor == "sqlite":
        impatient, wait = {"timeout": 0.2}, "BEGIN IMMEDIATE"
    else:
        impatient, wait = {"options": "-c lock_timeout=200ms"}, f"SELECT pg_advisory_xact_lock({WRITERS})"
    other.settings_dict = {
        **connection.settings_dict,
        "OPTIONS": {**connection.settings_dict["OPTIONS"], **impatient},
    }
    with (
        closing(other),
        write(verb="slow", summary="works for long", hand=ANN, job=job),
        other.cursor() as cursor,
        pytest.raises(OperationalError, match=r"database is locked|lock timeout") as refused,
    ):
        cursor.execute(wait)
    trouble = trouble_with_the_folder(refused.value)
    assert trouble is not None
    assert trouble[1] == 503


@pytest.mark.slow
def test_a_limit_on_the_file_size_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    with a_floor(tmp_path / "shop") as floor:
        limited = floor.start("limited", "ann", "50" if floor.url else "5000")
        let_go(limited)
        said = answers(limited)
        assert ["full"] in said or floor.url
        assert sorted(tokens(floor)) == sorted(kept(said))
        assert faults(floor) == []
        more = floor.start("form", "afterwards")
        let_go(more)
        assert kept(answers(more)) == ["afterwards"]
