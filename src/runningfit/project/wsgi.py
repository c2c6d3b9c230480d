"""The WSGI application that the server's workers load."""

import gc
import os
import threading
from contextlib import suppress
from pathlib import Path

from django.core.handlers.wsgi import WSGIHandler
from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "runningfit.project.settings")
application = get_wsgi_application()
# Every page is loaded now rather than when the first person waits for it.
_ = get_resolver().url_patterns

# What was loaded by now stays; looking through it for garbage again and again costs a large import a second.
gc.freeze()
# Ten thousand are looked through in a few milliseconds: with more at once, now and then a page stands still.
gc.set_threshold(10_000, 100, 20)


def reading_ahead() -> WSGIHandler:
    """Return the application for a worker that is starting, and read ahead beside it."""
    threading.Thread(target=_beside, name="reading ahead", daemon=True).start()
    return application


def read_ahead() -> None:
    """Reckon how every job stands and load every template, so that the first person need not wait for it."""
    from django.db import DatabaseError
    from django.template.engine import Engine
    from django.template.loader import get_template
    from django.utils import timezone

    from runningfit.workshop.build.all_jobs import all_jobs

    # What is wrong is said by the page that needs it, to the person who can do something about it.
    with suppress(DatabaseError):
        all_jobs(today=timezone.localdate())
    for folder in map(Path, Engine.get_default().dirs):
        for page in sorted(folder.rglob("*.html")):
            get_template(page.relative_to(folder).as_posix())


def judge_ahead() -> None:
    """Judge the job that was worked on last: the first time, twelve cylinders take some seconds."""
    from django.db import DatabaseError

    from runningfit.workshop.joints.fit_judging import judged_fits
    from runningfit.workshop.joints.ranking import ranked_joints
    from runningfit.workshop.measurements.judging import judged_of_job
    from runningfit.workshop.records.queries import last_changed_job

    with suppress(DatabaseError):
        job = last_changed_job()
        if job is not None:
            judged_of_job(job)
            judged_fits(job)
            ranked_joints(job)


def _beside() -> None:
    from django.db import connections

    try:
        read_ahead()
        judge_ahead()
    finally:
        # This thread ends, and nobody else closes what it opened.
        connections.close_all()
