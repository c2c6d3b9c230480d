"""Tables of hardware measured in photos: printed mats, runs, the pieces seen, what was corrected."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import Bag, Fastener
from runningfit.workshop.records.models import Job, Kept, Record

PAPERS = [("A4", "A4"), ("A3", "A3"), ("letter", "Letter")]


class PrintedMat(Kept):
    """A mat as it came out of the printer, with what its ruler measures; one of them is the usual one."""

    paper = models.CharField(max_length=8, choices=PAPERS)
    where = models.CharField(max_length=80, blank=True)
    scale_typed = models.CharField(max_length=40)
    print_scale = models.FloatField()
    measured_by = models.CharField(max_length=60)
    measured_on = models.DateField()
    usual = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["usual"], condition=Q(usual=True, withdrawn=False), name="one_usual_mat"
            ),
            models.CheckConstraint(
                condition=Q(print_scale__gte=0.9) & Q(print_scale__lte=1.1), name="a_scale_that_prints_have"
            ),
        ]

    def __str__(self) -> str:
        return f"the {self.get_paper_display()} mat{f' {self.where}' if self.where else ''}"


class PhotoRun(Kept):
    """One measuring of one photo: how far it is, what came of it, and the act by which it was accepted.

    Its state, step and beat are written by whoever computes, without a record: a reading is no act. The
    pieces are counted while the record ``accepted_by`` stands; taking that back frees them again.
    """

    WAITING, RUNNING, MEASURED, REFUSED, BROKE = "waiting", "running", "measured", "refused", "broke"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="photo_runs")
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="runs")
    mat = models.ForeignKey(PrintedMat, null=True, on_delete=models.PROTECT, related_name="runs")
    bag = models.ForeignKey(Bag, null=True, on_delete=models.PROTECT, related_name="photo_runs")
    asked_at = models.DateTimeField()
    asked_by = models.CharField(max_length=60)
    state = models.CharField(
        max_length=8,
        default=WAITING,
        choices=[
            (WAITING, "waits its turn"),
            (RUNNING, "is being measured"),
            (MEASURED, "measured"),
            (REFUSED, "could not be measured"),
            (BROKE, "broke off"),
        ],
    )
    step = models.CharField(max_length=80, blank=True)
    share = models.FloatField(default=0.0)
    worker = models.CharField(max_length=32, blank=True)
    beat_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    print_scale = models.FloatField(null=True)
    gsd_mm = models.FloatField(null=True)
    width_px = models.PositiveIntegerField(null=True)
    height_px = models.PositiveIntegerField(null=True)
    cautions: models.JSONField[list[str], list[str]] = models.JSONField(default=list)
    steps_s: models.JSONField[dict[str, float], dict[str, float]] = models.JSONField(default=dict)
    fault = models.CharField(max_length=20, blank=True)
    reason = models.CharField(max_length=400, blank=True)
    remedy = models.CharField(max_length=400, blank=True)
    accepted_by = models.ForeignKey(Record, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        indexes = [
            models.Index(fields=["job", "-id"], name="photo_run_newest"),
            models.Index(fields=["bag", "-id"], name="photo_run_of_bag"),
        ]

    def __str__(self) -> str:
        return f"hardware photo {self.pk}"


class PhotoPiece(Kept, Fastener):
    """A piece seen in a photo: what was proposed of it, which stays, and what it is said to be now.

    ``fate`` says aside for what is no piece, part for what belongs to the piece ``part_of``. Where a person
    split a piece, ``split_off`` of each part names it, of itself too; each has a part of its outline, and
    what was proposed of the whole.
    """

    ASIDE, PART = "aside", "part"

    run = models.ForeignKey(PhotoRun, on_delete=models.PROTECT, related_name="pieces")
    number = models.PositiveIntegerField()
    proposed: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    outline_px: models.JSONField[list[list[float]], list[list[float]]] = models.JSONField(default=list)
    outline_mm: models.JSONField[list[list[float]], list[list[float]]] = models.JSONField(default=list)
    x_mm = models.FloatField()
    y_mm = models.FloatField()
    finish_look = models.CharField(max_length=10, default="unknown")
    condition = models.CharField(max_length=120, blank=True)
    remark = models.CharField(max_length=200, blank=True)
    ask = models.CharField(max_length=400, blank=True)
    unsure = models.BooleanField(default=False)
    settled = models.BooleanField(default=False)
    fate = models.CharField(max_length=8, blank=True, default="")
    part_of = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="parts")
    split_off = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="splits")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["run", "number"], name="a_piece_once_a_photo")]

    def __str__(self) -> str:
        return f"piece {self.number}"


class PhotoCorrection(Kept):
    """What a person said of a piece in a photo beside what was proposed: labelled data of the shop."""

    SAID = [
        ("so", "it is so"),
        ("other", "it is something else"),
        ("no_piece", "no piece"),
        ("piece", "a piece after all"),
        ("part", "part of another piece"),
        ("several", "several pieces"),
    ]

    piece = models.ForeignKey(PhotoPiece, on_delete=models.PROTECT, related_name="corrections")
    what = models.CharField(max_length=8, choices=SAID)
    proposed: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    said: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    box_px: models.JSONField[list[int], list[int]] = models.JSONField(default=list)
    who = models.CharField(max_length=60)
    at = models.DateTimeField()
