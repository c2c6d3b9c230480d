"""The verdict on a press fit: does it stay tight, does it hold what it shall, does it crack or yield."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.joints.press_fits.case import (
    REFERENCE_C,
    PressCase,
    PressFigures,
    press_figures,
    roughness_loss_mm,
)
from runningfit.core.joints.press_fits.materials import ElasticMaterial
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_LAME = "Lamé's equations, Shigley 9th edition, chapter 3"
# Common practice, no source: a clearance of half a thousandth of the diameter lets parts slide together by
# hand.
USUAL_SLIP_SHARE = 0.0005
# From memory: dry ice and liquid nitrogen boil off at -78 and -196 °C; hardened parts soften from about 150
# °C.
_DRY_ICE_C, _NITROGEN_C, _SOFTENS_C = -78.0, -196.0, 150.0
_HANDLING = (
    Caution("Hot metal burns and a part that stops halfway is stuck: gloves, a stop, a dry run, one try."),
    Caution(
        "No heat is worked out for freeing what is stuck: a crank or rod heated to red loses its temper "
        "and its "
        "straightness. Where it was heated, crack-test it and check the run-out."
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
        Sound where every check holds at its careful end; not sound where one fails at its kind end; else not
        proven.

    Notes
    -----
    A ductile part is held against its yield strength after von Mises, a brittle one against its tensile
    strength by its largest hoop stress (and its compressive strength inside).
    """
    figures = press_figures(press_fit)
    checks = [_tightness(press_fit, figures)]
    low, high = figures.least, figures.most
    outer_hoops = (low.hoop_outer_mpa, high.hoop_outer_mpa)
    checks.append(
        _strength("outer", press_fit.outer, (low.mises_outer_mpa, high.mises_outer_mpa), outer_hoops)
    )
    checks.append(_strength("inner", press_fit.inner, (low.mises_inner_mpa, high.mises_inner_mpa), None))
    checks += _needs(press_fit, figures)
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
        Reason(
            f"{usual.interference_mm * 1000:.1f} µm of interference press with {usual.pressure_mpa:.1f} MPa "
            f"({figures.least.pressure_mpa:.1f} to {figures.most.pressure_mpa:.1f}).",
            _LAME,
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


def _tightness(press_fit: PressCase, figures: PressFigures) -> _Check:
    low_um, high_um = figures.least.interference_mm * 1000, figures.most.interference_mm * 1000
    at = f"at {press_fit.temperature_c:g} °C"
    if high_um <= 0:
        text = f"It is loose {at}: {-high_um:.1f} to {-low_um:.1f} µm of clearance."
    elif low_um <= 0:
        text = (
            f"It may be loose {at}: from {-low_um:.1f} µm of clearance to {high_um:.1f} µm of interference."
        )
    else:
        text = f"It stays tight {at}: {low_um:.1f} to {high_um:.1f} µm of interference are left."
    return _Check(
        low_um > 0, high_um <= 0, Reason(text, "δ + d (αi - αo)(t - 20 °C)" if press_fit.is_hot else "")
    )


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


def _needs(press_fit: PressCase, figures: PressFigures) -> list[_Check]:
    asked = (
        ("force", "N", press_fit.needed_push_n, figures.push_out_least_n, figures.push_out_most_n),
        ("torque", "N m", press_fit.needed_torque_nm, figures.torque_least_nm, figures.torque_most_nm),
    )
    checks = []
    for what, unit, needed, least, most in asked:
        if needed is None:
            continue
        if least is None or most is None:
            text = f"Whether it holds a {what} of {needed:.0f} {unit} needs the friction: none was told."
            checks.append(_Check(False, False, Reason(text)))
            continue
        verb = "holds" if least >= needed else "may not hold" if most >= needed else "does not hold"
        text = f"It {verb} a {what} of {needed:.0f} {unit}: {least:.0f} to {most:.0f} {unit}."
        checks.append(
            _Check(least >= needed, most < needed, Reason(text, "push μ p π d l, torque half of it times d"))
        )
    return checks


def _cautions(press_fit: PressCase, figures: PressFigures) -> tuple[Caution, ...]:
    said = []
    diameter = press_fit.geometry.diameter_mm
    if press_fit.slip_mm == 0:
        slip_mm = USUAL_SLIP_SHARE * diameter
        more_k = slip_mm / (press_fit.outer.expansion_low_per_k * diameter)
        said.append(
            Caution(
                f"Heated by {figures.heat_outer_k:.0f} K the parts only just touch; {slip_mm:.3f} mm to "
                "slide freely "
                f"(common practice, no source) takes {figures.heat_outer_k + more_k:.0f} K."
            )
        )
    hot_c, cold_c = REFERENCE_C + figures.heat_outer_k, REFERENCE_C - figures.cool_inner_k
    if hot_c > _SOFTENS_C:
        said.append(
            Caution(
                f"Heating the outer part alone to {hot_c:.0f} °C may soften it where it was hardened or "
                "heat-treated "
                "(from memory; a data sheet of LM25 castings ends at 130 °C): cool the inner part as "
                "well, or ask "
                "for the temper."
            )
        )
    if cold_c < _NITROGEN_C:
        said.append(Caution("Cooling the inner part alone cannot open it: even liquid nitrogen is too warm."))
    elif cold_c < REFERENCE_C:
        what = "dry ice" if cold_c >= _DRY_ICE_C else "liquid nitrogen"
        said.append(
            Caution(
                f"Cooling the inner part alone takes {cold_c:.0f} °C, which {what} reaches (from "
                "memory): it burns "
                "the skin and drives out the air, so gloves, eyes covered, doors open."
            )
        )
    if press_fit.roughness_um is None:
        said.append(
            Caution(
                "How rough the surfaces are was not told; rough ones flatten: two of Rz 6.3 µm would lose "
                f"{roughness_loss_mm(12.6) * 1000:.0f} µm of interference (DIN 7190-1, from memory)."
            )
        )
    else:
        said.append(Caution("What the roughness costs is 0.8 (Rz + Rz), DIN 7190-1, from memory."))
    if press_fit.outer.brittle:
        said.append(Caution("The outer part is brittle: pressed too tight it cracks, often later, when hot."))
    said.append(
        Caution(
            "Both parts are taken as rings of equal length at one temperature; of a casting, as the "
            "thinnest wall."
        )
    )
    return (*said, *_HANDLING)
