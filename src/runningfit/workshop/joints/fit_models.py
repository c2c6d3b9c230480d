"""Tables of what fits what by measure: running and press fits, and the drawer of shims."""

from __future__ import annotations

from django.db import models

from runningfit.workshop.measurements.models import BASES, FeatureSet
from runningfit.workshop.records.models import Job, Kept

FIT_KINDS = [
    ("piston", "piston in bore"),
    ("bearing", "journal in shells"),
    ("bush", "journal in a bush, or in shells measured as fitted"),
    ("guide", "stem in guide"),
    ("inlet_guide", "inlet stem in guide"),
    ("exhaust_guide", "exhaust stem in guide"),
    ("pin", "pin in bush or piston"),
    ("end_float", "end float: width between faces"),
    ("top_ring", "end gap of the top ring in its bore"),
    ("second_ring", "end gap of the second ring in its bore"),
    ("press", "press or shrink fit"),
    ("other", "other fit"),
]


class RunningFit(Kept):
    """Features that turn, slide or are pressed in each other, number by number: bores and pistons, say.

    ``shell_mm`` is the thickness of one bearing shell; ``shell_grades`` are those that can be had, each with
    a name and its least and largest thickness; ``fitted_shells`` the grades, above and below, that were
    fitted in a bearing, by its name. ``crush_*_mm`` is by how much shells widen their housing.
    Limits are of the clearance at 20 °C, new and worn; of a press fit they are of the interference.
    ``read_in_mm`` is the diameter in which ring gaps were read; empty where each was read in its own bore.
    ``*_hot_*`` are the least and the largest temperature [°C] at which each runs. ``typed`` keeps figures as
    typed.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="running_fits")
    kind = models.CharField(max_length=14, choices=FIT_KINDS)
    name = models.CharField(max_length=80)
    hole_set = models.ForeignKey(FeatureSet, on_delete=models.PROTECT, related_name="fits_as_hole")
    shaft_set = models.ForeignKey(FeatureSet, on_delete=models.PROTECT, related_name="fits_as_shaft")
    new_lower_mm = models.FloatField(null=True, blank=True)
    new_upper_mm = models.FloatField(null=True, blank=True)
    wear_upper_mm = models.FloatField(null=True, blank=True)
    basis = models.CharField(max_length=12, choices=BASES, blank=True)
    source = models.CharField(max_length=120, blank=True)
    hole_material = models.CharField(max_length=60, blank=True)
    shaft_material = models.CharField(max_length=60, blank=True)
    hole_hot_low_c = models.FloatField(null=True, blank=True)
    hole_hot_high_c = models.FloatField(null=True, blank=True)
    shaft_hot_low_c = models.FloatField(null=True, blank=True)
    shaft_hot_high_c = models.FloatField(null=True, blank=True)
    shell_mm = models.FloatField(null=True, blank=True)
    shell_u_mm = models.FloatField(null=True, blank=True)
    shell_material = models.CharField(max_length=60, blank=True)
    shell_grades: models.JSONField[list[dict[str, str | float]], list[dict[str, str | float]]] = (
        models.JSONField(default=list)
    )
    fitted_shells: models.JSONField[dict[str, list[str]], dict[str, list[str]]] = models.JSONField(
        default=dict
    )
    crush_low_mm = models.FloatField(null=True, blank=True)
    crush_high_mm = models.FloatField(null=True, blank=True)
    read_in_mm = models.FloatField(null=True, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    friction_low = models.FloatField(null=True, blank=True)
    friction_high = models.FloatField(null=True, blank=True)
    outer_mm = models.FloatField(null=True, blank=True)
    inner_bore_mm = models.FloatField(null=True, blank=True)
    roughness_mm = models.FloatField(null=True, blank=True)
    push_n = models.FloatField(null=True, blank=True)
    load_n = models.FloatField(null=True, blank=True)
    speed_rpm = models.FloatField(null=True, blank=True)
    viscosity_mpa_s = models.FloatField(null=True, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["job", "id"], name="fit_by_job")]

    def __str__(self) -> str:
        return self.name


class DrawerShim(Kept):
    """Shims or shells of one size in the shop's drawer, and what another would cost."""

    purpose = models.CharField(max_length=40)
    size_mm = models.FloatField()
    size_typed = models.CharField(max_length=40)
    mark = models.CharField(max_length=40, blank=True)
    count = models.PositiveIntegerField(default=0)
    price = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["purpose", "size_mm"], name="shim_by_size")]
