"""Friction of a joint by finish and lubricant: always a range with its sources, contradictions shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.conditions import (
    ALUMINIUM,
    ANY,
    DRY,
    FRICTION_TABLE,
    NOT_STATED,
    OIL,
    USUAL_FINISHES,
    Condition,
    known_finishes,
)
from runningfit.core.joints.grades import is_trusted
from runningfit.core.joints.spread import FrictionBand
from runningfit.core.joints.tightening import (
    USUAL_BEARING,
    ScrewGeometry,
    check_friction,
    friction_of_nut_factor,
)
from runningfit.core.standards.tables import rows
from runningfit.core.verdicts import Reason

# IFI Fastener Standards, 5th edition: with one nut factor the preload scatters by up to 25 %.
_LONE_SCATTER = 0.25
# Black oxide is a skin on plain steel: the one figure of its own stands among those of plain steel.
_LIKE: Mapping[str, frozenset[str]] = {"black oxide": frozenset({"black oxide", "plain"})}


@dataclass(frozen=True, slots=True)
class JointFriction:
    """The friction of one joint.

    Parameters
    ----------
    said : str
        The condition, or that it was given.
    band : FrictionBand
        Both ends.
    trusted : bool
        False where it rests on memory or on nothing: no pass rests on it.
    reasons : tuple of Reason
        Every figure found, with its source.
    stands_in : bool
        Whether the range is only that of other finishes, since the finish is not known or nobody gave a
        figure for it with this lubricant.
    is_open : bool
        Whether finish or lubricant was not said: no pass rests on it, since nobody knows what it is.
    """

    said: str
    band: FrictionBand
    trusted: bool
    reasons: tuple[Reason, ...]
    stands_in: bool = False
    is_open: bool = False


_Row = Mapping[str, str]


def _matching(finish: str | None, lubricant: str | None) -> list[_Row]:
    """The rows that speak of a condition, those of other lubricants and finishes left out."""
    finishes = _own(finish) or USUAL_FINISHES
    lubricants = frozenset({DRY, NOT_STATED, OIL}) if lubricant is None else frozenset({lubricant})
    return [
        row
        for row in rows(FRICTION_TABLE)
        if row["lubricant"] in lubricants and (row["finish"] in finishes or row["finish"] == ANY)
    ]


def _counting(found: list[_Row]) -> list[_Row]:
    """The rows that make the range: every one that rests on a source; where none does, memory alone."""
    return [row for row in found if is_trusted(row["status"], row["source"])] or found


def _is_lone(row: _Row) -> bool:
    """Whether a row is one nut factor, and no source gives a range of them for this very pair."""
    if row["quantity"] != "K" or row["low"] != row["high"]:
        return False
    pair = (row["finish"], row["lubricant"])
    of_pair = [one for one in rows(FRICTION_TABLE) if (one["finish"], one["lubricant"]) == pair]
    return not any(one["quantity"] == "K" and one["low"] != one["high"] for one in of_pair)


def _ends(row: _Row, geometry: ScrewGeometry) -> tuple[float, float]:
    """Both ends of a row as coefficients of friction; a lone figure is widened where no range is given."""
    low, high = float(row["low"]), float(row["high"])
    if row["quantity"] == "mu":
        return low, high
    if _is_lone(row):
        low, high = low * (1 - _LONE_SCATTER), high * (1 + _LONE_SCATTER)
    return friction_of_nut_factor(geometry, low), friction_of_nut_factor(geometry, high)


def _reasons(found: Iterable[_Row], counting: list[_Row], geometry: ScrewGeometry) -> list[Reason]:
    said = []
    for row in found:
        name = "nut factor" if row["quantity"] == "K" else "friction"
        beside = "" if row in counting else ", shown beside, not in the range"
        if not beside and _is_lone(row):
            beside = f", a lone figure: {_LONE_SCATTER:.0%} either way"
        if row["quantity"] == "K":
            low, high = _ends(row, geometry)
            beside += f"; here friction {low:.3f}" + (f" to {high:.3f}" if high > low else "")
        said.append(Reason(f"{row['said']} ({name}{beside})", f"{row['source']} ({row['status']})"))
    return said


def friction_of(condition: Condition, geometry: ScrewGeometry) -> JointFriction:
    """Give the friction of a joint from its finish and lubricant.

    Parameters
    ----------
    condition : Condition
        Finish and lubricant; what is not known makes the range wide.
    geometry : ScrewGeometry
        The screw; nut factors are turned into coefficients for a usual head on this thread.

    Returns
    -------
    JointFriction
        The hull of every row that fits and has a source, nut factors and coefficients alike; each is among
        the reasons with its own range. A lone nut factor, of a pair of which nobody gives a range, counts
        with 25 % either way.

    Notes
    -----
    Where sources differ none is preferred: the low end is careful for yielding, the high end for clamping.
    Where bolt and nut differ in finish the thread may rub as either does, and the face as the part that turns
    (common practice, no source).
    """
    usual = replace(geometry, bearing_diameter_mm=USUAL_BEARING * geometry.nominal_mm)
    bolt = replace(condition, mate=None, nut_turns=False)
    if condition.mate is None:
        return _friction_of(bolt, usual)
    has_figures = condition.mate in known_finishes()
    nut = replace(
        bolt,
        finish=condition.mate if has_figures else None,
        unfigured="" if has_figures else condition.mate,
    )
    return _of_the_pair(condition, _friction_of(bolt, usual), _friction_of(nut, usual))


def _of_the_pair(condition: Condition, bolt: JointFriction, nut: JointFriction) -> JointFriction:
    faces = [nut.band] if condition.nut_turns else [bolt.band]
    turns = f"the {'nut' if condition.nut_turns else 'head'} turns, so its own finish counts on the face"
    if condition.nut_turns is None:
        faces, turns = [bolt.band, nut.band], "nobody said which part turns, so either finish may rub there"
    band = FrictionBand(
        min(bolt.band.thread_low, nut.band.thread_low),
        max(bolt.band.thread_high, nut.band.thread_high),
        min(face.bearing_low for face in faces),
        max(face.bearing_high for face in faces),
        together=all(face.together for face in faces),
    )
    lead = Reason(
        f"Bolt and nut differ in finish, so the thread may rub as either does: {band.thread_low:.3f} to "
        f"{band.thread_high:.3f}; {turns}: {band.bearing_low:.3f} to {band.bearing_high:.3f}.",
        "common practice, no source",
    )
    return JointFriction(
        condition.said,
        band,
        bolt.trusted and nut.trusted,
        (lead, *dict.fromkeys((*bolt.reasons, *nut.reasons))),
        bolt.stands_in or nut.stands_in,
        bolt.is_open or nut.is_open,
    )


@cache
def _friction_of(condition: Condition, usual: ScrewGeometry) -> JointFriction:
    found = _matching(condition.finish, condition.lubricant)
    note: list[Reason] = []
    if condition.unfigured:
        note.append(
            Reason(f"No friction of {condition.unfigured} was found: the finish is taken as not known.")
        )
    if not found:
        # A pair such as phosphate, dry, of which nobody gave a figure.
        note.append(Reason(f"No friction of {condition.said} was found: every usual finish is taken."))
        found = _matching(None, condition.lubricant)
    counting = _counting(found)
    ends = [_ends(row, usual) for row in counting]
    low, high = min(end[0] for end in ends), max(end[1] for end in ends)
    trusted = not note and all(is_trusted(row["status"], row["source"]) for row in counting)
    band = FrictionBand(low, high, low, high, together=True)
    if condition.on_aluminium:
        under = [row for row in rows(FRICTION_TABLE) if row["finish"] == ALUMINIUM and _is_so(row, condition)]
        faces = [(low, high), *(_ends(row, usual) for row in under)]
        band = FrictionBand(
            low, high, min(face[0] for face in faces), max(face[1] for face in faces), together=False
        )
        trusted = trusted and bool(under) and all(is_trusted(row["status"], row["source"]) for row in under)
        found, counting = [*found, *under], [*counting, *under]
    lead = Reason(
        f"Friction, {condition.said}: {low:.3f} to {high:.3f} in the thread, {band.bearing_low:.3f} to "
        f"{band.bearing_high:.3f} under what turns, anywhere between."
    )
    reasons = (lead, *note, *_reasons(found, counting, usual))
    return JointFriction(
        condition.said,
        band,
        trusted,
        reasons,
        _stands_in(condition, counting),
        is_open=condition.lubricant is None or (condition.finish is None and not condition.unfigured),
    )


def _stands_in(condition: Condition, counting: list[_Row]) -> bool:
    """Whether a finish that is not known, or another than was said, made the range.

    Figures of a lubricant that were given for any finish hold whichever it is.
    """
    return any(row["finish"] not in {ANY, ALUMINIUM, *_own(condition.finish)} for row in counting)


def _own(finish: str | None) -> frozenset[str]:
    """The finishes whose figures count as those of one."""
    return frozenset() if finish is None else _LIKE.get(finish, frozenset({finish}))


def _is_so(row: _Row, condition: Condition) -> bool:
    """Whether a row of aluminium fits the lubricant, greases and the like counted as oil."""
    if condition.lubricant is None:
        return True
    return row["lubricant"] == (DRY if condition.lubricant == DRY else OIL)


def given_friction(thread_range: tuple[float, float], bearing_range: tuple[float, float]) -> JointFriction:
    """Take friction as it was given.

    Parameters
    ----------
    thread_range, bearing_range : tuple of float
        Least and largest coefficient in the thread and under the head [-]; alike where it is exact.

    Returns
    -------
    JointFriction
        The two vary apart from each other.

    Raises
    ------
    InvalidInput
        A coefficient that no pair of surfaces has, or a range the wrong way round.
    """
    for low, high in (thread_range, bearing_range):
        check_friction(low)
        check_friction(high)
        if low > high:
            raise InvalidInput(
                "friction", needs="a range from less to more, such as 0.10..0.18", came=f"{low:g}..{high:g}"
            )

    def said(ends: tuple[float, float]) -> str:
        return f"{ends[0]:g}" if ends[0] == ends[1] else f"anywhere from {ends[0]:g} to {ends[1]:g}"

    text = f"Friction as given: {said(thread_range)} in the thread, {said(bearing_range)} under the head."
    return JointFriction(
        "as given", FrictionBand(*thread_range, *bearing_range, together=False), True, (Reason(text),)
    )
