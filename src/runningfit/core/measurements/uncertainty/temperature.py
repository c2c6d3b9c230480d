"""A length read warm or cold, brought to 20 °C where part and gauge are of different materials."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.inputs import Budget, Input, Part
from runningfit.core.measurements.uncertainty.measured import REFERENCE_TEMPERATURE_C, Measured
from runningfit.core.measurements.uncertainty.propagation import Propagated, propagate

# Beyond these the coefficients of a table of materials no longer hold, and no bench is that warm.
_COLDEST_C, _WARMEST_C = -40.0, 120.0
_LARGEST_PER_K = 1e-4


@dataclass(frozen=True, slots=True)
class Thermal:
    """What a part or a gauge does when it is not at 20 °C.

    Parameters
    ----------
    temperature_c : Measured
        Its temperature [°C], without what the thermometer errs by.
    expansion_per_k : Measured
        Its coefficient of linear expansion [1/K].
    """

    temperature_c: Measured
    expansion_per_k: Measured

    def __post_init__(self) -> None:
        if not _COLDEST_C <= self.temperature_c.value <= _WARMEST_C:
            raise InvalidInput(
                "temperature", needs=f"{_COLDEST_C:g} to {_WARMEST_C:g} °C",
                came=f"{self.temperature_c.value:g} °C", remedy="Check the unit.",
            )  # fmt: skip
        if not 0 <= self.expansion_per_k.value <= _LARGEST_PER_K:
            raise InvalidInput(
                "coefficient of expansion",
                needs="0 to 1e-4 for each kelvin, such as 11.5e-6 for steel",
                came=f"{self.expansion_per_k.value:g}",
                remedy="Write the power of ten: 11.5 is 11.5e-6.",
            )


def length_at_20_c(
    reading_mm: Measured,
    part: Thermal,
    gauge: Thermal,
    *,
    thermometer_u_c: float = 0.0,
    coverage: float = 0.95,
) -> Propagated:
    """Give the length that a part has at 20 °C.

    Parameters
    ----------
    reading_mm : Measured
        What the gauge read [mm].
    part : Thermal
        The part.
    gauge : Thermal
        The gauge, right at 20 °C.
    thermometer_u_c : float
        What one thermometer errs by in both temperatures alike [°C].
    coverage : float
        The probability that the expanded interval shall hold the length [-].

    Returns
    -------
    Propagated
        The length at 20 °C [mm] with its uncertainty and what each input adds.

    Raises
    ------
    InvalidInput
        A temperature or coefficient that no bench and no metal has.

    Notes
    -----
    L = R (1 + αg (tg - 20)) / (1 + αp (tp - 20)); 20 °C by ISO 1:2016. With the same material and temperature
    the correction cancels, and so does what the thermometer errs by.
    """
    reference = f"{REFERENCE_TEMPERATURE_C!r}"
    model = (
        f"reading * (1 + gauge_expansion * (gauge_temperature + thermometer - {reference}))"
        f" / (1 + part_expansion * (part_temperature + thermometer - {reference}))"
    )
    told = {
        "reading": reading_mm,
        "gauge_expansion": gauge.expansion_per_k,
        "gauge_temperature": gauge.temperature_c,
        "thermometer": Measured(0.0, thermometer_u_c),
        "part_expansion": part.expansion_per_k,
        "part_temperature": part.temperature_c,
    }
    inputs = tuple(Input(name, one.value, (Part(one.u, one.dof),)) for name, one in told.items())
    return propagate(Budget(model, inputs, coverage=coverage, unit="mm"))
