"""What runs in what in an engine: the sizes that make each clearance, and what is taken for granted."""

from __future__ import annotations

from runningfit.core.joints.running_fits.clearance import Member, RunningFit

_FREE = "Each part is taken to be evenly warm and free to expand."


def piston_in_bore(bore: Member, piston: Member) -> RunningFit:
    """Put a piston into its bore.

    Parameters
    ----------
    bore : Member
        The bore, where it is narrowest for seizing, where it is widest for wear.
    piston : Member
        The piston, across the skirt where its maker says to measure.

    Returns
    -------
    RunningFit
        Their clearance on diameter.
    """
    return RunningFit(
        "piston in bore",
        bore.reading.mm,
        ((1.0, bore), (-1.0, piston)),
        assumptions=(
            _FREE,
            "A piston is ground oval and tapered, for its crown runs hotter than its skirt: this is the "
            "clearance at the place that was measured, and its temperature there counts.",
        ),
    )


def journal_in_shells(
    housing: Member,
    shell: Member,
    journal: Member,
    crush_mm: tuple[float, float] | None = None,
    *,
    other_shell: Member | None = None,
) -> RunningFit:
    """Put a journal between two shells in their housing.

    Parameters
    ----------
    housing : Member
        The bore of the housing, its cap tightened, without shells.
    shell : Member
        The thickness of one shell at its crown; it counts on both sides where the other is not told.
    journal : Member
        The journal.
    crush_mm : tuple of float or None
        The least and the largest by which the crush of the shells widens the housing [mm]; none where nobody
        knows, which is then said.
    other_shell : Member or None
        The other shell, where what is unsure of one is not so of both, such as of two from one grade.

    Returns
    -------
    RunningFit
        Their clearance on diameter, in line with the crown of the shells.
    """
    crush = (
        "That the crush of the shells widens the housing by some micrometres is left out, for nobody told by "
        "how much: the bore of the fitted, tightened shells measured itself is better."
        if crush_mm is None
        else "The crush of the shells widens the housing as told, and does not thin the shells."
    )
    shells = ((-2.0, shell),) if other_shell is None else ((-1.0, shell), (-1.0, other_shell))
    return RunningFit(
        "journal in shells",
        journal.reading.mm,
        ((1.0, housing), *shells, (-1.0, journal)),
        crush_mm or (0.0, 0.0),
        (_FREE, crush),
    )


def journal_in_bush(bush: Member, journal: Member) -> RunningFit:
    """Put a journal into a bush, or into shells whose bore was measured as fitted and tightened.

    Parameters
    ----------
    bush : Member
        The bore of the bush as fitted.
    journal : Member
        The journal.

    Returns
    -------
    RunningFit
        Their clearance on diameter.
    """
    return RunningFit(
        "journal in bearing",
        journal.reading.mm,
        ((1.0, bush), (-1.0, journal)),
        assumptions=(_FREE, "A pressed bush follows its housing in part as both grow warm; here it is free."),
    )


def stem_in_guide(guide: Member, stem: Member) -> RunningFit:
    """Put a valve stem into its guide.

    Parameters
    ----------
    guide : Member
        The bore of the guide as fitted.
    stem : Member
        The stem, where it is worn most.

    Returns
    -------
    RunningFit
        Their clearance on diameter.
    """
    return RunningFit(
        "valve stem in guide",
        stem.reading.mm,
        ((1.0, guide), (-1.0, stem)),
        assumptions=(_FREE, "A pressed guide follows its head in part as both grow warm; here it is free."),
    )


def pin_in_eye(eye: Member, pin: Member) -> RunningFit:
    """Put a gudgeon pin into its bush or piston.

    Parameters
    ----------
    eye : Member
        The bore of the bush, or of the boss in the piston.
    pin : Member
        The pin.

    Returns
    -------
    RunningFit
        Their clearance on diameter.
    """
    return RunningFit("gudgeon pin", pin.reading.mm, ((1.0, eye), (-1.0, pin)), assumptions=(_FREE,))


def end_float(between: Member, width: Member, washer: Member | None = None) -> RunningFit:
    """Put a bearing between the thrust faces of its shaft, or a rod between the cheeks of its crank.

    Parameters
    ----------
    between : Member
        The distance between the faces that hold.
    width : Member
        The width over the faces that are held.
    washer : Member or None
        One of two equal thrust washers, where there are some; none where the width is over them.

    Returns
    -------
    RunningFit
        The end float.
    """
    members = ((1.0, between), (-1.0, width), *(() if washer is None else ((-2.0, washer),)))
    return RunningFit("end float", between.reading.mm, members, assumptions=(_FREE,))


def shaft_in_hole(hole: Member, shaft: Member) -> RunningFit:
    """Put any shaft into its hole.

    Parameters
    ----------
    hole : Member
        The hole.
    shaft : Member
        The shaft.

    Returns
    -------
    RunningFit
        Their clearance on diameter.
    """
    return RunningFit("shaft in hole", shaft.reading.mm, ((1.0, hole), (-1.0, shaft)), assumptions=(_FREE,))
