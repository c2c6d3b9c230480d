"""What the page of one fit shows: the chosen pair drawn, its numbers, and what machining steps would give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from runningfit.core.joints.press_fits.judging import PressAnswer
from runningfit.core.joints.running_fits.oil_film import FilmAnswer
from runningfit.core.joints.running_fits.shells import ShellGrade
from runningfit.core.measurements.conformity.decision import percent
from runningfit.core.measurements.uncertainty.measured import REFERENCE_TEMPERATURE_C, coverage_factor
from runningfit.core.units import MM_PER_INCH, LengthUnit
from runningfit.core.verdicts import Outcome
from runningfit.web.joints.fit_drawing import fit_drawing
from runningfit.web.joints.fit_saying import (
    CANNOT_TELL,
    PairLine,
    doubt_words,
    hot_words,
    limits_words,
    number,
    pair_line,
    size,
    span_words,
)
from runningfit.workshop.joints.fit_answers import CannotTell, JudgedFit, JudgedPair, PairAnswer
from runningfit.workshop.joints.fit_judging import CALLED, judge_one
from runningfit.workshop.joints.fit_models import RunningFit
from runningfit.workshop.joints.fit_pairing import LastRead
from runningfit.workshop.joints.fit_shells import fitted_grades, grades_of
from runningfit.workshop.joints.fit_steps import PlannedSteps, WhatStepsGive, what_steps_give
from runningfit.workshop.joints.fits import RINGS
from runningfit.workshop.measurements.corrected import CorrectedPoint
from runningfit.workshop.measurements.models import FeatureSet
from runningfit.workshop.treatments.models import MachiningPlan

_ORDER = (Outcome.NOT_SOUND, Outcome.NOT_PROVEN, None, Outcome.SOUND)


@dataclass(frozen=True, slots=True)
class NumberRow:
    """One figure of a pair: what it is, the figure, how sure it is, where it comes from."""

    name: str
    value: str
    doubt: str
    where: str


def fit_shown(fit: RunningFit, wanted: str, unit: str) -> dict[str, Any]:
    """Return what the page of a fit shows; the worst pair where none was asked for."""
    judged = judge_one(fit)
    lines = [pair_line(judged, pair, unit) for pair in judged.pairs]
    shown = next((one for one in lines if one.pair.name == wanted), None) or min(
        lines, key=lambda one: _ORDER.index(one.pair.outcome), default=None
    )
    page: dict[str, Any] = {
        "fit": fit,
        "judged": judged,
        "lines": lines,
        "line": shown,
        "cannot_tell": CANNOT_TELL,
        "limits": limits_words(judged.limits, unit),
        "limits_source": "; ".join(dict.fromkeys(one.source for one in judged.limits if one.source)),
        "plans": _plans(judged, unit),
        "unread": _unread(fit, shown.pair) if shown is not None else [],
    }
    if shown is not None and isinstance(shown.pair.answer, PairAnswer):
        page |= _answered(judged, shown, shown.pair.answer, unit)
    return page


def _unread(fit: RunningFit, pair: JudgedPair) -> list[FeatureSet]:
    """Return the sets in which a part of the pair is not read."""
    return [one for one, read in ((fit.hole_set, pair.hole), (fit.shaft_set, pair.shaft)) if read is None]


def _answered(judged: JudgedFit, line: PairLine, answer: PairAnswer, unit: str) -> dict[str, Any]:
    fit, pair = judged.fit, line.pair
    assert pair.hole is not None
    assert pair.shaft is not None
    drawn = None
    if fit.kind not in RINGS and fit.kind != "end_float":
        drawn = fit_drawing(
            answer, judged.limits, called=CALLED[fit.kind][:2], size_mm=pair.shaft.widest.value, unit=unit,
            press=judged.is_press,
        )  # fmt: skip
    return {
        "answer": answer,
        "verdict": answer.verdict.in_unit(LengthUnit(unit)),
        "drawing": drawn,
        "numbers": _numbers(judged, pair, answer, unit),
        "cautions": tuple(
            one.in_unit(LengthUnit(unit))
            for one in dict.fromkeys((*answer.verdict.cautions, *judged.cautions))
        ),
        "shells": [
            (one, number(one.clearance_mm, unit), percent(one.probability_within)) for one in answer.shells
        ],
        "all_shells": _all_shells(judged, unit),
        "film": _film(answer, unit),
        "film_untold": isinstance(answer.film, CannotTell),
        "press": _press_rows(answer.press) if answer.press else [],
    }


def _film(answer: PairAnswer, unit: str) -> FilmAnswer | CannotTell | None:
    film = answer.film
    if isinstance(film, FilmAnswer):
        return replace(film, verdict=film.verdict.in_unit(LengthUnit(unit)))
    return film


def _numbers(judged: JudgedFit, pair: JudgedPair, answer: PairAnswer, unit: str) -> list[NumberRow]:
    assert pair.hole is not None
    assert pair.shaft is not None
    fit, press = judged.fit, judged.is_press
    rows = [
        *_sizes(CALLED[fit.kind][0], pair.hole, unit, fit.hole_set.name),
        *_sizes(CALLED[fit.kind][1], pair.shaft, unit, fit.shaft_set.name),
    ]
    fitted = fitted_grades(fit, pair.name)
    if fitted:
        rows += [_grade_row(grade, unit, "as fitted") for grade in dict.fromkeys(fitted)]
    elif fit.shell_mm is not None:
        spread = fit.typed.get("shell_spread", "")
        rows.append(
            NumberRow("one shell", fit.typed.get("shell", ""), f"± {spread}" if spread else "", "as typed")
        )
    elif answer.shells:
        rows.append(_grade_row(_grade(fit, answer.shells[0].upper), unit, "as typed"))
    called = "interference" if press else "gap" if fit.kind in RINGS else "clearance"
    least, most = answer.as_read_mm
    low, high = (number(one, unit) for one in ((-most, -least) if press else (least, most)))
    said = f"{low} {unit}" if low == high else f"{low} to {high} {unit}"
    rows.append(NumberRow(f"{called} as the gauges said it", said, "", "nothing taken off"))
    rows.append(
        NumberRow(
            f"{called} at 20 °C",
            span_words(answer.cold, unit, press=press),
            doubt_words(answer.cold.close, unit),
            "gauge errors taken off; what gauges share is counted once",
        )
    )
    if answer.hot is not None:
        hole, shaft = fit.typed.get("hole_hot", ""), fit.typed.get("shaft_hot", "")
        rows.append(
            NumberRow(
                f"{called} hot", hot_words(answer.hot, unit), doubt_words(answer.hot.close, unit),
                f"{CALLED[fit.kind][0]} at {hole}, {CALLED[fit.kind][1]} at {shaft}",
            )
        )  # fmt: skip
    return rows


def _grade(fit: RunningFit, name: str) -> ShellGrade:
    return next(one for one in grades_of(fit) if one.name == name)


def _grade_row(grade: ShellGrade, unit: str, where: str) -> NumberRow:
    ends = f"{size(grade.low_mm, unit)} to {size(grade.high_mm, unit)}"
    return NumberRow(f"one shell, grade {grade.name}", ends, "", where)


def _sizes(called: str, read: LastRead, unit: str, set_name: str) -> list[NumberRow]:
    where = f"{set_name}, {'as it came back' if read.round else 'as found'}"
    if len(read.points) == 1:
        return [NumberRow(called, size(read.widest.value, unit), _doubt(read.widest, unit), where)]
    return [
        NumberRow(
            f"narrowest {called}", size(read.narrowest.value, unit), _doubt(read.narrowest, unit), where
        ),
        NumberRow(f"widest {called}", size(read.widest.value, unit), _doubt(read.widest, unit), where),
    ]


def _doubt(point: CorrectedPoint, unit: str) -> str:
    whole = point.whole
    reach = coverage_factor(0.95, max(1.0, whole.dof)) * whole.u
    return f"± {reach / MM_PER_INCH:.5f}" if unit == "in" else f"± {reach:.4f}"


def _all_shells(judged: JudgedFit, unit: str) -> list[tuple[str, list[tuple[str, str, str, bool]]]]:
    """Each bearing with what each grade would give: name, clearance, probability, whether it is the best."""
    return [
        (
            pair.name,
            [
                (one.upper, number(one.clearance_mm, unit), percent(one.probability_within), place == 0)
                for place, one in enumerate(pair.answer.shells)
            ],
        )
        for pair in judged.pairs
        if isinstance(pair.answer, PairAnswer) and pair.answer.shells
    ]


def _press_rows(press: PressAnswer) -> list[tuple[str, str]]:
    found = press.figures
    heat, cool = REFERENCE_TEMPERATURE_C + found.heat_outer_k, REFERENCE_TEMPERATURE_C - found.cool_inner_k
    rows = [
        (
            "pressure",
            f"{found.usual.pressure_mpa:.1f} MPa ({found.least.pressure_mpa:.1f} to "
            f"{found.most.pressure_mpa:.1f})",
        ),
        ("heat the outer part alone to", f"{heat:.0f} °C to touch; more to slide freely"),
        ("or cool the inner part alone to", f"{cool:.0f} °C" if cool > -196 else "colder than can be had"),
    ]
    if found.push_out_least_n is not None and found.push_out_most_n is not None:
        rows.insert(1, ("pushes out at", f"{found.push_out_least_n:.0f} to {found.push_out_most_n:.0f} N"))
    return rows


def _plans(judged: JudgedFit, unit: str) -> list[dict[str, Any]]:
    """What the machining plans of both sets would give, each with its rows or why nobody can tell."""
    fit = judged.fit
    if fit.kind in RINGS or fit.kind == "press":
        return []
    plans = MachiningPlan.objects.filter(
        feature_set__in=(fit.hole_set_id, fit.shaft_set_id), withdrawn=False
    ).select_related("feature_set")
    found = []
    for plan in plans:
        of_hole = plan.feature_set_id == fit.hole_set_id
        steps = tuple(float(one["step_mm"] or 0.0) for one in plan.steps)
        planned = PlannedSteps(of_hole, steps, plan.target_tolerance_mm, plan.finished_clearance_mm)
        gives = what_steps_give(judged, planned)
        untold = isinstance(gives, CannotTell)
        rows = _step_rows(gives, unit) if isinstance(gives, WhatStepsGive) else []
        found.append(
            {
                "set": plan.feature_set,
                "untold": gives if isinstance(gives, CannotTell) else None,
                "cautions": () if untold or isinstance(gives, CannotTell) else gives.cautions,
                "rows": rows,
                "brief": f"{len(rows)} line{'s' if len(rows) != 1 else ''}, step by step" if rows else "",
            }
        )
    return found


def _step_rows(gives: WhatStepsGive, unit: str) -> Sequence[tuple[str, str, str, str, str]]:
    return [
        (
            f"{number(one.step_mm, unit)} {unit}",
            "" if one.pair == "all" else one.pair,
            size(one.size_mm, unit),
            f"{number(one.low_mm, unit)} to {number(one.high_mm, unit)} {unit}",
            "" if one.within is None else percent(one.within),
        )
        for one in gives.rows
    ]
