"""Tables of what goes with what: the shims under the valves, and which pairing a person kept."""

from __future__ import annotations

from typing import Any

from django.db import models

from runningfit.workshop.records.models import Job, Kept

MATCHES = [
    ("pistons", "pistons to bores"),
    ("weights", "parts by weight"),
    ("shims", "shims to valves"),
]
CHOICES = [("best", "the best"), ("second", "the second best")]


class ShimSheet(Kept):
    """The valves of a job, each with its clearance and the shim under it, and the limits for all of them.

    ``rows`` holds a name, ``clearance_mm`` and ``shim_mm`` for each valve, and limits of its own where it has
    some; ``typed`` keeps it all as typed. Shims are sold from ``first_mm`` to ``last_mm`` by ``step_mm``.
    """

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="shim_sheet")
    rows: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(default=list)
    least_mm = models.FloatField(null=True, blank=True)
    most_mm = models.FloatField(null=True, blank=True)
    u_mm = models.FloatField(null=True, blank=True)
    first_mm = models.FloatField(null=True, blank=True)
    last_mm = models.FloatField(null=True, blank=True)
    step_mm = models.FloatField(null=True, blank=True)
    source = models.CharField(max_length=120, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)


class MatchDecision(Kept):
    """Which pairing a person kept. Never edited: a later one takes its place, and it can be taken back.

    ``pairs`` are the pairs in words as they stood on the page under their ``heads``, ``said`` is the line
    above them, ``asked`` the sets, limits and aim that they were worked out for.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="match_decisions")
    kind = models.CharField(max_length=8, choices=MATCHES)
    choice = models.CharField(max_length=6, choices=CHOICES)
    heads: models.JSONField[list[str], list[str]] = models.JSONField(default=list)
    pairs: models.JSONField[list[list[str]], list[list[str]]] = models.JSONField(default=list)
    said = models.CharField(max_length=300)
    asked: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
    why = models.CharField(max_length=300, blank=True)
    who = models.CharField(max_length=60)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["job", "kind", "-id"], name="match_decision_of_job")]

    @property
    def lines(self) -> list[list[tuple[str, str]]]:
        """Return the cells of each pair, each under its heading."""
        return [list(zip(self.heads, pair, strict=False)) for pair in self.pairs]

    def __str__(self) -> str:
        return f"kept: {self.get_kind_display()}"
