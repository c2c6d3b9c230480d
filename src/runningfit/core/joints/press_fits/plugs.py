"""Core plugs in their seats: a seat rule, for a thin plug is no thick ring."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.errors import InvalidInput
from runningfit.core.units import MM_PER_INCH, SaidLength
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

# A plug maker's data for expansion plugs: bore at most the largest plug plus two thousandths of an inch.
DOMED_CLEARANCE_MM = 0.002 * MM_PER_INCH
# Common practice, no source: workshop figures from memory, for steel cups in iron; each maker has its own.
CUP_LEAST_MM, CUP_MOST_MM = 0.003 * MM_PER_INCH, 0.010 * MM_PER_INCH
_SOURCE = "a plug maker's data sheet for expansion plugs"
_FREEING = Caution(
    "To free a stuck plug no heat is worked out: a crank or rod heated to red loses its temper and its "
    "straightness. Drill and lever it; where it was heated, crack-test and check the run-out afterwards."
)
_SEALING = Caution("Clean the seat bright and seal it; behind an oilway plug, blow out every drilling first.")


class PlugKind(StrEnum):
    """The thin plugs of castings."""

    DOMED = "domed"
    CUP = "cup"


@dataclass(frozen=True, slots=True)
class PlugSeat:
    """A plug and its seat, as measured.

    Parameters
    ----------
    kind : PlugKind
        Domed (expanded by a blow on its crown) or cup (pressed in).
    plug_mm, seat_mm : float
        Diameter of the plug and of its seat [mm].

    Raises
    ------
    InvalidInput
        A size is nothing, or the two are of different plugs.
    """

    kind: PlugKind
    plug_mm: float
    seat_mm: float

    def __post_init__(self) -> None:
        if not (self.plug_mm > 0 and abs(self.seat_mm / self.plug_mm - 1) <= 0.02):
            raise InvalidInput(
                "plug and seat",
                needs="two diameters within a fiftieth of each other",
                came=f"{self.plug_mm:g} and {self.seat_mm:g} mm",
                remedy="Check the units, and that both were read of the same hole.",
            )


def judge_plug(seat: PlugSeat) -> Verdict:
    """Judge whether a core plug suits its seat.

    Parameters
    ----------
    seat : PlugSeat
        Plug and seat as measured.

    Returns
    -------
    Verdict
        With the seat's diameter less the plug's as value [mm], less than nothing for an interference; for a
        cup never better than not proven, as its rule has no source.

    Notes
    -----
    Domed: 0 to 0.002 in of clearance, seat no rougher than 100 µin, without a fillet, at least one plug
    thickness deep (a plug maker's data). Cup: 0.003 to 0.010 in of interference (common practice, no source;
    from memory). Lamé's rings do not hold for either: a thin plug buckles or spreads.
    """
    clearance_mm = seat.seat_mm - seat.plug_mm
    if seat.kind is PlugKind.DOMED:
        inside = 0 <= clearance_mm <= DOMED_CLEARANCE_MM
        outcome = Outcome.SOUND if inside else Outcome.NOT_SOUND
        reason = Reason.of(
            *(
                "The seat is ",
                SaidLength(clearance_mm, 3, signed=True),
                " larger than the plug; a domed plug ",
            ),
            *("wants 0 to ", SaidLength(DOMED_CLEARANCE_MM, 3), " of clearance."),
            source=_SOURCE,
        )
        own = Caution(
            "The seat is to be no rougher than 100 µin, sharp in its corner and at least one plug "
            "thickness deep; strike the crown flat, no further."
        )
        return Verdict(outcome, clearance_mm, "mm", reasons=(reason,), cautions=(own, _SEALING, _FREEING))
    inside = CUP_LEAST_MM <= -clearance_mm <= CUP_MOST_MM
    outcome = Outcome.NOT_SOUND if clearance_mm >= 0 else Outcome.NOT_PROVEN
    where = "within" if inside else "outside of"
    reason = Reason.of(
        *("The plug is ", SaidLength(-clearance_mm, 3, signed=True), f" larger than its seat, {where} the "),
        *(SaidLength(CUP_LEAST_MM, 2, bare=True), " to ", SaidLength(CUP_MOST_MM, 2)),
        " that cup plugs mostly have.",
        source="common practice, no source; from memory",
    )
    own = Caution("Press a cup by its rim and square, and ask its maker for the interference it wants.")
    return Verdict(outcome, clearance_mm, "mm", reasons=(reason,), cautions=(own, _SEALING, _FREEING))
