"""Views of counting back: bag by bag, or the whole bucket; count, look at the proposal, keep it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from runningfit.core.plan.count_back import Proposal
from runningfit.core.plan.count_back import saying as say
from runningfit.web.hands import hand, kept
from runningfit.web.outside_work.counting_form import CountingForm
from runningfit.web.outside_work.photo_counts import difference
from runningfit.workshop.outside_work import count_back as verbs
from runningfit.workshop.outside_work.count_back import Proposed
from runningfit.workshop.outside_work.expecting import Outside, Scope, outside_of
from runningfit.workshop.outside_work.models import Consignment, CountBack
from runningfit.workshop.outside_work.photos_offered import photographed
from runningfit.workshop.outside_work.queries import consignment_by_number, lines_of, outstanding
from runningfit.workshop.pieces.models import Bag

BUCKET = Scope("bucket")


def count_back(request: HttpRequest, number: int) -> HttpResponse:
    """Count back bag by bag, one after the other; what is all here takes one tap."""
    row = consignment_by_number(number)
    bags = _bags_out(row)
    asked = request.POST.get("bag", request.GET.get("bag", ""))
    chosen = next((bag for bag in bags if str(bag.pk if bag else 0) == asked), bags[0] if bags else None)
    if not bags:
        return redirect("bucket", number)
    return _count(request, row, Scope("bag", chosen), bags)


def bucket(request: HttpRequest, number: int) -> HttpResponse:
    """Count back the whole bucket by kind, thread and length."""
    return _count(request, consignment_by_number(number), BUCKET, [])


def _count(request: HttpRequest, row: Consignment, scope: Scope, bags: list[Bag | None]) -> HttpResponse:
    outside = outside_of(row, scope)
    step = request.POST.get("step", "")
    photos = photographed(outside, scope, request.GET.getlist("photo"))
    form = CountingForm(outside, request.POST if step else None, photo=photos.pieces)
    if step in ("propose", "keep", "all") and form.is_valid():
        proposed: Proposed | None = None
        with kept(form):
            counted = form.as_asked() if step == "all" else form.counted()
            finished = form.cleaned_data["finished"] == "yes"
            proposed = verbs.propose(
                consignment=row, scope=scope, counted=counted, finished=finished, fixed=form.fixed()
            )
            if step != "propose" or (scope.way == "bag" and proposed.proposal.agrees):
                verbs.accept(
                    consignment=row,
                    scope=scope,
                    counted=counted,
                    finished=finished,
                    fixed=form.fixed(),
                    state=form.cleaned_data["state"],
                    damaged_said=form.cleaned_data["damaged_said"],
                    baked=form.cleaned_data.get("baked", ""),
                    hand=hand(request),
                )
                return _kept(request, row, scope, proposed.proposal)
        if form.is_valid() and proposed is not None:
            return render(request, "outside_work/proposal.html", _proposal_page(row, scope, form, proposed))
    page: dict[str, Any] = {
        "consignment": row,
        "form": form,
        "scope": scope,
        "outside": outside,
        "bags": [(bag.pk if bag else 0, bag.code if bag else "no bag") for bag in bags],
        "chosen": scope.bag.pk if scope.bag else 0,
        "expected": sum(one.count for one in outside.fresh),
        "photos": photos,
        "differs": difference(outside, form) if photos.pieces and outside.expected else None,
        "photographed_in": outside.lines[min(outside.lines)].lot.job_id if outside.lines else None,
        "title": f"Count back consignment {row.number}",
    }
    return render(request, "outside_work/count_back.html", page)


def _kept(request: HttpRequest, row: Consignment, scope: Scope, proposal: Proposal) -> HttpResponse:
    back = sum(one.count for one in proposal.back)
    where = f"bag {scope.bag.code}" if scope.bag else "the bucket" if scope.way == "bucket" else "no bag"
    messages.success(
        request, f"{back} back, {where}." + ("" if proposal.agrees else " The rest stays open below.")
    )
    # The next bag goes first: which finish came is asked on the consignment's own page, of all bags at once.
    if scope.way == "bag" and proposal.agrees and _bags_out(row):
        return redirect("count_back", row.number)
    return redirect("consignment", row.number)


def _bags_out(row: Consignment) -> list[Bag | None]:
    """Return the bags of which something was not counted yet; None stands for what went without a bag."""
    counted = set(
        CountBack.objects.filter(consignment=row, withdrawn=False, way="bag", finished=True).values_list(
            "bag_id", flat=True
        )
    )
    if CountBack.objects.filter(consignment=row, withdrawn=False, way="bucket", finished=True).exists():
        return []
    bags = {
        line.bag_id: line.bag for line in lines_of(row) if outstanding(line) and line.bag_id not in counted
    }
    return list(bags.values())


def _proposal_page(row: Consignment, scope: Scope, form: CountingForm, proposed: Proposed) -> dict[str, Any]:
    proposal, lines = proposed.proposal, proposed.outside.by_line
    counted = {group.key: group for group in proposed.counted}
    return {
        "consignment": row,
        "scope": scope,
        "form": form,
        "bags": _by_bag(proposed.outside, proposal),
        "asked": _asked(proposed.outside, proposal),
        "short": [say.short_said(one, lines) for one in proposal.short],
        "swapped": [say.swap_said(one, lines, counted[one.key]) for one in proposal.swapped],
        "over": [say.over_said(one, counted[one.key]) for one in proposal.over],
        "damaged": [
            say.damaged_said(lines[one.line], one.damaged, one.among, lines)
            for one in proposal.back
            if one.damaged and not lines[one.line].defect
        ],
        "unproven": [say.unproven_said(one, lines) for one in proposal.unproven],
        "finish": [say.wrong_said(one, lines) for one in proposal.wrong_finish],
        "lost": [say.twins_said(one, lines) for one in proposal.twins if one.engine_lost],
        "alike": [say.twins_said(one, lines) for one in proposal.twins if not one.engine_lost],
        "still_out": sum(one.count for one in proposal.still_out),
        "proposal": proposal,
        "title": "Is it so?",
    }


def _by_bag(outside: Outside, proposal: Proposal) -> list[dict[str, Any]]:
    """Return the proposed re-bagging: for each bag the sorts that go into it, with their counts."""
    bags: dict[str, dict[int, int]] = {}
    for one in proposal.back:
        line = outside.by_line[one.line]
        into = bags.setdefault(line.bag, {})
        into[one.line] = into.get(one.line, 0) + one.count
    return [
        {
            "code": code,
            "lines": [
                {
                    "count": count,
                    "of": outside.by_line[line].count,
                    "words": outside.by_line[line].sort.said(count).partition(" ")[2],
                    "name": outside.by_line[line].name,
                    "lot": outside.lines[abs(line)].lot,
                }
                for line, count in into.items()
            ],
        }
        for code, into in sorted(bags.items())
    ]


def _asked(outside: Outside, proposal: Proposal) -> list[dict[str, Any]]:
    """Return the lines alike of which some are short: a person may say which bag they are missing from."""
    back: dict[int, int] = {}
    for one in proposal.back:
        back[one.line] = back.get(one.line, 0) + one.count
    sets = [one.among for one in proposal.short] + [one.among for one in proposal.swapped]
    lines = dict.fromkeys(line for among in sets if len(among) > 1 for line in among)
    return [
        {
            "line": outside.by_line[line],
            "count": back.get(line, 0),
            "name": f"f-{line}",
            "words": outside.by_line[line].sort.said(2).partition(" ")[2],
        }
        for line in lines
    ]
