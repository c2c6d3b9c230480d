"""Torques in a sentence of the core, which speaks N m: in the unit a person chose, with the other beside."""

from __future__ import annotations

import re

from runningfit.core.units.lengths import LengthUnit
from runningfit.core.units.quantities import TorqueUnit, torque_in

_NEWTON_METRES = re.compile(r"([0-9]+(?:\.[0-9]+)?)(?: to ([0-9]+(?:\.[0-9]+)?))? N m\b(?! \()")


def torques_in_both(text: str, preferred: LengthUnit) -> str:
    """Say every torque of a sentence in both units, the preferred first.

    Parameters
    ----------
    text : str
        A sentence with torques such as `20.3 N m` or `18.0 to 20.3 N m`.
    preferred : LengthUnit
        The shop's: inches go with lbf ft, millimetres with N m.

    Returns
    -------
    str
        `15 lbf ft (20.3 N m)`, or `20.3 N m (15 lbf ft)`; three figures of what was reckoned.
    """

    def both(found: re.Match[str]) -> str:
        pounds = " to ".join(_pounds(float(one)) for one in found.groups() if one is not None)
        if preferred is LengthUnit.INCH:
            return f"{pounds} lbf ft ({found[0]})"
        return f"{found[0]} ({pounds} lbf ft)"

    return _NEWTON_METRES.sub(both, text)


def _pounds(torque_nm: float) -> str:
    value = torque_in(torque_nm, TorqueUnit.LBF_FT)
    return f"{value:.3g}" if value < 999.5 else f"{value:.0f}"
