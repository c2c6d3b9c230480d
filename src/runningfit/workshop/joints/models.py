"""Tables of what is known of lots and places beyond what they are, for the judgement of their joints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import models

from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.facts import Mate, Turned
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.records.models import Kept

ROLES = [(role.value, role.value.replace("_", " ")) for role in Role]
MATES = [
    (Mate.NOT_SAID.value, "not said"),
    (Mate.TAPPED_HOLE.value, "tapped hole"),
    (Mate.INSERT.value, "hole with a thread insert"),
    (Mate.NUT.value, "nut"),
    (Mate.STUD.value, "stud"),
]
TURNED = [
    (Turned.NOT_SAID.value, "not said"),
    (Turned.HEAD.value, "the head"),
    (Turned.NUT.value, "the nut"),
]
CHOICES = [
    ("use", "use as it is"),
    ("treat", "treat it"),
    ("replace", "replace it"),
    ("insert", "thread insert in the hole"),
    ("other", "something else"),
]


def keys_of(lines: Iterable[Mapping[str, Any]]) -> frozenset[str]:
    """Return the keys of answers as a decision keeps them."""
    return frozenset(key for line in lines for key in line["keys"])


class KnownOfLot(Kept):
    """What is known of the pieces of a lot, empty where nobody knows; ``typed`` keeps lengths as typed."""

    lot = models.OneToOneField(Lot, on_delete=models.PROTECT, related_name="known")
    head_marking = models.CharField(max_length=60, blank=True)
    grade = models.CharField(max_length=40, blank=True)
    hardness = models.CharField(max_length=40, blank=True)
    material = models.CharField(max_length=30, blank=True)
    thread_class = models.CharField(max_length=10, blank=True)
    role = models.CharField(max_length=20, choices=ROLES, default=Role.ORDINARY.value)
    torque_to_yield = models.BooleanField(default=False)
    stretch_mm = models.FloatField(null=True, blank=True)
    stretch_most_mm = models.FloatField(null=True, blank=True)
    neck_mm = models.FloatField(null=True, blank=True)
    neck_most_mm = models.FloatField(null=True, blank=True)
    thread_length_mm = models.FloatField(null=True, blank=True)
    over_ten_mm = models.FloatField(null=True, blank=True)
    rust_mm = models.FloatField(null=True, blank=True)
    lost = models.CharField(max_length=40, blank=True)
    looks_sound = models.BooleanField(null=True, blank=True)
    crack_tested = models.BooleanField(null=True, blank=True)
    is_new = models.BooleanField(default=False)
    old_coat = models.CharField(max_length=40, blank=True)
    own_steps = models.CharField(max_length=200, blank=True)
    coat = models.CharField(max_length=60, blank=True)
    note = models.CharField(max_length=300, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)


class KnownOfPlace(Kept):
    """What is known of the other side of a place's joint, and of its torque; ``typed`` keeps it as typed."""

    place = models.OneToOneField(Place, on_delete=models.PROTECT, related_name="known")
    mate = models.CharField(max_length=12, choices=MATES, blank=True, default="")
    mate_grade = models.CharField(max_length=40, blank=True)
    mate_class = models.CharField(max_length=10, blank=True)
    mate_finish = models.CharField(max_length=60, blank=True)
    mate_coat = models.CharField(max_length=60, blank=True)
    turned = models.CharField(max_length=4, choices=TURNED, blank=True, default="")
    chamfer_mm = models.FloatField(null=True, blank=True)
    clamped_mm = models.FloatField(null=True, blank=True)
    washer_mm = models.FloatField(null=True, blank=True)
    engaged_mm = models.FloatField(null=True, blank=True)
    prevailing_nm = models.FloatField(null=True, blank=True)
    damaged_turns = models.FloatField(default=0.0)
    hole_minor_typed = models.CharField(max_length=40, blank=True)
    hole_pitch_diameter_typed = models.CharField(max_length=40, blank=True)
    on_aluminium = models.BooleanField(default=False)
    torque_page = models.CharField(max_length=120, blank=True)
    torque_assumed = models.CharField(max_length=80, blank=True)
    lubricant = models.CharField(max_length=60, blank=True)
    scatter = models.FloatField(null=True, blank=True)
    wanted_clamp_n = models.FloatField(null=True, blank=True)
    role = models.CharField(max_length=20, choices=ROLES, default=Role.ORDINARY.value)
    note = models.CharField(max_length=300, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)


class JointDecision(Kept):
    """What a person decided of a lot at its place; kept apart from the verdict, which stands beside it.

    Never edited: a later decision takes its place. ``outcome`` and ``said`` are the verdict of that moment,
    and ``lines`` every answer of it that was not sound, not proven or waited for a person: the decision
    covers these and no others.
    """

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="joint_decisions")
    place = models.ForeignKey(
        Place, null=True, blank=True, on_delete=models.PROTECT, related_name="joint_decisions"
    )
    choice = models.CharField(max_length=10, choices=CHOICES)
    why = models.CharField(max_length=300)
    who = models.CharField(max_length=60)
    at = models.DateTimeField()
    outcome = models.CharField(max_length=24)
    said = models.CharField(max_length=300)
    lines: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(default=list)

    class Meta:
        indexes = [models.Index(fields=["lot", "-id"], name="decision_of_lot")]

    @property
    def keys(self) -> frozenset[str]:
        """Return the keys of the answers that were on the screen."""
        return keys_of(self.lines)

    def __str__(self) -> str:
        return f"joint decision: {dict(CHOICES)[self.choice]}"
