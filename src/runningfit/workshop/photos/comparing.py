"""Two photos of one bag held against each other, with what people said of their pieces."""

from __future__ import annotations

from typing import TYPE_CHECKING

from runningfit.core.errors import Conflict
from runningfit.workshop.photos.hardware import need_measured
from runningfit.workshop.photos.hardware_models import PhotoRun
from runningfit.workshop.photos.hardware_reads import pieces_of
from runningfit.workshop.photos.proposed import as_measured

if TYPE_CHECKING:
    from runningfit.core.photos.comparing import Comparison


def compare_runs(before: PhotoRun, after: PhotoRun) -> Comparison:
    """Say what is missing, added or swapped from one photo to another.

    Parameters
    ----------
    before, after : PhotoRun
        Two photos that were measured, such as of a bag before it leaves and after it came back.

    Raises
    ------
    Conflict
        It is one and the same photo.
    InvalidInput
        One of them was not measured.
    """
    # Only this page reckons with arrays; the others shall not wait for them when a server starts.
    from runningfit.core.photos.comparing.comparison import compare

    if before.pk == after.pk:
        raise Conflict("A photo cannot be compared with itself: choose another one.")
    need_measured(before)
    need_measured(after)
    return compare(as_measured(before, pieces_of(before)), as_measured(after, pieces_of(after)))
