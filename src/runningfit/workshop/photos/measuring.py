"""The seam to the measuring of a photo: the file and the shop's mats go in, what was measured comes out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.conf import settings
from django.utils.module_loading import import_string

from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.checking import Plane, check_photo
from runningfit.core.photos.items import MeasuredPhoto
from runningfit.core.photos.own_mats import Paper, paper_of
from runningfit.core.pieces.identification import ThreadPrior

Progress = Callable[[str, float], None]
# The measuring proper begins when this share of the time is gone: decoding, the markers, the light.
_CHECKED = 0.25


@dataclass(frozen=True, slots=True)
class MatPrint:
    """A print of a mat, as far as measuring goes: its row, its paper and what its ruler measures."""

    mat_id: int
    paper: Paper
    print_scale: float


@dataclass(frozen=True, slots=True)
class FileMeasured:
    """What came of a file: the answer, and by which print it was measured (None: by none that is kept)."""

    answer: MeasuredPhoto | CouldNotMeasure
    mat: MatPrint | None


Measurer = Callable[[bytes, str, Sequence[MatPrint], ThreadPrior, Progress], FileMeasured]


def measurer() -> Measurer:
    """Return what measures photos here, as the setting HARDWARE_MEASURER names it."""
    found: Measurer = import_string(settings.HARDWARE_MEASURER)
    return found


def measure_file(
    data: bytes, filename: str, mats: Sequence[MatPrint], prior: ThreadPrior, progress: Progress
) -> FileMeasured:
    """Measure the hardware in a photo file.

    Parameters
    ----------
    data : bytes
        The file as it came.
    filename : str
        What the device calls it, for the messages.
    mats : sequence of MatPrint
        The prints of this shop, the one that is meant first. A photo tells by its markers which paper it
        shows; where that is another than meant, the shop's only print of it is taken.
    prior : ThreadPrior
        What is known of the threads of the job.
    progress : callable
        Is told each step and the share of the work that is done.

    Returns
    -------
    FileMeasured
    """
    progress("looking for the mat", 0.02)
    meant = mats[0] if mats else None
    plane = _checked(data, filename, meant)
    if isinstance(plane, CouldNotMeasure):
        return FileMeasured(plane, meant)
    shown = paper_of(plane.mat)
    if meant is None or shown is meant.paper:
        return FileMeasured(_measured(plane, prior, progress), meant)
    others = [one for one in mats if one.paper is shown]
    if len(others) > 1:
        return FileMeasured(_which_of(meant, shown, len(others)), meant)
    other = others[0] if others else None
    progress("measuring by the mat that is shown", _CHECKED / 2)
    plane = _checked(data, filename, other)
    answer = plane if isinstance(plane, CouldNotMeasure) else _measured(plane, prior, progress)
    return FileMeasured(answer, other)


def _checked(data: bytes, filename: str, mat: MatPrint | None) -> Plane | CouldNotMeasure:
    return check_photo(data, print_scale=mat.print_scale if mat else None, filename=filename)


def _measured(plane: Plane, prior: ThreadPrior, progress: Progress) -> MeasuredPhoto | CouldNotMeasure:
    # The networks are loaded where a photo is measured; no page shall wait for them.
    from runningfit.core.photos.measuring import measure_photo

    def further(step: str, share: float) -> None:
        progress(step, _CHECKED + (1 - _CHECKED) * share)

    return measure_photo(plane, prior=prior, progress=further)


def _which_of(meant: MatPrint, shown: Paper | None, count: int) -> CouldNotMeasure:
    return CouldNotMeasure(
        Fault.PRINT_SCALE,
        f"The photo shows a mat of paper {shown}, not {meant.paper}; of those {count} are kept here.",
        "Say below which of them it was, and measure the photo again.",
    )
