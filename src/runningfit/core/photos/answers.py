"""What a photo answers where it cannot be measured: which fault, why, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Fault(StrEnum):
    """Why a photo cannot be measured."""

    NOT_A_PHOTO = "not_a_photo"
    NO_MAT = "no_mat"
    HALF_A_MAT = "half_a_mat"
    COVERED_MAT = "covered_mat"
    TWO_MATS = "two_mats"
    CURLED_MAT = "curled_mat"
    PRINT_SCALE = "print_scale"
    DARK = "dark"
    BLURRED = "blurred"
    BURNT_OUT = "burnt_out"
    TOO_FAR = "too_far"
    SCREENSHOT = "screenshot"
    EMPTY_MAT = "empty_mat"
    PIECES_TOUCH = "pieces_touch"
    OVER_THE_BORDER = "over_the_border"
    TOO_MANY = "too_many"
    NOT_A_PIECE = "not_a_piece"


@dataclass(frozen=True, slots=True)
class CouldNotMeasure:
    """A photo, or something in it, that cannot be measured.

    Parameters
    ----------
    fault : Fault
        Which fault it is.
    reason : str
        A sentence that says what was seen, with its numbers.
    remedy : str
        A sentence that says what to do.
    """

    fault: Fault
    reason: str
    remedy: str
