"""Markers of a mat in a photo, each with its four corners; part of the mat may be covered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from runningfit.core.photos.marker_edges import Edges, refine_corners
from runningfit.core.photos.mats import Marker, Mat, linear_of

if TYPE_CHECKING:
    import cv2
    import numpy as np
    from numpy.typing import NDArray

    from runningfit.core.photos.decoding import Photo

    Corners = NDArray[np.float64]

# Markers are looked for in a picture that is about so many pixels long, and measured in the whole.
_LOOKED_AT_PX = 2200
_LEAST_SIDE_PX = 12.0
_FEWEST_FOR_PLANE = 4
_SEVERAL = 3
# A stranger counts as a marker of another mat where its size is alike, within this factor.
_ALIKE = 0.5


@dataclass(frozen=True, slots=True)
class Sightings:
    """All markers of a dictionary that were seen: the places of each number, as four corners [px]."""

    dictionary: str
    places: dict[int, list[Corners]]


@dataclass(frozen=True, slots=True)
class Found:
    """The markers found in a photo.

    Parameters
    ----------
    numbers : tuple of int
        The number of each marker of this mat, no number twice.
    edges : Edges
        Their corners, in the same order.
    repeated : tuple of int
        Numbers that were seen where this mat has none, as those of a second mat are.
    foreign : tuple of int
        Numbers of the same dictionary that this mat has not.
    """

    numbers: tuple[int, ...]
    edges: Edges
    repeated: tuple[int, ...]
    foreign: tuple[int, ...]


def brightness_of(photo: Photo) -> NDArray[np.float32]:
    """The photo in linear light, without colours, 0 to 1."""
    import cv2
    import numpy

    grey = cv2.cvtColor(photo.pixels, cv2.COLOR_RGB2GRAY)
    table = numpy.array([linear_of(level) for level in range(256)], dtype=numpy.float32)
    return numpy.asarray(cv2.LUT(grey, table), dtype=numpy.float32)


def sightings(photo: Photo, dictionary: str) -> Sightings:
    """Look for all markers of a dictionary.

    Parameters
    ----------
    photo : Photo
        The decoded photo.
    dictionary : str
        The dictionary, by OpenCV's name.
    """
    import cv2
    import numpy

    grey = cv2.cvtColor(photo.pixels, cv2.COLOR_RGB2GRAY)
    shrink = max(1, round(max(grey.shape) / _LOOKED_AT_PX))
    small = cv2.resize(grey, (grey.shape[1] // shrink, grey.shape[0] // shrink), interpolation=cv2.INTER_AREA)
    across, down = grey.shape[1] / small.shape[1], grey.shape[0] / small.shape[0]
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary)), _settings()
    )
    quads, numbers, _ = detector.detectMarkers(small)
    seen: dict[int, list[Corners]] = {}
    for number, quad in zip([] if numbers is None else numpy.ravel(numbers), quads, strict=True):
        corners = (numpy.asarray(quad, dtype=float).reshape(4, 2) + 0.5) * (across, down) - 0.5
        side = numpy.linalg.norm(corners - numpy.roll(corners, 1, axis=0), axis=1).min()
        if side >= _LEAST_SIDE_PX:
            _keep(seen.setdefault(int(number), []), corners)
    return Sightings(dictionary, seen)


def find_markers(photo: Photo, mat: Mat, seen: Sightings) -> Found:
    """Find the markers of a mat among those that were seen, and measure their corners.

    Parameters
    ----------
    photo : Photo
        The decoded photo.
    mat : Mat
        The mat to look for.
    seen : Sightings
        What `sightings` saw in the photo.
    """
    import numpy

    by_number = {one.number: one for one in mat.markers}
    places = {number: seen.places[number] for number in seen.places if number in by_number}
    own, repeated = _one_place_each(places, by_number)
    corners = numpy.array([own[number] for number in sorted(own)], dtype=float).reshape(-1, 4, 2)
    edges = refine_corners(brightness_of(photo), corners, modules=mat.modules)
    foreign = sorted(number for number in seen.places if number not in by_number)
    return Found(tuple(sorted(own)), edges, tuple(repeated), tuple(foreign))


def _settings() -> cv2.aruco.DetectorParameters:
    import cv2

    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    settings.adaptiveThreshWinSizeMax = 43
    settings.minMarkerPerimeterRate = 0.012
    return settings


def _one_place_each(
    seen: dict[int, list[Corners]], by_number: dict[int, Marker]
) -> tuple[dict[int, Corners], list[int]]:
    """For each number the place that lies where the plane of most others says, and the numbers seen twice.

    A pattern on a piece may look like a marker: what is far from the plane of the others is none of this mat.
    """
    import cv2
    import numpy

    pairs = [(number, place) for number, places in seen.items() for place in places]
    if len(pairs) < _FEWEST_FOR_PLANE:
        return {number: places[0] for number, places in seen.items()}, [
            number for number, places in seen.items() if len(places) > 1
        ]
    drawn = numpy.array([[(c.x_mm, c.y_mm) for c in by_number[number].corners] for number, _ in pairs])
    there = numpy.array([place for _, place in pairs])
    side = float(numpy.median(numpy.linalg.norm(there[:, 0] - there[:, 1], axis=1)))
    plane, used = cv2.findHomography(drawn.reshape(-1, 2), there.reshape(-1, 2), cv2.RANSAC, side / 8)
    if not numpy.any(used):
        return {number: places[0] for number, places in seen.items()}, []
    expected = cv2.perspectiveTransform(drawn.reshape(-1, 1, 2), plane).reshape(-1, 4, 2)
    off = numpy.linalg.norm(expected - there, axis=2).max(axis=1)
    own: dict[int, Corners] = {}
    off_own: dict[int, float] = {}
    for (number, place), distance in zip(pairs, off, strict=True):
        if distance < side / 2 and distance < off_own.get(number, side):
            own[number], off_own[number] = place, float(distance)
    sizes = numpy.linalg.norm(there[:, 0] - there[:, 2], axis=1)
    strangers: dict[int, Corners] = {
        number: place
        for (number, place), distance, size in zip(pairs, off, sizes, strict=True)
        if distance >= side / 2 and _ALIKE < size / (side * 2**0.5) < 1 / _ALIKE
    }
    repeated = sorted(number for number in strangers if number in own)
    astray = {number: place for number, place in strangers.items() if number not in own}
    # One may be a pattern on a piece; several are the mat itself, which then is not flat.
    if len(astray) >= _SEVERAL:
        own |= astray
    return own, repeated


def _keep(places: list[Corners], corners: Corners) -> None:
    """Keep a place where a number was seen, unless it is one that is kept already."""
    import numpy

    middle = corners.mean(axis=0)
    size = numpy.linalg.norm(corners[0] - corners[2])
    if all(numpy.linalg.norm(middle - other.mean(axis=0)) > size for other in places):
        places.append(corners)
