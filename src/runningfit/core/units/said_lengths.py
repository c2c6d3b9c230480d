"""A length inside a sentence, which is written out in the unit of whoever reads it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from runningfit.core.units.lengths import MM_PER_INCH, LengthUnit

_UM_PER_MM = 1000.0


@dataclass(frozen=True, slots=True)
class SaidLength:
    """A length of a sentence.

    Parameters
    ----------
    mm : float
        The length, or a difference of two [mm].
    digits : int or None
        How many decimals it has in millimetres, one more in inches; none is one so small that it is said in
        micrometres, with two figures or in the format of `form`, and in inches with six decimals.
    bare : bool
        Whether its unit is left out, as before `to`.
    signed : bool
        Whether a plus stands before what is more than nothing.
    form : str
        The format of the figure in either unit, such as ".7g", in the place of decimals; may be empty.
    """

    mm: float
    digits: int | None
    bare: bool = False
    signed: bool = False
    form: str = ""

    def in_unit(self, unit: LengthUnit) -> str:
        """Write it.

        Parameters
        ----------
        unit : LengthUnit
            The unit wanted.

        Returns
        -------
        str
            `0.0512 mm`, `0.00202 in`, `2.1 µm`; without a minus where nothing is left.
        """
        if self.digits is None:
            if unit is LengthUnit.MM:
                return f"{self.mm * _UM_PER_MM:{self.form or '.2g'}}" + ("" if self.bare else " µm")
            figures = f"{self.mm / MM_PER_INCH:.6f}"
        elif self.form:
            figures = f"{self.mm if unit is LengthUnit.MM else self.mm / MM_PER_INCH:{self.form}}"
        elif unit is LengthUnit.MM:
            figures = f"{self.mm:.{self.digits}f}"
        else:
            figures = f"{self.mm / MM_PER_INCH:.{self.digits + 1}f}"
        figures = figures if float(figures) else figures.lstrip("-")
        sign = "+" if self.signed and not figures.startswith("-") else ""
        return f"{sign}{figures}" + ("" if self.bare else f" {unit.value}")


SentencePart = str | SaidLength


def sentence(parts: Iterable[SentencePart], unit: LengthUnit) -> str:
    """Write a sentence in a unit.

    Parameters
    ----------
    parts : iterable of str or SaidLength
        Words and lengths, in their order.
    unit : LengthUnit
        The unit of its lengths.

    Returns
    -------
    str
        The sentence.
    """
    return "".join(one if isinstance(one, str) else one.in_unit(unit) for one in parts)
