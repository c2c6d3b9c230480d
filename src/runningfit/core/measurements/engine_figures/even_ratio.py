"""One compression ratio in all cylinders: what to take out of which chamber, if they differ at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.engine_figures.compression import Cylinder


@dataclass(frozen=True, slots=True)
class ChamberChange:
    """What one chamber needs to come to the ratio of all.

    Parameters
    ----------
    name : str
        The cylinder.
    ratio : float
        Its ratio now [-].
    grow_ml : float
        By how much its chamber must grow [ml]; negative is shrink, which only a skim does.
    u_ml : float
        The standard uncertainty of that from chamber, dish and deck, which were read for each cylinder [ml].
    """

    name: str
    ratio: float
    grow_ml: float
    u_ml: float


@dataclass(frozen=True, slots=True)
class EvenRatio:
    """What brings all cylinders to one ratio.

    Parameters
    ----------
    ratio : float
        The ratio that all come to [-].
    changes : tuple of ChamberChange
        Each cylinder, in the order told.
    spread : float
        The largest ratio now less the smallest [-].
    shows : bool
        Whether the widest difference is more than twice its standard uncertainty; else the readings do not
        show that the cylinders differ.
    """

    ratio: float
    changes: tuple[ChamberChange, ...]
    spread: float
    shows: bool


def even_ratio(cylinders: Sequence[Cylinder], wanted_ratio: float | None = None) -> EvenRatio:
    """Say what brings all cylinders to one compression ratio.

    Parameters
    ----------
    cylinders : sequence of Cylinder
        Two or more, as they are.
    wanted_ratio : float or None
        The ratio wanted [-]; none is the smallest of them, reached by taking metal out of other chambers.

    Returns
    -------
    EvenRatio
        What each chamber must grow by.

    Raises
    ------
    InvalidInput
        Fewer than two cylinders, a name twice, or a ratio that cannot be.

    Notes
    -----
    Grow by V / (ε - 1) - v. Bore, stroke and gasket are alike in all, so what they err by does not tell the
    cylinders apart; the uncertainty is that of chamber, dish and deck.
    """
    if len(cylinders) < 2 or len({one.name for one in cylinders}) < len(cylinders):
        raise InvalidInput(
            "cylinders", needs="two or more, each under its own name", came=f"{len(cylinders)}"
        )
    wanted = min(one.ratio for one in cylinders) if wanted_ratio is None else wanted_ratio
    if not 2 <= wanted <= 30:
        raise InvalidInput("compression ratio", needs="2 to 30", came=f"{wanted:g}")
    changes = tuple(
        ChamberChange(one.name, one.ratio, one.swept_ml / (wanted - 1) - one.above_ml, _own_u_ml(one))
        for one in cylinders
    )
    widest, narrowest = (end(changes, key=lambda one: one.ratio) for end in (max, min))
    return EvenRatio(
        wanted,
        changes,
        widest.ratio - narrowest.ratio,
        abs(widest.grow_ml - narrowest.grow_ml) > 2 * hypot(widest.u_ml, narrowest.u_ml),
    )


def _own_u_ml(cylinder: Cylinder) -> float:
    deck_ml = cylinder.swept_ml / cylinder.stroke_mm.value * cylinder.deck_mm.u
    return hypot(cylinder.chamber_ml.u, cylinder.dish_ml.u, deck_ml)
