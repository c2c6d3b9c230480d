"""Tables of engine arithmetic beside sizes: what the maker gives, and what a degree wheel showed."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from runningfit.workshop.records.models import Engine, Kept

FIGURES = [
    ("swept", "swept volume of the engine"),
    ("ratio", "compression ratio"),
    ("speed", "mean piston speed"),
    ("IVO", "inlet opens before top"),
    ("IVC", "inlet closes after bottom"),
    ("EVO", "exhaust opens before bottom"),
    ("EVC", "exhaust closes after top"),
    ("overlap", "overlap"),
    ("inlet_lift", "lift of the inlet valve"),
    ("exhaust_lift", "lift of the exhaust valve"),
]


class MakersFigure(Kept):
    """What the maker gives for a figure of an engine, and where it stands; a later one takes its place.

    Limits are in ml, mm, m/s or degrees, as the figure is. Nothing counts as the maker's without its page.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="makers_figures")
    what = models.CharField(max_length=12, choices=FIGURES)
    lower = models.FloatField(null=True, blank=True)
    upper = models.FloatField(null=True, blank=True)
    source = models.CharField(max_length=120, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(lower__isnull=False) | Q(upper__isnull=False), name="a_figure_limits"
            ),
        ]


class TimingReading(Kept):
    """What a degree wheel showed at one cylinder. Never edited: a later one takes its place.

    ``before_deg`` and ``after_deg`` are the readings at the positive stop, turned one way and the other; the
    events are as the wheel showed them, all at the lift ``at_lift_mm``. Lifts are of the cam.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="timing_readings")
    cylinder = models.CharField(max_length=20)
    before_deg = models.FloatField()
    after_deg = models.FloatField()
    inlet_opens_deg = models.FloatField(null=True, blank=True)
    inlet_closes_deg = models.FloatField(null=True, blank=True)
    exhaust_opens_deg = models.FloatField(null=True, blank=True)
    exhaust_closes_deg = models.FloatField(null=True, blank=True)
    u_deg = models.FloatField()
    at_lift_mm = models.FloatField(null=True, blank=True)
    inlet_lift_mm = models.FloatField(null=True, blank=True)
    exhaust_lift_mm = models.FloatField(null=True, blank=True)
    rocker_ratio = models.FloatField(default=1.0)
    clearance_mm = models.FloatField(null=True, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
    who = models.CharField(max_length=60)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["engine", "-id"], name="timing_of_engine")]
