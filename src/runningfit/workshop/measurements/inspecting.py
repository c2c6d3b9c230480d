"""Inspections that are no dimensions: wanted, passed or failed, and what waits for them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.plan.kit import KitGate
from runningfit.workshop.measurements.models import GATES, INSPECTIONS, FeatureSet, Inspection
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.models import Area, Lot
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand, write

OILWAYS = "oilways"


@dataclass(frozen=True, slots=True)
class SaidOfInspection:
    """What shall be tested, and what waits for it; ``count_all`` is how many there are, such as oilways."""

    kind: str
    what: str
    gates: str = ""
    area: Area | None = None
    lot: Lot | None = None
    feature_set: FeatureSet | None = None
    count_all: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class SaidResult:
    """What came of a test; ``measured`` is a figure in its own words, such as 58 HRC or 4 bar held."""

    passed: bool
    done_on: dt.date
    done_by: str
    measured: str = ""
    count_all: int | None = None
    count_done: int | None = None
    certificate: str = ""
    photo: Photo | None = None
    note: str = ""


def want_inspection(*, job: Job, said: SaidOfInspection, hand: Hand) -> Inspection:
    """Say that something shall be tested, and what waits until it passed.

    Raises
    ------
    InvalidInput
        It is none of the tests, nothing says what is tested, or building waits for it but nobody said where.
    Conflict
        Its area, lot or set belongs to another job.
    """
    area = _area_of(said)
    _check(job, said, area)
    named = said_of(said.kind, said.what)
    with write(verb="want_inspection", summary=f"wants a test: {named}", hand=hand, job=job) as entry:
        return entry.create(Inspection(job=job, **_columns(said, area)))


def change_inspection(*, inspection: Inspection, said: SaidOfInspection, hand: Hand) -> Inspection:
    """Change what shall be tested or what waits for it; what came of it stays."""
    area = _area_of(said)
    _check(inspection.job, said, area)
    summary = f"changed the test: {said_of(said.kind, said.what)}"
    with write(verb="change_inspection", summary=summary, hand=hand, job=inspection.job) as entry:
        held = _held(inspection)
        if held.result == "passed" and said.kind == OILWAYS and said.count_all != held.count_done:
            raise Conflict("It passed with another count of oilways. Say its result anew.")
        return entry.change(held, **_columns(said, area))


def give_result(*, inspection: Inspection, said: SaidResult, hand: Hand) -> Inspection:
    """Say what came of a test.

    Raises
    ------
    InvalidInput
        Nobody said who did it; it lies ahead; oilways are left uncounted or not all are open; or a test that
        failed shall have passed without being done again, or without a reason.
    """
    _check_result(said)
    word = "passed" if said.passed else "failed"
    summary = f"{word}: {inspection_said(inspection)}"
    with write(verb="change_inspection", summary=summary, hand=hand, job=inspection.job) as entry:
        held = _held(inspection)
        _check_counts(held, said)
        if held.result == "failed" and said.passed:
            _check_done_again(held, said, hand)
        return entry.change(
            held,
            result=word,
            done_on=said.done_on,
            done_by=said.done_by.strip(),
            measured=said.measured.strip(),
            count_all=said.count_all if said.count_all is not None else held.count_all,
            count_done=said.count_done,
            certificate=said.certificate.strip(),
            photo=said.photo,
            note=said.note.strip() or held.note,
        )


def withdraw_inspection(*, inspection: Inspection, hand: Hand) -> Inspection:
    """Take back that something shall be tested; nothing waits for it any more.

    Raises
    ------
    InvalidInput
        It failed, and nobody says why that does not count.
    """
    summary = f"took back the test: {inspection_said(inspection)}"
    with write(verb="change_inspection", summary=summary, hand=hand, job=inspection.job) as entry:
        held = _held(inspection)
        if held.result == "failed" and not hand.why.strip():
            raise InvalidInput(
                "why", needs="why a test that failed does not count", came="",
                remedy="Such as: the crankshaft was replaced.",
            )  # fmt: skip
        return entry.change(held, withdrawn=True)


def inspections_of(job: Job) -> list[Inspection]:
    """Return the inspections of a job: those failed first, then those still to be done."""
    order = {"failed": 0, "wanted": 1, "passed": 2}
    rows = Inspection.objects.filter(job=job, withdrawn=False).select_related(
        "area", "lot", "feature_set", "photo"
    )
    return sorted(rows.order_by("pk"), key=lambda row: order[row.result])


def inspection_by_id(job: Job, inspection_id: int) -> Inspection:
    """Return an inspection of a job, or raise NotFound saying so."""
    rows = Inspection.objects.select_related("job", "area", "lot", "feature_set", "photo")
    found = rows.filter(job=job, pk=inspection_id).first()
    if found is None:
        raise NotFound(f"There is no test {inspection_id} in {job.name}.")
    return found


def gates_open(job: Job, *, gates: str = "machining") -> list[Inspection]:
    """Return the inspections that something still waits for: not done yet, or failed."""
    rows = _open(gates).filter(job=job).select_related("area", "lot", "feature_set")
    return list(rows.order_by("pk"))


def gates_of_areas(areas: list[int]) -> dict[int, list[KitGate]]:
    """Return what the building of each area waits for, by the area's id."""
    found: dict[int, list[KitGate]] = {}
    rows = _open("build").filter(area__in=areas).order_by("pk")
    for area_id, kind, what, result in rows.values_list("area_id", "kind", "what", "result"):
        assert area_id is not None
        found.setdefault(area_id, []).append(KitGate(said_of(kind, what), failed=result == "failed"))
    return found


def inspection_said(inspection: Inspection) -> str:
    """Say a test by its name."""
    return said_of(inspection.kind, inspection.what)


def said_of(kind: str, what: str) -> str:
    """Say a test of a kind by its name: one of another kind by what it is alone."""
    return what.strip() if kind == "other" else f"{dict(INSPECTIONS).get(kind, kind)}: {what.strip()}"


def _open(gates: str) -> QuerySet[Inspection]:
    return Inspection.objects.filter(gates=gates, withdrawn=False).exclude(result="passed")


def _held(inspection: Inspection) -> Inspection:
    held = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if held.withdrawn:
        raise Conflict(f"The test '{inspection_said(held)}' was taken back meanwhile.")
    return held


def _columns(said: SaidOfInspection, area: Area | None) -> dict[str, object]:
    return {
        "kind": said.kind,
        "what": said.what.strip(),
        "gates": said.gates,
        "area": area,
        "lot": said.lot,
        "feature_set": said.feature_set,
        "count_all": said.count_all,
        "note": said.note.strip(),
    }


def _area_of(said: SaidOfInspection) -> Area | None:
    """Return where it is: as said, else where the set or the lot is."""
    of_set = said.feature_set.area if said.feature_set else None
    return said.area or of_set or (said.lot.area if said.lot else None)


def _check(job: Job, said: SaidOfInspection, area: Area | None) -> None:
    for name, value, known in (("kind", said.kind, INSPECTIONS), ("gates", said.gates, GATES)):
        if value not in dict(known):
            raise InvalidInput(name, needs=f"one of {', '.join(dict(known).values())}", came=value)
    if not said.what.strip():
        raise InvalidInput(
            "what", needs="what is tested", came="", remedy="Such as: the crankshaft, all journals."
        )
    if said.gates == "build" and area is None:
        raise InvalidInput("area", needs="the area whose building waits for it", came="none")
    if said.count_all is not None and said.count_all < 1:
        raise InvalidInput("how many", needs="one or more", came=said.count_all)
    for row in (area, said.lot, said.feature_set):
        if row is not None and row.job_id != job.pk:
            raise Conflict("A test, its area, its pieces and what was measured of them belong to one job.")


def _check_result(said: SaidResult) -> None:
    if not said.done_by.strip():
        raise InvalidInput("tested by", needs="who tested it, a person or a shop", came="")
    if said.done_on > timezone.localdate():
        raise InvalidInput("tested on", needs="a day that has been", came=f"{said.done_on:%-d %b %Y}")


def _check_counts(held: Inspection, said: SaidResult) -> None:
    count_all = said.count_all if said.count_all is not None else held.count_all
    if said.count_done is not None and count_all is not None and said.count_done > count_all:
        raise InvalidInput("how many done", needs=f"at most {count_all}, as many as there are",
                           came=said.count_done)  # fmt: skip
    if not (said.passed and held.kind == OILWAYS):
        return
    if not count_all:
        raise InvalidInput("how many", needs="the number of all oilways, counted", came="")
    if said.count_done != count_all:
        raise InvalidInput(
            "how many done", needs=f"all {count_all} oilways opened, cleaned and found clear",
            came="" if said.count_done is None else said.count_done,
            remedy="Until the last one is clear it has not passed.",
        )  # fmt: skip


def _check_done_again(held: Inspection, said: SaidResult, hand: Hand) -> None:
    """A test that failed passes only by being done anew, and with a word on what was done in between."""
    before = (held.done_on, held.done_by, held.measured, held.certificate, held.count_done)
    now = (said.done_on, said.done_by.strip(), said.measured.strip(), said.certificate.strip())
    if (*now, said.count_done) == before or (held.done_on is not None and said.done_on < held.done_on):
        raise InvalidInput(
            "result", needs="a new test, since the last one failed", came="the day and figures of that one",
            remedy="Test it again, and say when, by whom and what came of it.",
        )  # fmt: skip
    if not hand.why.strip():
        raise InvalidInput(
            "why", needs="what was done since it failed", came="",
            remedy="Such as: the rod was replaced, the core plug was set anew.",
        )  # fmt: skip
