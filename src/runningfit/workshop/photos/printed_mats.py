"""Printed mats: kept with what their ruler measures, one of them the usual one."""

from __future__ import annotations

from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.photos.own_mats import Paper, own_mat
from runningfit.core.photos.print_scales import PrintScale, read_print_scale
from runningfit.workshop.photos.hardware_models import PrintedMat
from runningfit.workshop.photos.measuring import MatPrint
from runningfit.workshop.records.writing import Entry, Hand, write


def keep_mat(*, paper: str, scale: str, hand: Hand, where: str = "") -> PrintedMat:
    """Keep a printed mat with what its ruler measures; the first one is the usual one.

    Parameters
    ----------
    paper : str
        A4, A3 or letter.
    scale : str
        As typed: `0.985`, `98.5`, `197/200`, or what the ruler measures.
    where : str
        Where it lies, such as `on the bench`, to tell it from others.

    Raises
    ------
    InvalidInput
        The paper is none that there is a mat for, or the scale cannot be read.
    """
    sheet = _paper(paper)
    read = scale_of(sheet, scale)
    with write(verb="keep_mat", summary="kept a printed mat", hand=hand) as entry:
        first = not PrintedMat.objects.filter(withdrawn=False, usual=True).exists()
        row = entry.create(
            PrintedMat(
                paper=sheet.value,
                where=" ".join(where.split())[:80],
                usual=first,
                **_measured(entry, scale, read, hand),
            )
        )
        entry.say(f"kept {row}: print scale {row.print_scale:.3f}")
    return row


def measure_mat(*, mat: PrintedMat, scale: str, hand: Hand, where: str | None = None) -> PrintedMat:
    """Say anew what a mat's ruler measures; photos that were measured before stay as they were.

    Raises
    ------
    InvalidInput
        The scale cannot be read.
    """
    read = scale_of(Paper(mat.paper), scale)
    with write(verb="change_mat", summary="measured a printed mat", hand=hand) as entry:
        held = _held(mat)
        values: dict[str, object] = {} if where is None else {"where": " ".join(where.split())[:80]}
        entry.change(held, **values, **_measured(entry, scale, read, hand))
        entry.say(f"measured {held}: print scale {held.print_scale:.3f}")
    return held


def make_usual(*, mat: PrintedMat, hand: Hand) -> PrintedMat:
    """Make a mat the usual one, which photos are measured by unless somebody says another."""
    with write(verb="change_usual_mat", summary="chose the usual mat", hand=hand) as entry:
        held = _held(mat)
        for other in PrintedMat.objects.select_for_update().filter(usual=True, withdrawn=False):
            if other.pk != held.pk:
                entry.change(other, usual=False)
        entry.change(held, usual=True)
        entry.say(f"{held} is the usual one")
    return held


def put_mat_away(*, mat: PrintedMat, hand: Hand) -> None:
    """Put a mat away, as one that is worn or lost; the newest of the others becomes the usual one."""
    with write(verb="put_mat_away", summary="put a printed mat away", hand=hand) as entry:
        held = _held(mat)
        was_usual = held.usual
        entry.change(held, withdrawn=True, usual=False)
        other = PrintedMat.objects.select_for_update().filter(withdrawn=False).order_by("-pk").first()
        if was_usual and other is not None:
            entry.change(other, usual=True)
        entry.say(f"put away {held}")


def scale_of(paper: Paper, typed: str) -> PrintScale:
    """Read a print scale with the rulers of this paper's mat in mind."""
    return read_print_scale(typed, rulers_mm=[one.length_mm for one in own_mat(paper).rulers])


def mats() -> list[PrintedMat]:
    """Return the mats that are kept, the usual one first."""
    return list(PrintedMat.objects.filter(withdrawn=False).order_by("-usual", "-pk"))


def mat_by_id(mat_id: int) -> PrintedMat:
    """Return a mat, or raise NotFound saying so."""
    mat = PrintedMat.objects.filter(pk=mat_id, withdrawn=False).first()
    if mat is None:
        raise NotFound(f"There is no printed mat {mat_id} here, or it was put away. Choose one of the list.")
    return mat


def as_prints(meant: PrintedMat | None) -> list[MatPrint]:
    """Return the prints of the shop as measuring takes them, the one that is meant first."""
    if meant is None:
        return []
    rest = [one for one in mats() if one.pk != meant.pk]
    return [MatPrint(one.pk, Paper(one.paper), one.print_scale) for one in (meant, *rest)]


def _measured(entry: Entry, typed: str, read: PrintScale, hand: Hand) -> dict[str, object]:
    return {
        "scale_typed": typed.strip()[:40],
        "print_scale": read.value,
        "measured_by": hand.who,
        "measured_on": timezone.localdate(entry.at),
    }


def _paper(paper: str) -> Paper:
    try:
        return Paper(paper)
    except ValueError as error:
        raise InvalidInput("paper", needs=f"one of {', '.join(Paper)}", came=paper) from error


def _held(mat: PrintedMat) -> PrintedMat:
    held = PrintedMat.objects.select_for_update().get(pk=mat.pk)
    if held.withdrawn:
        raise Conflict("That mat was put away meanwhile. Choose another, or keep this one anew.")
    return held
