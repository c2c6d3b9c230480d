"""The verdict on a press fit: does it stay tight, does it hold what it shall, does it crack or yield."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot

from runningfit.core.joints.press_fits.case import (
    REFERENCE_C,
    PressCase,
    PressFigures,
    press_figures,
    roughness_loss_mm,
)
from runningfit.core.joints.press_fits.lame import PressState, holding_torque_nm, push_out_n
from runningfit.core.joints.press_fits.materials import ElasticMaterial
from runningfit.core.units import SaidLength, SentencePart
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_LAME = "Lamé's equations, Shigley 9th edition, chapter 3"
# Common practice, no source: a clearance of half a thousandth of the diameter lets parts slide together by
# hand.
USUAL_SLIP_SHARE = 0.0005
# From memory: dry ice and liquid nitrogen boil off at -78 and -196 °C; hardened parts soften from about
# 150 °C.
_DRY_ICE_C, _NITROGEN_C, _SOFTENS_C = -78.0, -196.0, 150.0
# Common practice, no source: up to here the strengths of a data sheet, which hold at 20 °C, are still taken.
_STRENGTH_KNOWN_TO_C = 100.0
_HANDLING = (
    Caution("Hot metal burns and a part that stops halfway is stuck: gloves, a stop, a dry run, one try."),
    Caution(
        "No heat is worked out for freeing what is stuck: a crank or rod heated to red loses its temper "
        "and its straightness. Where it was heated, crack-test it and check the run-out."
    ),
)


@dataclass(frozen=True, slots=True)
class PressAnswer:
    """A press fit, worked out and judged.

    Parameters
    ----------
    figures : PressFigures
        Pressures, stresses, grip and heat.
    verdict : Verdict
        What it comes to.
    """

    figures: PressFigures
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class _Check:
    """One question with its answer: held for certain, failed for certain, or neither."""

    holds: bool
    fails: bool
    reason: Reason


def judge_press(press_fit: PressCase) -> PressAnswer:
    """Judge a press fit.

    Parameters
    ----------
    press_fit : PressCase
        What was told of it.

    Returns
    -------
    PressAnswer
        Sound where every check holds at its careful end, at 20 °C and at the temperature asked; not sound
        where one fails at its kind end; else not proven, as where the roughness was not told, a figure
        behind it is from memory, or a strength is not known so hot.

    Notes
    -----
    A ductile part is held against its yield strength after von Mises, a brittle one against its tensile
    strength by its largest hoop stress (and its compressive strength inside).
    """
    figures = press_figures(press_fit)
    # It was put together at 20 °C and passes through all up to the temperature asked; both ends count.
    states = [(press_fit.temperature_c, figures.least, figures.most)]
    if press_fit.is_hot:
        states.append((REFERENCE_C, figures.cold_least, figures.cold_most))
    checks = [_tightness(*state) for state in states]
    lows, highs = [low for _, low, _ in states], [high for _, _, high in states]
    checks.append(
        _strength(
            "outer",
            press_fit.outer,
            (max(one.mises_outer_mpa for one in lows), max(one.mises_outer_mpa for one in highs)),
            (max(one.hoop_outer_mpa for one in lows), max(one.hoop_outer_mpa for one in highs)),
        )
    )
    inner = max(one.mises_inner_mpa for one in lows), max(one.mises_inner_mpa for one in highs)
    checks.append(_strength("inner", press_fit.inner, inner, None))
    checks += _needs(press_fit, min(one.pressure_mpa for one in lows), min(one.pressure_mpa for one in highs))
    checks += _not_told(press_fit)
    trusted = press_fit.inner.trusted and press_fit.outer.trusted
    if any(check.fails for check in checks):
        outcome = Outcome.NOT_SOUND
    elif trusted and all(check.holds for check in checks):
        outcome = Outcome.SOUND
    else:
        outcome = Outcome.NOT_PROVEN
    usual = figures.usual
    reasons = [check.reason for check in sorted(checks, key=lambda one: (not one.fails, one.holds))]
    reasons.append(
        Reason.of(
            SaidLength(usual.interference_mm, None, form=".1f"),
            f" of interference press with {usual.pressure_mpa:.1f} MPa ({figures.least.pressure_mpa:.1f} to "
            f"{figures.most.pressure_mpa:.1f}).",
            source=_LAME,
        )
    )
    return PressAnswer(
        figures,
        Verdict(
            outcome,
            usual.pressure_mpa,
            "MPa",
            reasons=tuple(dict.fromkeys((*reasons, *press_fit.inner.reasons, *press_fit.outer.reasons))),
            cautions=_cautions(press_fit, figures),
        ),
    )


def _tightness(at_c: float, low: PressState, high: PressState) -> _Check:
    low_mm, high_mm = low.interference_mm, high.interference_mm
    least, most, loose_least, loose_most = (
        SaidLength(one, None, form=".1f") for one in (low_mm, high_mm, -high_mm, -low_mm)
    )
    at = f"at {at_c:g} °C: "
    said: tuple[SentencePart, ...] = (
        *("It stays tight ", at, replace(least, bare=True), " to ", most, " of interference are left."),
    )
    if high_mm <= 0:
        said = ("It is loose ", at, replace(loose_least, bare=True), " to ", loose_most, " of clearance.")
    elif low_mm <= 0:
        said = (
            *("It may be loose ", at, "from ", loose_most, " of clearance to ", most, " of interference."),
        )
    source = "" if at_c == REFERENCE_C else "δ + d (αi - αo)(t - 20 °C)"
    return _Check(low_mm > 0, high_mm <= 0, Reason.of(*said, source=source))


def _strength(
    part: str,
    material: ElasticMaterial,
    mises_mpa: tuple[float, float],
    pulling_mpa: tuple[float, float] | None,
) -> _Check:
    """Hold both ends of a part's stress against its strength; a part that nothing pulls is only squeezed."""
    limit, (low, high), what = material.yield_mpa, mises_mpa, "yield strength"
    if material.brittle and pulling_mpa is not None:
        limit, (low, high), what = material.tensile_mpa, pulling_mpa, "tensile strength"
    elif material.brittle:
        limit, what = material.compressive_mpa, "compressive strength"
    if limit is None:
        return _Check(
            False,
            False,
            Reason(
                f"The {what} of the {part} part ({material.said}) is not known, so its {high:.0f} MPa prove "
                "nothing: name the alloy, or add yield= or tensile= to its figures."
            ),
        )
    verb = "stays below" if high <= limit else "may pass" if low <= limit else "passes"
    return _Check(
        high <= limit,
        low > limit,
        Reason(
            f"The {part} part ({material.said}), up to {high:.0f} MPa, {verb} its {what} of {limit:.0f} MPa."
        ),
    )


def _needs(press_fit: PressCase, low_mpa: float, high_mpa: float) -> list[_Check]:
    """Hold the grip, where it is loosest and where it is tightest, against what it shall hold."""
    push, torque = press_fit.needed_push_n, press_fit.needed_torque_nm
    asked = []
    if push is not None:
        asked.append(f"a force of {push:.0f} N")
    if torque is not None:
        asked.append(f"a torque of {torque:.0f} N m")
    if not asked:
        return []
    said = " and ".join(asked)
    low_mu, high_mu = press_fit.friction_low, press_fit.friction_high
    if low_mu is None or high_mu is None:
        return [_Check(False, False, Reason(f"Whether it holds {said} needs the friction: none was told."))]
    rings = press_fit.geometry
    # Friction has one direction: a force and a torque at once share it as the sides of a triangle.
    needed = hypot(
        push or 0.0, (torque or 0.0) / holding_torque_nm(rings, 1.0, 1.0) * push_out_n(rings, 1.0, 1.0)
    )
    least, most = push_out_n(rings, low_mpa, low_mu), push_out_n(rings, high_mpa, high_mu)
    verb = "holds" if least >= needed else "may not hold" if most >= needed else "does not hold"
    at_once = f", {needed:.0f} N around the face at once" if len(asked) > 1 else ""
    low_nm, high_nm = holding_torque_nm(rings, low_mpa, low_mu), holding_torque_nm(rings, high_mpa, high_mu)
    as_torque = f" or {low_nm:.0f} to {high_nm:.0f} N m" if torque is not None else ""
    text = f"It {verb} {said}{at_once}: its grip is {least:.0f} to {most:.0f} N{as_torque}."
    return [_Check(least >= needed, most < needed, Reason(text, "push μ p π d l, torque half of it times d"))]


def _not_told(press_fit: PressCase) -> list[_Check]:
    """What stands against a pass, whatever the figures come to."""
    checks = []
    if press_fit.roughness_um is None:
        checks.append(
            _Check(
                False,
                False,
                Reason(
                    "How rough the surfaces are was not told, so how much interference flattens is not "
                    "known: tell the sum of both Rz (a pass counts all of it as lost)."
                ),
            )
        )
    if not press_fit.limits_trusted:
        checks.append(
            _Check(
                False, False, Reason("The limits of this fit are from memory: measure both parts instead.")
            )
        )
    if press_fit.temperature_c > _STRENGTH_KNOWN_TO_C:
        checks.append(
            _Check(
                False,
                False,
                Reason(
                    "The strengths hold at 20 °C; what is left of them at "
                    f"{press_fit.temperature_c:g} °C is not known here, and aluminium creeps.",
                    f"common practice, no source: beyond {_STRENGTH_KNOWN_TO_C:g} °C",
                ),
            )
        )
    return checks


def _cautions(press_fit: PressCase, figures: PressFigures) -> tuple[Caution, ...]:
    said = []
    diameter = press_fit.geometry.diameter_mm
    if press_fit.slip_mm == 0:
        slip_mm = USUAL_SLIP_SHARE * diameter
        more_k = slip_mm / (press_fit.outer.expansion_low_per_k * diameter)
        said.append(
            Caution.of(
                f"Heated by {figures.heat_outer_k:.0f} K the parts only just touch; ",
                SaidLength(slip_mm, 3),
                f" to slide freely (common practice, no source) takes {figures.heat_outer_k + more_k:.0f} K.",
            )
        )
    hot_c, cold_c = REFERENCE_C + figures.heat_outer_k, REFERENCE_C - figures.cool_inner_k
    if hot_c > _SOFTENS_C:
        said.append(
            Caution(
                f"Heating the outer part alone to {hot_c:.0f} °C may soften it where it was hardened or "
                "heat-treated (from memory; a data sheet of LM25 castings ends at 130 °C): cool the inner "
                "part as well, or ask for the temper."
            )
        )
    if cold_c < _NITROGEN_C:
        said.append(Caution("Cooling the inner part alone cannot open it: even liquid nitrogen is too warm."))
    elif cold_c < REFERENCE_C:
        what = "dry ice" if cold_c >= _DRY_ICE_C else "liquid nitrogen"
        said.append(
            Caution(
                f"Cooling the inner part alone takes {cold_c:.0f} °C, which {what} reaches (from "
                "memory): it burns the skin and drives out the air, so gloves, eyes covered, doors open."
            )
        )
    if press_fit.roughness_um is None:
        said.append(
            Caution.of(
                *("Rough surfaces flatten: two of Rz ", SaidLength(0.0063, None), " mostly lose "),
                SaidLength(roughness_loss_mm(12.6), None, form=".0f"),
                " of interference (DIN 7190-1, from memory).",
            )
        )
    else:
        said.append(
            Caution(
                "In the middle the roughness costs 0.8 (Rz + Rz), DIN 7190-1, from memory; the verdict "
                "counts all of it as lost."
            )
        )
    if not (press_fit.inner.trusted and press_fit.outer.trusted):
        said.append(Caution("A figure of a metal is from memory: the verdict can be no pass."))
    if press_fit.outer.brittle:
        said.append(Caution("The outer part is brittle: pressed too tight it cracks, often later, when hot."))
    said.append(
        Caution(
            "Both parts are taken as rings of equal length at one temperature; of a casting, as the thinnest "
            "wall. A seat or liner that runs hotter than what holds it presses more, and can yield and come "
            "loose when cold."
        )
    )
    return (*said, *_HANDLING)
