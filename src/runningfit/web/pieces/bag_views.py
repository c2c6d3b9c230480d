"""Pages of bags: the list, one bag with its contents, counting, packing; and what a label's QR code opens."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.web.hands import hand, kept
from runningfit.web.pieces.bag_forms import BagForm, CountForm, PackForm
from runningfit.web.records.views import job_page
from runningfit.workshop.outside_work.queries import out_with
from runningfit.workshop.photos.queries import photos_of_bag
from runningfit.workshop.pieces import bags as bag_verbs
from runningfit.workshop.pieces.models import Bag
from runningfit.workshop.records.queries import job_by_id

A_PAGE = 100
PHOTOS_SHOWN = 8


def bags(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the bags of a job by code, and make a new one."""
    job = job_by_id(job_id)
    form = BagForm(job, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            bag = bag_verbs.make_bag(job=job, **form.cleaned_data, hand=hand(request))
        if form.is_valid():
            return redirect("bag", job.pk, bag.code)
    rows = bag_verbs.page_of_bags(job, after=request.GET.get("after", ""), most=A_PAGE + 1)
    page = job_page(
        job,
        here="strip",
        form=form,
        lines=bag_verbs.bag_lines(rows[:A_PAGE]),
        after=rows[A_PAGE - 1].code if len(rows) > A_PAGE else "",
        next_code=bag_verbs.new_code(job),
        slip="bags",
        title="Bags",
    )
    return render(request, "pieces/bags.html", page)


def bag(request: HttpRequest, job_id: int, code: str) -> HttpResponse:
    """Show a bag with what it holds."""
    return render(request, "pieces/bag.html", _page(_bag(job_id, code)))


def bag_by_label(_request: HttpRequest, job_id: int, code: str) -> HttpResponse:
    """Go from a label's QR code to the page of its bag."""
    found = _bag(job_id, code)
    return redirect("bag", job_id, found.code)


@require_POST
def count(request: HttpRequest, job_id: int, code: str) -> HttpResponse:
    """Take a fresh count of what is in the bag; one tap says that all is here."""
    found = _bag(job_id, code)
    inside = bag_verbs.contents(found)
    form = CountForm(inside, request.POST)
    if form.is_valid():
        with kept(form):
            counted = (
                [(one.lot, one.counts.here) for one in inside]
                if "all_here" in request.POST
                else form.counted()
            )
            different = bag_verbs.count_bag(
                bag=found,
                counted=counted,
                missing=not form.cleaned_data["wrong_before"],
                hand=hand(request),
            )
        if form.is_valid():
            said = f"{different} differ from the books; the books follow." if different else "All as written."
            messages.success(request, f"Counted. {said}")
            return redirect("bag", job_id, found.code)
    return render(request, "pieces/bag.html", _page(found, count_form=form))


@require_POST
def pack(request: HttpRequest, job_id: int, code: str) -> HttpResponse:
    """Put lots, or some of one lot, into the bag."""
    found = _bag(job_id, code)
    form = PackForm(found, request.POST)
    if form.is_valid():
        with kept(form):
            bag_verbs.pack(bag=found, lots=form.picked(), hand=hand(request))
        if form.is_valid():
            return redirect("bag", job_id, found.code)
    return render(request, "pieces/bag.html", _page(found, pack_form=form))


@require_POST
def change(request: HttpRequest, job_id: int, code: str) -> HttpResponse:
    """Say that the bag is packed, or open again; change its area or note."""
    found = _bag(job_id, code)
    if "packed" in request.POST:
        bag_verbs.change_bag(bag=found, packed=request.POST["packed"] == "yes", hand=hand(request))
        return redirect("bag", job_id, found.code)
    form = BagForm(found.job, request.POST)
    if form.is_valid():
        with kept(form):
            bag_verbs.change_bag(
                bag=found, area=form.cleaned_data["area"], note=form.cleaned_data["note"], hand=hand(request)
            )
        if form.is_valid():
            return redirect("bag", job_id, found.code)
    return render(request, "pieces/bag.html", _page(found, form=form))


def _bag(job_id: int, code: str) -> Bag:
    return bag_verbs.bag_by_code(job_by_id(job_id), code)


def _page(
    found: Bag,
    form: BagForm | None = None,
    count_form: CountForm | None = None,
    pack_form: PackForm | None = None,
) -> dict[str, Any]:
    inside = bag_verbs.contents(found)
    counting = count_form or CountForm(inside)
    line = bag_verbs.bag_lines([found])[0]
    start = {"area": found.area_id, "note": found.note}
    return job_page(
        found.job,
        here="strip",
        bag=found,
        line=line,
        inside=[(one, counting[f"lot{one.lot.number}"]) for one in inside],
        count_form=counting,
        counting=count_form is not None,
        countable=any(one.counts.here or one.counts.missing for one in inside) or count_form is not None,
        away=out_with(bag=found),
        pack_form=pack_form or PackForm(found),
        packing=pack_form is not None or not inside,
        form=form or BagForm(found.job, initial=start),
        changing=form is not None,
        photos=photos_of_bag(found, most=PHOTOS_SHOWN),
        outside=sum(one.counts.outside for one in inside),
        missing=sum(one.counts.missing for one in inside),
        slip="bags",
        title=f"Bag {found.code}",
    )
