"""What steps cost: parts and cutting for each bore or journal, and what follows where none cleans up."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from runningfit.core.errors import InvalidInput


@dataclass(frozen=True, slots=True)
class StepPrice:
    """What one step costs for each bore or journal.

    Parameters
    ----------
    step_mm : float
        The oversize or undersize on diameter [mm].
    parts : float
        Piston and rings, or shells, in money.
    cutting : float
        Boring and honing, or grinding and polishing, in money.
    lost : float
        The share of the parts' price that is lost where the step does not clean up [-]: 0 where they are
        bought after, 1 where they are bought before and not taken back.
    """

    step_mm: float
    parts: float
    cutting: float
    lost: float = 0.0

    def __post_init__(self) -> None:
        if not all(isfinite(one) and one >= 0 for one in (self.parts, self.cutting)):
            raise InvalidInput(
                f"price of {self.step_mm:g} mm", needs="prices that are not negative",
                came=f"{self.parts:g} and {self.cutting:g}",
            )  # fmt: skip
        if not 0 <= self.lost <= 1:
            raise InvalidInput(
                f"price of {self.step_mm:g} mm", needs="a share lost of 0 to 1", came=f"{self.lost:g}"
            )


@dataclass(frozen=True, slots=True)
class Prices:
    """What the steps cost, and what follows where none cleans up.

    Parameters
    ----------
    steps : tuple of StepPrice
        The steps that can be bought.
    rescue : float
        What each bore or journal costs that no step cleans up: a liner, building up, or its share of
        another block or crankshaft; in money.
    each_visit : float
        What it costs each time that the machine is set up, in money.
    alike : bool
        Whether all must be of one size, as is usual; otherwise each may have its own.
    side_reading : float or None
        What it costs to read how far the worn middles lie off; none where nobody can.
    step_kept : float or None
        What a step left unused is worth for a later rebuild, for each bore or journal, in money; not told it
        is a hundredth of the rescue, which each step used up brings nearer (common practice, no source).
    """

    steps: tuple[StepPrice, ...]
    rescue: float
    each_visit: float = 0.0
    alike: bool = True
    side_reading: float | None = None
    step_kept: float | None = None

    def __post_init__(self) -> None:
        rest = (self.rescue, self.each_visit, self.side_reading or 0.0, self.step_kept or 0.0)
        if not all(isfinite(one) and one >= 0 for one in rest):
            raise InvalidInput("prices", needs="figures that are not negative", came=str(rest))
        sizes = [one.step_mm for one in self.steps]
        if len(set(sizes)) != len(sizes):
            raise InvalidInput(
                "prices", needs="one price for each step", came=", ".join(f"{one:g} mm" for one in sizes)
            )

    @property
    def metal(self) -> float:
        """What a step used up costs besides, for each bore or journal."""
        return self.rescue / 100 if self.step_kept is None else self.step_kept
