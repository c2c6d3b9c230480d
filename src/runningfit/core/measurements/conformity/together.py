"""Several values measured with one gauge: what it errs by, it errs by in all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.conformity.bounds import Bounds, NormalPrior
from runningfit.core.measurements.conformity.chances import chances, check_uncertain
from runningfit.core.measurements.conformity.integral import integral
from runningfit.core.measurements.uncertainty.columns import DRAWS, Columns, OwnError
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.shared import SharedPart, u_of_sum

_SPANS = (-9, -6, -4, -3, -2, -1, 0, 1, 2, 3, 4, 6, 9)


@dataclass(frozen=True, slots=True)
class OneOfMany:
    """One of several values that one gauge measured.

    Parameters
    ----------
    own : Measured
        The value, with the uncertainty that is its own: scatter and resolution, not the gauge's setting.
    bounds : Bounds
        Its limits.
    """

    own: Measured
    bounds: Bounds


@dataclass(frozen=True, slots=True)
class AllConform:
    """How probably all values conform.

    Parameters
    ----------
    together : float
        With what the gauge errs by shared [-].
    as_if_apart : float
        What would follow if each had been measured with a gauge of its own [-]; for comparison.
    """

    together: float
    as_if_apart: float


def all_conform(items: Sequence[OneOfMany], shared_u: float) -> AllConform:
    """Give how probably all of several values conform that were measured with one gauge.

    Parameters
    ----------
    items : sequence of OneOfMany
        The values.
    shared_u : float
        The standard uncertainty that all share: setting ring, certificate, drift; in the unit of the values.

    Returns
    -------
    AllConform
        The probability, and what it would be with errors apart.

    Raises
    ------
    InvalidInput
        No value, or an uncertainty that cannot be.

    Notes
    -----
    ∫ φ(e) Πᵢ pᵢ(e) de over the shared error e, each pᵢ with a flat prior: covariances of measured values come
    from their shared inputs (JCGM 100:2008, F.1.2.3, from memory).
    """
    if not items:
        raise InvalidInput("values", needs="at least one", came="none")
    shared = NormalPrior(0.0, shared_u) if shared_u else None
    apart = 1.0
    for one in items:
        whole = Measured(one.own.value, (one.own.u**2 + shared_u**2) ** 0.5, one.own.dof)
        apart *= chances(whole, one.bounds).inside
    if shared is None:
        return AllConform(apart, apart)

    def all_at(error: float) -> float:
        product = shared.density(error)
        for one in items:
            moved = Measured(one.own.value - error, one.own.u, one.own.dof)
            product *= chances(moved, one.bounds).inside
        return product

    cuts = {span * shared_u for span in _SPANS}
    for one in items:
        # Where a value crosses a limit its chance turns over within its own uncertainty.
        for limit in one.bounds.ends:
            crossing = one.own.value - limit
            cuts |= {crossing + span * one.own.u for span in (-6, -3, -1, 0, 1, 3, 6)}
    cuts = {cut for cut in cuts if abs(cut) <= _SPANS[-1] * shared_u}
    return AllConform(min(1.0, integral(all_at, cuts)), apart)


@dataclass(frozen=True, slots=True)
class ReadOfSet:
    """One value of a set, with all that it errs by alone and together with others.

    Parameters
    ----------
    value : float
        The value.
    own : OwnError
        What it errs by alone.
    shared : tuple of SharedPart
        What it errs by together with other values.
    bounds : Bounds
        Its limits.
    """

    value: float
    own: OwnError
    shared: tuple[SharedPart, ...]
    bounds: Bounds


def set_conforms(items: Sequence[ReadOfSet]) -> AllConform:
    """Give how probably all values of a set conform, of which some share errors that others have not.

    Parameters
    ----------
    items : sequence of ReadOfSet
        The values.

    Returns
    -------
    AllConform
        The probability, and what it would be with errors apart; good to about 0.005.

    Raises
    ------
    InvalidInput
        No value, or one without any uncertainty.

    Notes
    -----
    JCGM 101:2008, with a flat prior for each value: errors of one key move all values that have it at once.
    """
    import numpy

    if not items:
        raise InvalidInput("values", needs="at least one", came="none")
    draws = Columns()
    kept = numpy.ones(DRAWS, dtype=bool)
    apart = 1.0
    # An error of one key is one error; the scatter of one gauge is off for all its readings alike.
    own = draws.own([one.own for one in items])
    moved = {parts: draws.shared(parts) for parts in dict.fromkeys(one.shared for one in items)}
    for one, off in zip(items, own, strict=True):
        check_uncertain(Measured(one.value, hypot(one.own.u, u_of_sum([(1.0, one.shared)]))))
        low, high = one.bounds.ends
        value = one.value + off + moved[one.shared]
        here = (value >= low) & (value <= high)
        apart *= float(here.mean())
        kept &= here
    return AllConform(float(kept.mean()), apart)
