"""The few functions that the formulas need, for one number and for a whole column of numbers."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Protocol, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Number = TypeVar("Number", float, "NDArray[np.float64]")
_FAR_TAIL = 25.0
_ROOT_HALF = math.sqrt(0.5)
_ROOT_TWO_PI = math.sqrt(2 * math.pi)


class Arithmetic(Protocol[Number]):
    """What the formulas ask of numbers; one reading is a float, a batch of readings a column."""

    def exp(self, x: Number) -> Number:
        """e to the power of x."""
        ...

    def root(self, x: Number) -> Number:
        """The square root."""
        ...

    def below(self, z: Number) -> Number:
        """The standard normal distribution up to z."""
        ...

    def log_below(self, z: Number) -> Number:
        """The natural logarithm of the standard normal distribution up to z, however far in the tail."""
        ...

    def at_least(self, x: Number, floor: float) -> Number:
        """The greater of x and a floor."""
        ...


class OneNumber:
    """Plain floats, without numpy, so that a command answers at once."""

    def exp(self, x: float) -> float:
        """e to the power of x; nothing for a very negative x."""
        return math.exp(x) if x > -745.0 else 0.0

    def root(self, x: float) -> float:
        """The square root."""
        return math.sqrt(x)

    def below(self, z: float) -> float:
        """The standard normal distribution up to z."""
        return 0.5 * math.erfc(-z * _ROOT_HALF)

    def log_below(self, z: float) -> float:
        """The logarithm of the standard normal distribution up to z; by its series in the far tail."""
        if z > -_FAR_TAIL:
            return math.log(0.5 * math.erfc(-z * _ROOT_HALF))
        square = z * z
        return -0.5 * square - math.log(-z * _ROOT_TWO_PI) + math.log1p(-1 / square + 3 / square**2)

    def at_least(self, x: float, floor: float) -> float:
        """The greater of x and a floor."""
        return x if x > floor else floor


class Columns:
    """Columns of numbers, by numpy and scipy, which are loaded when the first batch comes."""

    def __init__(self) -> None:
        import numpy
        from scipy import special

        self._numpy = numpy
        self._special = special

    def exp(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """e to the power of x; nothing for a very negative x."""
        return self._numpy.exp(self._numpy.maximum(x, -745.0))

    def root(self, x: NDArray[np.float64]) -> NDArray[np.float64]:
        """The square root."""
        return self._numpy.sqrt(x)

    def below(self, z: NDArray[np.float64]) -> NDArray[np.float64]:
        """The standard normal distribution up to z."""
        return self._special.ndtr(z)

    def log_below(self, z: NDArray[np.float64]) -> NDArray[np.float64]:
        """The natural logarithm of the standard normal distribution up to z, however far in the tail."""
        return self._special.log_ndtr(z)

    def at_least(self, x: NDArray[np.float64], floor: float) -> NDArray[np.float64]:
        """The greater of x and a floor."""
        return self._numpy.maximum(x, floor)


ONE = OneNumber()
