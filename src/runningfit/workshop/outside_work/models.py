"""Tables of the outside-work room."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Job, Kept


class OutsideShop(Kept):
    """A shop of another trade: plater, machine shop, electrician."""

    name = models.CharField(max_length=120)
    trade = models.CharField(max_length=80, blank=True)
    phone = models.CharField(max_length=60, blank=True)
    address = models.CharField(max_length=300, blank=True)
    note = models.CharField(max_length=300, blank=True)

    def __str__(self) -> str:
        return self.name


class Consignment(Kept):
    """What goes to one outside shop at one time; it may carry lots of several jobs."""

    number = models.PositiveIntegerField(unique=True)
    shop = models.ForeignKey(OutsideShop, on_delete=models.PROTECT, related_name="consignments")
    made_up_on = models.DateField()
    sent_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    asked = models.TextField(blank=True)
    must_not = models.TextField(blank=True)
    quoted = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    paid = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    def __str__(self) -> str:
        return f"consignment {self.number}"


class ConsignmentLine(Kept):
    """One lot on a consignment: how many went, in which bag, for which treatment.

    What is neither back nor lost nor taken out of the count is still outside; see ``queries.outstanding``.
    """

    consignment = models.ForeignKey(Consignment, on_delete=models.PROTECT, related_name="lines")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="consignment_lines")
    bag = models.ForeignKey(Bag, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    count = models.PositiveIntegerField()
    treatment = models.CharField(max_length=30)
    finish_asked = models.CharField(max_length=10, blank=True)
    must_not = models.CharField(max_length=300, blank=True)
    back_count = models.PositiveIntegerField(null=True, blank=True)
    lost_count = models.PositiveIntegerField(default=0)
    finish_received_look = models.CharField(max_length=10, blank=True)
    finish_received_process = models.CharField(max_length=20, blank=True)
    price = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    # Why a person sends it although its verdict says that it must not go for this work.
    sent_anyway = models.CharField(max_length=300, blank=True)
    # What the note told the shop of it when it went; what is known of the lot later changes nothing of that.
    told: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict, blank=True)
    # Whether the bake that was asked was done: see `BAKED`.
    baked = models.CharField(max_length=12, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(count__gt=0), name="a_line_sends_something"),
            models.UniqueConstraint(
                fields=["consignment", "lot"], condition=Q(withdrawn=False), name="lot_once_a_consignment"
            ),
        ]


class PhoneCall(Kept):
    """A call, logged in fifteen seconds: who, said what, new date, price."""

    consignment = models.ForeignKey(Consignment, on_delete=models.PROTECT, related_name="calls")
    at = models.DateTimeField()
    spoke_to = models.CharField(max_length=80, blank=True)
    said = models.CharField(max_length=500)
    new_due_on = models.DateField(null=True, blank=True)
    price = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    taken_by = models.CharField(max_length=60)


class CountBack(Kept):
    """One counting back, by bag or of the whole bucket: what was counted, and what was made of it."""

    consignment = models.ForeignKey(Consignment, on_delete=models.PROTECT, related_name="count_backs")
    way = models.CharField(max_length=6, choices=[("bag", "bag by bag"), ("bucket", "the whole bucket")])
    bag = models.ForeignKey(Bag, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    finished = models.BooleanField(default=True)
    counted: models.JSONField[list[dict[str, Any]], list[dict[str, Any]]] = models.JSONField(default=list)
    at = models.DateTimeField()


class Discrepancy(Kept):
    """Something that did not come back as it went; open until a person closes it with a reason."""

    KINDS = [
        ("short", "short"),
        ("over", "over"),
        ("damaged", "damaged"),
        ("swapped", "swapped"),
        ("indistinct", "which engine: lost"),
        ("finish", "finish not as asked"),
    ]

    consignment = models.ForeignKey(Consignment, on_delete=models.PROTECT, related_name="discrepancies")
    line = models.ForeignKey(
        ConsignmentLine, null=True, blank=True, on_delete=models.PROTECT, related_name="discrepancies"
    )
    lot = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="discrepancies"
    )
    job = models.ForeignKey(
        Job, null=True, blank=True, on_delete=models.PROTECT, related_name="discrepancies"
    )
    kind = models.CharField(max_length=10, choices=KINDS)
    count = models.PositiveIntegerField()
    said = models.CharField(max_length=300)
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_reason = models.CharField(max_length=300, blank=True)
    outcome = models.CharField(max_length=16, blank=True)
