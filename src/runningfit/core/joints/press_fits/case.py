"""A press fit with everything that was told of it, and what it comes to at the careful ends of that."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.press_fits.lame import (
    Elasticity,
    PressGeometry,
    PressState,
    holding_torque_nm,
    press_state,
    push_out_n,
)
from runningfit.core.joints.press_fits.materials import ElasticMaterial

# ISO 1:2016: sizes hold at 20 °C.
REFERENCE_C = 20.0
# DIN 7190-1: each surface is flattened by 0.4 of its mean roughness depth Rz, on both sides; from memory.
FLATTENED_SHARE = 0.8
# No surface can lose more than the whole of its roughness, on both sides: a bound that needs no source.
LARGEST_FLATTENED_SHARE = 2.0
_UM_PER_MM = 1000.0


@dataclass(frozen=True, slots=True)
class PressCase:
    """A press fit and what is asked of it.

    Parameters
    ----------
    geometry : PressGeometry
        Its sizes.
    interference_low_mm, interference_high_mm : float
        Least and largest interference on diameter at 20 °C [mm].
    inner, outer : ElasticMaterial
        The metals.
    friction_low, friction_high : float or None
        Least and largest coefficient of friction, where told.
    temperature_c : float
        Temperature of both parts [°C].
    roughness_um : float or None
        Sum of the mean roughness depths Rz of both surfaces [µm], where told.
    slip_mm : float
        Clearance on diameter wanted while it is put together [mm].
    needed_push_n, needed_torque_nm : float or None
        What it shall hold, where told; both at once where both are told.
    limits_trusted : bool
        False where the interference comes from figures of a standard that are from memory.

    Raises
    ------
    InvalidInput
        A figure cannot be.
    """

    geometry: PressGeometry
    interference_low_mm: float
    interference_high_mm: float
    inner: ElasticMaterial
    outer: ElasticMaterial
    friction_low: float | None = None
    friction_high: float | None = None
    temperature_c: float = REFERENCE_C
    roughness_um: float | None = None
    slip_mm: float = 0.0
    needed_push_n: float | None = None
    needed_torque_nm: float | None = None
    limits_trusted: bool = True

    def __post_init__(self) -> None:
        low, high, diameter = self.interference_low_mm, self.interference_high_mm, self.geometry.diameter_mm
        if not isfinite(low) or not isfinite(high) or low > high:
            raise InvalidInput(
                "interference", needs="the least before the largest", came=f"{low:g}..{high:g} mm"
            )
        # Ten times what any shrink fit has; a size slipped into the place of an interference is far beyond.
        if high <= 0 or high > diameter / 50:
            raise InvalidInput(
                "interference",
                needs=f"more than 0 and at most {diameter / 50:.3g} mm at this diameter",
                came=f"{high:g} mm",
                remedy="It is the shaft's diameter less the hole's, both at 20 °C.",
            )
        if self.friction_low is not None and not 0 < self.friction_low <= (self.friction_high or 0) <= 1:
            raise InvalidInput(
                "friction", needs="between 0 and 1, the least first",
                came=f"{self.friction_low:g}..{self.friction_high}",
            )  # fmt: skip
        if not -200 <= self.temperature_c <= 700:
            raise InvalidInput("temperature", needs="-200 to 700 °C", came=f"{self.temperature_c:g} °C")
        # Written so that what is no number fails too.
        needed = [one for one in (self.needed_push_n, self.needed_torque_nm) if one is not None]
        if not all(isfinite(one) and one > 0 for one in needed):
            raise InvalidInput(
                "what it shall hold", needs="a force and a torque of more than nothing",
                came=", ".join(f"{one:g}" for one in needed),
            )  # fmt: skip
        if not (0 <= self.slip_mm < diameter / 50 and 0 <= (self.roughness_um or 0.0) < 1000):
            raise InvalidInput(
                "clearance and roughness",
                needs=f"0 to {diameter / 50:.3g} mm and 0 to 1000 µm",
                came=f"{self.slip_mm:g} mm and {self.roughness_um} µm",
            )  # fmt: skip

    @property
    def is_hot(self) -> bool:
        """Whether it is asked about at another temperature than sizes hold at."""
        return self.temperature_c != REFERENCE_C


@dataclass(frozen=True, slots=True)
class PressFigures:
    """What a press fit comes to.

    Parameters
    ----------
    least, usual, most : PressState
        At the temperature asked: the loosest that the figures allow, the middle, and the tightest.
    cold : PressState
        The middle at 20 °C.
    cold_least, cold_most : PressState
        The loosest and the tightest at 20 °C, which it passes through before it is hot.
    push_out_n, torque_nm : float or None
        What pushes and turns it, at the middle, where the friction is told.
    push_out_least_n, torque_least_nm : float or None
        At the loosest, at the temperature asked.
    push_out_most_n, torque_most_nm : float or None
        At the tightest.
    heat_outer_k, cool_inner_k : float
        By how much the outer part is to be heated, or the inner one cooled, to slip [K].
    """

    least: PressState
    usual: PressState
    most: PressState
    cold: PressState
    cold_least: PressState
    cold_most: PressState
    push_out_n: float | None
    torque_nm: float | None
    push_out_least_n: float | None
    torque_least_nm: float | None
    push_out_most_n: float | None
    torque_most_nm: float | None
    heat_outer_k: float
    cool_inner_k: float


def roughness_loss_mm(roughness_um: float) -> float:
    """Give how much interference is mostly lost as the surfaces flatten.

    Parameters
    ----------
    roughness_um : float
        Sum of the mean roughness depths Rz of both surfaces [µm].

    Returns
    -------
    float
        0.8 (Rz inner + Rz outer) on diameter [mm] (DIN 7190-1, from memory).
    """
    return FLATTENED_SHARE * roughness_um / _UM_PER_MM


def largest_roughness_loss_mm(roughness_um: float) -> float:
    """Give how much interference can be lost at the most as the surfaces flatten.

    Parameters
    ----------
    roughness_um : float
        Sum of the mean roughness depths Rz of both surfaces [µm].

    Returns
    -------
    float
        2 (Rz inner + Rz outer) on diameter [mm]: both surfaces crushed to their valleys, all around.
    """
    return LARGEST_FLATTENED_SHARE * roughness_um / _UM_PER_MM


def interference_at_mm(
    press_fit: PressCase, interference_mm: float, inner_per_k: float, outer_per_k: float
) -> float:
    """Give the interference at the temperature asked.

    Parameters
    ----------
    press_fit : PressCase
        The press fit.
    interference_mm : float
        Interference on diameter at 20 °C [mm].
    inner_per_k, outer_per_k : float
        Coefficients of expansion [1/K].

    Returns
    -------
    float
        δ + d (αi - αo)(t - 20 °C) [mm], both parts at the same temperature.
    """
    change_k = press_fit.temperature_c - REFERENCE_C
    return interference_mm + press_fit.geometry.diameter_mm * (inner_per_k - outer_per_k) * change_k


def press_figures(press_fit: PressCase) -> PressFigures:
    """Work out a press fit at the loose end, the middle and the tight end of what was told.

    Parameters
    ----------
    press_fit : PressCase
        The press fit.

    Returns
    -------
    PressFigures
        Pressures and stresses [MPa], grip [N, N m], heat [K].

    Notes
    -----
    Loose: least interference less the whole roughness, both metals at their softest, their expansions at
    the ends that open the fit. Middle: less what mostly flattens. Tight: the other ends, nothing flattened.
    Assembly: (δ + slip)/(α d) with the largest interference and the least expansion, so that it is enough.
    """
    inner, outer = press_fit.inner, press_fit.outer
    lost_mm = roughness_loss_mm(press_fit.roughness_um or 0.0)
    most_lost_mm = largest_roughness_loss_mm(press_fit.roughness_um or 0.0)
    low_mm, high_mm = press_fit.interference_low_mm, press_fit.interference_high_mm
    middle_mm = (low_mm + high_mm) / 2
    inner_ends = (inner.expansion_low_per_k, inner.expansion_high_per_k)
    outer_ends = (outer.expansion_low_per_k, outer.expansion_high_per_k)
    if press_fit.temperature_c < REFERENCE_C:
        inner_ends, outer_ends = inner_ends[::-1], outer_ends[::-1]
    soft = (inner.modulus_low_mpa, outer.modulus_low_mpa)
    stiff = (inner.modulus_high_mpa, outer.modulus_high_mpa)
    between = ((soft[0] + stiff[0]) / 2, (soft[1] + stiff[1]) / 2)

    def state(interference_mm: float, moduli: tuple[float, float]) -> PressState:
        return press_state(
            press_fit.geometry,
            interference_mm,
            Elasticity(moduli[0], inner.poisson),
            Elasticity(moduli[1], outer.poisson),
        )

    loosest_mm = low_mm - most_lost_mm
    least = state(interference_at_mm(press_fit, loosest_mm, inner_ends[0], outer_ends[1]), soft)
    most = state(interference_at_mm(press_fit, high_mm, inner_ends[1], outer_ends[0]), stiff)
    usual_mm = interference_at_mm(press_fit, middle_mm - lost_mm, sum(inner_ends) / 2, sum(outer_ends) / 2)
    usual = state(usual_mm, between)
    low_mu, high_mu = press_fit.friction_low, press_fit.friction_high
    mean_mu = None if low_mu is None or high_mu is None else (low_mu + high_mu) / 2

    def grip(at: PressState, mu: float | None) -> tuple[float | None, float | None]:
        if mu is None:
            return None, None
        return push_out_n(press_fit.geometry, at.pressure_mpa, mu), holding_torque_nm(
            press_fit.geometry, at.pressure_mpa, mu
        )

    push, torque = grip(usual, mean_mu)
    push_least, torque_least = grip(least, low_mu)
    push_most, torque_most = grip(most, high_mu)
    to_open_mm = high_mm + press_fit.slip_mm
    return PressFigures(
        least=least,
        usual=usual,
        most=most,
        cold=state(middle_mm - lost_mm, between),
        cold_least=state(loosest_mm, soft),
        cold_most=state(high_mm, stiff),
        push_out_n=push,
        torque_nm=torque,
        push_out_least_n=push_least,
        torque_least_nm=torque_least,
        push_out_most_n=push_most,
        torque_most_nm=torque_most,
        heat_outer_k=to_open_mm / (outer.expansion_low_per_k * press_fit.geometry.diameter_mm),
        cool_inner_k=to_open_mm / (inner.expansion_low_per_k * press_fit.geometry.diameter_mm),
    )
