"""The joints of a job as the judge page lists them: narrowed, grouped, a page at a time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from runningfit.core.treatments.threaded_joint.answers import Check, Question
from runningfit.core.verdicts import Outcome
from runningfit.web.joints.saying import GROUP_HINTS, GROUP_WORDS, Group, group_of
from runningfit.workshop.joints.queries import JudgedJoint
from runningfit.workshop.joints.ranking import RankedJoint, judged_of, ranked_joints
from runningfit.workshop.records.models import Job

# On the phone a joint is a third of the screen high; who wants others than the first narrows the page.
A_PAGE = 25


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


def list_joints(job: Job, asked: Asked, part_of: Mapping[int, int | None]) -> Listing:
    """Narrow, group and page the joints of a job; only those of the page are judged wholly.

    Parameters
    ----------
    part_of : Mapping
        The areas of the job: of what each is a part, by their keys.
    """
    joints = ranked_joints(job)
    within = {area: _within(area, part_of) for area in part_of}
    grouped: dict[Group, list[RankedJoint]] = {group: [] for group in Group}
    for one in joints:
        if asked.area is not None and asked.area not in within.get(one.area_id or 0, ()):
            continue
        if asked.question is None or asked.question in one.standing.unsettled:
            grouped[group_of(one.standing, one.decided)].append(one)
    # Within a group what the judgement puts first stays first.
    groups = list(Group) if asked.group is None else [asked.group]
    wanted = [(group, one) for group in groups for one in grouped[group]]
    start = asked.start if asked.start < len(wanted) else 0
    page = wanted[start : start + A_PAGE]
    judged = zip([group for group, _ in page], judged_of(job, [one for _, one in page]), strict=True)
    sections = tuple(
        Section(group, GROUP_WORDS[group], GROUP_HINTS[group], len(grouped[group]), [one for _, one in pairs])
        for group, pairs in groupby(judged, key=lambda pair: pair[0])
    )
    return Listing(
        sections=sections,
        counts={group: len(ones) for group, ones in grouped.items() if ones},
        areas=frozenset(area for one in {one.area_id for one in joints} for area in within.get(one or 0, ())),
        total=len(joints),
        after=start + A_PAGE if start + A_PAGE < len(wanted) else 0,
        before=max(start - A_PAGE, 0) if start else None,
    )


def next_that_needs_you(job: Job, lot_id: int, place_id: int) -> RankedJoint | None:
    """Return the joint that needs a person after this one, in the order of the judge page.

    Behind the last of them it begins anew; none where no other needs one.

    Parameters
    ----------
    lot_id, place_id : int
        The joint that is looked at; 0 where it has none.
    """
    ranked = ranked_joints(job)
    here = next(
        (at for at, one in enumerate(ranked) if (one.lot_id, one.place_id) == (lot_id, place_id)), len(ranked)
    )
    behind_it = [*ranked[here + 1 :], *ranked[:here]]
    waits = (one for one in behind_it if group_of(one.standing, one.decided) is Group.NEEDS_YOU)
    return next(waits, None)


def _within(area: int, part_of: Mapping[int, int | None]) -> frozenset[int]:
    """Return an area with all that it is a part of."""
    found: set[int] = set()
    at: int | None = area
    while at is not None and at not in found:
        found.add(at)
        at = part_of.get(at)
    return frozenset(found)


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
