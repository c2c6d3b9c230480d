"""Verbs of fits: begin with the usual ones of the sheet, add one's own, change or take one off."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.joints.running_fits.shells import ShellGrade
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.uncertainty.inputs import Shape, half_width_u
from runningfit.core.units import MM_PER_INCH
from runningfit.workshop.joints.fit_models import FIT_KINDS, RunningFit
from runningfit.workshop.joints.fit_typed import TypedSpan
from runningfit.workshop.measurements.models import BASES, FeatureSet
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.prepared import prepared
from runningfit.workshop.records.writing import Hand, write

RINGS = frozenset({"top_ring", "second_ring"})
# What a fit is made of, where it is not a round hole and a round shaft.
_MADE_OF = {
    **dict.fromkeys(RINGS, (FeatureKind.BORE, FeatureKind.GAP)),
    "end_float": (FeatureKind.LENGTH, FeatureKind.LENGTH),
}
_COLDEST_C, _WARMEST_C = -60.0, 900.0
_THINNEST_MM, _THICKEST_MM = 0.5, 20.0
_MOST_GRADES = 24


@dataclass(frozen=True, slots=True)
class ProposedFit:
    """A fit that the sets of a sheet suggest."""

    key: str
    kind: str
    name: str
    hole_set: FeatureSet
    shaft_set: FeatureSet


@dataclass(frozen=True, slots=True)
class SaidOfFit:
    """What is said of a fit; every figure with what was typed. ``shell_spread`` is either way, as a limit."""

    kind: str
    name: str
    hole_set: FeatureSet
    shaft_set: FeatureSet
    new_lower: TypedNumber | None = None
    new_upper: TypedNumber | None = None
    wear_upper: TypedNumber | None = None
    basis: str = ""
    source: str = ""
    hole_material: str = ""
    shaft_material: str = ""
    hole_hot: TypedSpan | None = None
    shaft_hot: TypedSpan | None = None
    shell: TypedNumber | None = None
    shell_spread: TypedNumber | None = None
    shell_material: str = ""
    shell_grades: tuple[ShellGrade, ...] = ()
    shell_grades_typed: str = ""
    crush: TypedSpan | None = None
    read_in: TypedNumber | None = None
    length: TypedNumber | None = None
    friction: TypedSpan | None = None
    outer: TypedNumber | None = None
    inner_bore: TypedNumber | None = None
    roughness: TypedNumber | None = None
    push: TypedNumber | None = None
    load: TypedNumber | None = None
    speed: TypedNumber | None = None
    viscosity: TypedNumber | None = None


# Kind of the fit, its name, and the purposes of the sets that make it.
_USUAL = (
    ("piston", "pistons in their bores", "bores", "pistons"),
    ("bearing", "main bearings", "main_housings", "mains"),
    ("bearing", "big-end bearings", "big_ends", "crankpins"),
    ("guide", "valve stems in their guides", "guides", "stems"),
    ("top_ring", "top ring gaps", "bores", "ring_gaps"),
)


def fits_of_job(job: Job) -> list[RunningFit]:
    """Return the fits of a job with their sets, in one question to the database."""
    return fits_of(job.pk)


@prepared
def fits_of(job_id: int) -> QuerySet[RunningFit]:
    """Return the fits of the job of a key with their sets."""
    rows = RunningFit.objects.filter(
        job=job_id, withdrawn=False, hole_set__withdrawn=False, shaft_set__withdrawn=False
    )
    return rows.select_related("hole_set__engine", "shaft_set__engine").order_by("id")


def fit_by_id(job: Job, fit_id: int) -> RunningFit:
    """Return a fit of a job, or raise NotFound saying so."""
    one = (
        RunningFit.objects.filter(job=job, pk=fit_id, withdrawn=False)
        .select_related("job", "hole_set__instrument", "shaft_set__instrument")
        .first()
    )
    if one is None:
        raise NotFound(f"There is no fit {fit_id} in {job.name}.")
    return one


def proposed_fits(sets: Iterable[FeatureSet], there: Iterable[RunningFit]) -> list[ProposedFit]:
    """Propose the usual fits that the sets of a sheet make and that nobody added yet.

    Parameters
    ----------
    sets : iterable of FeatureSet
        Of one job, with their engines where they have one.
    there : iterable of RunningFit
        The fits it has already.
    """
    by_engine: dict[int | None, dict[str, FeatureSet]] = {}
    for one in sets:
        if one.purpose:
            by_engine.setdefault(one.engine_id, {}).setdefault(one.purpose, one)
    has = {(one.hole_set_id, one.shaft_set_id) for one in there}
    return [
        ProposedFit(
            f"{hole}-{shaft}-{engine or 0}", kind, _named(name, of[hole], by_engine), of[hole], of[shaft]
        )
        for engine, of in by_engine.items()
        for kind, name, hole, shaft in _USUAL
        if hole in of and shaft in of and (of[hole].pk, of[shaft].pk) not in has
    ]


def add_proposed(
    *, job: Job, proposed: Sequence[ProposedFit], keys: Collection[str], hand: Hand
) -> list[RunningFit]:
    """Add those of the proposed fits that were chosen.

    Raises
    ------
    InvalidInput
        Nothing was chosen, or something that is not proposed any more.
    """
    chosen = [one for one in proposed if one.key in keys]
    if not chosen or len(chosen) < len(set(keys)):
        raise InvalidInput(
            "fits", needs="one or more of those offered", came=", ".join(sorted(keys)) or "nothing",
            remedy="Somebody may have added them meanwhile: look at the list.",
        )  # fmt: skip
    names = ", ".join(one.name for one in chosen)
    with write(verb="add_fit", summary=f"added fits: {names}", hand=hand, job=job) as entry:
        return [
            entry.create(
                RunningFit(
                    job=job, kind=one.kind, name=one.name, hole_set=one.hole_set, shaft_set=one.shaft_set
                )
            )
            for one in chosen
        ]


def add_fit(*, job: Job, said: SaidOfFit, hand: Hand) -> RunningFit:
    """Add a fit of one's own.

    Raises
    ------
    InvalidInput
        It has no name, its sets make no such fit, or a figure cannot be.
    """
    check_fit(said, job)
    with write(verb="add_fit", summary=f"added the fit {said.name}", hand=hand, job=job) as entry:
        return entry.create(RunningFit(job=job, **_columns(said)))


def change_fit(*, fit: RunningFit, said: SaidOfFit, hand: Hand) -> RunningFit:
    """Change what is known of a fit.

    Raises
    ------
    InvalidInput
        What was said does not go together.
    """
    check_fit(said, fit.job)
    with write(verb="change_fit", summary=f"changed the fit {fit.name}", hand=hand, job=fit.job) as entry:
        held = _held(fit)
        _need_fitted_grades(held, said)
        return entry.change(held, **_columns(said))


def _need_fitted_grades(held: RunningFit, said: SaidOfFit) -> None:
    """Refuse to lose the grade of shells that are fitted."""
    known = {one.name for one in said.shell_grades}
    for bearing, grades in held.fitted_shells.items():
        lost = next((one for one in grades if one not in known), None)
        if lost is not None:
            raise InvalidInput(
                "shell grades", needs=f"the grade {lost}, which is fitted in {bearing}", came="",
                remedy="Say first, at the fit, what is fitted there now.",
            )  # fmt: skip


def withdraw_fit(*, fit: RunningFit, hand: Hand) -> RunningFit:
    """Take a fit off; the readings of its sets stay."""
    with write(verb="change_fit", summary=f"took off the fit {fit.name}", hand=hand, job=fit.job) as entry:
        return entry.change(_held(fit), withdrawn=True)


def _held(fit: RunningFit) -> RunningFit:
    held = RunningFit.objects.select_for_update().get(pk=fit.pk)
    if held.withdrawn:
        raise Conflict(f"The fit {held.name} was taken off meanwhile. Look at its history.")
    return held


def _named(name: str, one: FeatureSet, by_engine: dict[int | None, dict[str, FeatureSet]]) -> str:
    return f"{name}, {one.engine}" if len(by_engine) > 1 and one.engine is not None else name


def check_fit(said: SaidOfFit, job: Job) -> None:
    """Refuse a fit whose sets make none, or whose figures cannot be."""
    if said.kind not in dict(FIT_KINDS):
        raise InvalidInput("kind", needs=f"one of {', '.join(dict(FIT_KINDS).values())}", came=said.kind)
    if not said.name.strip():
        raise InvalidInput("name", needs="what it is, such as main bearings", came="nothing")
    _check_sets(said, job)
    _check_limits(said)
    for name, span, low, high in (
        ("hole hot", said.hole_hot, _COLDEST_C, _WARMEST_C),
        ("shaft hot", said.shaft_hot, _COLDEST_C, _WARMEST_C),
        ("crush", said.crush, 0.0, 1.0),
        ("friction", said.friction, 0.01, 1.0),
    ):
        if span is not None and not low <= span.low <= span.high <= high:
            raise InvalidInput(name, needs=f"{low:g} to {high:g}", came=span.typed, remedy="Check the unit.")
    if (said.hole_hot is None) != (said.shaft_hot is None):
        missing = "hole hot" if said.hole_hot is None else "shaft hot"
        raise InvalidInput(
            missing, needs="a temperature too, for the other part has one", came="nothing",
            remedy="Type both, or neither.",
        )  # fmt: skip
    if said.shell is not None and not _THINNEST_MM <= said.shell.value <= _THICKEST_MM:
        raise InvalidInput(
            "shell", needs=f"{_THINNEST_MM:g} to {_THICKEST_MM:g} mm", came=said.shell.typed,
            remedy="It is the thickness of one shell at its crown.",
        )  # fmt: skip
    if len(said.shell_grades) > _MOST_GRADES:
        raise InvalidInput("shell grades", needs=f"at most {_MOST_GRADES}", came=f"{len(said.shell_grades)}")
    for name in ("shell_spread", "read_in", "length", "outer", "push", "load", "speed", "viscosity"):
        figure: TypedNumber | None = getattr(said, name)
        if figure is not None and figure.value <= 0:
            raise InvalidInput(name.replace("_", " "), needs="more than nothing", came=figure.typed)


def _check_sets(said: SaidOfFit, job: Job) -> None:
    hole, shaft = said.hole_set, said.shaft_set
    for name, one in (("hole set", hole), ("shaft set", shaft)):
        if one.job_id != job.pk or one.withdrawn:
            raise InvalidInput(name, needs="a set on this job's sheet", came=one.name)
    if hole.pk == shaft.pk:
        raise InvalidInput("shaft set", needs="another set than the one around it", came=shaft.name)
    kinds = _MADE_OF.get(said.kind, (FeatureKind.BORE, FeatureKind.SHAFT))
    for name, one, needed in (("hole set", hole, kinds[0]), ("shaft set", shaft, kinds[1])):
        if FeatureKind(one.kind) is not needed:
            raise InvalidInput(
                name, needs=f"a set of this sort: {needed.said}",
                came=f"{one.name} ({FeatureKind(one.kind).said})",
                remedy="Swap them, or choose another sort of fit.",
            )  # fmt: skip


def _check_limits(said: SaidOfFit) -> None:
    lower, upper, worn = said.new_lower, said.new_upper, said.wear_upper
    given = [one for one in (lower, upper, worn) if one is not None]
    for first, second, name in ((lower, upper, "new_upper"), (lower, worn, "wear_upper")):
        if first is not None and second is not None and first.value >= second.value:
            raise InvalidInput(
                name.replace("_", " "), needs="to lie above the lower limit",
                came=f"{first.typed} and {second.typed}", remedy="They are upside down, or the same.",
            )  # fmt: skip
    if upper is not None and worn is not None and worn.value < upper.value:
        raise InvalidInput(
            "wear upper", needs="to be no less than the largest of new parts",
            came=f"{worn.typed} beside {upper.typed}", remedy="Check which is which.",
        )  # fmt: skip
    far = next((one for one in given if one.value > MM_PER_INCH), None)
    if far is not None:
        raise InvalidInput(
            "new upper", needs="a clearance on diameter", came=far.typed, remedy="Check the unit."
        )
    if given and said.basis not in dict(BASES):
        raise InvalidInput("basis", needs=f"one of {', '.join(dict(BASES).values())}", came=said.basis)
    if given and said.basis in ("manual", "sheet") and not said.source.strip():
        raise InvalidInput(
            "source", needs="the page the limits stand on", came="nothing",
            remedy="Without a page, say that they are common practice.",
        )  # fmt: skip


def _columns(said: SaidOfFit) -> dict[str, object]:
    numbers = {
        "new_lower": said.new_lower, "new_upper": said.new_upper, "wear_upper": said.wear_upper,
        "shell": said.shell, "shell_spread": said.shell_spread, "read_in": said.read_in,
        "length": said.length, "outer": said.outer, "inner_bore": said.inner_bore,
        "roughness": said.roughness, "push": said.push, "load": said.load, "speed": said.speed,
        "viscosity": said.viscosity,
    }  # fmt: skip
    spans = {
        "hole_hot": said.hole_hot, "shaft_hot": said.shaft_hot, "crush": said.crush,
        "friction": said.friction,
    }  # fmt: skip
    typed = {name: one.typed for name, one in {**numbers, **spans}.items() if one is not None}
    if said.shell_grades:
        typed["shell_grades"] = said.shell_grades_typed
    given = any(one is not None for one in (said.new_lower, said.new_upper, said.wear_upper))

    def value(name: str) -> float | None:
        one = numbers[name]
        return one.value if one is not None else None

    def end(name: str, which: str) -> float | None:
        one = spans[name]
        return getattr(one, which) if one is not None else None

    spread = value("shell_spread")
    return {
        "kind": said.kind,
        "name": said.name.strip(),
        "hole_set": said.hole_set,
        "shaft_set": said.shaft_set,
        "new_lower_mm": value("new_lower"),
        "new_upper_mm": value("new_upper"),
        "wear_upper_mm": value("wear_upper"),
        "basis": said.basis if given else "",
        "source": said.source.strip() if given else "",
        "hole_material": said.hole_material.strip(),
        "shaft_material": said.shaft_material.strip(),
        "hole_hot_low_c": end("hole_hot", "low"),
        "hole_hot_high_c": end("hole_hot", "high"),
        "shaft_hot_low_c": end("shaft_hot", "low"),
        "shaft_hot_high_c": end("shaft_hot", "high"),
        "shell_mm": value("shell"),
        "shell_u_mm": None if spread is None else half_width_u(spread, Shape.RECTANGULAR),
        "shell_material": said.shell_material.strip(),
        "shell_grades": [
            {"name": one.name, "low_mm": one.low_mm, "high_mm": one.high_mm} for one in said.shell_grades
        ],
        "crush_low_mm": end("crush", "low"),
        "crush_high_mm": end("crush", "high"),
        "read_in_mm": value("read_in"),
        "length_mm": value("length"),
        "friction_low": end("friction", "low"),
        "friction_high": end("friction", "high"),
        "outer_mm": value("outer"),
        "inner_bore_mm": value("inner_bore"),
        "roughness_mm": value("roughness"),
        "push_n": value("push"),
        "load_n": value("load"),
        "speed_rpm": value("speed"),
        "viscosity_mpa_s": value("viscosity"),
        "typed": typed,
    }
