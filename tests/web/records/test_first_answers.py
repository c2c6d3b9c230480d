"""What a worker reads ahead, and that a drawn page leaves nothing behind."""

from __future__ import annotations

import gc
import weakref
from typing import Any, NoReturn

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.db import OperationalError
from django.shortcuts import render
from django.template.engine import Engine
from django.test import Client, RequestFactory

from runningfit.project.wsgi import judge_ahead, read_ahead
from runningfit.workshop.build import all_jobs, standing
from runningfit.workshop.measurements import judging
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import last_changed_job
from runningfit.workshop.records.services import add_donor, open_job
from runningfit.workshop.records.writing import Hand


class Row:
    """Anything that a page shows."""


@pytest.mark.django_db
def test_the_front_page_finds_what_was_read_ahead(
    client: Client, job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(all_jobs, "_standings", standing.Standings())
    read_ahead()

    def again(_jobs: object) -> NoReturn:
        raise AssertionError("the jobs were reckoned again")

    monkeypatch.setattr(standing, "reckon", again)
    assert job.name in client.get("/").content.decode()


@pytest.mark.django_db
def test_the_job_that_was_worked_on_last_is_judged_ahead(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    open_job(name="Later", engine_name="another", hand=Hand(who="Ann"))
    add_donor(job=job, name="a donor", hand=Hand(who="Ann"))
    judged: list[Job] = []
    monkeypatch.setattr(judging, "judged_of_job", judged.append)
    judge_ahead()
    assert judged == [job]


@pytest.mark.django_db
def test_in_an_empty_shop_nothing_is_judged_ahead() -> None:
    judge_ahead()
    assert last_changed_job() is None


def test_templates_are_read_although_the_books_cannot_be(monkeypatch: pytest.MonkeyPatch) -> None:
    def held(*, today: object) -> NoReturn:
        raise OperationalError("database is locked")

    monkeypatch.setattr(all_jobs, "all_jobs", held)
    of_parts: Any = Engine.get_default().template_loaders[0]
    loader = of_parts.loaders[0]
    loader.reset()
    read_ahead()
    assert {"base.html", "plan/foreign.html", "pieces/find.html"} <= loader.get_template_cache.keys()


@pytest.mark.django_db
def test_a_drawn_page_gives_its_rows_back_at_once(rf: RequestFactory) -> None:
    request = rf.get("/")
    request.session = SessionStore()
    row = Row()
    kept = weakref.ref(row)
    gc.disable()
    try:
        assert render(request, "500.html", {"said": row}).status_code == 200
        del row
        assert kept() is None, "something still holds what the page showed"
    finally:
        gc.enable()
