"""The volume that a piston sweeps, and how fast it goes."""

from __future__ import annotations

from math import pi

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.inputs import Budget, Input, Part
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.measurements.uncertainty.propagation import Propagated, propagate

_MM3_PER_ML = 1000.0
_MOST_CYLINDERS = 48


def swept_volume_ml(bore_mm: Measured, stroke_mm: Measured, *, cylinders: int = 1) -> Propagated:
    """Give the volume that the pistons of an engine sweep.

    Parameters
    ----------
    bore_mm : Measured
        The bore [mm]; what it errs by is taken as the same in all cylinders.
    stroke_mm : Measured
        The stroke [mm].
    cylinders : int
        How many cylinders there are.

    Returns
    -------
    Propagated
        The volume [ml] with its uncertainty.

    Raises
    ------
    InvalidInput
        A size that is not more than nothing, or no cylinder.

    Notes
    -----
    n π d² s / 4; what the crank is off the axis and the pin off the piston's middle is left out.
    """
    check_size(bore_mm, "bore")
    check_size(stroke_mm, "stroke")
    if not 1 <= cylinders <= _MOST_CYLINDERS:
        raise InvalidInput("cylinders", needs=f"1 to {_MOST_CYLINDERS}", came=f"{cylinders}")
    model = f"{cylinders * pi / 4 / _MM3_PER_ML!r} * bore * bore * stroke"
    told = {"bore": bore_mm, "stroke": stroke_mm}
    return propagate(Budget(model, inputs_of(told), unit="ml"))


def mean_piston_speed_m_s(stroke_mm: float, speed_rpm: float) -> float:
    """Give the mean speed of a piston.

    Parameters
    ----------
    stroke_mm : float
        The stroke [mm].
    speed_rpm : float
        The speed of the crank [1/min].

    Returns
    -------
    float
        The speed [m/s].

    Raises
    ------
    InvalidInput
        A stroke or speed below nothing.

    Notes
    -----
    2 s n: there and back in each turn.
    """
    if stroke_mm <= 0 or speed_rpm < 0:
        raise InvalidInput(
            "stroke and speed", needs="a stroke of more than nothing and no speed below it",
            came=f"{stroke_mm:g} mm and {speed_rpm:g}/min",
        )  # fmt: skip
    return 2 * stroke_mm / 1000 * speed_rpm / 60


def check_size(size_mm: Measured, name: str) -> None:
    """Refuse a size that no engine has.

    Parameters
    ----------
    size_mm : Measured
        The size [mm].
    name : str
        What it is called.

    Raises
    ------
    InvalidInput
        It is not from 5 to 2000 mm.
    """
    if not 5 <= size_mm.value <= 2000:
        raise InvalidInput(
            name,
            needs="5 to 2000 mm",
            came=f"{size_mm.value:g} mm",
            remedy="Check the unit: 3.125 may be inches.",
        )


def inputs_of(told: dict[str, Measured]) -> tuple[Input, ...]:
    """Turn measured values into the inputs of a budget.

    Parameters
    ----------
    told : dict of str to Measured
        Each value by its name in the model.

    Returns
    -------
    tuple of Input
        The same for a budget.
    """
    return tuple(Input(name, one.value, (Part(one.u, one.dof),)) for name, one in told.items())
