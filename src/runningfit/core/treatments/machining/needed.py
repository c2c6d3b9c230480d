"""The least oversize or undersize at which a worn surface is cleaned up, as draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import pi, radians
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments.machining.cutting import Axis, Cutting, OneSided
from runningfit.core.treatments.machining.readings import Pit, Readings
from runningfit.core.treatments.machining.streams import (
    DRAWS,
    Purpose,
    even_normals,
    even_shares,
    shared_errors,
    streams_of,
)
from runningfit.core.treatments.machining.surfaces import DrawnSurface, Straying, draw_surfaces
from runningfit.core.treatments.machining.wear_forms import below

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# On the worn axis some one-sided wear is left where its middle was found: a circle laid to what wore as the
# square of a cosine has its middle at 8/(3 pi) of half the difference of both sides. Above, where more is
# worn, up to so much is left. A maker works so far beyond the nominal, on the side that leaves clearance: a
# bore within a thousandth of an inch, a journal, which is ground, within half of one. Common practice, no
# source.
REST_LEAST, REST_MOST, _MADE_MM = 1 - 8 / (3 * pi), 0.6, {1: 0.025, -1: 0.013}
# The side worn most is worn alike in all bores of an engine, within a third (as the deviation of a logarithm;
# common practice, no source), so that the one whose diameter grew most is rather worn on both its sides. Less
# wear than so much is none that could tell.
_SIDE_SPREAD, _HARDLY_MM, _TELLS_MOST = 0.3, 0.005, 2.5
# A pit's depth that is off by less than the one share of itself is taken as it is; by more than the other
# nobody knows it at all.
_LEAST_OFF, _MOST_OFF = 0.005, 1.0
# The mean of one-sidedness and its deviation, as shares of what is possible: a bore's piston leans on both
# sides in turn, a journal's load comes from one side. Common practice, no source.
_USUAL = {1: (1 / 3, 0.178), -1: (0.5, 0.224)}


class Side(StrEnum):
    """What is taken of that which two-point readings cannot see."""

    BEST = "as it is believed to be"
    CAREFUL = "most wear on one side, and cut on the original axis"
    HOPEFUL = "least wear on one side, or cut on the worn axis"


@dataclass(frozen=True, slots=True, eq=False)
class Needed:
    """The step that each bore or journal needs, in each draw.

    Parameters
    ----------
    names : tuple of str
        The bores or journals, in the order given.
    best_mm, careful_mm, hopeful_mm : array of float, bores by draws
        The least oversize or undersize on diameter at which it is clean with the honing stock left [mm].
    side_mm : array of float, bores by draws
        What of the best the one-sided wear takes, over what the middle of the rest does [mm]; by this a
        reading of the offset would sort the draws.
    """

    names: tuple[str, ...]
    best_mm: Floats
    careful_mm: Floats
    hopeful_mm: Floats
    side_mm: Floats

    def of(self, side: Side) -> Floats:
        """Give the draws of one view of what cannot be seen."""
        return {Side.BEST: self.best_mm, Side.CAREFUL: self.careful_mm, Side.HOPEFUL: self.hopeful_mm}[side]


def needed_steps(readings: Sequence[Readings], cutting: Cutting, straying: Straying | None = None) -> Needed:
    """Draw the least oversize or undersize at which each worn surface is cleaned up.

    Parameters
    ----------
    readings : sequence of BoreReadings or of JournalReadings
        Those of one engine that one gauge measured, of one kind, each with a name of its own.
    cutting : Cutting
        How they would be cut.
    straying : Straying or None
        How surfaces stray from one size, before they are read; none for what is usual of such surfaces.

    Returns
    -------
    Needed
        The draws for the best belief and for both ends.

    Raises
    ------
    InvalidInput
        No readings, bores and journals mixed, two of one name, or unlike shared uncertainties.

    Notes
    -----
    The worn radius is r(θ, z) = D(θ, z)/2 + b(θ, z) from the original axis, with b(θ + π) = -b(θ) of
    which diameters tell nothing. Wear only takes away, so |b| ≤ |D - D₀|/2 = w/2, with D₀ the size before
    wear. Cut on the original axis, D + s w cos(θ - α) must be reached about the direction α worn most,
    with s from 0 (both sides alike) to 1 (all on one side), or 2 |offset| for s w where that was read,
    about its direction where that was told, and twice the depth of the pits. s is beta-distributed: of a
    bore a third on average, deviation 0.178; of a journal a half, deviation 0.224, unless told; alike in
    an engine, and less of what grew more than the others of it, for the major side of each lost about as
    much. On the worn axis, whose middle is found at one depth, 0.15 to 0.6 of s w is left. D₀ is the
    original size, or the nominal and up to 0.025 mm (a journal's 0.013) of clearance more. A tool off its
    axis by e needs 2 e more on the side that it leaves. Depths of pits are off by a share of themselves,
    and of pits twice as deep there are half as many. Odd lobes are taken to be as high as the form
    besides wear, and no higher than is usual. Rings wore a bore on above the first reading, for 0.02 to
    0.06 of the length read, and a journal is ground a quarter of it beyond both ends (all common
    practice, no source).
    """
    import numpy as np

    streams = streams_of(readings)
    kinds = {one.outward for one in readings}
    if len(kinds) != 1:
        raise InvalidInput(
            "readings", needs="bores alone, or journals alone", came="some of each",
            remedy="Bores and journals are cut to steps of their own.",
        )  # fmt: skip
    outward = kinds.pop()
    shared = shared_errors(readings)
    on_original = even_shares(Purpose.METHOD) < _chance_of_original(cutting)
    left = REST_LEAST + (REST_MOST - REST_LEAST) * even_shares(Purpose.REST)
    rest = np.where(on_original, 1.0, left)
    most_rest = REST_MOST if cutting.axis is Axis.WORN else 1.0
    least_rest = 1.0 if cutting.axis is Axis.ORIGINAL else 0.0
    low, high = cutting.one_sided.least, cutting.one_sided.most
    base = cutting.hone_mm - outward * cutting.nominal_mm
    found: dict[Side, list[Floats]] = {side: [] for side in Side}
    by_side = []
    surfaces = [
        _Sides.of(one, drawn, cutting, shared, streams[one.name])
        for one, drawn in zip(readings, draw_surfaces(readings, straying), strict=True)
    ]
    worn = [surface.wear.max(axis=0) for surface in surfaces]
    for one, surface, wear, more_worn in zip(readings, surfaces, worn, _more_worn(worn), strict=True):
        stream = streams[one.name]
        pits = _pits(one, surface, stream)
        share = _shares_of_side(cutting.one_sided, outward, stream, more_worn)
        believed = _Leaning(share, surface.offset, rest)
        best = surface.reached(believed, pits)
        careful = surface.reached(
            _Leaning(np.full(DRAWS, high), surface.offset, np.full(DRAWS, most_rest)), pits, careful=True
        )
        hopeful = surface.reached(
            _Leaning(np.full(DRAWS, low), surface.offset, np.full(DRAWS, least_rest)), pits
        )
        found[Side.BEST].append(best + base)
        found[Side.CAREFUL].append(np.maximum(best, careful) + base)
        found[Side.HOPEFUL].append(np.minimum(best, hopeful) + base)
        more = believed.of(wear)
        by_side.append(more + float((best - more).mean()) + base)
    return Needed(
        tuple(one.name for one in readings),
        np.array(found[Side.BEST]),
        np.array(found[Side.CAREFUL]),
        np.array(found[Side.HOPEFUL]),
        np.array(by_side),
    )


def _more_worn(wears: Sequence[Floats]) -> Floats:
    """By how much more than is usual of its engine each is worn, as a logarithm: bores by draws."""
    import numpy as np

    logs = np.log(np.array(wears) + _HARDLY_MM)
    return np.asarray(logs - logs.mean(axis=0))


def _shares_of_side(one_sided: OneSided, outward: int, stream: int, more_worn: Floats) -> Floats:
    """How one-sided a bore or journal is worn, from the least to the most that is possible; both are rare.

    Of what is worn w on diameter with a share s the major side lost w (1 + s)/2. Where that differs little
    from bore to bore, a larger w speaks for a smaller s: the correlation of ln w and s is that of two normal
    numbers of which one is part of their sum.
    """
    import numpy as np

    own, engine = even_normals(Purpose.SIDES, stream), even_normals(Purpose.ALIKE)
    low, wide = one_sided.least, one_sided.most - one_sided.least
    usual, spread = _USUAL[outward]
    if one_sided.usual is not None:
        usual = (one_sided.usual - low) / wide
    if one_sided.spread is not None:
        spread = one_sided.spread / wide
    by_share = wide * spread * np.sqrt(1 - one_sided.alike) / (1 + low + wide * usual)
    whole = np.hypot(by_share, _SIDE_SPREAD)
    told = np.clip(more_worn / whole, -_TELLS_MOST, _TELLS_MOST)
    own = np.sqrt(1 - (by_share / whole) ** 2) * own - by_share / whole * told
    even = below(np.sqrt(one_sided.alike) * engine + np.sqrt(1 - one_sided.alike) * own)
    at, share = _beta(usual, spread)
    return np.asarray(low + wide * np.interp(even, share, at))


@lru_cache(maxsize=8)
def _beta(mean: float, deviation: float) -> tuple[Floats, Floats]:
    """Values from 0 to 1, and which share of a beta distribution lies below each."""
    import numpy as np

    # Flatter than even it would be worn on one side wholly or not at all.
    count = max(mean * (1 - mean) / deviation**2 - 1, 1 / mean, 1 / (1 - mean))
    edges = np.linspace(0.0, 1.0, 1001)
    at = (edges[1:] + edges[:-1]) / 2
    density = np.exp((mean * count - 1) * np.log(at) + ((1 - mean) * count - 1) * np.log(1 - at))
    summed = np.concatenate([[0.0], np.cumsum(density)])
    return edges, summed / summed[-1]


def _chance_of_original(cutting: Cutting) -> float:
    return {Axis.ORIGINAL: 1.0, Axis.WORN: 0.0, Axis.UNKNOWN: cutting.on_original}[cutting.axis]


@dataclass(frozen=True, slots=True, eq=False)
class _Leaning:
    """By how much more one side is worn than the middle, as draws: a share of the wear, or as it was read.

    Of that so much is left about the tool's axis: all about the original one.
    """

    share: Floats
    offset: Floats | None
    left: Floats

    def of(self, wear: Floats) -> Floats:
        """What that comes to on diameter where so much is worn [mm]."""
        import numpy as np

        more = self.share * wear if self.offset is None else np.broadcast_to(self.offset, wear.shape)
        found: Floats = self.left * more
        return found


@dataclass(frozen=True, slots=True, eq=False)
class _Pit:
    """A pit as draws: the diameter where it lies [mm], its direction all around [rad], its depth [mm]."""

    at: Floats
    angle: Floats
    depth: Floats
    told: bool
    everywhere: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Sides:
    """A surface turned so that wear always makes more of it, with what stays unseen of its two sides.

    Directions by draws: the diameter where it is worn most, and what of it is wear [mm]. For each draw: how
    far the tool is off, and how high odd lobes are, both on diameter [mm]; and towards which side it leans
    [rad].
    """

    drawn: DrawnSurface
    outward: int
    shared: Floats
    fresh: Floats
    angles: Floats
    outermost: Floats
    wear: Floats
    off: tuple[Floats, Floats]
    odd: tuple[Floats, Floats]
    offset: Floats | None
    towards: Floats

    @classmethod
    def of(
        cls, readings: Readings, drawn: DrawnSurface, cutting: Cutting, shared: Floats, stream: int
    ) -> _Sides:
        """Turn a surface, and draw what stays unseen of it."""
        import numpy as np

        outward = readings.outward
        made = cutting.nominal_mm + outward * _MADE_MM[outward] * even_shares(Purpose.MADE)
        fresh = outward * (made if cutting.original_mm is None else np.full(DRAWS, cutting.original_mm))
        outermost = outward * (drawn.outermost_mm - shared)
        offset, towards = None, drawn.turn_rad
        if readings.offset is not None:
            error = readings.offset.u_mm * even_normals(Purpose.OFFSET, stream)
            offset = 2 * np.abs(readings.offset.offset_mm + error)
            if readings.offset.at_angle_deg is not None:
                towards = np.full(DRAWS, radians(readings.offset.at_angle_deg))
        off = [2 * cutting.centring_mm * even_normals(Purpose.CENTRING, 2 * stream + one) for one in (0, 1)]
        odd = [drawn.odd_mm * even_normals(Purpose.LOBES, 2 * stream + one) for one in (0, 1)]
        return cls(
            drawn, outward, shared, fresh, drawn.angles_rad[:, None], outermost,
            np.maximum(outermost - fresh, 0.0), (off[0], off[1]), (odd[0], odd[1]), offset, towards,
        )  # fmt: skip

    def aside(self, angle: Floats, leaning: Floats) -> Floats:
        """By how much more than the diameter one side needs in a direction, and the other less [mm]."""
        import numpy as np

        found: Floats = (
            leaning * np.cos(angle - self.towards)
            + self.off[0] * np.cos(angle) + self.off[1] * np.sin(angle)
            + self.odd[0] * np.cos(3 * angle) + self.odd[1] * np.sin(3 * angle)
        )  # fmt: skip
        return found

    def reached(self, leaning: _Leaning, pits: Sequence[_Pit], *, careful: bool = False) -> Floats:
        """The diameter about the tool's axis that reaches all of the surface, and of its pits [mm].

        Careful, a pit whose place nobody told lies at the worst one.
        """
        import numpy as np

        clean: Floats = (self.outermost + np.abs(self.aside(self.angles, leaning.of(self.wear)))).max(axis=0)
        most = clean
        for pit in pits:
            at = self.outward * (pit.at - self.shared)
            there = at + self.aside(pit.angle, leaning.of(np.maximum(at - self.fresh, 0.0)))
            if pit.everywhere or (careful and not pit.told):
                there = clean
            most = np.maximum(most, np.where(pit.depth > 0, there + 2 * pit.depth, clean))
        return most


def _depths(pit: Pit, shares: Floats) -> Floats:
    """How deep a pit may be that was read, or felt, so deep.

    What is off by a share of itself is off by more where it is deeper, and of pits twice as deep there are
    half as many: the one that seems deepest of all is seldom quite so deep.
    """
    import numpy as np

    off = min(pit.u_mm / pit.depth_mm, _MOST_OFF) if pit.depth_mm else 0.0
    if off < _LEAST_OFF:
        return np.full(DRAWS, pit.depth_mm)
    times = np.exp(np.linspace(-3.0, 1.5, 900))
    density = np.exp(-0.5 * ((1 - times) / (off * times)) ** 2) / times**2
    summed = np.cumsum(density)
    found: Floats = pit.depth_mm * np.interp(shares * summed[-1], summed, times)
    return found


def _pits(readings: Readings, surface: _Sides, stream: int) -> list[_Pit]:
    """Each pit as draws. Nobody told which side is worn more, so a pit may lie on either."""
    import numpy as np

    drawn, placed = surface.drawn, iter(surface.drawn.at_pits_mm)
    half = np.pi * (even_shares(Purpose.ROUND, stream) < 0.5)
    found = []
    for number, pit in enumerate(readings.pits):
        depth = _depths(pit, below(even_normals(Purpose.PITS, 64 * stream + number)))
        told = pit.at_depth_mm is not None and pit.at_angle_deg is not None
        at = next(placed) if told else drawn.anywhere_mm
        angle = radians((pit.at_angle_deg or 0.0) % 180.0) if told else drawn.anywhere_rad
        found.append(_Pit(at, np.asarray(angle + half, dtype=np.float64), depth, told, pit.everywhere))
    return found
