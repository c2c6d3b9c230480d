"""Two photographed trays of the demo: rendered pictures, with what was measured of them kept beside them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from runningfit.core.photos.measured_files import read_photo
from runningfit.core.pieces.identification import ThreadPrior
from runningfit.workshop.photos.hardware import photograph
from runningfit.workshop.photos.hardware_models import PrintedMat
from runningfit.workshop.photos.measuring import FileMeasured, MatPrint, Progress
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.running import compute
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand

# The same bag before it went to the plater and after it came back: one piece is missing, one was swapped.
TRAYS = ("tray-before", "tray-after")
FOLDER = Path(__file__).parent / "photographed"


def photograph_trays(job: Job, mat: PrintedMat, hand: Hand) -> None:
    """Photograph the trays; nothing of them is in the books yet, so that whoever looks can take them in.

    Parameters
    ----------
    job : Job
        The demo job.
    mat : PrintedMat
        The print that they lie on.
    """
    for name in TRAYS:
        picture = read_picture((FOLDER / f"{name}.jpg").read_bytes(), filename=f"{name}.jpg")
        run, _is_new = photograph(job=job, picture=picture, mat=mat, hand=hand, starter=_not_now)
        compute(run.pk, measure=_Kept(name))


class _Kept:
    """Answers with what was measured when the demo was written: measuring takes longer than all the rest."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __call__(
        self, _data: bytes, _filename: str, mats: Sequence[MatPrint], _prior: ThreadPrior, _tell: Progress
    ) -> FileMeasured:
        kept = (FOLDER / f"{self._name}.json").read_text(encoding="utf-8")
        return FileMeasured(read_photo(kept), mats[0])


def _not_now(_run_id: int) -> None:
    """Leave the measuring to the caller."""
