"""Two thick rings pressed one over the other: contact pressure and stresses by Lamé's equations."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, pi, sqrt

from runningfit.core.errors import InvalidInput

NM_PER_N_MM = 1e-3


@dataclass(frozen=True, slots=True)
class PressGeometry:
    """The sizes of a press fit.

    Parameters
    ----------
    inner_bore_mm : float
        Bore of the inner part [mm]; 0 of a solid one.
    diameter_mm : float
        Nominal diameter where they meet [mm].
    outer_mm : float
        Outside diameter of the outer part [mm]; of a casting, of the ring that really stands around the hole.
    engaged_mm : float
        Length in contact [mm].

    Raises
    ------
    InvalidInput
        A size is missing, or they do not lie one outside the other.
    """

    inner_bore_mm: float
    diameter_mm: float
    outer_mm: float
    engaged_mm: float

    def __post_init__(self) -> None:
        sizes = (self.inner_bore_mm, self.diameter_mm, self.outer_mm, self.engaged_mm)
        if not all(map(isfinite, sizes)) or not 0 <= self.inner_bore_mm < self.diameter_mm < self.outer_mm:
            raise InvalidInput(
                "diameters",
                needs="the bore of the inner part below the diameter where they meet, below the outside",
                came=f"{self.inner_bore_mm:g}, {self.diameter_mm:g}, {self.outer_mm:g} mm",
                remedy="All three are diameters; a solid inner part has a bore of 0.",
            )
        if self.engaged_mm <= 0:
            raise InvalidInput("length", needs="more than nothing", came=f"{self.engaged_mm:g} mm")


@dataclass(frozen=True, slots=True)
class Elasticity:
    """How stiff a metal is.

    Parameters
    ----------
    modulus_mpa : float
        Modulus of elasticity [MPa].
    poisson : float
        Poisson's ratio.
    """

    modulus_mpa: float
    poisson: float


@dataclass(frozen=True, slots=True)
class PressState:
    """Pressure, stresses and grip of a press fit at one interference.

    Parameters
    ----------
    interference_mm : float
        Interference on diameter that is left [mm]; nothing or less is loose.
    pressure_mpa : float
        Pressure where they meet [MPa].
    hoop_inner_mpa : float
        Hoop stress of the inner part where they meet [MPa]; pressure is negative.
    hoop_inner_bore_mpa : float
        Hoop stress at the bore of the inner part; of a solid one, as everywhere in it [MPa].
    hoop_outer_mpa : float
        Hoop stress of the outer part where they meet, its largest [MPa].
    mises_inner_mpa, mises_outer_mpa : float
        Largest equivalent stress of each part after von Mises [MPa].
    """

    interference_mm: float
    pressure_mpa: float
    hoop_inner_mpa: float
    hoop_inner_bore_mpa: float
    hoop_outer_mpa: float
    mises_inner_mpa: float
    mises_outer_mpa: float


def press_state(
    rings: PressGeometry, interference_mm: float, inner: Elasticity, outer: Elasticity
) -> PressState:
    """Give pressure and stresses of a press fit.

    Parameters
    ----------
    rings : PressGeometry
        Its sizes.
    interference_mm : float
        Interference on diameter [mm]; nothing or less leaves no pressure.
    inner, outer : Elasticity
        The metals.

    Returns
    -------
    PressState
        All stresses [MPa].

    Raises
    ------
    InvalidInput
        The interference is no number.

    Notes
    -----
    p = δ / (d ((Co + νo)/Eo + (Ci - νi)/Ei)), Co = (D² + d²)/(D² - d²), Ci = (d² + b²)/(d² - b²); hoop stress
    Co p in the outer part, -Ci p in the inner one where they meet, -2 d²/(d² - b²) p at the inner bore
    (Shigley's Mechanical Engineering Design, 9th edition, 3-14 to 3-16, equations 3-49 to 3-57, 7-39 to 7-46,
    clause numbers from memory). Plane stress, elastic, parts of equal length. Von Mises with the axial stress
    left out: sqrt(σt² - σt σr + σr²).
    """
    if not isfinite(interference_mm):
        raise InvalidInput("interference", needs="a number [mm]", came=interference_mm)
    b2, d2, o2 = rings.inner_bore_mm**2, rings.diameter_mm**2, rings.outer_mm**2
    outer_ratio, inner_ratio = (o2 + d2) / (o2 - d2), (d2 + b2) / (d2 - b2)
    give = (outer_ratio + outer.poisson) / outer.modulus_mpa + (
        inner_ratio - inner.poisson
    ) / inner.modulus_mpa
    pressure = max(interference_mm, 0.0) / (rings.diameter_mm * give)
    at_bore = 0.0 - (2 * d2 / (d2 - b2) if b2 else 1.0) * pressure
    # At the bore of a hollow part only the hoop stress is left; a solid one is squeezed alike all round.
    inner_face = _mises(-inner_ratio * pressure, -pressure)
    return PressState(
        interference_mm=interference_mm,
        pressure_mpa=pressure,
        hoop_inner_mpa=0.0 - inner_ratio * pressure,
        hoop_inner_bore_mpa=at_bore,
        hoop_outer_mpa=outer_ratio * pressure,
        mises_inner_mpa=max(inner_face, abs(at_bore)) if b2 else inner_face,
        mises_outer_mpa=_mises(outer_ratio * pressure, -pressure),
    )


def _mises(hoop_mpa: float, radial_mpa: float) -> float:
    return sqrt(hoop_mpa**2 - hoop_mpa * radial_mpa + radial_mpa**2)


def push_out_n(rings: PressGeometry, pressure_mpa: float, friction: float) -> float:
    """Give the force that pushes the inner part out.

    Parameters
    ----------
    rings : PressGeometry
        Its sizes.
    pressure_mpa : float
        Pressure where they meet [MPa].
    friction : float
        Coefficient of friction.

    Returns
    -------
    float
        μ p π d l [N].
    """
    return friction * pressure_mpa * pi * rings.diameter_mm * rings.engaged_mm


def holding_torque_nm(rings: PressGeometry, pressure_mpa: float, friction: float) -> float:
    """Give the torque that turns the inner part.

    Parameters
    ----------
    rings : PressGeometry
        Its sizes.
    pressure_mpa : float
        Pressure where they meet [MPa].
    friction : float
        Coefficient of friction.

    Returns
    -------
    float
        (π/2) μ p l d² [N m] (Shigley, 9th edition, p. 400 equation 7-49).
    """
    return push_out_n(rings, pressure_mpa, friction) * rings.diameter_mm / 2 * NM_PER_N_MM
