"""What is usually measured on an engine that is rebuilt, as sets of like features to begin a sheet with."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern

_MOST_CYLINDERS = 16
_ACROSS = (0.0, 90.0)
_JOURNAL = Pattern((5.0, 25.0), _ACROSS)
_TURN = (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0)

# Between which sizes such things of an engine lie [mm]: wide, only to notice a wrong unit of a reading where
# nobody said the nominal size (common practice, no source).
_SIZES_MM = {
    "bores": (30.0, 300.0),
    "pistons": (30.0, 300.0),
    "mains": (15.0, 250.0),
    "crankpins": (15.0, 250.0),
    "main_housings": (18.0, 280.0),
    "big_ends": (18.0, 280.0),
    "rods": (60.0, 900.0),
    "guides": (3.0, 25.0),
    "stems": (3.0, 25.0),
}


def sizes_of(purpose: str) -> tuple[float, float] | None:
    """Say between which sizes the features of a usual set lie.

    Parameters
    ----------
    purpose : str
        The key of the set.

    Returns
    -------
    tuple of float or None
        The smallest and the largest [mm] that an engine has; None where nobody can say.
    """
    return _SIZES_MM.get(purpose)


@dataclass(frozen=True, slots=True)
class EngineLayout:
    """How many of each an engine has, as far as its sheet depends on it.

    Parameters
    ----------
    cylinders : int
        Cylinders in all.
    main_bearings : int
        Main bearings of the crankshaft.
    valves_each : int
        Valves of each cylinder.
    bore_length_mm : float
        The length of a bore that the rings sweep [mm]; readings are spread over it.
    """

    cylinders: int
    main_bearings: int
    valves_each: int = 2
    bore_length_mm: float = 120.0

    def __post_init__(self) -> None:
        for name, count in (("cylinders", self.cylinders), ("main bearings", self.main_bearings)):
            if not 1 <= count <= _MOST_CYLINDERS + 1:
                raise InvalidInput(name, needs=f"1 to {_MOST_CYLINDERS + 1}", came=f"{count}")
        if not 0 <= self.valves_each <= 5:
            raise InvalidInput("valves of a cylinder", needs="0 to 5", came=f"{self.valves_each}")
        if not 20 <= self.bore_length_mm <= 600:
            raise InvalidInput("length of the bore", needs="20 to 600 mm", came=f"{self.bore_length_mm:g} mm")


@dataclass(frozen=True, slots=True)
class ProposedSet:
    """A set of like features that a sheet may hold.

    Parameters
    ----------
    key : str
        By which it is chosen.
    name : str
        What the set is called.
    kind : FeatureKind
        What sort of thing it is.
    features : tuple of str
        What each is called.
    pattern : Pattern
        At which points each is read.
    how : str
        Where and how to read it, in a sentence.
    usual : bool
        Whether nearly every rebuild measures it.
    """

    key: str
    name: str
    kind: FeatureKind
    features: tuple[str, ...]
    pattern: Pattern
    how: str
    usual: bool = True


def usual_sets(layout: EngineLayout) -> tuple[ProposedSet, ...]:
    """Give the sets that a sheet for an engine may begin with.

    Parameters
    ----------
    layout : EngineLayout
        How many of each it has.

    Returns
    -------
    tuple of ProposedSet
        In the order in which a bench is worked through: block, crank, rods, pistons, head, valve gear.

    Notes
    -----
    Which features, depths and directions: common practice, no source. The maker's manual governs.
    """
    return tuple(one for one in _all_sets(layout) if one.features)


def _numbers(count: int) -> tuple[str, ...]:
    return tuple(f"{number}" for number in range(1, count + 1))


def _valves(layout: EngineLayout) -> tuple[str, ...]:
    return _numbers(layout.cylinders * layout.valves_each)


def _swept_depths(layout: EngineLayout) -> tuple[float, ...]:
    """Just below the ridge, in the middle, and where the lowest ring turns."""
    return tuple(round(layout.bore_length_mm * share / 5) * 5.0 for share in (0.1, 0.5, 0.9))


def _all_sets(layout: EngineLayout) -> tuple[ProposedSet, ...]:
    return (
        ProposedSet(
            "bores", "cylinder bores", FeatureKind.BORE, _numbers(layout.cylinders),
            Pattern(_swept_depths(layout), _ACROSS),
            "Below the ridge, in the middle, at the bottom of the ring travel; along the crank and across.",
        ),
        ProposedSet(
            "mains", "main journals", FeatureKind.SHAFT, _numbers(layout.main_bearings), _JOURNAL,
            "Near both fillets, clear of the oil hole; two directions at each.",
        ),
        ProposedSet(
            "crankpins", "crankpins", FeatureKind.SHAFT, _numbers(layout.cylinders), _JOURNAL,
            "Near both fillets, clear of the oil hole; in line with the throw and across it.",
        ),
        ProposedSet(
            "main_housings", "main bearing housings", FeatureKind.BORE, _numbers(layout.main_bearings),
            Pattern((10.0,), (0.0, 60.0, 120.0)),
            "Without shells, caps tightened to their torque; never across the joint line.", usual=False,
        ),
        ProposedSet(
            "big_ends", "big-end bores of the rods", FeatureKind.BORE, _numbers(layout.cylinders),
            Pattern((10.0,), (0.0, 60.0, 120.0)),
            "Without shells, caps tightened to their torque; never across the joint line.",
        ),
        ProposedSet(
            "runout", "crankshaft run-out", FeatureKind.RUNOUT, ("middle main",), Pattern((), _TURN),
            "End journals in V-blocks; indicator on the middle main, clear of the oil hole.",
        ),
        ProposedSet(
            "end_float", "crankshaft end float", FeatureKind.GAP, ("crankshaft",), Pattern(),
            "Lever the crank to one end, then the other; indicator on its nose.",
        ),
        ProposedSet(
            "rods", "rod lengths between centres", FeatureKind.LENGTH, _numbers(layout.cylinders), Pattern(),
            "Between the centres of both eyes.", usual=False,
        ),
        ProposedSet(
            "pistons", "pistons", FeatureKind.SHAFT, _numbers(layout.cylinders), Pattern((40.0,), (90.0,)),
            "Across the thrust faces, at the height that the manual names, away from the pin.",
        ),
        ProposedSet(
            "ring_gaps", "top ring gaps", FeatureKind.GAP, _numbers(layout.cylinders), Pattern(),
            "Each ring squared in its own bore with a piston, low where the bore is least worn.",
        ),
        ProposedSet(
            "piston_weights", "piston weights", FeatureKind.WEIGHT, _numbers(layout.cylinders), Pattern(),
            "Clean, with pin and clips.", usual=False,
        ),
        ProposedSet(
            "rod_weights", "rod weights", FeatureKind.WEIGHT, _numbers(layout.cylinders), Pattern(),
            "Clean, with cap, bolts and nuts.", usual=False,
        ),
        ProposedSet(
            "deck", "block deck", FeatureKind.FACE, ("deck",),
            Pattern((0.0, 80.0, 160.0), (0.0, 110.0, 220.0, 330.0)),
            "Straight edge along, across and corner to corner; the feeler that just goes under it.",
        ),
        ProposedSet(
            "head_face", "head face", FeatureKind.FACE, ("head",),
            Pattern((0.0, 80.0, 160.0), (0.0, 110.0, 220.0, 330.0)),
            "Straight edge along, across and corner to corner; the feeler that just goes under it.",
        ),
        ProposedSet(
            "chambers", "combustion chambers", FeatureKind.VOLUME, _numbers(layout.cylinders), Pattern(),
            "Valves and plug in, plate greased on the face; filled from a burette to the hole.", usual=False,
        ),
        ProposedSet(
            "guides", "valve guides", FeatureKind.BORE, _valves(layout), Pattern((5.0, 25.0, 45.0), _ACROSS),
            "Small bore gauge near both ends and in the middle; along the head and across it.",
        ),
        ProposedSet(
            "stems", "valve stems", FeatureKind.SHAFT, _valves(layout), Pattern((20.0, 45.0, 70.0), _ACROSS),
            "Where the stem ran in its guide and, for comparison, where it did not.",
        ),
        ProposedSet(
            "springs", "valve springs", FeatureKind.LOAD, _valves(layout), Pattern((38.0, 30.0)),
            "Pressed to the height with the valve shut, then open; eyes away from its ends.",
        ),
        ProposedSet(
            "lash", "valve clearances as found", FeatureKind.GAP, _valves(layout), Pattern(),
            "Cold, the cam's back under the follower.", usual=False,
        ),
    )  # fmt: skip
