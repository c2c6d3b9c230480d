"""The joints of a job as the judge page lists them: narrowed, grouped, a page at a time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.verdicts import Outcome
from runningfit.web.joints.saying import GROUP_HINTS, GROUP_WORDS, Group, group_of
from runningfit.workshop.joints.queries import JudgedJoint

A_PAGE = 50


@dataclass(frozen=True, slots=True)
class Asked:
    """What of a job's joints shall be shown.

    Parameters
    ----------
    area : int or None
        Key of the area; its parts count with it.
    question : Question or None
        Only those of which this question is not answered by sound.
    group : Group or None
        Only this group.
    start : int
        How many are passed over.
    """

    area: int | None = None
    question: Question | None = None
    group: Group | None = None
    start: int = 0


@dataclass(frozen=True, slots=True)
class Section:
    """Joints of one group, the part of them that the page shows."""

    key: Group
    title: str
    hint: str
    total: int
    joints: Sequence[JudgedJoint]


@dataclass(frozen=True, slots=True)
class Listing:
    """A page of joints.

    Parameters
    ----------
    sections : tuple of Section
        What is shown.
    counts : mapping
        How many each group has, of those asked for by area and question.
    areas : frozenset of int
        Keys of the areas with joints in themselves or in their parts.
    total : int
        How many joints the job has.
    after : int
        Where the next page begins; 0 where there is none.
    before : int or None
        Where the page before begins; none where this is the first.
    """

    sections: tuple[Section, ...]
    counts: Mapping[Group, int]
    areas: frozenset[int]
    total: int
    after: int
    before: int | None


def list_joints(joints: Sequence[JudgedJoint], asked: Asked, part_of: Mapping[int, int | None]) -> Listing:
    """Narrow, group and page the judged joints of a job.

    Parameters
    ----------
    part_of : Mapping
        The areas of the job: of what each is a part, by their keys.
    """
    within = {area: _within(area, part_of) for area in part_of}
    narrowed = [
        (group_of(one), one)
        for one in joints
        if (asked.area is None or asked.area in within.get(area_of(one) or 0, ()))
        and (asked.question is None or answers_badly(one, asked.question) is not None)
    ]
    counts = Counter(group for group, _ in narrowed)
    order = list(Group)
    # The sort is stable: within a group what the judgement puts first stays first.
    wanted = [pair for pair in narrowed if asked.group is None or pair[0] is asked.group]
    wanted.sort(key=lambda pair: order.index(pair[0]))
    start = asked.start if asked.start < len(wanted) else 0
    shown = wanted[start : start + A_PAGE]
    sections = tuple(
        Section(group, GROUP_WORDS[group], GROUP_HINTS[group], counts[group], [one for _, one in pairs])
        for group, pairs in groupby(shown, key=lambda pair: pair[0])
    )
    return Listing(
        sections=sections,
        counts=counts,
        areas=frozenset(area for one in joints for area in within.get(area_of(one) or 0, ())),
        total=len(joints),
        after=start + A_PAGE if start + A_PAGE < len(wanted) else 0,
        before=max(start - A_PAGE, 0) if start else None,
    )


def _within(area: int, part_of: Mapping[int, int | None]) -> frozenset[int]:
    """Return an area with all that it is a part of."""
    found: set[int] = set()
    at: int | None = area
    while at is not None and at not in found:
        found.add(at)
        at = part_of.get(at)
    return frozenset(found)


def area_of(one: JudgedJoint) -> int | None:
    """Return the key of the area of a joint: of its place, else of its lot."""
    if one.place is not None:
        return one.place.area_id
    return one.lot.area_id if one.lot is not None else None


def answers_badly(one: JudgedJoint, question: Question) -> Check | None:
    """Return the answer to a question where it is not sound."""
    return next(
        (
            check
            for check in one.judgement.checks
            if check.question is question and check.verdict.outcome is not Outcome.SOUND
        ),
        None,
    )
