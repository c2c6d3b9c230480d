"""What the reading network says of a piece, as sizes with their uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING, TypeVar

from runningfit.core.photos.items import Estimate, Look, Sizes
from runningfit.core.photos.networks import KINDS, LOOKS, SIZES, Read
from runningfit.core.pieces.kinds import Kind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Standard uncertainty for each mean deviation that the network expects of itself: set on rendered photos so
# that 95 % intervals hold 95 %.
_U_PER_SCALE: Mapping[str, float] = {
    "length": 1.7,
    "major": 2.0,
    "across_flats": 1.9,
    "outside": 1.9,
    "inside": 1.5,
    "thickness": 1.9,
}
_LEAST_U_MM = 0.05
# In training there is a slotted screw to four bolts, and a tab washer to three plain ones, that they may be
# learned; among the hardware of an engine they are rarer by so much (common practice, no source).
_RARER = {Kind.SLOTTED_SCREW: 0.2, Kind.TAB_WASHER: 0.3}
# For the same reason looks are drawn about equally often. How much more or less often each is met than drawn:
# plated and blackened bolts are common, brass ones are not (common practice, no source).
_MET = {
    Look.YELLOW: 1.4, Look.CLEAR: 0.8, Look.BLACK: 1.2, Look.BRASS: 0.4, Look.STEEL: 1.1, Look.RUST: 1.1,
}  # fmt: skip
# Of a ruler of 200 mm read to 0.2 mm.
_U_SCALE = 0.001
_WANTED: Mapping[Kind, tuple[str, ...]] = {
    Kind.HEX_BOLT: ("length", "major", "across_flats"),
    Kind.SETSCREW: ("length", "major", "across_flats"),
    Kind.STUD: ("length", "major"),
    Kind.NUT: ("across_flats", "inside", "thickness"),
    Kind.DOMED_NUT: ("length", "across_flats"),
    Kind.PLAIN_WASHER: ("outside", "inside", "thickness"),
    Kind.SPRING_WASHER: ("outside", "inside", "thickness"),
    Kind.TAB_WASHER: ("outside", "inside", "thickness"),
    Kind.SPACER: ("length", "outside", "inside"),
    Kind.GRUB_SCREW: ("length", "major"),
    Kind.SLOTTED_SCREW: ("length", "major", "outside"),
}
_Name = TypeVar("_Name")
_FIELDS = {"across_flats": "head_across_flats"}


@dataclass(frozen=True, slots=True)
class PieceRead:
    """One piece as the network reads it.

    Parameters
    ----------
    kinds : mapping of Kind to float
        Probability of each kind that is possible, the likeliest first.
    looks : mapping of Look to float
        Probability of each look, the likeliest first.
    sizes : Sizes
        Of the likeliest kind, without the pitch.
    standing : bool
        Whether it stands on its head.
    pitches : tuple of float
        Probability of each pitch on the network's grid.
    points_mm : array, 3 x 2
        Top of the head, start under the head and tip, from the middle of its cut-out [mm].
    """

    kinds: Mapping[Kind, float]
    looks: Mapping[Look, float]
    sizes: Sizes
    standing: bool
    pitches: tuple[float, ...]
    points_mm: NDArray[np.float32]

    @property
    def kind(self) -> Kind:
        """The likeliest kind."""
        return next(iter(self.kinds))


def piece_read(read: Read, row: int, *, more_u_mm: float = 0.0) -> PieceRead:
    """Take one piece from what was read of a batch.

    Parameters
    ----------
    read : Read
        What was read of the batch.
    row : int
        Which piece of the batch.
    more_u_mm : float
        By how much its sizes are less certain than else, standard uncertainty [mm].
    """
    kinds: dict[Kind, float] = {}
    to_head = float(read.threaded_to_head[row])
    for name, share in zip(KINDS, read.kinds[row], strict=True):
        kind = Kind(name)
        if kind is Kind.HEX_BOLT:
            kinds[Kind.HEX_BOLT] = float(share) * (1 - to_head)
            kinds[Kind.SETSCREW] = float(share) * to_head
        else:
            kinds[kind] = float(share) * _RARER.get(kind, 1.0)
    total = sum(kinds.values())
    kinds = _likeliest_first({kind: share / total for kind, share in kinds.items()})
    looks = {
        Look(name): float(share) * _MET[Look(name)]
        for name, share in zip(LOOKS, read.looks[row], strict=True)
    }
    shown = sum(looks.values())
    found = {
        _FIELDS.get(name, name): _estimate(name, read, row, more_u_mm)
        for name in _WANTED.get(next(iter(kinds)), ())
    }
    return PieceRead(
        kinds,
        _likeliest_first({look: share / shown for look, share in looks.items()}),
        Sizes(**found),
        bool(read.standing[row] > 0.5),
        tuple(float(one) for one in read.pitches[row]),
        read.points_mm[row],
    )


def _estimate(name: str, read: Read, row: int, more_u_mm: float) -> Estimate:
    at = SIZES.index(name)
    value = max(float(read.sizes_mm[row, at]), 0.1)
    u_mm = hypot(
        _U_PER_SCALE[name] * float(read.scales_mm[row, at]), _LEAST_U_MM, _U_SCALE * value, more_u_mm
    )
    return Estimate(value, u_mm)


def _likeliest_first(shares: Mapping[_Name, float]) -> dict[_Name, float]:
    return dict(sorted(shares.items(), key=lambda one: -one[1]))
