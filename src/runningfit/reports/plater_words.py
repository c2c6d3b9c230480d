"""What a plater reads at the tank, in the order of the work: one short list where bags are told the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from runningfit.core.treatments import treatment
from runningfit.core.treatments.threaded_joint.answers import ForThePlater
from runningfit.core.units.lengths import MM_PER_INCH
from runningfit.workshop.outside_work.models import ConsignmentLine
from runningfit.workshop.outside_work.telling import coat_of

# How the core marks a hardness that is taken at its careful end.
NOBODY_KNOWS = "nobody knows"


@dataclass(frozen=True, slots=True)
class Told:
    """Lines of a consignment that are told the same.

    Parameters
    ----------
    lines : tuple of ConsignmentLine
        In the order of the note.
    says : tuple of str
        One short sentence each, in the order of the work.
    bake : str
        The bake, which is set so that nobody misses it; empty where none is needed.
    """

    lines: tuple[ConsignmentLine, ...]
    says: tuple[str, ...]
    bake: str

    @property
    def treatment(self) -> str:
        """Return what is asked for them."""
        return treatment(self.lines[0].treatment).label

    @property
    def bags(self) -> str:
        """Return their bags, each once."""
        codes = dict.fromkeys(line.bag.code for line in self.lines if line.bag is not None)
        return ", ".join(codes) or "–"


def told_together(lines: Sequence[ConsignmentLine], told: Mapping[int, ForThePlater]) -> list[Told]:
    """Put the lines together that are told the same, without those about which there is nothing to say."""
    groups: dict[tuple[str, str, ForThePlater], list[ConsignmentLine]] = {}
    for line in lines:
        groups.setdefault((line.treatment, coat_of(line), told[line.pk]), []).append(line)
    made = [
        Told(tuple(its), sentences_of(said, coat), bake_said(said))
        for (_treatment, coat, said), its in groups.items()
    ]
    return [one for one in made if one.says or one.bake]


def sentences_of(said: ForThePlater, coat: str = "") -> tuple[str, ...]:
    """Say to the plater what a lot needs beside its bake, the shortest words that leave no doubt.

    Parameters
    ----------
    coat : str
        Thickness or class of the coat that is asked for; empty where none was chosen.
    """
    sentences = [f"Hardness: {said.hardness}."] if said.hardness else []
    if NOBODY_KNOWS in said.hardness:
        sentences.append("Hard and soft may lie mixed: all of them are treated as the hardest.")
    # The bake stands by itself, larger.
    sentences += [one for one in said.do if said.bake is None or said.bake.said not in one]
    sentences += said.must_not
    if coat:
        sentences.append(f"Coat: {coat}.")
    if said.mask:
        sentences.append(f"Mask: {', '.join(said.mask)}.")
    if said.thickest_um is not None:
        sentences.append(thickest_said(said.thickest_um))
    # A plater needs the name of a standard; which edition was seen stands on the joint's own page.
    return tuple(dict.fromkeys(one.replace(" (edition not stated)", "") for one in sentences if one))


def bake_said(said: ForThePlater) -> str:
    """Say the bake, or nothing where none is needed."""
    return f"Bake at {said.bake.said}." if said.bake is not None else ""


def thickest_said(thickest_um: float) -> str:
    """Say how thick the coat may be, rounded down, so that the thread still goes together.

    Parameters
    ----------
    thickest_um : float
        The largest coat [um].
    """
    if thickest_um < 1:
        return "There is no room for a coat on the thread: mask it, or do not coat."
    most_um = int(thickest_um * 2) / 2
    inch = int(most_um / 1000 / MM_PER_INCH * 1e5) / 1e5
    return f"Coat at most {most_um:g} µm ({inch:.5f} in) on the thread, or it no longer goes together."
