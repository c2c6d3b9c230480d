"""Measuring beside the pages: a thread of the worker that took the photo, with a beat that says it lives.

Nobody waits in a request: the run is a row, and whoever looks at it reads its state, from any worker. A run
whose beat stopped died with its worker; it says so and can be measured again.
"""

from __future__ import annotations

import datetime as dt
import logging
import threading
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from django.db import DatabaseError, connections, transaction
from django.utils import timezone

from runningfit.core.photos.answers import CouldNotMeasure
from runningfit.core.photos.items import MeasuredPhoto
from runningfit.workshop.photos.files import read
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.measuring import Measurer, measurer
from runningfit.workshop.photos.printed_mats import as_prints
from runningfit.workshop.photos.proposed import piece_of
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.naming import prior_of

BEAT_S = 3.0
# So long without a beat, and whoever computed it is gone.
SILENT_S = 20.0
_LIVE = (PhotoRun.WAITING, PhotoRun.RUNNING)
_EVERY_S = 0.25
# One photo at a time in a process: the memory and the processors that measuring takes are those of one.
_one_at_a_time = threading.Lock()
log = logging.getLogger("runningfit")


def start(run_id: int) -> None:
    """Measure a run in a thread of its own, behind those that this process measures already."""
    threading.Thread(target=_work, args=(run_id,), name=f"hardware-{run_id}", daemon=True).start()


def has_died(run: PhotoRun, now: dt.datetime | None = None) -> bool:
    """Return whether whoever measured this run is gone: it shall live and has no beat."""
    silent = (now or timezone.now()) - run.beat_at
    return run.state in _LIVE and silent > dt.timedelta(seconds=SILENT_S)


def compute(run_id: int, *, measure: Measurer | None = None) -> None:
    """Measure a waiting run here and now, and keep what comes of it; one that another measures is left alone.

    Parameters
    ----------
    run_id : int
        The run.
    measure : callable or None
        What measures; None is what the settings name.
    """
    worker = uuid.uuid4().hex
    claimed = PhotoRun.objects.filter(pk=run_id, state=PhotoRun.WAITING, withdrawn=False).update(
        state=PhotoRun.RUNNING, worker=worker, step="opening the photo", beat_at=timezone.now()
    )
    if not claimed:
        return
    run = PhotoRun.objects.select_related("job", "photo", "mat", "bag__area").get(pk=run_id)
    # What is known beforehand of these threads is what would be of a lot of this job, in the area of the bag.
    prior = prior_of(Lot(job=run.job, area=run.bag.area if run.bag else None))
    try:
        came = (measure or measurer())(
            read(run.photo, "original"),
            f"photo {run.photo_id}",
            as_prints(run.mat),
            prior,
            _Telling(run_id, worker),
        )
    except Exception as error:
        log.exception("Measuring photo %s broke off", run.photo_id)
        _end(
            run_id,
            worker,
            state=PhotoRun.BROKE,
            reason=f"The measuring broke off: {error}"[:400],
            remedy="Measure it again; if it breaks off again, photograph the pieces anew.",
        )
        return
    mat_id = came.mat.mat_id if came.mat else None
    scale = came.mat.print_scale if came.mat else None
    if isinstance(came.answer, CouldNotMeasure):
        refused = came.answer
        _end(
            run_id,
            worker,
            state=PhotoRun.REFUSED,
            mat_id=mat_id,
            print_scale=scale,
            fault=refused.fault.value,
            reason=refused.reason[:400],
            remedy=refused.remedy[:400],
        )
    else:
        _keep(run, worker, came.answer, mat_id)


class _Telling:
    """Tells the row how far the measuring is, but not more often than anybody looks."""

    def __init__(self, run_id: int, worker: str) -> None:
        self._row = PhotoRun.objects.filter(pk=run_id, worker=worker)
        self._told = 0.0
        self._step = ""

    def __call__(self, step: str, share: float) -> None:
        now = time.monotonic()
        if step == self._step and now - self._told < _EVERY_S:
            return
        self._told, self._step = now, step
        # What cannot be told now is told by the next step; the measuring itself goes on.
        with suppress(DatabaseError):
            self._row.update(step=step[:80], share=min(max(share, 0.0), 1.0), beat_at=timezone.now())


def _keep(run: PhotoRun, worker: str, measured: MeasuredPhoto, mat_id: int | None) -> None:
    with transaction.atomic():
        ended = _end(
            run.pk,
            worker,
            state=PhotoRun.MEASURED,
            mat_id=mat_id,
            print_scale=measured.print_scale,
            gsd_mm=measured.gsd_mm,
            width_px=measured.width_px,
            height_px=measured.height_px,
            cautions=list(measured.cautions),
            steps_s=dict(measured.steps_s),
        )
        if ended:
            PhotoPiece.objects.bulk_create([piece_of(run, item) for item in measured.items], batch_size=200)


def _end(run_id: int, worker: str, **values: object) -> int:
    now = timezone.now()
    mine = PhotoRun.objects.filter(pk=run_id, worker=worker, state=PhotoRun.RUNNING)
    return mine.update(step="", share=1.0, beat_at=now, ended_at=now, **values)


def _work(run_id: int) -> None:
    try:
        with _beating(run_id), _one_at_a_time:
            compute(run_id)
    finally:
        connections.close_all()


@contextmanager
def _beating(run_id: int) -> Iterator[None]:
    over = threading.Event()
    beat = threading.Thread(target=_beat, args=(run_id, over), daemon=True)
    beat.start()
    try:
        yield
    finally:
        over.set()
        beat.join()


def _beat(run_id: int, over: threading.Event) -> None:
    row = PhotoRun.objects.filter(pk=run_id, state__in=_LIVE)
    try:
        while not over.wait(BEAT_S):
            with suppress(DatabaseError):
                row.update(beat_at=timezone.now())
    finally:
        connections.close_all()
