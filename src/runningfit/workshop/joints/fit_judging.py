"""Every fit of a job judged, number by number, from what its features measure now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits import pairs as running
from runningfit.core.joints.running_fits.clearance import Member
from runningfit.core.joints.running_fits.clearance import Reading as Size
from runningfit.core.joints.running_fits.clearance import RunningFit as Sizes
from runningfit.core.joints.running_fits.fit_limits import (
    FitLimits,
    FitRole,
    LimitsFor,
    sanity_band,
)
from runningfit.core.joints.running_fits.judging import judge_running_fit
from runningfit.core.joints.running_fits.oil_film import FilmAnswer, FilmCase, oil_film
from runningfit.core.joints.running_fits.shells import ShellChoice, ShellGrade
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.decision import Decision
from runningfit.core.measurements.uncertainty.inputs import Shape, half_width_u
from runningfit.core.units import SaidLength, SentencePart
from runningfit.core.verdicts import Reason
from runningfit.workshop.joints.fit_answers import CannotTell, JudgedFit, JudgedPair, PairAnswer, Span
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_pairing import (
    LastRead,
    LastReadSet,
    cautions_of_sets,
    expansion_of,
    last_read,
    missing_words,
    pairs_of,
    size_of,
)
from runningfit.workshop.joints.fit_pressing import judge_pressed
from runningfit.workshop.joints.fit_rings import judge_ring
from runningfit.workshop.joints.fit_shells import fitted_grades, grades_for, grades_of
from runningfit.workshop.joints.fit_throughout import throughout, with_throughout
from runningfit.workshop.joints.fit_verdicts import state_said, with_gauges_named, worse_verdict
from runningfit.workshop.joints.fits import RINGS, fits_of
from runningfit.workshop.measurements.sheet_now import SheetNow, sheet_of
from runningfit.workshop.records.models import Job

_ROLES = {
    "piston": FitRole.PISTON,
    "bearing": FitRole.BEARING,
    "bush": FitRole.BEARING,
    "guide": FitRole.GUIDE,
    "inlet_guide": FitRole.INLET_GUIDE,
    "exhaust_guide": FitRole.EXHAUST_GUIDE,
    "pin": FitRole.PIN,
    "end_float": FitRole.END_FLOAT,
    "top_ring": FitRole.TOP_RING,
    "second_ring": FitRole.SECOND_RING,
}
# What the two parts are called, and how they are put together.
CALLED = {
    "piston": ("bore", "piston", running.piston_in_bore),
    "bearing": ("housing", "journal", running.journal_in_bush),
    "bush": ("bearing", "journal", running.journal_in_bush),
    "guide": ("guide", "stem", running.stem_in_guide),
    "inlet_guide": ("guide", "stem", running.stem_in_guide),
    "exhaust_guide": ("guide", "stem", running.stem_in_guide),
    "pin": ("bush", "pin", running.pin_in_eye),
    "end_float": ("distance between the faces", "width", running.end_float),
    "top_ring": ("bore", "ring gap", running.shaft_in_hole),
    "second_ring": ("bore", "ring gap", running.shaft_in_hole),
    "press": ("hole", "part within", running.shaft_in_hole),
    "other": ("hole", "shaft", running.shaft_in_hole),
}
# What shells take off, and how often each counts.
_Shells = tuple[tuple[float, Size], ...]
_OF_THE_MAKER = frozenset({"manual", "sheet"})
_FILMED = frozenset({"bearing", "bush"})


def judged_fits(job: Job) -> list[JudgedFit]:
    """Return all fits of a job judged, in the order they were added, in few questions to the database."""
    return fits_of_sheet(job, sheet_of(job))


def fits_of_sheet(job: Job, sheet: SheetNow) -> list[JudgedFit]:
    """Return all fits of a job judged, in the order they were added, by its sheet."""
    return sheet.once(_judged_by, job.pk)


def judge_one(fit: RunningFit) -> JudgedFit:
    """Return one fit judged, whose sets came with it."""
    return _judged_all([fit], SheetNow([fit.hole_set, fit.shaft_set]))[0]


def _judged_by(sheet: SheetNow, job_id: int) -> list[JudgedFit]:
    return _judged_all(fits_of(job_id), sheet)


def _judged_all(fits: Sequence[RunningFit], sheet: SheetNow) -> list[JudgedFit]:
    if not fits:
        return []
    read = last_read(sheet)
    names = {pk: one.name for pk, one in sheet.cupboard.instruments.items()}
    return [judge_fit(fit, read[fit.hole_set_id], read[fit.shaft_set_id], names) for fit in fits]


def judge_fit(
    fit: RunningFit, holes: LastReadSet, shafts: LastReadSet, gauges: Mapping[int, str]
) -> JudgedFit:
    """Judge one fit from its sets as they were read last; gauges are called by these names."""
    limits = limits_of(fit, holes)
    judged = []
    for pair in pairs_of(holes, shafts):
        missing = missing_words(pair, holes.feature_set, shafts.feature_set)
        answer: PairAnswer | CannotTell
        if missing or pair.hole is None or pair.shaft is None:
            answer = CannotTell(missing, "Read it, or put it on the sheet under the same number.")
        else:
            answer = _answer_of(_told(fit, pair.name, pair.hole, pair.shaft, limits))
            if isinstance(answer, PairAnswer):
                answer = replace(answer, verdict=with_gauges_named(answer.verdict, gauges))
        judged.append(JudgedPair(pair.name, pair.hole, pair.shaft, answer))
    return JudgedFit(fit, limits, tuple(judged), cautions_of_sets((holes, shafts)))


def limits_of(fit: RunningFit, holes: LastReadSet) -> tuple[FitLimits, ...]:
    """Return what a fit is held against: its typed limits, or else what other makers or the trade allow."""
    own = fit.basis in _OF_THE_MAKER
    said = "" if own else fit.get_basis_display()
    source = fit.source or said
    found = []
    if fit.new_lower_mm is not None or fit.new_upper_mm is not None:
        bounds = Bounds(fit.new_lower_mm, fit.new_upper_mm)
        found.append(FitLimits(bounds, LimitsFor.NEW, source, not own, said))
    if fit.wear_upper_mm is not None:
        # What is worn may be looser than new, and never tighter.
        bounds = Bounds(fit.new_lower_mm, fit.wear_upper_mm)
        found.append(FitLimits(bounds, LimitsFor.WEAR, source, not own, said))
    role = _ROLES.get(fit.kind)
    if found or role is None:
        return tuple(found)
    sizes = [one.widest.value for one in holes.features.values() if one.points]
    nominal = fit.hole_set.nominal or max(sizes, default=0.0)
    if nominal <= 0:
        return ()
    bands = (sanity_band(role, nominal, used_for) for used_for in LimitsFor)
    return tuple(one for one in bands if one is not None)


@dataclass(frozen=True, slots=True)
class _Told:
    """A pair; all that its answer follows from stands in what is compared."""

    values: tuple[object, ...]
    name: str
    limits: tuple[FitLimits, ...]
    fit: RunningFit = field(compare=False)
    hole: LastRead = field(compare=False)
    shaft: LastRead = field(compare=False)


def _told(
    fit: RunningFit, name: str, hole: LastRead, shaft: LastRead, limits: tuple[FitLimits, ...]
) -> _Told:
    of_fit = (repr(getattr(fit, each.attname)) for each in RunningFit._meta.concrete_fields)
    metals = fit.hole_set.material, fit.shaft_set.material
    read = ((one.round, one.as_read, tuple(one.points.items())) for one in (hole, shaft))
    return _Told((*of_fit, *metals, *read), name, limits, fit, hole, shaft)


@lru_cache(maxsize=512)
def _answer_of(told: _Told) -> PairAnswer | CannotTell:
    """One reading more must not judge all other pairs anew."""
    try:
        return _judged(told.fit, told.name, told.hole, told.shaft, told.limits)
    except InvalidInput as error:
        return CannotTell(str(error), "Look at both readings, and at what is said of the fit.")


def _judged(
    fit: RunningFit, name: str, hole: LastRead, shaft: LastRead, limits: Sequence[FitLimits]
) -> PairAnswer | CannotTell:
    if fit.kind in RINGS:
        return judge_ring(fit, hole, shaft, limits)
    if fit.kind == "press":
        return judge_pressed(fit, hole, shaft, limits)
    shells: tuple[ShellChoice, ...] = ()
    chosen: _Shells = ()
    fitted: tuple[ShellGrade, ...] = ()
    if fit.kind == "bearing":
        if fit.shell_grades:
            shells = grades_for(fit, name, hole, shaft, limits)
        fitted = fitted_grades(fit, name)
        chosen = tuple((1.0, _grade_size(one)) for one in fitted) or _shell_sizes(fit, shells)
        if not chosen:
            return CannotTell(
                "The thickness of the shells was not told.",
                "Type it, or the grades that there are. Where the bearing was measured with its shells "
                "tightened in, choose that sort of fit.",
            )
    return _running(fit, hole, shaft, limits, chosen, shells, fitted)


def _shell_sizes(fit: RunningFit, shells: Sequence[ShellChoice]) -> _Shells:
    """Return what the shells take off: one thickness twice, or two shells of a grade, each as it came."""
    if fit.shell_mm is not None:
        return ((2.0, Size(fit.shell_mm, fit.shell_u_mm)),)
    if not shells:
        return ()
    size = _grade_size(next(one for one in grades_of(fit) if one.name == shells[0].upper))
    return ((1.0, size), (1.0, size))


def _grade_size(grade: ShellGrade) -> Size:
    half = (grade.high_mm - grade.low_mm) / 2
    return Size((grade.low_mm + grade.high_mm) / 2, half_width_u(half, Shape.RECTANGULAR), even_mm=half)


def _running(
    fit: RunningFit,
    hole: LastRead,
    shaft: LastRead,
    limits: Sequence[FitLimits],
    chosen: _Shells,
    shells: tuple[ShellChoice, ...],
    fitted: tuple[ShellGrade, ...],
) -> PairAnswer:
    renewed = bool(hole.round or shaft.round)
    ends = [("narrowest", hole.narrowest, "widest", shaft.widest)]
    if len(hole.points) > 1 or len(shaft.points) > 1:
        ends.append(("widest", hole.widest, "narrowest", shaft.narrowest))
    put = _put_together(fit, chosen)
    answers = []
    for hole_end, around, shaft_end, within in ends:
        called_hole, called_shaft, _ = CALLED[fit.kind]
        named = (
            f"{hole_end} {called_hole}" if len(hole.points) > 1 else called_hole,
            f"{shaft_end} {called_shaft}" if len(shaft.points) > 1 else called_shaft,
        )
        members = (
            _member(
                named[0], size_of(around), fit.hole_material or fit.hole_set.material, *_hot(fit, "hole")
            ),
            _member(
                named[1], size_of(within), fit.shaft_material or fit.shaft_set.material, *_hot(fit, "shaft")
            ),
        )
        answers.append(judge_running_fit(put(*members), limits, renewed=renewed))
    close, wide = answers[0].clearances, answers[-1].clearances
    hot = Span(close.hot, wide.hot) if close.hot is not None and wide.hot is not None else None
    cold = Span(close.at_20_c, wide.at_20_c)
    low, high = hole.as_read
    least, most = shaft.as_read
    taken = sum(times * one.mm for times, one in chosen)
    reasons = [state_said(hole, shaft)] if renewed else []
    if fitted:
        reasons.append(_fitted_said(fitted))
    elif shells and fit.shell_mm is None:
        reasons.append(_grade_said(fit, shells[0]))
    verdict = worse_verdict([one.verdict for one in answers])
    kept = None
    if answers[0].held:
        first = answers[0].held[0].limits
        kept = throughout(
            hole,
            shaft,
            first,
            taken_off=chosen,
            widened_mm=_crush(fit) or (0.0, 0.0),
            hot_mm=None if close.hot is None else close.hot.low_mm - close.at_20_c.low_mm,
        )
        if kept is not None:
            outside = any(one.held[0].decision is Decision.OUTSIDE for one in answers)
            places = len(hole.points) + len(shaft.points)
            verdict = with_throughout(verdict, kept, places, first, shown_outside=outside)
    return PairAnswer(
        replace(verdict, reasons=(*reasons, *verdict.reasons)),
        (low - taken - most, high - taken - least),
        cold,
        hot,
        shells,
        _film(fit, hot or cold, shaft) if fit.kind in _FILMED else None,
        kept=kept,
    )


def _put_together(fit: RunningFit, chosen: _Shells) -> Callable[[Member, Member], Sizes]:
    if not chosen:
        return CALLED[fit.kind][2]
    upper, *other = (_member("shell", size, fit.shell_material, *_hot(fit, "hole")) for _, size in chosen)
    lower = other[0] if other else None
    return lambda housing, journal: running.journal_in_shells(
        housing, upper, journal, _crush(fit), other_shell=lower
    )


def _crush(fit: RunningFit) -> tuple[float, float] | None:
    if fit.crush_low_mm is None or fit.crush_high_mm is None:
        return None
    return fit.crush_low_mm, fit.crush_high_mm


def _fitted_said(fitted: Sequence[ShellGrade]) -> Reason:
    each: list[SentencePart] = []
    for place, one in enumerate(fitted):
        each += [" and " if place else "", *_grade_parts(one), ","]
    return Reason.of(
        "Fitted are shells of grade ", *each, " and these are taken.", source="the shells as said"
    )


def _grade_said(fit: RunningFit, choice: ShellChoice) -> Reason:
    grade = next(one for one in grades_of(fit) if one.name == choice.upper)
    return Reason.of(
        "Shells of grade ",
        *_grade_parts(grade),
        ", come nearest to the middle of the limits and are taken here.",
        source="the table of shells as typed",
    )


def _grade_parts(grade: ShellGrade) -> tuple[SentencePart, ...]:
    return (
        f"{grade.name}, ", SaidLength(grade.low_mm, 4, bare=True), " to ", SaidLength(grade.high_mm, 4),
    )  # fmt: skip


def _member(said: str, size: Size, metal: str, low_c: float | None, high_c: float | None) -> Member:
    return Member(said, size, expansion_of(metal), hot_low_c=low_c, hot_high_c=high_c)


def _hot(fit: RunningFit, which: str) -> tuple[float | None, float | None]:
    if which == "hole":
        return fit.hole_hot_low_c, fit.hole_hot_high_c
    return fit.shaft_hot_low_c, fit.shaft_hot_high_c


def _film(fit: RunningFit, clearance: Span, shaft: LastRead) -> FilmAnswer | CannotTell | None:
    told = (fit.load_n, fit.speed_rpm, fit.viscosity_mpa_s)
    if all(one is None for one in told):
        return None
    load, speed, viscosity = told
    if load is None or speed is None or viscosity is None or fit.length_mm is None:
        return CannotTell(
            "The oil film needs load, speed, viscosity and the width of the bearing.", "Type all four."
        )
    try:
        return oil_film(
            FilmCase(
                shaft.widest.value, fit.length_mm, clearance.close.low_mm, clearance.wide.high_mm, load,
                speed, viscosity,
            )
        )  # fmt: skip
    except InvalidInput as error:
        return CannotTell(str(error), "Look at what was typed of load, speed, oil and width.")
