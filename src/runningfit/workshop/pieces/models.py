"""Tables of the pieces room: where pieces belong, what they are, and the ledger that counts them."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import F, Q

from runningfit.workshop.records.models import Engine, Job, Kept, Record

CUSTODIES = ("bench", "store", "outside", "fitted", "scrapped", "missing")
SOURCES = ("found", "bought", "received_over")
ACCOUNTS = CUSTODIES + SOURCES

LOOKS = (
    "clear",
    "yellow",
    "black",
    "brass",
    "bronze",
    "copper",
    "chrome",
    "nickel",
    "paint",
    "none",
    "unknown",
)
THREAD_STATES = [
    ("", "not looked at"),
    ("good", "good"),
    ("defective", "defective"),
    ("not_proven", "not proven"),
]
BASES = [
    ("holes_counted", "holes counted"),
    ("parts_list", "parts list"),
    ("manual_page", "manual page"),
    ("assumed", "only assumed from what came off"),
]


class Area(Kept):
    """A region of an engine; areas form a tree."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="areas")
    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="areas")
    parent = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="parts")
    name = models.CharField(max_length=80)

    class Meta:
        indexes = [models.Index(fields=["job", "name"], name="area_by_name")]

    def __str__(self) -> str:
        return self.name


class Bag(Kept):
    """A labelled container; its code is unique in its job and short enough to stamp on a tag."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bags")
    code = models.CharField(max_length=12)
    area = models.ForeignKey(Area, null=True, blank=True, on_delete=models.PROTECT, related_name="bags")
    packed_on = models.DateField(null=True, blank=True)
    labelled_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["job", "code"], condition=Q(withdrawn=False), name="bag_code_once_a_job"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Fastener(models.Model):
    """What a lot is, or what a place needs: kind, thread at each end, length."""

    kind = models.CharField(max_length=20, default="other")
    end_a = models.CharField(max_length=200, blank=True)
    end_b = models.CharField(max_length=200, blank=True)
    size_said = models.CharField(max_length=40, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    length_nominal = models.CharField(max_length=30, blank=True)
    length_typed = models.CharField(max_length=60, blank=True)
    length_basis = models.CharField(max_length=12, blank=True)

    class Meta:
        abstract = True


class Place(Kept, Fastener):
    """A position, or n equal ones, in an area, that needs a piece, and where that knowledge comes from.

    ``end_a`` holds the thread the place needs; several candidates are parted by ``|``.
    """

    area = models.ForeignKey(Area, on_delete=models.PROTECT, related_name="places")
    name = models.CharField(max_length=120)
    count = models.PositiveIntegerField()
    finish_wanted = models.CharField(max_length=10, default="unknown")
    visible = models.BooleanField(default=False)
    torque_nm = models.FloatField(null=True, blank=True)
    torque_typed = models.CharField(max_length=60, blank=True)
    hole_material = models.CharField(max_length=40, blank=True)
    hole_blind = models.CharField(
        max_length=8, blank=True, choices=[("", "not said"), ("blind", "blind"), ("through", "through")]
    )
    hole_depth_mm = models.FloatField(null=True, blank=True)
    basis = models.CharField(max_length=16, choices=BASES)
    basis_said = models.CharField(max_length=200, blank=True)
    thread_state = models.CharField(max_length=12, blank=True, default="", choices=THREAD_STATES)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(count__gt=0), name="a_place_needs_pieces")]

    def __str__(self) -> str:
        return self.name


class Lot(Kept, Fastener):
    """Alike pieces with one fate; a lot splits when fates differ.

    ``end_a`` and ``end_b`` hold thread designations; an open question keeps all candidates, parted by ``|``.
    The count is never a field of the lot: the ledger's holdings are the count.
    """

    # Every index below that begins with the job serves it.
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="lots", db_index=False)
    number = models.PositiveIntegerField()
    parent = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="splits")
    origin = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="lots")
    origin_lost = models.BooleanField(default=False)
    origin_said = models.CharField(max_length=200, blank=True)
    area = models.ForeignKey(Area, null=True, blank=True, on_delete=models.PROTECT, related_name="lots")
    bag = models.ForeignKey(Bag, null=True, blank=True, on_delete=models.PROTECT, related_name="lots")
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="lots")
    kind_said = models.CharField(max_length=120, blank=True)
    finish_look = models.CharField(max_length=10, default="unknown")
    finish_process = models.CharField(max_length=20, blank=True)
    finish_received_look = models.CharField(max_length=10, blank=True)
    finish_received_process = models.CharField(max_length=20, blank=True)
    condition = models.CharField(max_length=300, blank=True)
    defect = models.CharField(max_length=120, blank=True)
    thread_state = models.CharField(max_length=12, blank=True, default="", choices=THREAD_STATES)
    treatment = models.CharField(max_length=30, blank=True)
    treatment_done = models.CharField(max_length=30, blank=True)
    # What the outside shop was told to do beside the treatment, such as the bake; kept when that is done.
    ordered_steps = models.CharField(max_length=200, blank=True)
    # The thickness or class of the coat that was chosen with the treatment.
    ordered_coat = models.CharField(max_length=60, blank=True)
    # Every work that was done and left something in the metal or on it, the last one too; see ``done_work``.
    done_chain = models.TextField(blank=True)
    remarks = models.CharField(max_length=500, blank=True)
    questions: models.JSONField[list[str], list[str]] = models.JSONField(default=list)
    words = models.TextField(blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="lot_number_once_a_job")]
        indexes = [
            models.Index(fields=["job", "end_a"], name="lot_by_thread"),
            # Lots of one sort lie together, so that a sort is judged once, not lot by lot.
            models.Index(
                fields=[
                    "job",
                    "kind",
                    "end_a",
                    "end_b",
                    "length_mm",
                    "length_basis",
                    "size_said",
                    "place",
                    "withdrawn",
                ],
                name="lot_by_sort",
            ),
            models.Index(fields=["length_mm"], name="lot_by_length"),
            models.Index(fields=["job", "area", "number", "withdrawn"], name="lot_by_area"),
            models.Index(fields=["treatment", "job"], name="lot_by_treatment"),
            # What counts over all lots of a job read of each: they need not look at the lots themselves.
            models.Index(
                fields=["job", "withdrawn", "place", "thread_state", "treatment", "finish_received_look"],
                name="lot_counted_over",
            ),
        ]

    def __str__(self) -> str:
        return f"lot {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store the lot with the words by which it is found; they follow from its other fields, always."""
        self.words = self.words_now()
        if kwargs.get("update_fields") is not None:
            kwargs["update_fields"] = {*kwargs["update_fields"], "words"}
        super().save(*args, **kwargs)

    def words_now(self) -> str:
        """Return the words by which the lot is found, in small letters; area and bag are found by theirs."""
        threads = " ".join(end.replace("|", " or ") for end in (self.end_a, self.end_b) if end)
        words = (
            f"lot {self.number}",
            "" if self.kind == "other" else self.kind.replace("_", " "),
            self.kind_said,
            threads,
            self.size_said,
            self.length_nominal,
            self.length_typed,
            self.finish_look,
            self.finish_process,
            self.condition,
            self.defect,
            self.remarks,
            self.origin_said,
        )
        return " ".join(word for word in words if word).lower()


class Movement(models.Model):
    """One entry of the count ledger: n pieces of a lot from one account to another. Append-only.

    ``from_lot`` and ``to_lot`` differ only when a lot splits or joins. A source account (found, bought,
    received_over) is where pieces come into the books; going back to a source corrects a wrong count.
    The holdings are written by the database itself; see ``ledger_sql``.
    """

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="movements")
    from_lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="movements_out")
    from_account = models.CharField(max_length=14)
    to_lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="movements_in")
    to_account = models.CharField(max_length=14)
    count = models.PositiveIntegerField()

    class Meta:
        indexes = [
            models.Index(fields=["from_lot", "from_account"], name="movement_from"),
            models.Index(fields=["to_lot", "to_account"], name="movement_to"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(count__gt=0), name="movement_moves_something"),
            models.CheckConstraint(
                condition=Q(from_account__in=ACCOUNTS) & Q(to_account__in=ACCOUNTS),
                name="movement_between_known_accounts",
            ),
            models.CheckConstraint(
                condition=~(Q(from_account__in=SOURCES) & Q(to_account__in=SOURCES)),
                name="movement_touches_a_custody",
            ),
            models.CheckConstraint(
                condition=~(Q(from_account=F("to_account")) & Q(from_lot=F("to_lot"))),
                name="movement_goes_somewhere",
            ),
        ]


class Holding(models.Model):
    """How many pieces of a lot an account holds; written by the database from the movements, nobody else."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="holdings", db_index=False)
    account = models.CharField(max_length=14)
    count = models.IntegerField(default=0)

    class Meta:
        indexes = [models.Index(fields=["lot", "account", "count"], name="holding_counts")]
        constraints = [
            models.UniqueConstraint(fields=["lot", "account"], name="one_holding_an_account"),
            models.CheckConstraint(
                condition=(Q(account__in=CUSTODIES) & Q(count__gte=0))
                | (Q(account__in=SOURCES) & Q(count__lte=0)),
                name="no_account_overdrawn",
            ),
        ]


class Finding(Kept):
    """What was met as the engine came apart, what was tried, and to what it happened."""

    KINDS = [
        ("stuck", "stuck"),
        ("broken", "broken"),
        ("seized", "seized"),
        ("cracked", "cracked"),
        ("contaminated", "contaminated"),
        ("missing", "missing"),
        ("altered", "altered"),
        ("thread_defective", "thread defective"),
    ]

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="findings")
    area = models.ForeignKey(Area, null=True, blank=True, on_delete=models.PROTECT, related_name="findings")
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.PROTECT, related_name="findings")
    lot = models.ForeignKey(Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="findings")
    what = models.CharField(max_length=20, choices=KINDS)
    count = models.PositiveIntegerField(null=True, blank=True)
    tried = models.CharField(max_length=300, blank=True)
    note = models.TextField(blank=True)
    at = models.DateTimeField()
    settled = models.BooleanField(default=False)


class TallySheet(Kept):
    """A sheet on which each press of the caliper's button adds one piece; closing it makes the lots."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="tally_sheets")
    kind = models.CharField(max_length=20)
    end_a = models.CharField(max_length=200, blank=True)
    end_b = models.CharField(max_length=200, blank=True)
    size_said = models.CharField(max_length=40, blank=True)
    finish_look = models.CharField(max_length=10, default="unknown")
    series = models.CharField(max_length=2, choices=[("in", "inch lengths"), ("mm", "metric lengths")])
    unit = models.CharField(max_length=2, choices=[("in", "inches"), ("mm", "millimetres")])
    area = models.ForeignKey(Area, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    bag = models.ForeignKey(Bag, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    origin = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField()
    opened_by = models.CharField(max_length=60)
    closed_at = models.DateTimeField(null=True, blank=True)


class TallyPress(models.Model):
    """One press: what the caliper said and the length it counts as (none while that is still asked)."""

    sheet = models.ForeignKey(TallySheet, on_delete=models.PROTECT, related_name="presses")
    token = models.CharField(max_length=64, unique=True)
    typed = models.CharField(max_length=40)
    measured_mm = models.FloatField()
    length_mm = models.FloatField(null=True)
    length_nominal = models.CharField(max_length=30, blank=True)
    taken_back = models.BooleanField(default=False)
    at = models.DateTimeField()
    who = models.CharField(max_length=60)


class BenchList(Kept):
    """A list that was imported: the file as it came, its columns as they were read, the engine all came off.

    An edited file makes a new list that ``supersedes`` the one whose rows are counted. A list read anew with
    other columns is a new list too, and the one before is withdrawn.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bench_lists")
    name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    stored_as = models.CharField(max_length=200)
    columns: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    supersedes = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="newer_lists"
    )
    origin = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    accepted_at = models.DateTimeField(null=True, blank=True)
    put_aside = models.BooleanField(default=False)


class BenchRow(models.Model):
    """One row of a bench list: as typed, as corrected by hand, as understood, and the lots it became.

    ``typed`` and ``corrected`` hold texts by column number, ``marks`` what the spreadsheet made of a cell: a
    date, its format, a note. A row is counted while the record ``counted_by`` stands; taking that record back
    frees the row again. A row of an edited list knows the ``earlier`` row it takes the place of; what it
    changes is settled while the record ``settled_by`` stands; ``gone_by`` is the record that decided about a
    row that the edited list has no more. ``fate`` says aside for a row set aside and hand where the books
    were kept as they were changed by hand; ``said`` says why.
    """

    READINGS = [("clear", "understood"), ("asked", "asked about"), ("problem", "not all understood")]
    FATES = [("", "as read"), ("aside", "set aside"), ("hand", "kept as it stands in the books")]

    bench_list = models.ForeignKey(BenchList, on_delete=models.PROTECT, related_name="rows")
    row = models.PositiveIntegerField()
    typed: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
    marks: models.JSONField[dict[str, list[str]], dict[str, list[str]]] = models.JSONField(default=dict)
    corrected: models.JSONField[dict[str, str], dict[str, str]] = models.JSONField(default=dict)
    understood: models.JSONField[dict[str, Any], dict[str, Any]] = models.JSONField(default=dict)
    reading = models.CharField(max_length=8, choices=READINGS, default="clear")
    pieces = models.PositiveIntegerField(null=True, blank=True)
    fate = models.CharField(max_length=12, blank=True, choices=FATES)
    said = models.CharField(max_length=300, blank=True)
    earlier = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="later_rows"
    )
    counted_by = models.ForeignKey(Record, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    settled_by = models.ForeignKey(Record, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    gone_by = models.ForeignKey(Record, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    lots = models.ManyToManyField(Lot, related_name="bench_rows", blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["bench_list", "row"], name="a_row_once_a_list")]
        indexes = [models.Index(fields=["bench_list", "reading", "row"], name="bench_row_by_reading")]
