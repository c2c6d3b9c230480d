"""The clearance of parts that run in each other: as measured, at 20 °C, and hot."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.expansion import Expansion
from runningfit.core.measurements.slips import slip_of
from runningfit.core.measurements.uncertainty.inputs import Part, effective_dof
from runningfit.core.measurements.uncertainty.measured import REFERENCE_TEMPERATURE_C, Measured
from runningfit.core.measurements.uncertainty.shared import SharedPart, u_of_sum
from runningfit.core.measurements.uncertainty.student import student_quantile

# The expansion of a steel gauge (GUM H.1); gauge and part are taken to lie at one temperature when read.
GAUGE_PER_K = 11.5e-6
_COLDEST_C, _WARMEST_C = -60.0, 900.0
# Common practice, no source: no running fit is looser than a fiftieth of its size and a millimetre.
_LOOSEST_SHARE, _LOOSEST_MM = 0.02, 1.0


@dataclass(frozen=True, slots=True)
class Reading:
    """A size as it was read.

    Parameters
    ----------
    mm : float
        The size [mm].
    u_mm : float or None
        Its own standard uncertainty [mm], without what it shares with other readings; none where not told.
    dof : float
        The degrees of freedom of that [-].
    shared : tuple of SharedPart
        What it errs by together with other readings: the same gauge, setting ring or thermometer under the
        same key. A bore gauge that was set with a micrometer has the micrometer's key.
    even_mm : float
        Half of the range that it lies in evenly, such as half of a step of the gauge [mm]; ``u_mm`` holds
        its share of it.
    """

    mm: float
    u_mm: float | None = None
    dof: float = inf
    shared: tuple[SharedPart, ...] = ()
    even_mm: float = 0.0

    def __post_init__(self) -> None:
        if not (isfinite(self.mm) and self.mm > 0):
            raise InvalidInput("size", needs="a length of more than nothing", came=f"{self.mm:g} mm")
        own_mm = 0.0 if self.u_mm is None else self.u_mm
        figures = (own_mm, self.even_mm)
        if not all(isfinite(one) and one >= 0 for one in figures) or not all(
            isfinite(part.u) for part in self.shared
        ):
            raise InvalidInput("uncertainty", needs="finite figures that are not negative", came="others")


@dataclass(frozen=True, slots=True)
class Member:
    """One size of a running fit, with its metal and temperatures.

    Parameters
    ----------
    said : str
        What it is, such as `bore` or `journal`.
    reading : Reading
        The size as read.
    expansion : Expansion
        How its metal expands.
    measured_c : float
        Its temperature, and the gauge's, when it was read [°C].
    hot_low_c, hot_high_c : float or None
        The least and the largest temperature it runs at [°C]; none where no hot clearance is asked for.
    """

    said: str
    reading: Reading
    expansion: Expansion
    measured_c: float = REFERENCE_TEMPERATURE_C
    hot_low_c: float | None = None
    hot_high_c: float | None = None

    def __post_init__(self) -> None:
        if (self.hot_low_c is None) != (self.hot_high_c is None):
            raise InvalidInput(
                "hot temperature", needs="a least and a largest, alike where it is one", came="one of them"
            )
        for one in (self.measured_c, self.hot_low_c, self.hot_high_c):
            if one is not None and not _COLDEST_C <= one <= _WARMEST_C:
                raise InvalidInput(
                    "temperature", needs=f"{_COLDEST_C:g} to {_WARMEST_C:g} °C", came=f"{one:g} °C",
                    remedy="Check the unit.",
                )  # fmt: skip
        if self.hot_low_c is not None and self.hot_high_c is not None and self.hot_low_c > self.hot_high_c:
            raise InvalidInput(
                "hot temperature", needs="the least before the largest",
                came=f"{self.hot_low_c:g} and {self.hot_high_c:g} °C",
            )  # fmt: skip

    def at_20_c_mm(self) -> tuple[float, float]:
        """Both ends of its size at 20 °C [mm], once gauge and part are brought there."""
        rise_k = self.measured_c - REFERENCE_TEMPERATURE_C
        gauge = self.reading.mm * (1 + GAUGE_PER_K * rise_k)
        ends = [
            gauge / (1 + per_k * rise_k) for per_k in (self.expansion.low_per_k, self.expansion.high_per_k)
        ]
        return min(ends), max(ends)

    def hot_mm(self) -> tuple[float, float] | None:
        """Both ends of its size when it runs [mm]; none where no temperature was told."""
        if self.hot_low_c is None or self.hot_high_c is None:
            return None
        sizes = []
        # One expansion holds for both ways, from the bench to 20 °C and from there to the running engine.
        for per_k in (self.expansion.low_per_k, self.expansion.high_per_k):
            bench_k = self.measured_c - REFERENCE_TEMPERATURE_C
            cold = self.reading.mm * (1 + GAUGE_PER_K * bench_k) / (1 + per_k * bench_k)
            sizes += [cold * (1 + per_k * (hot - REFERENCE_TEMPERATURE_C)) for hot in self._hot]
        return min(sizes), max(sizes)

    @property
    def _hot(self) -> tuple[float, ...]:
        return tuple(one for one in (self.hot_low_c, self.hot_high_c) if one is not None)


@dataclass(frozen=True, slots=True)
class RunningFit:
    """Sizes that make a clearance.

    Parameters
    ----------
    said : str
        What runs in what.
    nominal_mm : float
        The diameter that rules go by [mm].
    members : tuple of (float, Member)
        Each size with how often it counts: 1 widens the clearance, -1 narrows it, -2 for a shell on both
        sides.
    widened_mm : tuple of float
        The least and the largest by which fitting widens it beyond the sizes read [mm], such as the crush of
        shells.
    assumptions : tuple of str
        What is taken for granted, as sentences.

    Raises
    ------
    InvalidInput
        No members, or sizes that cannot run in each other.
    """

    said: str
    nominal_mm: float
    members: tuple[tuple[float, Member], ...]
    widened_mm: tuple[float, float] = (0.0, 0.0)
    assumptions: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not any(factor > 0 for factor, _ in self.members) or not any(f < 0 for f, _ in self.members):
            raise InvalidInput("running fit", needs="a size around and a size within", came="others")
        low, high = self.widened_mm
        if not 0 <= low <= high:
            raise InvalidInput(
                "widening", needs="0 or more, the least before the largest", came=f"{low:g} and {high:g} mm"
            )
        outside = sum(f * one.reading.mm for f, one in self.members if f > 0)
        inside = -sum(f * one.reading.mm for f, one in self.members if f < 0)
        if abs(outside - inside) > max(_LOOSEST_MM, _LOOSEST_SHARE * outside):
            slip = slip_of(inside, outside)
            names = " and ".join(one.said for _, one in self.members)
            raise InvalidInput(
                names, needs="sizes that run in each other", came=f"{outside:g} and {inside:g} mm",
                remedy=f"Was one of them {slip}?" if slip else "Check units, decimals and which is which.",
            )  # fmt: skip

    @property
    def measured(self) -> Measured | None:
        """The clearance as read, with its uncertainty [mm]; none where a reading has no uncertainty.

        What readings share is counted once, with the sum of the factors that it has: it cancels between a
        bore and a piston, and counts twice in two shells.
        """
        parts = []
        for factor, one in self.members:
            if one.reading.u_mm is None:
                return None
            parts.append(Part(abs(factor) * one.reading.u_mm, one.reading.dof))
        parts.append(Part(u_of_sum((factor, one.reading.shared) for factor, one in self.members)))
        value = sum(factor * one.reading.mm for factor, one in self.members)
        return Measured(value, sqrt(sum(part.u**2 for part in parts)), effective_dof(parts))


@dataclass(frozen=True, slots=True)
class ClearanceAt:
    """A clearance in one state.

    Parameters
    ----------
    low_mm, middle_mm, high_mm : float
        Its estimate at both ends of what metals and temperatures may do, and between them [mm]; negative is
        an interference.
    u_mm : float or None
        The standard uncertainty that the readings bring [mm]; none where one of them has none.
    dof : float
        The degrees of freedom of that [-].
    """

    low_mm: float
    middle_mm: float
    high_mm: float
    u_mm: float | None
    dof: float = inf

    def interval_mm(self, coverage: float = 0.95) -> tuple[float, float]:
        """Give the interval that holds the clearance.

        Parameters
        ----------
        coverage : float
            With what probability, whatever metals and temperatures do within their ends [-].

        Returns
        -------
        tuple of float
            Its ends [mm]; without the readings' part where their uncertainty was not told.
        """
        reach = 0.0 if self.u_mm is None else student_quantile(0.5 * (1 + coverage), self.dof) * self.u_mm
        return self.low_mm - reach, self.high_mm + reach


@dataclass(frozen=True, slots=True)
class Clearances:
    """A clearance in every state that was asked for.

    Parameters
    ----------
    as_measured : ClearanceAt
        As the readings have it, at the temperatures of the bench.
    at_20_c : ClearanceAt
        At 20 °C, at which limits hold.
    hot : ClearanceAt or None
        Running, where every size has its temperature.
    """

    as_measured: ClearanceAt
    at_20_c: ClearanceAt
    hot: ClearanceAt | None


def clearances(fit: RunningFit) -> Clearances:
    """Work out a clearance as measured, at 20 °C and hot.

    Parameters
    ----------
    fit : RunningFit
        The sizes.

    Returns
    -------
    Clearances
        With both ends of what the metals and temperatures may do, and the uncertainty of the readings.

    Raises
    ------
    InvalidInput
        Only some of the sizes have a temperature to run at.

    Notes
    -----
    C = Σ f d (1 + αg (tm - 20)) / (1 + α (tm - 20)) (1 + α (t - 20)), each part free to expand and evenly
    warm; 20 °C by ISO 1:2016. The metals of the parts are taken apart, so that the ends are the careful ones.
    """
    measured = fit.measured
    u_mm, dof = (None, inf) if measured is None else (measured.u, measured.dof)
    value = sum(factor * one.reading.mm for factor, one in fit.members)
    hot_sizes = [(factor, one.hot_mm()) for factor, one in fit.members]
    with_hot = [(factor, size) for factor, size in hot_sizes if size is not None]
    if with_hot and len(with_hot) < len(fit.members):
        missing = ", ".join(one.said for _, one in fit.members if one.hot_low_c is None)
        raise InvalidInput(
            "hot temperature", needs="one for each part", came=f"none for {missing}",
            remedy="Tell the temperature that each part runs at.",
        )  # fmt: skip
    cold = _sum([(factor, one.at_20_c_mm()) for factor, one in fit.members], fit.widened_mm)
    hot = _sum(with_hot, fit.widened_mm) if with_hot else None
    low, high = fit.widened_mm
    return Clearances(
        ClearanceAt(value + low, value + (low + high) / 2, value + high, u_mm, dof),
        ClearanceAt(*cold, u_mm, dof),
        None if hot is None else ClearanceAt(*hot, u_mm, dof),
    )


def _sum(
    sizes: list[tuple[float, tuple[float, float]]], widened_mm: tuple[float, float]
) -> tuple[float, float, float]:
    low = sum(factor * ends[0 if factor > 0 else 1] for factor, ends in sizes) + widened_mm[0]
    high = sum(factor * ends[1 if factor > 0 else 0] for factor, ends in sizes) + widened_mm[1]
    return low, (low + high) / 2, high
