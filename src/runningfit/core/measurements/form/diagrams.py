"""The places that can be the centre of an extreme circle: corners and crossings of two diagrams of points."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.spatial import Voronoi

    Places = NDArray[np.float64]
    Edges = NDArray[np.float64]

# The points are framed in a square of half-width 1, so an edge this long leaves their outline.
_BEYOND = 50.0
_CHUNK = 1_000_000


@dataclass(frozen=True, slots=True)
class Centres:
    """The places that can be a centre.

    Parameters
    ----------
    nearest : array of float, shape (places, 2)
        Corners of the diagram of nearest points, within the outline: three points are equally near.
    farthest : array of float, shape (places, 2)
        Corners of the diagram of farthest points, within the outline: three points are equally far.
    crossings : array of float, shape (places, 2)
        Where two points are equally near and two equally far.
    openings : array of float, shape (places, 2)
        Where an edge of the diagram of nearest points leaves the outline.
    """

    nearest: Places
    farthest: Places
    crossings: Places
    openings: Places


@dataclass(frozen=True, slots=True)
class Disc:
    """Where the centre of the narrowest ring must lie.

    Parameters
    ----------
    x, y : float
        The middle.
    radius : float
        How far from it at the most.
    """

    x: float
    y: float
    radius: float


def centres_of(points: Places, *, disc: Disc | None) -> Centres:
    """Give the places that can be the centre of an extreme circle.

    Parameters
    ----------
    points : array of float, shape (points, 2)
        The points, framed in a square of half-width 1.
    disc : Disc or None
        Where the centre of the narrowest ring must lie; none asks for the diagram of nearest points alone.

    Returns
    -------
    Centres
        All such places within the outline of the points.
    """
    import numpy
    from scipy.spatial import ConvexHull, Voronoi

    hull = ConvexHull(points)
    outline = hull.equations
    rim = points[numpy.column_stack([hull.vertices, numpy.roll(hull.vertices, -1)])]
    near = Voronoi(points)
    edges = _edges(near, points)
    none = numpy.empty((0, 2))
    far_corners, crossings = none, none
    if disc is not None:
        # Only points of the outline are ever the farthest.
        outer = points[hull.vertices]
        corners, far_edges = _farthest(outer)
        far_corners, crossings = (
            _within(corners, outline),
            _within(_crossings(_passing(edges, disc), _passing(far_edges, disc)), outline),
        )
    return Centres(_within(near.vertices, outline), far_corners, crossings, _crossings(edges, rim))


def _within(places: Places, outline: Places) -> Places:
    inside: Places = places[(places @ outline[:, :2].T + outline[:, 2] <= 1e-12).all(axis=1)]
    return inside


def _passing(edges: Edges, disc: Disc) -> Edges:
    """The edges that pass through a disc."""
    import numpy

    along = edges[:, 1] - edges[:, 0]
    to_middle = numpy.array([disc.x, disc.y]) - edges[:, 0]
    square = (along**2).sum(axis=1)
    share = numpy.clip((to_middle * along).sum(axis=1) / numpy.where(square > 0, square, 1), 0, 1)
    away = numpy.linalg.norm(to_middle - share[:, None] * along, axis=1)
    passing: Edges = edges[away <= disc.radius]
    return passing


def _edges(diagram: Voronoi, points: Places) -> Edges:
    """The edges of a diagram as pairs of ends, shape (edges, 2, 2)."""
    import numpy

    ends = numpy.asarray(diagram.ridge_vertices)
    finite = (ends >= 0).all(axis=1)
    closed = diagram.vertices[ends[finite]]
    pairs = points[numpy.asarray(diagram.ridge_points)[~finite]]
    # An edge without an end lies across the line of its two points. It is drawn out to both sides: what is
    # too much only adds places to be tried.
    along = pairs[:, 1] - pairs[:, 0]
    across = numpy.column_stack([-along[:, 1], along[:, 0]])
    across *= _BEYOND / numpy.linalg.norm(across, axis=1)[:, None]
    start = diagram.vertices[ends[~finite].max(axis=1)]
    opened = numpy.stack([start - across, start + across], axis=1)
    every: Edges = numpy.concatenate([closed, opened])
    return every


def _farthest(outer: Places) -> tuple[Places, Edges]:
    """The corners and edges of the diagram of farthest points."""
    import numpy
    from scipy.spatial import QhullError, Voronoi

    if len(outer) > 3:
        try:
            diagram = Voronoi(outer, furthest_site=True)
            return diagram.vertices, _edges(diagram, outer)
        except QhullError:
            # All of them lie on one circle, to the last digits: its centre is the only corner.
            pass
    three = outer[[0, len(outer) // 3, 2 * len(outer) // 3]]
    sides = three[1:] - three[0]
    centre = (three[0] + numpy.linalg.solve(2 * sides, (sides**2).sum(axis=1)))[None, :]
    along = numpy.roll(outer, -1, axis=0) - outer
    across = numpy.column_stack([-along[:, 1], along[:, 0]])
    across *= _BEYOND / numpy.linalg.norm(across, axis=1)[:, None]
    return centre, numpy.stack([centre - across, centre + across], axis=1)


def _crossings(first: Edges, second: Edges) -> Places:
    """Where the edges of the one cross those of the other."""
    import numpy

    found = [numpy.empty((0, 2))]
    step = max(1, _CHUNK // max(1, len(second)))
    along_2 = second[:, 1] - second[:, 0]
    for begin in range(0, len(first), step):
        part = first[begin : begin + step]
        along_1 = part[:, 1] - part[:, 0]
        whole = along_1[:, None, 0] * along_2[None, :, 1] - along_1[:, None, 1] * along_2[None, :, 0]
        apart = second[None, :, 0] - part[:, None, 0]
        with numpy.errstate(divide="ignore", invalid="ignore"):
            s = (apart[..., 0] * along_2[None, :, 1] - apart[..., 1] * along_2[None, :, 0]) / whole
            t = (apart[..., 0] * along_1[:, None, 1] - apart[..., 1] * along_1[:, None, 0]) / whole
        # A little more than the edge, so that no crossing at an end is lost to rounding.
        slack = 1e-9
        meets = (s >= -slack) & (s <= 1 + slack) & (t >= -slack) & (t <= 1 + slack)
        row, _ = numpy.nonzero(meets)
        found.append(part[row, 0] + s[meets][:, None] * along_1[row])
    return numpy.concatenate(found)


def distances(points: Places, places: Places) -> tuple[Places, Places]:
    """Give the least and the largest distance of all points from each place.

    Parameters
    ----------
    points : array of float, shape (points, 2)
        The points.
    places : array of float, shape (places, 2)
        The places.

    Returns
    -------
    tuple of array of float, shape (places,)
        The least distances and the largest.
    """
    import numpy

    least, largest = numpy.empty(len(places)), numpy.empty(len(places))
    step = max(1, _CHUNK // len(points))
    for begin in range(0, len(places), step):
        part = places[begin : begin + step]
        away = numpy.hypot(part[:, None, 0] - points[None, :, 0], part[:, None, 1] - points[None, :, 1])
        least[begin : begin + step], largest[begin : begin + step] = away.min(axis=1), away.max(axis=1)
    return least, largest
