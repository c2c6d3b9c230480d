"""The judge page of a job: every threaded joint with its verdict, what needs a person first."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render

from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.web.joints.listing import Asked, list_joints
from runningfit.web.joints.saying import GROUP_WORDS, QUESTIONS, Group
from runningfit.web.measurements.result_lines import set_lines
from runningfit.web.records.views import job_page
from runningfit.workshop.joints.fit_answers import counted
from runningfit.workshop.joints.fit_judging import fits_of_sheet
from runningfit.workshop.measurements.sheet_now import sheet_of
from runningfit.workshop.pieces.queries import areas_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.queries import job_by_id


def judge(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the joints of a job, narrowed by area, question and group."""
    job = job_by_id(job_id)
    return render(request, "joints/judge.html", job_page(job, here="judge", **_page(job, request.GET)))


def _page(job: Job, sent: QueryDict) -> dict[str, Any]:
    asked = _asked(sent)
    areas = areas_of(job)
    sheet = sheet_of(job)
    found = list_joints(job, asked, {area.pk: area.parent_id for area in areas})
    return {
        "found": found,
        "asked": asked,
        "groups": [(group, words, found.counts.get(group, 0)) for group, words in GROUP_WORDS.items()],
        "areas": [area for area in areas if area.pk in found.areas],
        "sheet_of": next((area for area in areas if area.pk == asked.area), None),
        "questions": list(QUESTIONS.items()),
        "narrowed": asked.area is not None or asked.question is not None,
        "kept": _address(sent, without=("from",)),
        "ungrouped": _address(sent, without=("from", "group")),
        "measured": set_lines(sheet),
        "fit_counts": counted(fits_of_sheet(job, sheet)),
        "title": "Judge",
    }


def _asked(sent: QueryDict) -> Asked:
    area, start = sent.get("area", ""), sent.get("from", "")
    question, group = sent.get("question", ""), sent.get("group", "")
    return Asked(
        area=int(area) if area.isdecimal() and len(area) < 10 else None,
        question=Question(question) if question in set(Question) else None,
        group=Group(group) if group in set(Group) else None,
        start=int(start) if start.isdecimal() and len(start) < 8 else 0,
    )


def _address(sent: QueryDict, without: tuple[str, ...]) -> str:
    """Return what narrows the page, to be sent along with something else."""
    kept = QueryDict(mutable=True)
    kept.update({name: sent.get(name, "") for name in ("area", "question", "group") if sent.get(name)})
    for name in without:
        kept.pop(name, None)
    return kept.urlencode()
