"""What the commands about joints are told: thread, grade, friction and tool, read alike for all."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.joints.bolted import Percentiles
    from runningfit.core.joints.friction import JointFriction
    from runningfit.core.joints.grades import Strength
    from runningfit.core.standards import Thread
    from runningfit.core.units.lengths import LengthUnit
    from runningfit.core.verdicts import Verdict

_Command = TypeVar("_Command", bound=Callable[..., Any])
_NUMBER = re.compile(
    r"\s*(?P<low>[0-9]*[.,]?[0-9]+)\s*(?:(?:\.\.+|…|to|-|–)\s*(?P<high>[0-9]*[.,]?[0-9]+)\s*)?"
)
_SHARE = re.compile(r"\s*[±]?\s*(?P<number>-?[0-9]*[.,]?[0-9]+)\s*(?P<percent>%|per ?cent)?\s*")


def options(*chosen: str) -> Callable[[_Command], _Command]:
    """Give a command the options that it shares with the others, in this order."""

    def add(command: _Command) -> _Command:
        for name in reversed(chosen):
            command = _OPTIONS[name](command)
        return command

    return add


_OPTIONS: dict[str, Callable[[Any], Any]] = {
    "thread": click.option(
        "--thread", "thread_text", required=True, metavar="THREAD", help='Such as "3/8-16 UNC" or M10.'
    ),
    "grade": click.option(
        "--grade",
        metavar="GRADE",
        help='Such as "SAE J429 5", "ISO 898-1 8.8" or "BS 1768 R"; not known is taken as the weakest.',
    ),
    "torque": click.option(
        "--torque",
        "torque_text",
        required=True,
        metavar="TORQUE",
        help='The torque set, such as "30 lbf.ft".',
    ),
    "finish": click.option(
        "--finish",
        metavar="FINISH",
        help='Such as zinc or "black oxide"; "zinc, on aluminium" says what it turns on, "cadmium, '
        'plain nut, nut turns" that the nut has another finish, and which of them is turned.',
    ),
    "lubricant": click.option("--lubricant", metavar="LUBRICANT", help="Such as dry, oil or anti-seize."),
    "mu_thread": click.option(
        "--mu-thread", metavar="MU", help="Friction in the thread, exact, or a range such as 0.10..0.18."
    ),
    "mu_head": click.option("--mu-head", metavar="MU", help="Friction under what turns, alike."),
    "bearing": click.option(
        "--bearing-diameter", metavar="LENGTH", help="Mean friction diameter under head or nut."
    ),
    "scatter": click.option(
        "--scatter", metavar="SHARE", help="The tool's 95 % half-width, such as 0.04; not told is 0.10."
    ),
    "json": click.option("--json", "as_json", is_flag=True, help="Answer as JSON."),
}


def one_thread(text: str) -> Thread:
    """The one thread that is meant."""
    from runningfit.core.pieces.designations import read_thread
    from runningfit.core.standards import thread

    candidates = read_thread(text).candidates
    if len(candidates) != 1:
        shown = ", ".join(candidates[:8]) + ("…" if len(candidates) > 8 else "")
        raise InvalidInput(
            "thread",
            needs="one standard thread, with its pitch and series",
            came=text,
            remedy=f"It can be {shown}: name one of them.",
        )
    return thread(candidates[0])


def strength(grade: str | None, thread: Thread) -> Strength | None:
    """The strength of the bolt; none where its grade was not told."""
    from runningfit.core.joints.grades import read_grade, strength_of

    return None if grade is None else strength_of(read_grade(grade), thread)


def newton_metres(text: str) -> float:
    """A torque [N m], more than nothing."""
    from runningfit.core.units.quantities import read_torque

    torque = read_torque(text, default_unit=None).torque_nm
    if torque <= 0:
        raise InvalidInput("torque", needs="more than nothing", came=text, remedy="Type it again.")
    return torque


def newtons(text: str) -> float:
    """A force [N], more than nothing."""
    from runningfit.core.units.quantities import read_force

    force = read_force(text, default_unit=None).force_n
    if force <= 0:
        raise InvalidInput("force", needs="more than nothing", came=text, remedy="Type it again.")
    return force


def megapascals(text: str, name: str) -> float:
    """A stress or strength [MPa], under the name of its option."""
    from runningfit.core.units.quantities import read_pressure

    try:
        return read_pressure(text, default_unit=None).pressure_mpa
    except InvalidInput as refused:
        raise InvalidInput(
            name, needs="a strength such as 827 MPa or 120 ksi", came=refused.came, remedy=refused.remedy
        ) from refused


def millimetres(text: str | None, name: str) -> float | None:
    """A length [mm] with its unit; none where nothing was told."""
    from runningfit.core.units.lengths import LengthQuestion, read_length

    if text is None:
        return None
    try:
        length = read_length(text, default_unit=None)
    except InvalidInput as refused:
        raise InvalidInput(name, needs=refused.needs, came=refused.came, remedy=refused.remedy) from refused
    if isinstance(length, LengthQuestion):
        raise InvalidInput(
            name, needs="a length that reads one way, such as 14 mm", came=text, remedy="Write the unit."
        )
    return length.mm


def spoken_unit(text: str | None) -> LengthUnit:
    """The unit in which somebody told a length, and wants to be told others; millimetres where none was."""
    from runningfit.core.units.lengths import Length, LengthUnit, read_length

    if text is None:
        return LengthUnit.MM
    length = read_length(text, default_unit=LengthUnit.MM)
    return length.unit if isinstance(length, Length) else LengthUnit.MM


def number_range(text: str, name: str, example: str) -> tuple[float, float]:
    """A number, or a range of two."""
    found = _NUMBER.fullmatch(text)
    if found is None:
        raise InvalidInput(name, needs=f"a number or a range such as {example}", came=text)
    low = float(found["low"].replace(",", "."))
    return low, float(found["high"].replace(",", ".")) if found["high"] else low


def share(text: str | None) -> float | None:
    """The tool's scatter as a share of one: `0.25` or `25 %`."""
    if text is None:
        return None
    found = _SHARE.fullmatch(text)
    if found is None:
        raise InvalidInput("scatter", needs="a share such as 0.25 or 25 %", came=text)
    value = float(found["number"].replace(",", "."))
    return value / 100 if found["percent"] else value


def friction(
    thread: Thread, finish: str | None, lubricant: str | None, mu_thread: str | None, mu_head: str | None
) -> JointFriction:
    """The friction as given; where one or both were not, that of finish and lubricant."""
    from runningfit.core.joints.conditions import condition_of
    from runningfit.core.joints.friction import JointFriction, friction_of, given_friction
    from runningfit.core.joints.spread import FrictionBand
    from runningfit.core.joints.tightening import geometry_of

    example = "0.10..0.18"
    if mu_thread is not None and mu_head is not None:
        return given_friction(
            number_range(mu_thread, "friction", example), number_range(mu_head, "friction", example)
        )
    by_condition = friction_of(condition_of(finish, lubricant), geometry_of(thread))
    told = mu_thread or mu_head
    if told is None:
        return by_condition
    ends = number_range(told, "friction", example)
    given = given_friction(ends, ends)
    band, own = by_condition.band, given.band
    mixed = (
        FrictionBand(*ends, band.bearing_low, band.bearing_high, together=False)
        if mu_thread is not None
        else FrictionBand(
            band.thread_low, band.thread_high, own.bearing_low, own.bearing_high, together=False
        )
    )
    where = "in the thread" if mu_thread is not None else "under the head"
    said = f"given {where}, else {by_condition.said}"
    return JointFriction(said, mixed, by_condition.trusted, by_condition.reasons)


def rounded(value: float, digits: int = 6) -> float:
    """A value to so many digits as mean something."""
    return float(f"{value:.{digits}g}")


def spread_answer(values: Percentiles, keys: tuple[str, ...] = ("low", "mean", "high")) -> dict[str, float]:
    """The three figures of a scattered value, under these keys in this order."""
    of_key = {"low": values.low, "mean": values.mean, "median": values.mean, "high": values.high}
    return {key: rounded(of_key[key]) for key in keys}


def reasons_of(verdict: Verdict) -> list[str]:
    """Each reason with its source behind it."""
    return [f"{one.text} [{one.source}]" if one.source else one.text for one in verdict.reasons]


def cautions_of(verdict: Verdict) -> list[str]:
    """Each caution."""
    return [one.text for one in verdict.cautions]


def page(verdict: Verdict, *lines: str) -> str:
    """The answer as text: the figures, the reasons, the cautions."""
    shown = [*lines, "Why", *(f"  {line}" for line in reasons_of(verdict))]
    cautions = cautions_of(verdict)
    return "\n".join([*shown, *(["Mind", *(f"  {line}" for line in cautions)] if cautions else [])])
