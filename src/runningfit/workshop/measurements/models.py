"""Tables of the measurements room: instruments, features with their limits, readings, inspections."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import Area, Lot
from runningfit.workshop.records.models import Engine, Job, Kept

INSTRUMENT_KINDS = [
    ("micrometer", "outside micrometer"),
    ("bore_gauge", "dial bore gauge"),
    ("inside_micrometer", "inside micrometer"),
    ("small_bore_gauge", "small bore or telescopic gauge"),
    ("caliper", "caliper"),
    ("depth_gauge", "depth gauge"),
    ("indicator", "dial or digital indicator"),
    ("feeler", "feeler gauges"),
    ("plastic_strip", "crushed plastic strip"),
    ("burette", "burette"),
    ("balance", "balance"),
    ("spring_tester", "spring tester"),
    ("other", "other"),
]
UNITS = [(one, one) for one in ("mm", "in", "ml", "cc", "g", "oz", "N", "kgf", "lbf")]
STATES = [("new", "for new parts"), ("wear", "wear limit")]
LIMITED = [
    ("size", "size"),
    ("out_of_round", "out of round"),
    ("taper", "taper"),
    ("flatness", "flatness"),
    ("rate", "rate of a spring"),
    ("spread", "difference among them"),
]
BASES = [
    ("manual", "the maker's manual"),
    ("sheet", "an imported sheet"),
    ("other_maker", "another maker's figure"),
    ("practice", "common practice"),
]
READING_KINDS = [
    ("reading", "takes the place of what was read before"),
    ("repeat", "read again, to be averaged"),
    ("struck", "struck out"),
]
INSPECTIONS = [
    ("crack_test", "crack test"),
    ("pressure_test", "pressure test"),
    ("hardness", "hardness"),
    ("electrical", "electrical bench test"),
    ("oilways", "oilways opened, cleaned and counted"),
    ("other", "other test"),
]
RESULTS = [("wanted", "still to be done"), ("passed", "passed"), ("failed", "failed")]
GATES = [("", "nothing"), ("machining", "machining"), ("build", "building that area")]


def numbered(name: str) -> str:
    """Say one of a set: ``No. 2``, or its name where it is not a number."""
    return f"No. {name}" if name.isdecimal() else name


class Instrument(Kept):
    """A gauge of the shop; figures are in the unit of its quantity (mm, ml, g, N), empty where unknown.

    ``ring_size`` is the size of the setting ring or standard that it is set on, ``ring_u`` how sure that is;
    ``set_with`` is the other gauge that it is set in instead, as a bore gauge in a micrometer.
    ``span_*_mm`` are the least and the largest size that a gauge of lengths reads [mm].
    A scatter of nought with degrees of freedom was tried, and showed none. ``typed`` keeps figures as typed.
    """

    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=20, choices=INSTRUMENT_KINDS)
    mark = models.CharField(max_length=40, blank=True)
    unit = models.CharField(max_length=4, choices=UNITS)
    resolution = models.FloatField()
    span_least_mm = models.FloatField(null=True, blank=True)
    span_most_mm = models.FloatField(null=True, blank=True)
    repeat_u = models.FloatField(null=True, blank=True)
    repeat_dof = models.FloatField(null=True, blank=True)
    ring_size = models.FloatField(null=True, blank=True)
    ring_u = models.FloatField(null=True, blank=True)
    ring_expansion_per_k = models.FloatField(default=11.5e-6)
    set_with = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="set_in_it"
    )
    drift = models.FloatField(null=True, blank=True)
    term_months = models.PositiveIntegerField(default=12)
    expansion_per_k = models.FloatField(default=11.5e-6)
    note = models.CharField(max_length=300, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(resolution__gt=0), name="a_gauge_has_a_step"),
            models.CheckConstraint(
                condition=Q(span_least_mm__lt=models.F("span_most_mm"))
                | Q(span_least_mm=None)
                | Q(span_most_mm=None),
                name="a_gauge_spans_upwards",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Calibration(Kept):
    """One check of a gauge: against a certificate, or on its ring; ``error`` is what it read too much.

    ``read`` is what it read on the ring, ``ring_size`` the ring then, both as warm as they were.
    """

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="calibrations")
    on = models.DateField()
    way = models.CharField(
        max_length=12, choices=[("certificate", "by a calibration shop"), ("ring", "on the ring or a block")]
    )
    error = models.FloatField(default=0.0)
    expanded_u = models.FloatField(null=True, blank=True)
    coverage_k = models.FloatField(default=2.0)
    read = models.FloatField(null=True, blank=True)
    ring_size = models.FloatField(null=True, blank=True)
    temperature_c = models.FloatField(null=True, blank=True)
    ring_temperature_c = models.FloatField(null=True, blank=True)
    certificate = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=300, blank=True)
    who = models.CharField(max_length=60)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["instrument", "-on"], name="calibration_by_day")]


class FeatureSet(Kept):
    """Like features of an engine that are measured alike and share their limits, such as its bores.

    ``lot`` is the piece that carries them, where it is known. ``first_numbers`` and ``second_numbers`` are
    the pattern of points: depths and angles of a round feature [mm, °], rows and columns of a face [mm],
    heights of a spring [mm]. ``set_at_mm`` is the size a comparing gauge was set to.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="feature_sets")
    engine = models.ForeignKey(
        Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="feature_sets"
    )
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.PROTECT, related_name="feature_sets"
    )
    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="feature_sets")
    # What the set is for, by the key of the proposals: bores, mains, pistons; empty for one of one's own.
    purpose = models.CharField(max_length=20, blank=True)
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=8, choices=[(one.value, one.said) for one in FeatureKind])
    position = models.PositiveIntegerField(default=0)
    nominal = models.FloatField(null=True, blank=True)
    first_numbers: models.JSONField[list[float], list[float]] = models.JSONField(default=list)
    second_numbers: models.JSONField[list[float], list[float]] = models.JSONField(default=list)
    places = models.PositiveIntegerField(default=1)
    instrument = models.ForeignKey(
        Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="feature_sets"
    )
    set_at_mm = models.FloatField(null=True, blank=True)
    material = models.CharField(max_length=40, blank=True)
    how = models.CharField(max_length=300, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)

    class Meta:
        indexes = [models.Index(fields=["job", "position"], name="feature_set_by_job")]

    def __str__(self) -> str:
        return self.name


class Feature(Kept):
    """One of a set: one bore, one journal. Pits and such that a gauge cannot read are said of it."""

    feature_set = models.ForeignKey(FeatureSet, on_delete=models.PROTECT, related_name="features")
    position = models.PositiveIntegerField()
    name = models.CharField(max_length=40)
    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="features")
    pit_mm = models.FloatField(null=True, blank=True)
    pit_u_mm = models.FloatField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["feature_set", "position"],
                condition=Q(withdrawn=False),
                name="feature_once_a_position",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.feature_set.name} {self.name}"

    @property
    def called(self) -> str:
        """The feature in words: No. 3, or its name."""
        return numbered(self.name)


class FeatureLimit(Kept):
    """A limit of a set, and where it comes from; those for new parts and wear limits are different ones."""

    feature_set = models.ForeignKey(FeatureSet, on_delete=models.PROTECT, related_name="limits")
    what = models.CharField(max_length=14, choices=LIMITED, default="size")
    state = models.CharField(max_length=4, choices=STATES, default="wear")
    # Of the sizes at one height, for a spring; of all of the feature where empty.
    at_mm = models.FloatField(null=True, blank=True)
    lower = models.FloatField(null=True, blank=True)
    upper = models.FloatField(null=True, blank=True)
    basis = models.CharField(max_length=12, choices=BASES, default="manual")
    source = models.CharField(max_length=120, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(lower__isnull=False) | Q(upper__isnull=False), name="a_limit_limits"
            ),
        ]


class Reading(models.Model):
    """One reading of one point. Never edited: a later one takes its place, joins it, or strikes it out.

    ``value`` is in the unit of its quantity, as read; what the gauge reads too much is taken off when judged.
    """

    feature = models.ForeignKey(Feature, on_delete=models.PROTECT, related_name="readings")
    point = models.CharField(max_length=24)
    kind = models.CharField(max_length=8, choices=READING_KINDS, default="reading")
    value = models.FloatField(null=True)
    step = models.FloatField(null=True)
    typed = models.CharField(max_length=40, blank=True)
    unit = models.CharField(max_length=4, blank=True)
    set_at_mm = models.FloatField(null=True, blank=True)
    instrument = models.ForeignKey(
        Instrument, null=True, blank=True, on_delete=models.PROTECT, related_name="readings"
    )
    temperature_c = models.FloatField(null=True, blank=True)
    # Which round: as found, or as it came back from machining.
    round = models.PositiveIntegerField(default=0)
    # Why it stands although it looked odd, or why it was struck out.
    why = models.CharField(max_length=200, blank=True)
    token = models.CharField(max_length=64, unique=True)
    at = models.DateTimeField()
    who = models.CharField(max_length=60)

    class Meta:
        indexes = [models.Index(fields=["feature", "point", "id"], name="reading_by_point")]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="struck", value__isnull=True) | (~Q(kind="struck") & Q(value__isnull=False)),
                name="a_reading_has_a_value",
            ),
        ]


class Inspection(Kept):
    """A test that is no dimension: crack test, pressure test, oilways. What it gates waits for it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="inspections")
    area = models.ForeignKey(
        Area, null=True, blank=True, on_delete=models.PROTECT, related_name="inspections"
    )
    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="inspections")
    feature_set = models.ForeignKey(
        FeatureSet, null=True, blank=True, on_delete=models.PROTECT, related_name="inspections"
    )
    kind = models.CharField(max_length=14, choices=INSPECTIONS)
    what = models.CharField(max_length=120)
    gates = models.CharField(max_length=10, choices=GATES, blank=True)
    result = models.CharField(max_length=8, choices=RESULTS, default="wanted")
    # Such as oilways: how many there are, and how many were opened, cleaned and found clear.
    count_all = models.PositiveIntegerField(null=True, blank=True)
    count_done = models.PositiveIntegerField(null=True, blank=True)
    measured = models.CharField(max_length=80, blank=True)
    done_on = models.DateField(null=True, blank=True)
    done_by = models.CharField(max_length=120, blank=True)
    certificate = models.CharField(max_length=120, blank=True)
    photo = models.ForeignKey(Photo, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=300, blank=True)


class EngineSizes(Kept):
    """What the arithmetic of an engine needs beside readings; ``typed`` keeps figures as typed."""

    engine = models.OneToOneField(Engine, on_delete=models.PROTECT, related_name="sizes")
    stroke_mm = models.FloatField(null=True, blank=True)
    rod_mm = models.FloatField(null=True, blank=True)
    gasket_mm = models.FloatField(null=True, blank=True)
    gasket_bore_mm = models.FloatField(null=True, blank=True)
    deck_mm = models.FloatField(null=True, blank=True)
    piston_ml = models.FloatField(null=True, blank=True)
    chamber_ml = models.FloatField(null=True, blank=True)
    crevice_ml = models.FloatField(null=True, blank=True)
    speed_rpm = models.FloatField(null=True, blank=True)
    ratio_wanted = models.FloatField(null=True, blank=True)
    source = models.CharField(max_length=120, blank=True)
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
