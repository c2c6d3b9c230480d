"""Tables of the treatments room: the machining that features can have, what was decided and ordered."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from runningfit.workshop.measurements.models import Feature, FeatureSet
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.records.models import Kept

AXES = [
    ("unknown", "nobody can say"),
    ("original", "on the original axis"),
    ("worn", "following the worn hole"),
]


class MachiningPlan(Kept):
    """What can be done to a set of bores or journals: the steps, what each costs, how it is held.

    ``steps`` are over- or undersizes, each with the price of the parts for one feature. ``typed`` keeps
    figures as typed. ``own_step_each`` says whether each feature may have a step of its own. ``wall_mm`` and
    ``hard_layer_mm`` are what is there now, with their uncertainties; the ``_left_mm`` what must remain.
    ``offsets`` are how far the worn middle of a feature lies off the old axis, by its name, with the
    uncertainty of that [mm], and towards which side where that was told [°]. ``one_sided`` is how one-sided
    such engines wear as the shop found it, as typed; ``centring_mm`` by how much the tool may stand off its
    axis.
    """

    feature_set = models.OneToOneField(FeatureSet, on_delete=models.PROTECT, related_name="machining_plan")
    steps: models.JSONField[list[dict[str, float | None]], list[dict[str, float | None]]] = models.JSONField(
        default=list
    )
    hone_mm = models.FloatField(null=True, blank=True)
    axis = models.CharField(max_length=8, choices=AXES, default="unknown")
    most_step_mm = models.FloatField(null=True, blank=True)
    wall_mm = models.FloatField(null=True, blank=True)
    wall_u_mm = models.FloatField(null=True, blank=True)
    wall_left_mm = models.FloatField(null=True, blank=True)
    hard_layer_mm = models.FloatField(null=True, blank=True)
    hard_layer_u_mm = models.FloatField(null=True, blank=True)
    hard_left_mm = models.FloatField(null=True, blank=True)
    offsets: models.JSONField[dict[str, list[float]], dict[str, list[float]]] = models.JSONField(default=dict)
    one_sided = models.CharField(max_length=40, blank=True)
    centring_mm = models.FloatField(null=True, blank=True)
    own_step_each = models.BooleanField(default=False)
    parts_before = models.BooleanField(default=False)
    price_each = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    price_visit = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    price_reading = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    price_last_resort = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    last_resort = models.CharField(max_length=80, blank=True)
    finished_clearance_mm = models.FloatField(null=True, blank=True)
    target_tolerance_mm = models.FloatField(null=True, blank=True)
    surface = models.CharField(max_length=120, blank=True)
    keep = models.CharField(max_length=300, blank=True)
    measure_after = models.CharField(max_length=300, blank=True)
    source = models.CharField(max_length=120, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)


class MachiningDecision(Kept):
    """Which step a person chose for a set, beside what the computation said then; never edited.

    ``steps`` are the steps chosen, 0 where it is left as it is, and ``recommended`` those computed, by the
    feature's key [mm]; ``made_on``
    are the marks of the readings and of the plan that both rested on.
    """

    feature_set = models.ForeignKey(FeatureSet, on_delete=models.PROTECT, related_name="machining_decisions")
    steps: models.JSONField[dict[str, float], dict[str, float]] = models.JSONField(default=dict)
    recommended: models.JSONField[dict[str, float], dict[str, float]] = models.JSONField(default=dict)
    said = models.CharField(max_length=300)
    probability = models.FloatField(null=True, blank=True)
    why = models.CharField(max_length=300, blank=True)
    round = models.PositiveIntegerField(default=0)
    made_on: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
    who = models.CharField(max_length=60)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["feature_set", "-id"], name="machining_decision_of_set")]


class MachiningOperation(Kept):
    """One operation on one feature at an outside shop: its size at 20 °C with limits, and what to keep.

    ``found_mm`` is the worst size found, ``step_mm`` the step it goes to. ``anyway`` says why it was ordered
    before a test that it waits for. ``round`` is that of the readings that judge what came back.
    """

    feature = models.ForeignKey(Feature, on_delete=models.PROTECT, related_name="operations")
    decision = models.ForeignKey(MachiningDecision, on_delete=models.PROTECT, related_name="operations")
    consignment = models.ForeignKey(Consignment, on_delete=models.PROTECT, related_name="operations")
    what = models.CharField(max_length=120)
    found_mm = models.FloatField()
    step_mm = models.FloatField()
    target_mm = models.FloatField()
    lower_mm = models.FloatField()
    upper_mm = models.FloatField()
    based_on = models.CharField(max_length=200, blank=True)
    surface = models.CharField(max_length=120, blank=True)
    keep = models.CharField(max_length=300, blank=True)
    measure_after = models.CharField(max_length=300, blank=True)
    anyway = models.CharField(max_length=300, blank=True)
    round = models.PositiveIntegerField(default=1)
    done_on = models.DateField(null=True, blank=True)
    # What a person sees that no diameter shows: dark places or pits that the tool did not reach.
    marks_left = models.BooleanField(default=False)
    came_with = models.CharField(max_length=300, blank=True)

    class Meta:
        indexes = [models.Index(fields=["consignment", "id"], name="operation_by_consignment")]
        constraints = [
            models.CheckConstraint(
                condition=Q(lower_mm__lte=models.F("target_mm")) & Q(target_mm__lte=models.F("upper_mm")),
                name="a_target_lies_within_its_limits",
            ),
        ]
