"""The inputs of a budget: what is known of each, as parts of a known shape."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from math import inf, isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.student import check_dof


class Shape(StrEnum):
    """How a value is thought to lie around its estimate."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"
    U_SHAPED = "u-shaped"
    TRAPEZOIDAL = "trapezoidal"


@dataclass(frozen=True, slots=True)
class Part:
    """One source of uncertainty of an input.

    Parameters
    ----------
    u : float
        Standard uncertainty, in the unit of the input.
    dof : float
        Degrees of freedom [-].
    shape : Shape
        How it lies.
    top : float
        Of a trapezium, the width of its top over that of its base [-], 0 to 1.
    """

    u: float
    dof: float = inf
    shape: Shape = Shape.NORMAL
    top: float = 0.0

    def __post_init__(self) -> None:
        if not (isfinite(self.u) and self.u >= 0):
            raise InvalidInput("uncertainty", needs="a finite number, not negative", came=f"{self.u:g}")
        check_dof(self.dof)


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a budget.

    Parameters
    ----------
    name : str
        Its name in the model.
    value : float
        Its best estimate.
    parts : tuple of Part
        What makes it uncertain; none is a constant.
    readings : tuple of float
        The readings behind it, where it was read repeatedly.
    """

    name: str
    value: float
    parts: tuple[Part, ...] = ()
    readings: tuple[float, ...] = field(default=(), repr=False)

    @property
    def measured(self) -> Measured:
        """The value with the whole of its uncertainty."""
        return Measured(self.value, sqrt(sum(part.u**2 for part in self.parts)), effective_dof(self.parts))


@dataclass(frozen=True, slots=True)
class Correlation:
    """How far two inputs err together.

    Parameters
    ----------
    first, second : str
        The names of the inputs.
    coefficient : float
        The correlation coefficient [-], -1 to 1.
    """

    first: str
    second: str
    coefficient: float


@dataclass(frozen=True, slots=True)
class Budget:
    """A model with its inputs.

    Parameters
    ----------
    model : str
        The formula.
    inputs : tuple of Input
        Each input of it.
    correlations : tuple of Correlation
        The pairs that err together; each other pair is independent.
    coverage : float
        The probability that the expanded interval shall hold the value [-].
    unit : str
        The unit of the result, as it is shown; may be empty.
    """

    model: str
    inputs: tuple[Input, ...]
    correlations: tuple[Correlation, ...] = ()
    coverage: float = 0.95
    unit: str = ""


def half_width_u(half_width: float, shape: Shape, top: float = 0.0) -> float:
    """Give the standard uncertainty of a value that lies within half a width on either side.

    Parameters
    ----------
    half_width : float
        Half the width of the whole range, in the unit of the value.
    shape : Shape
        How the value lies in the range.
    top : float
        Of a trapezium, the width of its top over that of its base [-], 0 to 1.

    Returns
    -------
    float
        The standard uncertainty, in the same unit.

    Raises
    ------
    InvalidInput
        A half-width less than nothing, a top that is not 0 to 1, or a normal shape, which has no width.

    Notes
    -----
    a/√3 rectangular, a/√6 triangular, a √((1 + β²)/6) trapezoidal (JCGM 100:2008, 4.3.7 and 4.3.9); a/√2
    U-shaped (JCGM 101:2008, 6.4.6). Clause numbers from memory.
    """
    if not (isfinite(half_width) and half_width >= 0):
        raise InvalidInput("half-width", needs="a finite number, not negative", came=f"{half_width:g}")
    if not 0 <= top <= 1:
        raise InvalidInput("top", needs="the top of a trapezium over its base, 0 to 1", came=f"{top:g}")
    squares = {
        Shape.RECTANGULAR: 1 / 3,
        Shape.TRIANGULAR: 1 / 6,
        Shape.U_SHAPED: 1 / 2,
        Shape.TRAPEZOIDAL: (1 + top**2) / 6,
    }
    if shape not in squares:
        raise InvalidInput(
            "half-width",
            needs="a shape that has a width: rectangular, triangular, u-shaped or trapezoidal",
            came=str(shape),
            remedy="Of a normal shape give u, or the expanded uncertainty of the certificate with its k.",
        )
    return half_width * sqrt(squares[shape])


def dof_of_doubt(doubt: float) -> float:
    """Give the degrees of freedom that belong to an uncertainty which is itself in doubt.

    Parameters
    ----------
    doubt : float
        By what share the standard uncertainty may be wrong [-], such as 0.1 for 10 %.

    Returns
    -------
    float
        Degrees of freedom [-], 1 at the least.

    Raises
    ------
    InvalidInput
        A share that is not more than 0 and at most 0.7.

    Notes
    -----
    ν = ½ (Δu/u)⁻² (JCGM 100:2008, G.4.2, equation (G.3), numbers from memory).
    """
    if not 0 < doubt <= 0.7:
        raise InvalidInput(
            "doubt", needs="more than 0 and at most 0.7, such as 0.1 for 10 %", came=f"{doubt:g}",
            remedy="What is less sure than that is not known: look for a certificate, or read it repeatedly.",
        )  # fmt: skip
    return max(1.0, 0.5 / doubt**2)


def effective_dof(parts: Sequence[Part]) -> float:
    """Give the degrees of freedom of a sum of independent parts.

    Parameters
    ----------
    parts : sequence of Part
        Each contribution with its degrees of freedom.

    Returns
    -------
    float
        Degrees of freedom [-]; infinite where no part is in doubt.

    Notes
    -----
    Welch and Satterthwaite: ν = u⁴ / Σ (uᵢ⁴/νᵢ) (JCGM 100:2008, G.4.1, equation (G.2b), numbers
    from memory).
    """
    largest = max((part.u for part in parts), default=0.0)
    if largest == 0:
        return inf
    # By shares of the largest, so that small units do not vanish in the fourth power.
    below = sum((part.u / largest) ** 4 / part.dof for part in parts)
    return sum((part.u / largest) ** 2 for part in parts) ** 2 / below if below else inf
