"""Whether the diameters were typed in inches where mm were meant, or the other way round."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification.many import IdentifiedMany, identify_many
from runningfit.core.pieces.identification.posterior import posterior
from runningfit.core.pieces.identification.prior import ThreadPrior
from runningfit.core.pieces.identification.readings import ThreadReadings
from runningfit.core.standards import thread
from runningfit.core.units import MM_PER_INCH

# Common practice, no source: so often a diameter is typed in the wrong unit.
_WRONG_UNIT = 0.02
# From here on it is asked about instead of answered, and from the second on it is mentioned.
_ASK, _MENTION = 0.9, 0.1
# Only readings that no usual thread explains are looked at.
_SUSPECT_NONE, _SUSPECT_BELOW_MM = 0.3, 1.5
_DIAMETERS = ("major_mm", "minor_mm", "pitch_diameter_mm")


@dataclass(frozen=True, slots=True)
class WrongUnit:
    """The other unit that was probably meant.

    Parameters
    ----------
    meant : str
        `inches` or `mm`.
    probability : float
        That it was meant, 0 to 1.
    designation : str
        The thread that it would be.
    """

    meant: str
    probability: float
    designation: str

    @property
    def is_asked(self) -> bool:
        """Whether it is so probable that nothing else is answered."""
        return self.probability > _ASK

    @property
    def is_mentioned(self) -> bool:
        """Whether it is worth a remark."""
        return self.probability > _MENTION

    @property
    def question(self) -> str:
        """The question to the person who typed it."""
        return f"Did you mean {self.meant}? Then it may be {self.designation}."


def is_suspect(readings: ThreadReadings, none_of_these: float) -> bool:
    """Tell whether the unit of the diameters is worth a look.

    Parameters
    ----------
    readings : ThreadReadings
        What was typed.
    none_of_these : float
        Probability that it is a thread of no standard here.

    Returns
    -------
    bool
        False for nearly all readings.
    """
    size = readings.size_mm
    return size is not None and (none_of_these > _SUSPECT_NONE or size < _SUSPECT_BELOW_MM)


def wrong_unit(
    readings: ThreadReadings, weights: Mapping[str, float], none_before: float, evidence: float
) -> WrongUnit | None:
    """Weigh whether the diameters were typed in the wrong unit.

    Parameters
    ----------
    readings : ThreadReadings
        What was typed.
    weights : Mapping of str to float
        Probability of each designation before.
    none_before : float
        Probability of a thread of no standard before.
    evidence : float
        Density of the readings as typed.

    Returns
    -------
    WrongUnit or None
        The more probable of the two units; none where nothing speaks for either.
    """
    best = None
    for meant, scaled, factor in _in_other_units(readings):
        found = posterior(scaled, weights, none_before)
        if found.weighed:
            names = [one.identity.thread.designation for one in found.weighed]
            share = _share(found.evidence * (1 - found.none_of_these) * factor, evidence)
            if best is None or share > best.probability:
                best = WrongUnit(meant, share, _of_unit(names, meant))
    return best


def wrong_units(
    readings: Sequence[ThreadReadings], found: IdentifiedMany, prior: ThreadPrior | None = None
) -> dict[int, WrongUnit]:
    """Weigh the same for each row of a sheet.

    Parameters
    ----------
    readings : sequence of ThreadReadings
        What was typed.
    found : IdentifiedMany
        What they were identified as.
    prior : ThreadPrior or None
        What was known before; none is the default one.

    Returns
    -------
    dict of int to WrongUnit
        By number of the row; rows that are not suspect are left out.
    """
    rows: list[tuple[int, str, ThreadReadings, float]] = []
    for row, one in enumerate(readings):
        if is_suspect(one, float(found.none_of_these[row])):
            rows.extend((row, *other) for other in _in_other_units(one))
    best: dict[int, WrongUnit] = {}
    if not rows:
        return best
    again = identify_many([scaled for _, _, scaled, _ in rows], prior)
    for place, (row, meant, _, factor) in enumerate(rows):
        names = [name for name, _ in again.candidates(place, least_probability=0.0)]
        if names:
            joint = float(again.evidence[place]) * (1 - float(again.none_of_these[place])) * factor
            share = _share(joint, float(found.evidence[row]))
            if row not in best or share > best[row].probability:
                best[row] = WrongUnit(meant, share, _of_unit(names, meant))
    return best


def _share(joint: float, evidence: float) -> float:
    slipped = _WRONG_UNIT * joint
    return slipped / (slipped + evidence) if slipped else 0.0


def _in_other_units(readings: ThreadReadings) -> Iterator[tuple[str, ThreadReadings, float]]:
    """Yield the unit meant, the readings in it, and by how much a density in mm has to be multiplied."""
    values = {name: getattr(readings, name) for name in (*_DIAMETERS, "across_flats_mm")}
    for meant, factor in (("inches", MM_PER_INCH), ("mm", 1 / MM_PER_INCH)):
        scaled = {name: value * factor for name, value in values.items() if value is not None}
        for name in tuple(scaled):
            u = getattr(readings, f"u_{name}")
            if u is not None:
                scaled[f"u_{name}"] = u * factor
        try:
            yield (
                meant,
                replace(readings, **scaled),
                factor ** sum(value is not None for value in values.values()),
            )
        except InvalidInput:
            continue


def _of_unit(names: Sequence[str], meant: str) -> str:
    """Name the most probable thread, of those with a diameter in inches where these were meant."""
    threads = [thread(name) for name in names]
    inch = [one.designation for one in threads if one.tpi is not None and not one.pipe]
    return (inch or names)[0] if meant == "inches" else names[0]
