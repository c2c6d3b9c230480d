"""Pages of bench lists: read in, look at the rows, correct them, accept them, see what an edit changes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from runningfit.core.errors import AlreadyDone, InvalidInput, RunningFitError
from runningfit.core.pieces.understood import Meaning
from runningfit.web.hands import hand, kept
from runningfit.web.pieces import list_reads
from runningfit.web.pieces.list_forms import AcceptForm, ColumnsForm, ImportForm, RowForm
from runningfit.web.records.views import job_page
from runningfit.workshop.pieces import bench_intake, bench_lists, bench_rows
from runningfit.workshop.pieces.bench_applying import Choice, apply_changes, need_choice
from runningfit.workshop.pieces.bench_changes import changes_of
from runningfit.workshop.pieces.bench_intake import News, TakenIn
from runningfit.workshop.pieces.models import BenchList, BenchRow
from runningfit.workshop.records.queries import job_by_id

CHANGES_SHOWN = 200
_NEWS = {
    News.NEW: "Read in. Nothing is counted yet: look at the rows, then accept them.",
    News.EDITED: "This is a list you know, edited. Nothing is changed yet: look at what it changes.",
    News.SAME_FILE: "This very file was read in before; nothing was changed.",
    News.SAME_ROWS: "Every row of this file is in this list already; nothing was changed.",
}


def import_list(request: HttpRequest, job_id: int) -> HttpResponse:
    """Read a list in from a file or from pasted text."""
    job = job_by_id(job_id)
    form = ImportForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        name, data = form.sent
        with kept(form):
            taken = bench_intake.take_in(job=job, name=name, data=data, hand=hand(request))
        if form.is_valid():
            messages.info(request, _NEWS[taken.news])
            return redirect(_page_of(taken), job.pk, taken.bench_list.pk)
    lists = [(one, list_reads.counts_of_list(one)) for one in bench_lists.lists_of(job)[:50]]
    page = job_page(job, here="strip", title="Import a list", form=form, lists=lists)
    return render(request, "pieces/import_list.html", page, status=400 if form.errors else 200)


def bench_list(request: HttpRequest, job_id: int, list_id: int) -> HttpResponse:
    """Show the rows of a list as understood, beside what was typed."""
    job = job_by_id(job_id)
    one = bench_lists.list_by_id(job, list_id)
    page = job_page(job, here="strip", title=one.name, **_list_page(request, one))
    return render(request, "pieces/bench_list.html", page)


@require_POST
def remap_list(request: HttpRequest, job_id: int, list_id: int) -> HttpResponse:
    """Read the columns of a list otherwise."""
    one = bench_lists.list_by_id(job_by_id(job_id), list_id)
    form = ColumnsForm(request.POST, columns=bench_rows.columns_restored(one.columns))
    if not form.is_valid():
        raise InvalidInput("column", needs="one of the meanings offered", came="something else")
    made = bench_intake.remap(bench_list=one, columns=form.chosen, hand=hand(request))
    messages.success(request, "Read again, with the columns as you chose them.")
    return redirect("bench_list", job_id, made.pk)


@require_POST
def accept_list(request: HttpRequest, job_id: int, list_id: int) -> HttpResponse:
    """Bring every row that can be counted into the books."""
    one = bench_lists.list_by_id(job_by_id(job_id), list_id)
    form = AcceptForm(request.POST, one=one)
    if not form.is_valid():
        raise InvalidInput("came off", needs="an engine of this job, or not known", came="something else")
    accepted = bench_lists.accept(
        bench_list=one,
        hand=hand(request),
        origin=form.cleaned_data["origin"],
        expected_pieces=form.cleaned_data["pieces"],
    )
    messages.success(
        request, f"Accepted: {accepted.rows} rows, {accepted.pieces} pieces, kept as {accepted.lots} lots."
    )
    return redirect("bench_list", job_id, one.pk)


@require_POST
def put_list_aside(request: HttpRequest, job_id: int, list_id: int) -> HttpResponse:
    """Put a list aside, or take it back."""
    one = bench_lists.list_by_id(job_by_id(job_id), list_id)
    bench_lists.put_aside(bench_list=one, aside=not one.put_aside, hand=hand(request))
    return redirect("bench_list", job_id, one.pk)


def bench_row(request: HttpRequest, job_id: int, list_id: int, row: int) -> HttpResponse:
    """Correct one row, on a page of its own or in its place in the list."""
    job = job_by_id(job_id)
    one = bench_lists.list_by_id(job, list_id)
    line = get_object_or_404(BenchRow.objects.select_related("bench_list__job"), bench_list=one, row=row)
    problems = bench_rows.understood_of(line).problems
    first = problems[0].field if problems else None
    form = RowForm(request.POST or None, texts=bench_rows.texts_of(one, line), first=first)
    trouble = ""
    if request.method == "POST":
        try:
            _act_on(request, line, form)
        except AlreadyDone:
            trouble = ""
        except RunningFitError as error:
            trouble = str(error)
        if not trouble and request.htmx:  # type: ignore[attr-defined]
            return render(request, "pieces/bench_list.html#row", _row_page(one, line))
        if not trouble:
            return redirect(f"{_list_url(one)}?after={max(line.row - 1, 0)}")
    shown = list_reads.row_shown(line)
    page = job_page(
        job, here="strip", title=f"Row {row} of {one.name}", list=one, shown=shown, form=form, trouble=trouble
    )
    template = "pieces/bench_row.html#edit" if request.htmx else "pieces/bench_row.html"  # type: ignore[attr-defined]
    return render(request, template, page)


def list_changes(request: HttpRequest, job_id: int, list_id: int) -> HttpResponse:
    """Show what an edited list changes, row by row, and apply it."""
    job = job_by_id(job_id)
    one = bench_lists.list_by_id(job, list_id)
    if request.method == "POST":
        applied = apply_changes(bench_list=one, choices=_choices(request), hand=hand(request))
        messages.success(
            request,
            f"Applied: {applied.changed} changed, {applied.added} added, {applied.taken_out} taken out, "
            f"{applied.kept} kept as they stood, {applied.left_open} left open.",
        )
        return redirect("bench_list_changes", job.pk, one.pk)
    changes = changes_of(one)
    added = list_reads.as_shown([change.row for change in changes.added[:CHANGES_SHOWN]])
    gone = list_reads.as_shown([change.row for change in changes.gone[:CHANGES_SHOWN]])
    page = job_page(
        job,
        here="strip",
        title=f"What {one.name} changes",
        list=one,
        changes=changes,
        changed=[
            (change, shown)
            for change, shown in zip(
                changes.changed[:CHANGES_SHOWN],
                list_reads.as_shown([change.row for change in changes.changed[:CHANGES_SHOWN]]),
                strict=True,
            )
        ],
        added=added,
        gone=list(zip(changes.gone, gone, strict=False)),
        newer=bench_lists.newer_list(one),
    )
    return render(request, "pieces/bench_list_changes.html", page)


@require_POST
def another_list(request: HttpRequest, job_id: int, list_id: int) -> HttpResponse:
    """Say that a list is one of its own."""
    one = bench_lists.list_by_id(job_by_id(job_id), list_id)
    own = bench_intake.another_list(bench_list=one, hand=hand(request))
    messages.success(request, "Taken as a list of its own: accepting it counts all its rows.")
    return redirect("bench_list", job_id, own.pk)


def _page_of(taken: TakenIn) -> str:
    return "bench_list_changes" if taken.news is News.EDITED else "bench_list"


def _list_url(one: BenchList) -> str:
    return f"/jobs/{one.job_id}/lists/{one.pk}"


def _list_page(request: HttpRequest, one: BenchList) -> dict[str, Any]:
    show = request.GET.get("show", "all")
    show = show if show in list_reads.SHOWN else "all"
    after = request.GET.get("after", "")
    rows, more = list_reads.rows_shown(one, show=show, after=int(after) if after.isdecimal() else 0)
    columns = bench_rows.columns_restored(one.columns)
    return {
        "list": one,
        "counts": list_reads.counts_of_list(one),
        "rows": rows,
        "more": more,
        "show": show,
        "accept": AcceptForm(one=one),
        "columns": ColumnsForm(columns=columns),
        "sample": [
            [typed.get(str(column.index), "") for column in columns.columns]
            for typed in list_reads.sample_of(one)
        ],
        "newer": bench_lists.newer_list(one),
    }


def _row_page(one: BenchList, line: BenchRow) -> dict[str, Any]:
    return {
        "job": one.job,
        "list": one,
        "shown": list_reads.row_shown(line),
        "counts": list_reads.counts_of_list(one),
        "swapped": True,
    }


def _act_on(request: HttpRequest, line: BenchRow, form: RowForm) -> None:
    """Do to a row what the form asks: answer a question, set it aside, bring it back, correct its texts."""
    act, _, value = request.POST.get("act", "").partition(":")
    if act == "end":
        number, _, designation = value.partition(":")
        end = int(number) if number.isdecimal() else -1
        bench_lists.choose_thread(row=line, end=end, designation=designation, hand=hand(request))
    elif act == "read":
        field, _, text = value.partition(":")
        bench_lists.correct_row(row=line, texts={Meaning(field): text}, hand=hand(request))
    elif act == "aside":
        bench_lists.set_aside(row=line, hand=hand(request))
    elif act == "back":
        bench_lists.bring_back(row=line, hand=hand(request))
    elif form.is_valid():
        bench_lists.correct_row(row=line, texts=form.texts, hand=hand(request))


def _choices(request: HttpRequest) -> dict[int, Choice]:
    return {
        int(name.removeprefix("row-")): need_choice(str(value))
        for name, value in request.POST.items()
        if name.startswith("row-") and name.removeprefix("row-").isdecimal() and value
    }
