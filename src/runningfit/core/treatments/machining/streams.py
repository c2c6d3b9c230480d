"""The random numbers of an engine: each bore has its own, what its gauge shares is one for all."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from functools import lru_cache
from statistics import NormalDist
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.machining.readings import Readings

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# How many surfaces are drawn: a probability of a half is then known to 0.8 points.
DRAWS = 4096


def streams_of(readings: Sequence[Readings]) -> dict[str, int]:
    """Give each bore or journal a stream of random numbers, whatever order they come in.

    Parameters
    ----------
    readings : sequence of BoreReadings or of JournalReadings
        Those of one engine, each with a name of its own.

    Returns
    -------
    dict of str to int
        The stream of each name.

    Raises
    ------
    InvalidInput
        None at all, or two of one name.
    """
    if not readings:
        raise InvalidInput("readings", needs="at least one bore or journal", came="none")
    names = sorted(one.name for one in readings)
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InvalidInput("readings", needs="a name of its own for each", came=f"{', '.join(twice)} twice")
    return {name: number for number, name in enumerate(names)}


def shared_errors(readings: Sequence[Readings]) -> Floats:
    """Draw what the gauge errs by in all its readings.

    Parameters
    ----------
    readings : sequence of BoreReadings or of JournalReadings
        Those that one gauge measured.

    Returns
    -------
    array of float, one for each draw
        The errors [mm], to be taken off what was read.

    Raises
    ------
    InvalidInput
        A shared uncertainty that is not the same for all.
    """
    shared = {one.u_shared_mm for one in readings}
    if len(shared) != 1:
        raise InvalidInput(
            "shared uncertainty", needs="to be the same for all that one gauge measured",
            came=", ".join(f"{one:g} mm" for one in sorted(shared)),
            remedy="Judge what another gauge measured apart.",
        )  # fmt: skip
    found: Floats = shared.pop() * even_normals(Purpose.SHARED)
    return found


class Purpose(StrEnum):
    """What random numbers are for; those of one purpose know nothing of another's."""

    SHARED = "what the gauge shares"
    METHOD = "on which axis it is bored"
    SIDES = "how much more one side is worn"
    OFFSET = "how far the worn middle lies off"
    PITS = "how deep the pits are"
    ROUND = "on which side a pit lies"
    LOBES = "how high odd lobes are"
    CENTRING = "how far the tool is off its axis"
    WALL = "how thick the wall is"
    ALIKE = "how much more one side is worn in all bores"
    REST = "how much of that is left on the worn axis"
    MADE = "to which size the maker worked"
    ABOVE = "how far the ridge lies above the first reading"


def even_shares(purpose: Purpose, stream: int = 0) -> Floats:
    """Draw shares from 0 to 1 that are dealt out evenly, so that few draws tell much.

    Parameters
    ----------
    purpose : Purpose
        What they are for.
    stream : int
        Which bore they are for.

    Returns
    -------
    array of float, one for each draw
        Shares, in random order.
    """
    import numpy as np

    order = np.random.default_rng([22, list(Purpose).index(purpose), stream]).permutation(DRAWS)
    found: Floats = (order + 0.5) / DRAWS
    return found


def even_normals(purpose: Purpose, stream: int = 0) -> Floats:
    """Draw normal numbers that are dealt out evenly, so that few draws tell much.

    Parameters
    ----------
    purpose : Purpose
        What they are for.
    stream : int
        Which bore they are for.

    Returns
    -------
    array of float, one for each draw
        Normal numbers of deviation one, in random order.
    """
    dealt: Floats = _quantiles()[(even_shares(purpose, stream) * DRAWS).astype(int)]
    return dealt


@lru_cache(maxsize=1)
def _quantiles() -> Floats:
    import numpy as np

    normal = NormalDist()
    return np.array([normal.inv_cdf((index + 0.5) / DRAWS) for index in range(DRAWS)])
