"""Tables of what was measured of the threads of a lot: which thread it is, how it stands to its limits."""

from __future__ import annotations

from typing import Any

from django.db import models

from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Kept

ENDS = [("end_a", "one end"), ("end_b", "the other end")]


class MeasuredThread(Kept):
    """What was typed of one end of a lot and what it means; never edited, a later row takes its place."""

    end = models.CharField(max_length=5, choices=ENDS, default="end_a")
    internal = models.BooleanField(default=False)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
    readings: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    at = models.DateTimeField()
    who = models.CharField(max_length=60)
    why = models.CharField(max_length=300, blank=True)

    class Meta:
        abstract = True


class ThreadNaming(MeasuredThread):
    """Which thread the end of a lot is, as computed from its readings, and what a person made of it.

    ``kept_as`` is the designation kept, or empty where it was kept open. ``candidates`` are the threads with
    their probabilities as they stood then; ``prior`` is what was taken as known before anything was measured.
    """

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="namings")
    kept_as = models.CharField(max_length=60, blank=True)
    candidates: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(default=list)
    none_of_these = models.FloatField()
    tell_apart = models.CharField(max_length=400, blank=True)
    prior: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    prior_said = models.TextField(blank=True)
    earlier = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="later_namings"
    )

    class Meta:
        indexes = [models.Index(fields=["lot", "-id"], name="naming_of_lot")]

    def __str__(self) -> str:
        return f"thread named: {self.kept_as or 'kept open'}"


class ThreadGauging(MeasuredThread):
    """A thread of a lot held against the limits of a class: the readings or gauges, and what they come to."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="gaugings")
    designation = models.CharField(max_length=60)
    thread_class = models.CharField(max_length=10)
    outcome = models.CharField(max_length=24)
    reasons: models.JSONField[list[str], list[str]] = models.JSONField(default=list)
    cautions: models.JSONField[list[str], list[str]] = models.JSONField(default=list)
    probability = models.FloatField(null=True, blank=True)
    earlier = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="later_gaugings"
    )

    class Meta:
        indexes = [models.Index(fields=["lot", "-id"], name="gauging_of_lot")]

    def __str__(self) -> str:
        return f"thread gauged: {self.designation} {self.thread_class}, {self.outcome.replace('_', ' ')}"
