"""Views of the records room: all jobs, one job, the history, who is here, the door."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth.hashers import check_password
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from runningfit.web.hands import hand, kept
from runningfit.web.middleware import SlowDoor
from runningfit.web.records.forms import DoorForm, EngineForm, OpenJobForm, WhoForm
from runningfit.workshop.build.all_jobs import all_jobs
from runningfit.workshop.records import services
from runningfit.workshop.records.closed_jobs import closing_said
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import (
    closed_jobs,
    engines_of,
    job_by_id,
)

slow_door = SlowDoor()
CLOSED_SHOWN = 100
# The loose stock has no engine: nothing of it is allotted from its own pages, and nothing is built there.
STOCK_WAY = (("strip", "Stock"), ("judge", "Judge"), ("send", "Send"))


def job_page(job: Job, here: str = "", **page: Any) -> dict[str, Any]:
    """Return what every page of a job shows: the job, its engine and build window, where we are."""
    engines = engines_of(job)
    engine = next((one for one in engines if one.role == Engine.SUBJECT), None)
    line = "what belongs to no job yet" if job.is_stock else ""
    if engine is not None:
        line = engine.name
        if engine.built_from or engine.built_to:
            ends = [f"{day:%b %Y}" if day else "?" for day in (engine.built_from, engine.built_to)]
            line += f", built {' to '.join(dict.fromkeys(ends))}"
        count = len(engines) - 1
        line += f" · {count} donor{'s' if count > 1 else ''}" if count else ""
    if job.closed_on is not None:
        line += f"{' · ' if line else ''}closed {job.closed_on:%-d %b %Y}"
    closed = closing_said(job) if job.closed_on is not None else ""
    shown = {"job": job, "engine": engine, "job_line": line, "here": here, "closed_said": closed, **page}
    return {**shown, "way": STOCK_WAY} if job.is_stock else shown


def jobs(request: HttpRequest) -> HttpResponse:
    """Show over all open jobs what is due, out, short or waiting for a person."""
    page = {
        "shown": all_jobs(today=timezone.localdate()),
        "closed": closed_jobs(most=CLOSED_SHOWN),
        "slip": "jobs",
        "title": "All jobs",
    }
    return render(request, "records/jobs.html", page)


def open_job(request: HttpRequest) -> HttpResponse:
    """Open a job with its subject engine."""
    form = OpenJobForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            job = services.open_job(**form.cleaned_data, hand=hand(request))
        if form.is_valid():
            return redirect("strip", job.pk)
    return render(request, "records/open_job.html", {"form": form, "title": "Open a job"})


def add_donor(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a donor engine to a job."""
    job = job_by_id(job_id)
    form = EngineForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        with kept(form):
            services.add_donor(
                job=job,
                name=values["engine_name"],
                number=values["engine_number"],
                built_from=values["built_from"],
                built_to=values["built_to"],
                built_basis=values["built_basis"],
                country=values["country"],
                hand=hand(request),
            )
        if form.is_valid():
            return redirect("strip", job.pk)
    return render(request, "records/donor.html", job_page(job, form=form, title="Add a donor engine"))


def who(request: HttpRequest) -> HttpResponse:
    """Ask who is at this device, once."""
    form = WhoForm(request.POST or None, initial={"who": request.session.get("who", "")})
    if request.method == "POST" and form.is_valid():
        request.session["who"] = form.cleaned_data["who"]
        return redirect(_safe(request, request.POST.get("next", "/")))
    page = {"form": form, "next": _safe(request, request.GET.get("next", "/")), "title": "Who is here?"}
    return render(request, "records/who.html", page)


def door(request: HttpRequest) -> HttpResponse:
    """Ask for the passcode when the shop's network is let in."""
    form = DoorForm(request.POST or None)
    device = request.META.get("REMOTE_ADDR", "")
    if request.method == "POST" and form.is_valid():
        if slow_door.waiting(device):
            form.add_error("passcode", "Too many wrong tries from this device. Wait a minute.")
        elif settings.PASSCODE_FILE.exists() and check_password(
            form.cleaned_data["passcode"], settings.PASSCODE_FILE.read_text(encoding="utf-8")
        ):
            request.session.cycle_key()
            request.session["let_in"] = True
            return redirect(_safe(request, request.POST.get("next", "/")))
        else:
            slow_door.wrong(device)
            form.add_error("passcode", "That is not the passcode of this shop.")
    page = {"form": form, "next": _safe(request, request.GET.get("next", "/")), "title": "The door"}
    return render(request, "records/door.html", page, status=200 if request.method == "GET" else 403)


def _safe(request: HttpRequest, url: str) -> str:
    return url if url_has_allowed_host_and_scheme(url, {request.get_host()}) else "/"
