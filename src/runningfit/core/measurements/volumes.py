"""The volume of a chamber filled from a burette, at 20 °C."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.inputs import Budget, Input, Part
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.propagation import Propagated, propagate

# Borosilicate glass, cubic (ISO 4787, from memory).
GLASS_PER_K = Measured(9.9e-6, 1e-6)


@dataclass(frozen=True, slots=True)
class Filling:
    """How a chamber was filled.

    Parameters
    ----------
    poured_ml : Measured
        What the burette showed as poured [ml], marked for 20 °C.
    burette_c : Measured
        The temperature of burette and liquid [°C].
    chamber_c : Measured
        The temperature of the chamber, which the liquid takes [°C].
    liquid_per_k : Measured
        The cubic expansion of the liquid [1/K].
    metal_per_k : Measured
        The linear expansion of the chamber's metal [1/K].
    glass_per_k : Measured
        The cubic expansion of the burette's glass [1/K].
    """

    poured_ml: Measured
    burette_c: Measured
    chamber_c: Measured
    liquid_per_k: Measured
    metal_per_k: Measured
    glass_per_k: Measured = GLASS_PER_K


def chamber_volume(filling: Filling, coverage: float = 0.95) -> Propagated:
    """Give the volume that a chamber has at 20 °C.

    Parameters
    ----------
    filling : Filling
        How it was filled.
    coverage : float
        The probability that the expanded interval shall hold the volume [-].

    Returns
    -------
    Propagated
        The volume at 20 °C [ml] with its uncertainty and what each input adds.

    Raises
    ------
    InvalidInput
        A temperature beyond 0 to 60 °C, or a volume that is not more than nothing.

    Notes
    -----
    V = P (1 + γg (tb - 20)) (1 + γl (tc - tb)) / (1 + 3 α (tc - 20)): the glass holds more when it is
    warm, the liquid grows into the chamber's temperature, and the chamber is brought to 20 °C.
    """
    if not filling.poured_ml.value > 0:
        raise InvalidInput("volume", needs="more than nothing", came=f"{filling.poured_ml.value:g} ml")
    if filling.poured_ml.u == 0:
        raise InvalidInput(
            "uncertainty", needs="more than nothing", came="0 ml",
            remedy="No burette is exact: it is at least 0.29 of its smallest step, and the drop that stays.",
        )  # fmt: skip
    for one in (filling.burette_c, filling.chamber_c):
        if not 0 <= one.value <= 60:
            raise InvalidInput(
                "temperature", needs="0 to 60 °C", came=f"{one.value:g} °C", remedy="Check the unit."
            )
    model = (
        "poured * (1 + glass * (burette - 20.0)) * (1 + liquid * (chamber - burette))"
        " / (1 + 3 * metal * (chamber - 20.0))"
    )
    told = {
        "poured": filling.poured_ml,
        "glass": filling.glass_per_k,
        "burette": filling.burette_c,
        "liquid": filling.liquid_per_k,
        "chamber": filling.chamber_c,
        "metal": filling.metal_per_k,
    }
    inputs = tuple(Input(name, one.value, (Part(one.u, one.dof),)) for name, one in told.items())
    return propagate(Budget(model, inputs, coverage=coverage, unit="ml"))
