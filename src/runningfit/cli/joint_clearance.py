"""`runningfit joint clearance`: what runs in what, its clearance cold and hot, and whether that is right."""

from __future__ import annotations

import json
from dataclasses import replace
from math import sqrt
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli import joint_options as told
from runningfit.cli.spans import length_limits, temperature_span
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.joints.running_fits.clearance import ClearanceAt, Member, Reading, RunningFit
    from runningfit.core.joints.running_fits.fit_limits import FitLimits
    from runningfit.core.joints.running_fits.judging import ClearanceAnswer
    from runningfit.core.units.lengths import LengthUnit

_ROLES = ("piston", "bearing", "guide", "inlet-guide", "exhaust-guide", "pin", "end-float")
_GAUGE = "gauge or ring of both"


@click.command()
@click.option("--hole", required=True, metavar="LENGTH", help="Bore, housing, guide or distance as measured.")
@click.option("--shaft", required=True, metavar="LENGTH", help="Piston, journal, stem, pin or width.")
@click.option("--shell", metavar="LENGTH", help="Thickness of one shell; --hole is then its housing.")
@click.option("--crush", metavar="LENGTHS", help="By how much shells widen it, such as 0..0.008mm.")
@click.option("--u-hole", metavar="LENGTH", help="The hole's standard uncertainty, all told.")
@click.option("--u-shaft", metavar="LENGTH", help="The shaft's.")
@click.option("--u-shell", metavar="LENGTH", help="That of the shell.")
@click.option(
    "--shared",
    metavar="LENGTH",
    help="The part of both, hole's and shaft's, that one gauge or setting ring brought into both alike.",
)
@click.option("--hole-material", metavar="METAL", help='Such as "grey cast iron" or alpha=11e-6.')
@click.option("--shaft-material", metavar="METAL", help="Not told is any metal, at its careful end.")
@click.option("--shell-material", metavar="METAL", help="Not told is steel, as shells' backs are.")
@click.option("--measured-at", default="20C", show_default=True, metavar="T", help="Of parts and gauges.")
@click.option("--hole-temperature", metavar="T", help="As it runs, such as 90C or 80..100C.")
@click.option("--shaft-temperature", metavar="T", help="As it runs; shells are as warm as the hole.")
@click.option("--limits", metavar="LENGTHS", help="The maker's for new parts: 0.05..0.10mm.")
@click.option("--wear", metavar="LENGTHS", help="The maker's wear limits: ..0.15mm is at most.")
@click.option("--page", "source", default="", metavar="PAGE", help="The manual and page of the limits.")
@click.option("--used", is_flag=True, help="The parts stay as they are, so wear limits decide.")
@click.option("--as", "role", type=click.Choice(_ROLES), help="A sanity band where no limits are told.")
@click.option("--wanted", type=float, default=0.95, show_default=True, help="How probable it must be.")
@told.options("json")
def clearance(*, as_json: bool, used: bool, wanted: float, **given: Any) -> None:
    """Judge the clearance of two parts, at 20 °C and, with temperatures, hot."""
    from runningfit.core.joints.running_fits.judging import judge_running_fit

    fit = _fit(given)
    limits = _limits(given, fit.nominal_mm, used=used)
    answer = judge_running_fit(fit, limits, renewed=not used, wanted=wanted)
    unit = told.spoken_unit(given["hole"])
    answer = replace(answer, verdict=answer.verdict.in_unit(unit))
    if as_json:
        click.echo(json.dumps(_record(answer), ensure_ascii=False, indent=1))
        return
    found = answer.clearances
    lines = [str(answer.verdict.outcome).replace("_", " "), f"  at 20 °C {_shown(found.at_20_c, unit)}"]
    if found.hot is not None:
        lines.append(f"  hot {_shown(found.hot, unit)}")
    click.echo(told.page(answer.verdict, *lines))


def _shown(clearance_at: ClearanceAt, unit: LengthUnit) -> str:
    from runningfit.core.units.said_lengths import SaidLength, sentence

    low, high = clearance_at.interval_mm()
    share = "" if clearance_at.u_mm is None else ", with 95 %"
    between = SaidLength(low, 4, bare=True), " to ", SaidLength(high, 4)
    return sentence((SaidLength(clearance_at.middle_mm, 4), " (", *between, share, ")"), unit)


def _fit(given: dict[str, Any]) -> RunningFit:
    from runningfit.core.joints.running_fits import pairs

    if given["shell"] is None and given["crush"] is not None:
        raise InvalidInput("crush", needs="--shell beside it", came=given["crush"])
    hole, shaft = _member(given, "hole"), _member(given, "shaft")
    if given["shell"] is not None:
        crush = None
        if given["crush"] is not None:
            least, most = length_limits(given["crush"], "crush")
            crush = (least or 0.0, most or 0.0)
        return pairs.journal_in_shells(hole, _member(given, "shell"), shaft, crush)
    makes = {
        "piston": pairs.piston_in_bore,
        "bearing": pairs.journal_in_bush,
        "pin": pairs.pin_in_eye,
        "end-float": pairs.end_float,
        "guide": pairs.stem_in_guide,
        "inlet-guide": pairs.stem_in_guide,
        "exhaust-guide": pairs.stem_in_guide,
    }
    return makes.get(given["role"], pairs.shaft_in_hole)(hole, shaft)


def _member(given: dict[str, Any], which: str) -> Member:
    from runningfit.core.joints.running_fits.clearance import Member
    from runningfit.core.joints.running_fits.expansion import read_expansion

    heat = given["hole_temperature" if which == "shell" else f"{which}_temperature"]
    hot = None if heat is None else temperature_span(heat)
    measured_at = temperature_span(given["measured_at"])
    if measured_at[0] != measured_at[1]:
        raise InvalidInput("temperature at measuring", needs="one temperature", came=given["measured_at"])
    metal = given[f"{which}_material"]
    return Member(
        which,
        _reading(given, which),
        read_expansion("steel" if which == "shell" and metal is None else metal),
        measured_at[0],
        None if hot is None else hot[0],
        None if hot is None else hot[1],
    )


def _reading(given: dict[str, Any], which: str) -> Reading:
    from runningfit.core.joints.running_fits.clearance import Reading
    from runningfit.core.measurements.uncertainty.shared import SharedPart

    size = told.millimetres(given[which], which)
    u_mm = told.millimetres(given[f"u_{which}"], f"uncertainty of the {which}")
    shared = None if which == "shell" else told.millimetres(given["shared"], "shared uncertainty")
    assert size is not None
    if shared is None:
        return Reading(size, u_mm)
    if u_mm is None or shared > u_mm:
        raise InvalidInput(
            "shared uncertainty", needs=f"to be part of that of the {which}, so no more than it",
            came=given["shared"], remedy=f"Tell --u-{which}, all told, with what both share in it.",
        )  # fmt: skip
    return Reading(size, sqrt(u_mm**2 - shared**2), shared=(SharedPart(_GAUGE, shared),))


def _limits(given: dict[str, Any], nominal_mm: float, *, used: bool) -> list[FitLimits]:
    from runningfit.core.joints.running_fits.fit_limits import FitRole, LimitsFor, makers_limits, sanity_band

    found = []
    for key, used_for in (("limits", LimitsFor.NEW), ("wear", LimitsFor.WEAR)):
        if given[key] is not None:
            found.append(makers_limits(*length_limits(given[key], key), used_for, given["source"]))
    if found or given["role"] is None:
        return found
    role = FitRole(given["role"].replace("-", " "))
    wanted = (LimitsFor.WEAR, LimitsFor.NEW) if used else (LimitsFor.NEW,)
    bands = [sanity_band(role, nominal_mm, one) for one in wanted]
    return [band for band in bands if band is not None]


def _record(answer: ClearanceAnswer) -> dict[str, Any]:
    found, verdict = answer.clearances, answer.verdict
    held = answer.held[0] if answer.held else None
    hot = None
    if found.hot is not None:
        free = answer.free_when_hot
        hot = _state(found.hot) | {"probability_free": None if free is None else told.rounded(free)}
    return {
        "cold": _state(found.at_20_c),
        "hot": hot,
        "as_measured_mm": told.rounded(found.as_measured.middle_mm),
        "probability_within": None if held is None or held.inside is None else told.rounded(held.inside),
        "limits": None
        if held is None
        else {
            "lower_mm": held.limits.bounds.lower,
            "upper_mm": held.limits.bounds.upper,
            "for": str(held.limits.used_for),
            "sanity_band": held.limits.is_sanity_band,
            "source": held.limits.source,
        },
        "verdict": str(verdict.outcome),
        "probability": None if verdict.probability is None else told.rounded(verdict.probability),
        "reasons": told.reasons_of(verdict),
        "cautions": told.cautions_of(verdict),
    }


def _state(clearance_at: ClearanceAt) -> dict[str, Any]:
    low, high = clearance_at.interval_mm()
    return {
        "clearance_mm": told.rounded(clearance_at.middle_mm),
        "low_mm": told.rounded(low),
        "high_mm": told.rounded(high),
        "u_mm": None if clearance_at.u_mm is None else told.rounded(clearance_at.u_mm),
    }
