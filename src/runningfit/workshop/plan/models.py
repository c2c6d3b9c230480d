"""Tables of the plan room."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from runningfit.core.pieces.kinds import Kind, label
from runningfit.workshop.pieces.models import Fastener, Lot, Place
from runningfit.workshop.records.models import Job, Kept


class ToBuy(Kept, Fastener):
    """Something to buy: for a place, or in competition with refurbishing a lot."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="to_buy")
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="to_buy")
    instead_of = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="or_buy"
    )
    received_as = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="bought_as"
    )
    what = models.CharField(max_length=200)
    count = models.PositiveIntegerField()
    supplier = models.CharField(max_length=120, blank=True)
    price_each = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    refurbish_price_each = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True)
    price_said_on = models.DateField(null=True, blank=True)
    ordered_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    received_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(count__gt=0), name="buying_something")]

    @property
    def in_words(self) -> str:
        """Return what it is in the number that fits its count: nut 2BA, or nuts 2BA."""
        kind = self.kind.replace("_", " ")
        if self.kind == "other" or not self.what.startswith(kind):
            return self.what
        return label(Kind(self.kind), self.count).partition(" ")[2] + self.what.removeprefix(kind)
