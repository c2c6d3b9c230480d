"""How a marker looks: which of its modules are white."""

from __future__ import annotations

from runningfit.core.photos.mats import Box, Marker, Mat


def white_modules(mat: Mat, marker: Marker) -> tuple[Box, ...]:
    """The white modules of a marker that stands straight; the rest of its square is black.

    Parameters
    ----------
    mat : Mat
        The mat, for its dictionary.
    marker : Marker
        One of its markers.
    """
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, mat.dictionary))
    bits = cv2.aruco.generateImageMarker(dictionary, marker.number, mat.modules)
    corner, step = marker.corners[0], marker.side_mm / mat.modules
    return tuple(
        Box(
            corner.x_mm + column * step,
            corner.y_mm + row * step,
            corner.x_mm + (column + 1) * step,
            corner.y_mm + (row + 1) * step,
        )
        for row in range(mat.modules)
        for column in range(mat.modules)
        if bits[row, column]
    )
