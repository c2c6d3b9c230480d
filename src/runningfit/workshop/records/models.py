"""The shop, its jobs and engines, and the append-only record of every change."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q


class Kept(models.Model):
    """A row that is never deleted: taking it back marks it withdrawn."""

    withdrawn = models.BooleanField(default=False)

    class Meta:
        abstract = True


class Shop(models.Model):
    """What the shop says once for all its jobs; there is one row."""

    name = models.CharField(max_length=120, blank=True)
    label_address = models.CharField(max_length=200, blank=True)
    currency = models.CharField(max_length=8, default="£")
    unit = models.CharField(max_length=2, default="in", choices=[("in", "inches"), ("mm", "millimetres")])


class Job(Kept):
    """One rebuild, or the shop's loose stock (which has no subject engine)."""

    name = models.CharField(max_length=120)
    is_stock = models.BooleanField(default=False)
    is_demo = models.BooleanField(default=False)
    opened_on = models.DateField()
    closed_on = models.DateField(null=True, blank=True)
    wanted_by = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["is_stock"], condition=Q(is_stock=True), name="one_loose_stock"),
        ]

    def __str__(self) -> str:
        return self.name


class Engine(Kept):
    """An engine of a job: the subject, or a donor; its build date is a window, not a point."""

    SUBJECT = "subject"
    DONOR = "donor"

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="engines")
    role = models.CharField(max_length=8, choices=[(SUBJECT, "subject engine"), (DONOR, "donor engine")])
    name = models.CharField(max_length=120)
    number = models.CharField(max_length=60, blank=True)
    built_from = models.DateField(null=True, blank=True)
    built_to = models.DateField(null=True, blank=True)
    built_basis = models.CharField(max_length=200, blank=True)
    # Where its maker worked, as far as threads go: one of the countries of the core.
    country = models.CharField(max_length=40, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["job"],
                condition=Q(role="subject", withdrawn=False),
                name="one_subject_engine_a_job",
            ),
            models.CheckConstraint(
                condition=Q(built_from__isnull=True)
                | Q(built_to__isnull=True)
                | Q(built_from__lte=models.F("built_to")),
                name="built_window_runs_forward",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Record(models.Model):
    """One act: who did what, when and why. Append-only; an act is taken back by a reversing one."""

    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT, related_name="records")
    verb = models.CharField(max_length=60)
    summary = models.CharField(max_length=300)
    who = models.CharField(max_length=60)
    why = models.CharField(max_length=300, blank=True)
    at = models.DateTimeField(db_index=True)
    token = models.CharField(max_length=64, null=True, unique=True)
    reverses = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="reversed_by")

    class Meta:
        indexes = [models.Index(fields=["job", "-id"], name="record_job_newest")]

    def __str__(self) -> str:
        return self.summary


class Change(models.Model):
    """What one record did to one row: the fields before and after."""

    CREATED = "created"
    CHANGED = "changed"
    MOVED = "moved"
    REFERRED = "referred"

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="changes")
    kind = models.CharField(max_length=8)
    model = models.CharField(max_length=40)
    object_id = models.BigIntegerField()
    before: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    after: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["model", "object_id", "-id"], name="change_of_row")]
