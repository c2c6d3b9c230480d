"""Queries that are built once return what the same queries built anew return."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from django.db import connection
from django.db.models import Count, QuerySet

from runningfit.workshop.pieces.models import Area, Bag
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.prepared import Limit, attach, prepared
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

HAND = Hand(who="Ann")
BUILT: list[tuple[object, ...]] = []


@prepared
def areas_named(job_id: int | None, names: str, most: Limit) -> QuerySet[Area]:
    BUILT.append((job_id, names, most))
    areas = Area.objects.filter(name=names).select_related("job").order_by("pk")
    return (areas if job_id is None else areas.filter(job=job_id))[:most]


@prepared
def by_job(jobs: list[int]) -> QuerySet[Area, tuple[int, int]]:
    BUILT.append(tuple(jobs))
    areas = Area.objects.filter(job__in=jobs).order_by("job")
    return areas.values_list("job_id").annotate(Count("pk"))


@prepared
def like(word: str) -> QuerySet[Area]:
    BUILT.append((word,))
    return Area.objects.filter(name__icontains=word)


@pytest.fixture
def jobs(db: None) -> list[Job]:
    """Return three jobs, the second with two areas of one name, the third with one of another."""
    BUILT.clear()
    made = [open_job(name=f"Job {n}", engine_name=f"engine {n}", hand=HAND) for n in range(3)]
    for job, name in ((made[1], "head"), (made[1], "head"), (made[2], "gear case")):
        Area.objects.create(job=job, name=name)
    return made


def test_other_values_go_into_the_query_that_was_built_for_the_first(jobs: list[Job]) -> None:
    areas_named(jobs[0].pk, "no such area", Limit(9))
    built = len(BUILT)
    heads = areas_named(jobs[1].pk, "head", Limit(9))
    assert [(area.name, area.job.name) for area in heads] == [("head", "Job 1")] * 2
    assert [area.job_id for area in areas_named(jobs[2].pk, "gear case", Limit(9))] == [jobs[2].pk]
    assert len(BUILT) == built


def test_nothing_and_a_limit_are_parts_of_the_query(jobs: list[Job]) -> None:
    assert len(areas_named(None, "head", Limit(9))) == 2
    assert len(areas_named(None, "head", Limit(1))) == 1
    assert areas_named(jobs[2].pk, "head", Limit(9)) == []


def test_lists_of_any_length_find_each_row_once(jobs: list[Job]) -> None:
    every = [(jobs[1].pk, 2), (jobs[2].pk, 1)]
    assert by_job([job.pk for job in jobs]) == every
    assert by_job([jobs[2].pk]) == every[1:]
    assert by_job([job.pk for job in jobs] * 400) == every


def test_an_empty_list_finds_nothing_without_asking(jobs: list[Job], django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        assert by_job([]) == []


@pytest.mark.parametrize("number", [-7, 2**31, 2**40])
def test_a_number_that_no_field_holds_finds_nothing(jobs: list[Job], number: int) -> None:
    assert areas_named(number, "head", Limit(9)) == []


@pytest.mark.parametrize("text", ["", "%", "'; --", 'a "head"', "mark 2000000012", "Kopf ä ✓"])
def test_any_text_is_only_a_text(jobs: list[Job], text: str) -> None:
    assert areas_named(None, text, Limit(9)) == []
    Area.objects.create(job=jobs[0], name=text)
    assert [area.name for area in areas_named(None, text, Limit(9))] == [text]


def test_a_pattern_is_built_anew_each_time(jobs: list[Job]) -> None:
    assert [area.name for area in like("gear")] == ["gear case"]
    built = len(BUILT)
    assert like("100%") == []
    assert {area.name for area in like("EAD")} == {"head"}
    assert len(BUILT) == built + 2


@pytest.mark.django_db(transaction=True)
def test_threads_ask_on_their_own_connections() -> None:
    job = open_job(name="Job", engine_name="engine", hand=HAND)
    Area.objects.create(job=job, name="head")
    assert len(by_job([job.pk])) == 1
    found: list[object] = []

    def ask() -> None:
        try:
            found.append(by_job([job.pk]))
        finally:
            connection.close()

    threads = [threading.Thread(target=ask) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [[(job.pk, 1)]] * 4


def test_rows_learn_what_they_point_to_with_one_query_for_each_table(
    jobs: list[Job], django_assert_num_queries: Any
) -> None:
    engine = Engine.objects.filter(job=jobs[1]).get()
    Area.objects.filter(job=jobs[1]).update(engine=engine)
    areas = list(Area.objects.order_by("pk"))
    with django_assert_num_queries(2):
        attach(areas, "job", "engine")
        assert [(area.job.name, area.engine and area.engine.name) for area in areas] == [
            ("Job 1", "engine 1"),
            ("Job 1", "engine 1"),
            ("Job 2", None),
        ]
    bags: list[Bag] = []
    with django_assert_num_queries(0):
        attach(bags, "area")
