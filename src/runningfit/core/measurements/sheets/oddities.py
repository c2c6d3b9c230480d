"""What is odd about the readings of a feature as a whole: too few, all alike, or blind to what is asked."""

from __future__ import annotations

from collections.abc import Mapping

from runningfit.core.measurements.sheets.features import FeatureKind, SheetPoint

# So many readings that are all alike to the last place do not happen on worn iron (common practice).
_ALIKE_AT_LEAST = 4


def oddities_of(
    values: Mapping[str, float], points: tuple[SheetPoint, ...], *, kind: FeatureKind
) -> tuple[str, ...]:
    """Say what the readings of one feature cannot tell, or what looks wrong about them together.

    Parameters
    ----------
    values : mapping of str to float
        What stands at each point that is read, by the point's key, in the unit in which the quantity is kept.
    points : tuple of SheetPoint
        All points at which the feature is to be read.
    kind : FeatureKind
        What sort of thing it is.

    Returns
    -------
    tuple of str
        A sentence for each; none where nothing is read yet.
    """
    said = []
    if not values:
        return ()
    if len(values) == 1 and len(points) > 1:
        said.append("One reading only: it says nothing of wear along or across.")
    elif kind.is_round:
        said += _missing_directions(values, points)
    if len(values) >= _ALIKE_AT_LEAST and len(set(values.values())) == 1 and not kind.may_be_nothing:
        said.append(
            f"All {len(values)} readings are equal: is the gauge free, and as fine as what it shall tell?"
        )
    return tuple(said)


def _missing_directions(values: Mapping[str, float], points: tuple[SheetPoint, ...]) -> list[str]:
    """Depths at which some directions are read and others not: out of round cannot be told there."""
    said = []
    for depth in dict.fromkeys(point.depth_mm for point in points):
        there = [point for point in points if point.depth_mm == depth]
        read = [point for point in there if point.key in values]
        if read and len(read) < len(there):
            missing = " and ".join(f"{one.angle_deg:g}°" for one in there if one not in read)
            said.append(
                f"At {depth:g} mm the direction {missing} is missing: out of round cannot be told there."
            )
    return said
