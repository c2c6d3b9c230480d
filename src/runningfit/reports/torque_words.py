"""What a torque sheet says of one place, in the words and units of the shop; on screen and on paper alike."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.bolted import NOT_AGAIN, Percentiles
from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.treatments import treatment
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.answers import Question, TorqueFigure
from runningfit.core.treatments.threaded_joint.clamping import delivered_another
from runningfit.core.treatments.threaded_joint.facts import JointFacts
from runningfit.core.units import LengthUnit, TorqueUnit, both_units, torque_in
from runningfit.core.units.said_torques import torques_in_both
from runningfit.core.verdicts import Outcome
from runningfit.workshop.joints.facts import CHANGES_FINISH
from runningfit.workshop.joints.torques import TightenedPlace

# How much more or less clamp is worth a word of danger: as the core has it.
_MUCH = 0.10
CAUTIONS = (
    "Safety-critical (con-rod, main cap, flywheel, steering, brake): the maker's figure and the maker's "
    "method, nothing else.",
    "Clean threads, above and below. The lubricant exactly as it stands here, and nowhere else: oil where it "
    "says dry clamps far harder.",
    "A wrench that was tested this year, in the upper two thirds of its scale; pull slowly, in the order the "
    "maker gives, in steps (common practice, no source).",
    NOT_AGAIN.text,
)


@dataclass(frozen=True, slots=True)
class TorqueWords:
    """One line of a torque sheet.

    Parameters
    ----------
    count : int
        How many.
    place, part : str
        Where, and in which part of the area.
    what, pieces : str
        Kind and thread; lots and bags.
    figures : tuple of (str, str)
        The figure and its range in the shop's unit, then in the other; none where there is none.
    refused : str
        Why there is no figure; empty where there is one.
    stopped : bool
        Whether it is because the pieces themselves are not sound.
    waits : bool
        Whether only the finish must be confirmed for a figure.
    stamp : str
        What must not be missed beside it: safety-critical, used against the verdict.
    doubt : str
        What is not proven of the joint beside its figure.
    maker : str
        The maker's figure, its page and what it was made for.
    now : str
        The finish received and the lubricant that will be used.
    why : str
        The reason in one line.
    kept : str
        What the old figure would do if it was simply kept.
    """

    count: int
    place: str
    part: str
    what: str
    pieces: str
    figures: tuple[tuple[str, str], ...]
    refused: str
    stopped: bool
    waits: bool
    stamp: str
    doubt: str
    maker: str
    now: str
    why: str
    kept: str


def torque_words(line: TightenedPlace, unit: LengthUnit, *, area: int) -> TorqueWords:
    """Put one tightened place into words.

    Parameters
    ----------
    unit : LengthUnit
        The shop's; inches go with lbf ft, millimetres with N m.
    area : int
        Key of the area whose sheet it is; what lies in a part of it says so.
    """
    place, joint, figure = line.place, line.joint, line.figure
    facts = joint.facts if joint is not None else None
    return TorqueWords(
        count=line.count,
        place=place.name,
        part=place.area.name if place.area_id != area else "",
        what=_what(line, unit),
        pieces=_pieces(line),
        figures=tuple(figures(figure, unit)),
        refused=_refused(figure, unit),
        stopped=line.stopped_by is not None,
        waits=facts is not None
        and bool(line.lots)
        and not facts.piece.finish_received
        and line.stopped_by is None,
        stamp=_stamp(line),
        doubt=torques_in_both(_doubt(line), unit),
        maker=_maker(line),
        now=_now(facts),
        why=_why(line),
        kept="" if _is_own(line) else _kept(figure, place.torque_typed),
    )


def not_to_fit(line: TightenedPlace) -> str:
    """Say of pieces that are not sound what they are, where they lie and why they stay out."""
    kind = label(Kind((line.lots[0] if line.lots else line.place).kind), line.count)
    why = line.stopped_because
    if line.decided_before:
        why += " What was decided of them was decided before this was known."
    return f"{kind}, {line.place.name} ({_pieces(line)}): {why}"


def figures(figure: TorqueFigure, unit: LengthUnit) -> list[tuple[str, str]]:
    """Return a torque and its range in the shop's unit, then in the other; nothing where there is none."""
    if figure.torque_nm is None:
        return []
    units = [TorqueUnit.LBF_FT, TorqueUnit.NM]
    if unit is LengthUnit.MM:
        units.reverse()
    return [_in_unit(figure.torque_nm, one) for one in units]


def _in_unit(torque_nm: Percentiles, unit: TorqueUnit) -> tuple[str, str]:
    low, mean, high = (torque_in(value, unit) for value in (torque_nm.low, torque_nm.mean, torque_nm.high))
    words = "lbf ft" if unit is TorqueUnit.LBF_FT else "N m"
    ends = f"{low:.3g}", f"{high:.3g}"
    return f"{mean:.3g} {words}", "" if ends[0] == ends[1] else " to ".join(ends)


def _what(line: TightenedPlace, unit: LengthUnit) -> str:
    piece = line.lots[0] if line.lots else line.place
    ends = [end.replace("|", " or ") for end in dict.fromkeys((piece.end_a, piece.end_b)) if end]
    parts = [label(Kind(piece.kind), line.count).partition(" ")[2], " and ".join(ends)]
    if piece.length_nominal:
        parts.append(f"x {piece.length_nominal}")
    elif piece.length_mm is not None:
        parts.append(f"x {both_units(piece.length_mm, unit)}")
    return " ".join(part for part in parts if part)


def _pieces(line: TightenedPlace) -> str:
    if not line.lots:
        return "no pieces yet"
    said = [f"lot {lot.number}, bag {lot.bag.code}" if lot.bag else f"lot {lot.number}" for lot in line.lots]
    due = dict.fromkeys(
        treatment(lot.treatment).label for lot in line.lots if lot.treatment in CHANGES_FINISH
    )
    said += [f"{words} is still to come" for words in due]
    if line.count < line.place.count:
        said.append(f"{line.place.count} needed")
    return ", ".join(said)


def _refused(figure: TorqueFigure, unit: LengthUnit) -> str:
    if figure.torque_nm is not None:
        return ""
    said = figure.refused or "Its thread does not clamp."
    said = torques_in_both(said, unit)
    return said if said.startswith(("No ", "Do not ")) else f"No figure. {said}"


def _stamp(line: TightenedPlace) -> str:
    said = []
    if line.joint is not None:
        if line.joint.facts.piece.role is Role.SAFETY_CRITICAL:
            said.append("safety-critical")
        if line.decided_against:
            said.append("used against the verdict")
        if line.decided_before:
            said.append("decided before this was known")
    return ", ".join(said)


def _doubt(line: TightenedPlace) -> str:
    if line.joint is None or line.figure.torque_nm is None:
        return ""
    # What cracks days later goes before what is only not proven.
    for one in line.joint.judgement.checks:
        if one.question is Question.HYDROGEN and one.verdict.outcome is Outcome.NOT_PROVEN:
            return one.says
    for one in line.joint.judgement.checks:
        if one.verdict.outcome is Outcome.NOT_PROVEN:
            return f"{one.says} Not known: {one.missing}." if one.missing else one.says
    return ""


def _is_own(line: TightenedPlace) -> bool:
    """Whether it is the maker's own figure, in the maker's own condition."""
    torque_nm = line.figure.torque_nm
    return torque_nm is not None and torque_nm.low == torque_nm.high == line.place.torque_nm


def _maker(line: TightenedPlace) -> str:
    typed = line.place.torque_typed
    facts = line.joint.facts if line.joint is not None else None
    if facts is None or not typed:
        return typed or "no figure of the maker"
    page = facts.torque.page or "page not said"
    assumed = f"made for {facts.torque.assumed}" if facts.torque.assumed else "what it was made for: not said"
    return f"{typed}, {page}, {assumed}"


def _now(facts: JointFacts | None) -> str:
    if facts is None:
        return ""
    finish = facts.piece.finish_received or "finish not confirmed"
    return f"{finish}, {facts.torque.lubricant or 'lubricant not said'}"


def _why(line: TightenedPlace) -> str:
    """Give the reason in one line; a refusal is its own."""
    if line.joint is None or line.figure.torque_nm is None:
        return ""
    facts, given = line.joint.facts, line.place.torque_nm
    try:
        another = delivered_another(facts)
    except InvalidInput:
        # The figure's own check says which fact cannot be read.
        another = ""
    if given is None:
        return f"{another}Reckoned for the clamp that is wanted."
    if _is_own(line):
        return f"{another}The maker's own figure, in the maker's own condition."
    if not facts.torque.assumed:
        return f"{another}For what the old figure was made nobody knows: a wide range was counted."
    return f"{another}Reckoned for the maker's clamp in the condition of now."


def _kept(figure: TorqueFigure, typed: str) -> str:
    """Say what becomes of the clamp if the old torque is simply kept."""
    ratio = figure.ratio_if_unchanged
    if ratio is None or ratio.low == ratio.high == 1:
        return ""
    if ratio.mean > 1 + _MUCH:
        danger = "the bolt may be overstretched or the thread pulled out"
    elif ratio.mean < 1 - _MUCH:
        danger = "the joint may work loose or leak"
    else:
        danger = "about as before, but either way"
    return f"{typed} kept gives {ratio.low:.0%} to {ratio.high:.0%} of the clamp: {danger}."
