"""What a joint loses after tightening, when rough surfaces settle into each other."""

from __future__ import annotations

from math import pi

from runningfit.core.errors import InvalidInput
from runningfit.core.standards import Thread

# Young's modulus of steel [MPa] (Gere; Beer and Johnston: 200 to 207 GPa).
STEEL_MPA = 205_000.0
# VDI 2230, settling of smooth to rough machined surfaces under tension [um], from memory: thread, one bearing
# face under head or nut, one parting line inside.
_IN_THREAD_UM, _BEARING_UM, _PARTING_UM = 3.0, 3.0, 2.0
_ROUGH_OVER_SMOOTH = 1.5
# A millimetre for each newton is a million micrometres for each kilonewton.
_UM_PER_KN = 1e6


def settling_um(*, parting_lines: int, bearing_faces: int = 1, is_rough: bool = False) -> float:
    """Give how much a joint settles in all.

    Parameters
    ----------
    parting_lines : int
        Faces that meet between head and thread, each washer and gasket plate adding one.
    bearing_faces : int
        One under a bolt's head, two with a nut.
    is_rough : bool
        Whether the faces are rough; such joints settle half as much again.

    Returns
    -------
    float
        The settling [µm]; from memory of VDI 2230, so no pass rests on it.

    Raises
    ------
    InvalidInput
        Fewer faces than there can be.
    """
    if parting_lines < 0 or bearing_faces < 1:
        raise InvalidInput(
            "faces",
            needs="no fewer than none inside and one under the head",
            came=f"{parting_lines} and {bearing_faces}",
        )
    smooth = _IN_THREAD_UM + _BEARING_UM * bearing_faces + _PARTING_UM * parting_lines
    return smooth * (_ROUGH_OVER_SMOOTH if is_rough else 1.0)


def bolt_resilience_um_per_kn(thread: Thread, area_mm2: float, clamped_mm: float) -> float:
    """Give how much a bolt stretches for each newton.

    Parameters
    ----------
    thread : Thread
        Its thread.
    area_mm2 : float
        Its section, counted over the whole length [mm²]: the stress area is the soft end, the shank the
        stiff.
    clamped_mm : float
        Clamped length [mm].

    Returns
    -------
    float
        (l + 0.8 d) / (E A) [µm/kN]: head and engaged thread stretch as 0.4 d each (common practice).
    """
    return _UM_PER_KN * (clamped_mm + 0.8 * thread.major_mm) / (STEEL_MPA * area_mm2)


def clamped_resilience_um_per_kn(thread: Thread, clamped_mm: float, modulus_mpa: float) -> float:
    """Give how much the clamped pieces give way for each newton.

    Parameters
    ----------
    thread : Thread
        The thread.
    clamped_mm : float
        Clamped length [mm].
    modulus_mpa : float
        Young's modulus of what is clamped [MPa].

    Returns
    -------
    float
        Of a sleeve 1.5 d inside the head's cone, its outside 1.5 d plus a tenth of the length, its hole 1.1 d
        [µm/kN] (common practice, no source).
    """
    outer = 1.5 * thread.major_mm + 0.1 * clamped_mm
    sleeve = pi / 4 * (outer**2 - (1.1 * thread.major_mm) ** 2)
    return _UM_PER_KN * clamped_mm / (modulus_mpa * sleeve)


def embedment_loss_n(settled_um: float, bolt_um_per_kn: float, clamped_um_per_kn: float) -> float:
    """Give the preload lost to settling.

    Parameters
    ----------
    settled_um : float
        Settling of all faces [µm].
    bolt_um_per_kn, clamped_um_per_kn : float
        Resilience of bolt and clamped pieces [µm/kN].

    Returns
    -------
    float
        f / (δ bolt + δ clamped) [N].

    References
    ----------
    VDI 2230 part 1 (formula from memory; it is Hooke's law).
    """
    return 1000 * settled_um / (bolt_um_per_kn + clamped_um_per_kn)


def usual_loss_n(thread: Thread, clamped_mm: float) -> float:
    """Give the preload that a bolt over one smooth parting line of steel loses to settling.

    Parameters
    ----------
    thread : Thread
        Its thread.
    clamped_mm : float
        Clamped length [mm].

    Returns
    -------
    float
        The loss [N] of a bolt with a whole shank, which is stiffer than its thread and so loses more; from
        memory, so no pass rests on its being small.

    Raises
    ------
    InvalidInput
        A length that is nothing.
    """
    if clamped_mm <= 0:
        raise InvalidInput("clamped length", needs="more than nothing", came=f"{clamped_mm:g} mm")
    return embedment_loss_n(
        settling_um(parting_lines=1),
        bolt_resilience_um_per_kn(thread, pi / 4 * thread.major_mm**2, clamped_mm),
        clamped_resilience_um_per_kn(thread, clamped_mm, STEEL_MPA),
    )
