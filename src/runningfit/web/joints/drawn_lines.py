"""Lines of the judge page's tables: one joint each."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.core.treatments.threaded_joint.facts_called import fact_called
from runningfit.core.units import LengthUnit
from runningfit.core.units.said_torques import torques_in_both
from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.web.joints.listing import answers_badly
from runningfit.web.joints.saying import (
    QUESTIONS,
    STAMPS,
    WORDS,
    came_after,
    disagrees,
    joint_address,
    outcome_words,
    way_to_say,
)
from runningfit.workshop.joints.deciding import stands
from runningfit.workshop.joints.models import JointDecision
from runningfit.workshop.joints.queries import JudgedJoint

LOOKS = "piece.looks_sound"


def judge_lines(
    joints: Iterable[JudgedJoint],
    question: Question | None,
    unit: str,
    once: Callable[[], str],
    *,
    focused: bool = False,
) -> str:
    """Draw joints, one ruled line each, with the answer that was asked for or the one that matters most.

    Parameters
    ----------
    once : callable
        What every form carries.
    focused : bool
        Whether the first way in a line takes the focus: where it stands for one that was just told.
    """
    return "".join(
        f'<tr><td class="n">{one.count}</td>\n<td>{_what(one, unit, focused=focused)}</td>\n'
        f"<td>{_verdict(one, question, unit)}</td>\n<td>{_missing(one, once)}</td></tr>\n"
        for one in joints
    )


def _what(one: JudgedJoint, unit: str, *, focused: bool) -> str:
    piece = one.lot or one.place
    assert piece is not None
    kind = drawn.kind_word(piece, one.count)
    name = escape(one.place.name) if one.place is not None else kind
    size = f'<span class="num">{drawn.ends(piece)}{drawn.times_length(piece, unit)}</span>'
    where = [kind] if one.place is not None else []
    area = one.place.area if one.place is not None else one.lot.area if one.lot is not None else None
    if area is not None:
        where.append(escape(area.name))
    if one.lot is None:
        where.append("no lot yet")
    else:
        lot = f'lot <span class="num">{one.lot.number}</span>'
        where.append(f"{lot}, bag {drawn.bag_code(one.lot)}" if one.lot.bag else lot)
    focus = " autofocus" if focused else ""
    link = f'<a class="tapline" href="{joint_address(one)}"{focus}>{name}</a>'
    return f'{link} {size}<div class="why">{", ".join(where)}</div>'


def _verdict(one: JudgedJoint, question: Question | None, unit: str) -> str:
    check = answers_badly(one, question) if question is not None else None
    outcome = check.verdict.outcome if check else one.judgement.outcome
    words = WORDS[outcome] if check else outcome_words(one)
    says = torques_in_both(check.says if check else one.judgement.says, LengthUnit(unit))
    stamp = f'<span class="stamp {STAMPS[outcome]}">{escape(words)}</span>'
    # The line that matters most may answer better than the joint as a whole: say to what.
    first = one.judgement.checks[0]
    asked = "" if check or first.verdict.outcome is outcome else f"{QUESTIONS[first.question]} "
    return f'{stamp} <span class="soft">{asked}</span>{escape(says)}{_decided(one, unit)}'


def _decided(one: JudgedJoint, unit: str) -> str:
    if one.decision is None:
        return ""
    decision = one.decision
    stamp = ""
    if later := came_after(decision, one.judgement):
        told = escape(torques_in_both(later, LengthUnit(unit)))
        stamp = f' <span class="stamp bad">decided before this was known</span> {told}'
    elif not stands(decision, one.judgement):
        stamp = ' <span class="stamp open">the verdict has changed since</span>'
    elif disagrees(decision, one.judgement):
        stamp = ' <span class="stamp bad">against the verdict</span>'
    return f'<div class="why">{decided_words(decision)}{stamp}</div>'


def decided_words(decision: JointDecision) -> str:
    """Draw who decided what, when and why."""
    return (
        f"{escape(decision.who)} decided: {escape(decision.get_choice_display())}, "
        f"{drawn.moment(decision.at)}. {escape(decision.why)}"
    )


def _missing(one: JudgedJoint, once: Callable[[], str]) -> str:
    said = one.judgement.matters_most
    if not said:
        return ""
    way = way_to_say(said, one)
    words = f'<span class="soft">not known:</span> {escape(said)}'
    if way is None:
        return words
    where = f"lot {one.lot.number}" if one.lot is not None else escape(one.place.name if one.place else "")
    unseen = f'<span class="unseen">: {where}</span>'
    words += f' <a class="tapline" href="{escape(way.address)}">{escape(way.words)}{unseen}</a>'
    if one.lot is not None and fact_called(said, one.facts) == LOOKS:
        # Most pieces only wait for somebody's eye: one tap each, and the line is told anew where it stands.
        told = address("looked_at", one.lot.job_id, one.lot.number)
        swap = f'hx-post="{told}" hx-target="closest tr" hx-swap="outerHTML"'
        words += (
            f'<form method="post" action="{told}" {swap}>{once()}'
            f'<button class="plain">Looked: no fault{unseen}</button></form>'
        )
    return words
