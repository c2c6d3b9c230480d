"""Preload from torque as a distribution, and how far it takes the bolt towards yielding."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import hypot, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.friction import JointFriction
from runningfit.core.joints.spread import FrictionBand, Spread, spread_of
from runningfit.core.joints.stress_area import stress_diameter_mm, tensile_area_mm2
from runningfit.core.joints.tightening import (
    ScrewGeometry,
    arm_mm,
    geometry_of,
    nut_factor,
    thread_term,
    torsion_factor,
)
from runningfit.core.measurements.normal import SIGMAS_95
from runningfit.core.standards import Thread
from runningfit.core.standards.limits import external_classes, external_limits, internal_limits

# EN ISO 6789 lets a new wrench err by 4 %; a wrench not tested, and the hand on it, are taken as 10 %
# (common practice, no source).
UNKNOWN_TOOL = 0.10
# How far the mean friction diameter of a usual head may lie from 1.25 d (common practice, no source).
_BEARING_HALF_WIDTH = 0.05
_N_MM_PER_N_M = 1000.0
_ROOT_3 = sqrt(3)


@dataclass(frozen=True, slots=True)
class Prevailing:
    """The torque that a self-locking nut or insert takes without any clamp.

    Parameters
    ----------
    low_nm, high_nm : float
        Least and largest [N m].
    """

    low_nm: float = 0.0
    high_nm: float = 0.0


@dataclass(frozen=True, slots=True)
class Tightening:
    """How a joint is tightened, all but the torque.

    Parameters
    ----------
    thread : Thread
        The thread.
    geometry : ScrewGeometry
        The screw.
    friction : JointFriction
        Its friction.
    tool_half_width : float
        What the tool's torque scatters, half-width of 95 %, as a share of it [-].
    bearing_known : bool
        Whether the bearing diameter was given; otherwise it scatters by 5 %.
    """

    thread: Thread
    geometry: ScrewGeometry
    friction: JointFriction
    tool_half_width: float
    bearing_known: bool

    @property
    def middle(self) -> tuple[float, float]:
        """The friction in the middle of its range, thread and bearing."""
        band = self.friction.band
        return band.thread_at(0.5), band.bearing_at(0.5)

    @property
    def nut_factor(self) -> float:
        """The nut factor at the middle of the friction."""
        return nut_factor(self.geometry, *self.middle)


def check_scatter(scatter: float) -> float:
    """Refuse a scatter that no tool has.

    Parameters
    ----------
    scatter : float
        Half-width of 95 % as a share of the torque [-].

    Returns
    -------
    float
        The same.

    Raises
    ------
    InvalidInput
        It is negative, or more than half of the torque.
    """
    if not 0 <= scatter <= 0.5:
        raise InvalidInput(
            "scatter",
            needs="the tool's 95 % half-width, 0 to 0.5, such as 0.04 for a tested wrench",
            came=f"{scatter:g}",
            remedy="Write 0.25 for 25 %.",
        )
    return scatter


def tightening_of(
    thread: Thread,
    friction: JointFriction,
    *,
    bearing_diameter_mm: float | None = None,
    scatter: float | None = None,
) -> Tightening:
    """Put together how a joint is tightened.

    Parameters
    ----------
    thread : Thread
        The thread.
    friction : JointFriction
        Its friction, given or by condition.
    bearing_diameter_mm : float or None
        Mean friction diameter [mm]; none is 1.25 d, with 5 % either way.
    scatter : float or None
        The tool's 95 % half-width [-]; none is that of a wrench not tested, 0.10.

    Returns
    -------
    Tightening
        For `preload_spread` and `utilisation_spread`.

    Raises
    ------
    InvalidInput
        A scatter or bearing diameter that cannot be.
    """
    half_width = UNKNOWN_TOOL if scatter is None else check_scatter(scatter)
    geometry = geometry_of(thread, bearing_diameter_mm)
    return Tightening(thread, geometry, friction, half_width, bearing_diameter_mm is not None)


def geometry_scatter(tightening: Tightening) -> float:
    """Give the relative standard deviation of the arm from its geometry alone.

    Parameters
    ----------
    tightening : Tightening
        The joint.

    Returns
    -------
    float
        The deviation [-]: flanks meet anywhere between the bolt's least and the hole's largest pitch diameter
        of their usual classes, and a bearing diameter not measured anywhere within 5 %.
    """
    thread_friction, bearing_friction = tightening.middle
    geometry = tightening.geometry
    in_thread = geometry.pitch_diameter_mm / 2 * thread_term(geometry, thread_friction)
    under_head = bearing_friction * geometry.bearing_diameter_mm / 2
    whole = in_thread + under_head
    flank = 0.0
    if external_classes(tightening.thread):
        least = external_limits(tightening.thread).pitch_diameter_min_mm
        most = internal_limits(tightening.thread).pitch_diameter_max_mm
        flank = (most - least) / 2 / geometry.pitch_diameter_mm * in_thread / whole / _ROOT_3
    face = 0.0 if tightening.bearing_known else _BEARING_HALF_WIDTH * under_head / whole / _ROOT_3
    return hypot(flank, face)


def _effective(tightening: Tightening, torque_nm: float, prevailing: Prevailing) -> tuple[float, float]:
    """The torque left for clamping at its mean [N mm], and its relative standard deviation."""
    if torque_nm <= 0:
        raise InvalidInput("torque", needs="more than nothing", came=f"{torque_nm:g} N m")
    if not 0 <= prevailing.low_nm <= prevailing.high_nm:
        raise InvalidInput(
            "prevailing torque",
            needs="a range from less to more, not negative",
            came=f"{prevailing.low_nm:g} to {prevailing.high_nm:g} N m",
        )
    left = torque_nm - (prevailing.low_nm + prevailing.high_nm) / 2
    # As shares of the torque, so that joints alike but for the torque have the very same spread.
    lost = (prevailing.high_nm - prevailing.low_nm) / 2 / _ROOT_3 / torque_nm
    deviation = hypot(tightening.tool_half_width / SIGMAS_95, lost)
    if left <= 3 * deviation * torque_nm:
        raise InvalidInput(
            "torque",
            needs="more than the prevailing torque of the nut, scatter and all",
            came=f"{torque_nm:g} N m",
            remedy="Such a torque may not clamp at all: ask for the maker's figure for a self-locking nut.",
        )
    spread = hypot(deviation / (left / torque_nm), geometry_scatter(tightening))
    return left * _N_MM_PER_N_M, spread


@lru_cache(maxsize=4096)
def _unit_preload(geometry: ScrewGeometry, band: FrictionBand, deviation: float) -> Spread:
    return spread_of(deviation, lambda thread, bearing: arm_mm(geometry, thread, bearing), band)


@lru_cache(maxsize=4096)
def _unit_stress(geometry: ScrewGeometry, band: FrictionBand, deviation: float, across: float) -> Spread:
    def arm(thread: float, bearing: float) -> float:
        return arm_mm(geometry, thread, bearing) / torsion_factor(geometry, thread, across)

    return spread_of(deviation, arm, band)


def preload_spread(tightening: Tightening, torque_nm: float, prevailing: Prevailing | None = None) -> Spread:
    """Give the distribution of the preload that a torque makes.

    Parameters
    ----------
    tightening : Tightening
        The joint.
    torque_nm : float
        The torque set [N m].
    prevailing : Prevailing or None
        Torque lost in a self-locking nut.

    Returns
    -------
    Spread
        The preload [N].

    Raises
    ------
    InvalidInput
        The torque is nothing, or may be less than the prevailing one.
    """
    amount, deviation = _effective(tightening, torque_nm, prevailing or Prevailing())
    unit = _unit_preload(tightening.geometry, tightening.friction.band, deviation)
    return replace(unit, amount=amount)


def stress_spread(tightening: Tightening, torque_nm: float, prevailing: Prevailing | None = None) -> Spread:
    """Give the distribution of the comparative stress, tension and torsion, while tightening.

    Parameters
    ----------
    tightening : Tightening
        The joint.
    torque_nm : float
        The torque set [N m].
    prevailing : Prevailing or None
        Torque lost in a self-locking nut.

    Returns
    -------
    Spread
        The von Mises stress on the stress area [MPa].
    """
    area = tensile_area_mm2(tightening.thread)
    amount, deviation = _effective(tightening, torque_nm, prevailing or Prevailing())
    across = stress_diameter_mm(area)
    unit = _unit_stress(tightening.geometry, tightening.friction.band, deviation, across)
    return replace(unit, amount=amount / area)
