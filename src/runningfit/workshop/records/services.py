"""Verbs of the records room: open a job, add an engine, say who we are."""

from __future__ import annotations

import datetime as dt

from django.db import IntegrityError
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.identification import Country
from runningfit.workshop.records.models import Engine, Job, Shop
from runningfit.workshop.records.writing import Hand, write

STOCK_NAME = "Loose stock of the shop"


def open_job(
    *,
    name: str,
    engine_name: str,
    hand: Hand,
    engine_number: str = "",
    built_from: dt.date | None = None,
    built_to: dt.date | None = None,
    built_basis: str = "",
    country: str = "",
    wanted_by: dt.date | None = None,
    note: str = "",
) -> Job:
    """Open a job with its subject engine, and the shop's loose stock with the first one.

    Parameters
    ----------
    name : str
        What the shop calls the job.
    engine_name : str
        What the engine is.
    built_from, built_to : date or None
        The window in which it was built; either side may be unknown.
    built_basis : str
        Where that knowledge comes from.
    country : str
        Where its maker worked, which tells what threads were usual; empty where nobody knows.

    Raises
    ------
    InvalidInput
        A name is missing, the window runs backwards, or threads are not known by that country.
    """
    need_words("name", name, "what you call this job")
    need_words("engine_name", engine_name, "what engine it is")
    need_window(built_from, built_to)
    need_country(country)
    loose_stock_kept(hand=hand)
    with write(verb="open_job", summary=f"opened the job {name}", hand=hand) as entry:
        job = entry.create(
            Job(name=name.strip(), opened_on=timezone.localdate(), wanted_by=wanted_by, note=note)
        )
        entry.record.job = job
        entry.record.save(update_fields=["job"])
        entry.create(
            Engine(
                job=job,
                role=Engine.SUBJECT,
                name=engine_name.strip(),
                number=engine_number.strip(),
                built_from=built_from,
                built_to=built_to,
                built_basis=built_basis.strip(),
                country=country,
            )
        )
    return job


def loose_stock_kept(*, hand: Hand) -> Job:
    """Return the shop's loose stock, keeping it first where it does not exist yet."""
    stock = Job.objects.filter(is_stock=True).first()
    if stock is not None:
        return stock
    try:
        with write(
            verb="open_stock", summary="opened the shop's loose stock", hand=Hand(who=hand.who)
        ) as entry:
            return entry.create(Job(name=STOCK_NAME, is_stock=True, opened_on=timezone.localdate()))
    except IntegrityError:
        # Two first jobs were opened at the same moment, and the other one was quicker.
        return Job.objects.get(is_stock=True)


def add_donor(
    *,
    job: Job,
    name: str,
    hand: Hand,
    number: str = "",
    built_from: dt.date | None = None,
    built_to: dt.date | None = None,
    built_basis: str = "",
    country: str = "",
) -> Engine:
    """Add a donor engine to a job."""
    need_words("name", name, "what engine it is")
    need_window(built_from, built_to)
    need_country(country)
    with write(verb="add_donor", summary=f"added the donor engine {name}", hand=hand, job=job) as entry:
        return entry.create(
            Engine(
                job=job,
                role=Engine.DONOR,
                name=name.strip(),
                number=number.strip(),
                built_from=built_from,
                built_to=built_to,
                built_basis=built_basis.strip(),
                country=country,
            )
        )


def change_engine(*, engine: Engine, hand: Hand, **values: object) -> Engine:
    """Change what is known of an engine: name, number, build window and where that comes from, country."""
    need_window(
        values.get("built_from", engine.built_from),  # type: ignore[arg-type]
        values.get("built_to", engine.built_to),  # type: ignore[arg-type]
    )
    need_country(str(values.get("country", "")))
    with write(
        verb="change_engine", summary=f"changed the engine {engine.name}", hand=hand, job=engine.job
    ) as entry:
        return entry.change(engine, **values)


def change_job(*, job: Job, hand: Hand, **values: object) -> Job:
    """Change a job's name, note or wanted-by."""
    if "name" in values:
        need_words("name", str(values["name"]), "what you call this job")
    with write(verb="change_job", summary=f"changed the job {job.name}", hand=hand, job=job) as entry:
        return entry.change(job, **values)


def close_job(*, job: Job, hand: Hand) -> Job:
    """Close a job: it leaves the front page, and its books stay as they are.

    Raises
    ------
    Conflict
        It is the loose stock, which no shop is ever done with, or it is closed already.
    """
    if job.is_stock:
        raise Conflict("The loose stock is never closed: the next job draws on it.")
    if job.closed_on is not None:
        raise Conflict(f"The job {job.name} was closed on {job.closed_on:%d %b %Y} already.")
    with write(verb="close_job", summary=f"closed the job {job.name}", hand=hand, job=job) as entry:
        return entry.change(job, closed_on=timezone.localdate())


def reopen_job(*, job: Job, hand: Hand) -> Job:
    """Open a closed job again.

    Raises
    ------
    Conflict
        It is not closed.
    """
    if job.closed_on is None:
        raise Conflict(f"The job {job.name} is open already.")
    with write(verb="reopen_job", summary=f"opened the job {job.name} again", hand=hand, job=job) as entry:
        return entry.change(job, closed_on=None)


def call_it_the_demo(*, job: Job, hand: Hand) -> Job:
    """Say that a job is the invented demo; said last, so that a demo that was not finished is known by it."""
    with write(
        verb="call_it_the_demo", summary=f"called the job {job.name} the demo", hand=hand, job=job
    ) as entry:
        return entry.change(job, is_demo=True)


def say_shop(*, hand: Hand, **values: str) -> Shop:
    """Say the shop's name, currency, preferred unit and the address that its labels carry."""
    with write(verb="say_shop", summary="changed what is said of the shop", hand=hand) as entry:
        shop = Shop.objects.order_by("pk").first() or Shop.objects.create()
        return entry.change(shop, **values)


def need_words(argument: str, value: str, needs: str) -> None:
    """Refuse an empty name."""
    if not value.strip():
        raise InvalidInput(argument, needs=needs, came=value, remedy="Type a few words.")


def need_country(country: str) -> None:
    """Refuse a country whose threads nothing is known of."""
    known = [one.value for one in Country]
    if country and country not in known:
        raise InvalidInput(
            "country", needs=f"one of {', '.join(known)}", came=country, remedy="Or leave it empty."
        )


def need_window(start: dt.date | None, end: dt.date | None) -> None:
    """Refuse a build window that runs backwards."""
    if start and end and start > end:
        raise InvalidInput(
            "built_to",
            needs=f"a date not before {start:%d %b %Y}, the start of the window",
            came=f"{end:%d %b %Y}",
            remedy="Swap the two dates.",
        )
