"""Tables of the photos room."""

from __future__ import annotations

from django.db import models

from runningfit.workshop.pieces.models import Area, Bag, Finding, Lot, Place
from runningfit.workshop.records.models import Job, Kept

# The fields of a photo that name a file, and the folders in which they lie.
SIZES = ("thumb", "shown", "original")


class Photo(Kept):
    """A photo of pieces; snapped now and named later, it stays in the inbox until described."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="photos")
    area = models.ForeignKey(Area, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    bag = models.ForeignKey(Bag, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    finding = models.ForeignKey(
        Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="photos"
    )
    original = models.CharField(max_length=200)
    shown = models.CharField(max_length=200)
    thumb = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    words = models.CharField(max_length=300, blank=True)
    described = models.BooleanField(default=False)
    taken_at = models.DateTimeField()
