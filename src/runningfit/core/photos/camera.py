"""The camera as it stood over the mat: from millimetres to pixels and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

_ROUNDS = 12


@dataclass(frozen=True, slots=True)
class Camera:
    """A camera over a mat.

    The mat's x points right and y down on the printed side, as it is drawn; z points into the table, so that
    what lies on the mat has a negative z. All in true millimetres. Pixel centres are at whole numbers.

    Parameters
    ----------
    focal_px : float
        Focal length [px].
    middle_x_px, middle_y_px : float
        Where the axis of the lens meets the picture [px].
    bend_2, bend_4 : float
        Radial distortion: a ray at distance r from the axis (focal length one) is seen at
        r (1 + bend_2 r^2 + bend_4 r^4).
    turn : array, 3
        Rotation from the mat to the camera, as axis times angle [rad].
    shift_mm : array, 3
        The upper left corner of the paper, seen from the camera [mm].
    """

    focal_px: float
    middle_x_px: float
    middle_y_px: float
    bend_2: float
    bend_4: float
    turn: Array
    shift_mm: Array

    def rotation(self) -> Array:
        """The rotation from the mat to the camera, as a 3 x 3 matrix."""
        return rotation_of(self.turn)

    def stand_mm(self) -> Array:
        """Where the camera stands: x, y, z on the mat [mm]."""
        import numpy

        return numpy.asarray(-self.rotation().T @ self.shift_mm)

    def to_px(self, points_mm: Array) -> Array:
        """Where points are seen.

        Parameters
        ----------
        points_mm : array, point x 3
            The points [mm].

        Returns
        -------
        array, point x 2
            Where they are seen [px].
        """
        import numpy

        seen = points_mm @ self.rotation().T + self.shift_mm
        flat = seen[:, :2] / seen[:, 2:]
        square = (flat**2).sum(axis=1, keepdims=True)
        bent = flat * (1 + self.bend_2 * square + self.bend_4 * square**2)
        return numpy.asarray(self.focal_px * bent + (self.middle_x_px, self.middle_y_px))

    def to_mat_mm(self, points_px: Array, height_mm: float = 0.0) -> Array:
        """Where the rays of pixels meet the mat, or a plane above it.

        Parameters
        ----------
        points_px : array, point x 2
            The pixels [px].
        height_mm : float
            How far above the mat the plane is [mm].

        Returns
        -------
        array, point x 2
            x and y on the mat [mm].
        """
        import numpy

        bent = (points_px - (self.middle_x_px, self.middle_y_px)) / self.focal_px
        flat = bent.copy()
        for _ in range(_ROUNDS):
            square = (flat**2).sum(axis=1, keepdims=True)
            flat = bent / (1 + self.bend_2 * square + self.bend_4 * square**2)
        rays = numpy.concatenate([flat, numpy.ones((len(flat), 1))], axis=1) @ self.rotation()
        stand = self.stand_mm()
        reach = (-height_mm - stand[2]) / rays[:, 2:]
        return numpy.asarray(stand[:2] + reach * rays[:, :2])

    def ground_sample_mm(self, points_mm: Array) -> Array:
        """How many millimetres of the mat a pixel covers, as the root of its area.

        Parameters
        ----------
        points_mm : array, point x 2
            Points of the mat [mm].

        Returns
        -------
        array, point
            Millimetres per pixel.
        """
        import numpy

        step = 0.5
        on_mat = numpy.concatenate([points_mm, numpy.zeros((len(points_mm), 1))], axis=1)
        right, below = numpy.array([step, 0, 0]), numpy.array([0, step, 0])
        across = self.to_px(on_mat + right) - self.to_px(on_mat - right)
        down = self.to_px(on_mat + below) - self.to_px(on_mat - below)
        area = numpy.abs(across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0])
        return numpy.asarray(2 * step / numpy.sqrt(area))


def rotation_of(turn: Array) -> Array:
    """The rotation matrix of axis times angle (Rodrigues' formula).

    Parameters
    ----------
    turn : array, 3
        Axis times angle [rad].
    """
    import numpy

    angle = float(numpy.linalg.norm(turn))
    if angle < 1e-12:
        return numpy.eye(3)
    x, y, z = turn / angle
    cross = numpy.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return numpy.asarray(numpy.eye(3) + numpy.sin(angle) * cross + (1 - numpy.cos(angle)) * (cross @ cross))
