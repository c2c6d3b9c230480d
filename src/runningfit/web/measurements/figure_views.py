"""Pages of the engine figures: the figures themselves, the sizes behind them, the timing, the maker's."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from runningfit.core.errors import InvalidInput, NotFound
from runningfit.core.units import LengthUnit
from runningfit.web.addresses import address
from runningfit.web.hands import hand, kept
from runningfit.web.measurements.figure_drawing import cylinder_drawing, timing_drawing
from runningfit.web.measurements.figure_forms import MakersForm, SizesForm, TimingForm, sizes_start
from runningfit.web.measurements.figure_saying import (
    about,
    cylinder_lines,
    effect_lines,
    maker_lines,
    ratios_brief,
    swept_said,
    timing_brief,
    timing_lines,
)
from runningfit.web.records.views import job_page
from runningfit.workshop.measurements import timing as verbs
from runningfit.workshop.measurements.engine_figures import EngineFigures, engine_figures
from runningfit.workshop.measurements.engine_sizes import say_sizes, sizes_of_engine
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import job_by_id, the_shop


def figures(request: HttpRequest, job_id: int, engine_id: int) -> HttpResponse:
    """Show the figures of an engine, as far as they can be worked out."""
    job, engine = _engine(job_id, engine_id)
    unit = LengthUnit(the_shop().unit)
    wrong, found = _figures(engine, unit)
    read = verbs.timings(engine)
    given = verbs.makers_figures(engine)
    against = verbs.against_maker(found, read, given)
    held = {one.figure.pk for one in against}
    lines = maker_lines(against)
    page = job_page(
        job,
        here="measure",
        slip="figures",
        title=f"Figures of {engine.name}",
        row=engine,
        wrong=wrong,
        found=found,
        swept=swept_said(found.swept_ml, unit) if found.swept_ml else "",
        speed=about(found.speed_m_s, 2, "m/s") if found.speed_m_s else "",
        wanted=f"{found.sizes.ratio_wanted:g}" if found.sizes and found.sizes.ratio_wanted else "",
        lines=cylinder_lines(found.cylinders, found.even, unit),
        drawing=_drawn(found, unit),
        ratios=ratios_brief(found.cylinders),
        effects=effect_lines(found.effects, unit),
        timings=[
            (
                one,
                timing_drawing(one.timing, one.reading.cylinder),
                timing_lines(one, unit),
                timing_brief(one),
            )
            for one in read
        ],
        against=[line for line in lines if line.stamp != "good"],
        within=[line for line in lines if line.stamp == "good"],
        unheld=[one for one in given if one.pk not in held],
    )
    return render(request, "measurements/figures.html", page)


def sizes(request: HttpRequest, job_id: int, engine_id: int) -> HttpResponse:
    """Say the sizes of an engine that its figures need beside the sheet."""
    job, engine = _engine(job_id, engine_id)
    form = SizesForm(request.POST or None, unit=the_shop().unit, initial=sizes_start(sizes_of_engine(engine)))
    if request.method == "POST" and form.is_valid():
        with kept(form):
            say_sizes(engine=engine, said=form.said(), hand=hand(request))
        if form.is_valid():
            return redirect("engine_figures", job.pk, engine.pk)
    return _form_page(request, job, engine, form, "Sizes for the figures", "figure_sizes")


def timing(request: HttpRequest, job_id: int, engine_id: int) -> HttpResponse:
    """Type what a degree wheel shows at one cylinder."""
    job, engine = _engine(job_id, engine_id)
    form = TimingForm(request.POST or None, unit=the_shop().unit)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            made = verbs.take_timing(engine=engine, said=form.said(), hand=hand(request))
        if form.is_valid():
            return redirect(f"{address('engine_figures', job.pk, engine.pk)}#t{made.pk}")
    return _form_page(request, job, engine, form, "Valve timing by a degree wheel", "figure_timing")


def makers(request: HttpRequest, job_id: int, engine_id: int) -> HttpResponse:
    """Type what the maker gives for a figure, with its page."""
    job, engine = _engine(job_id, engine_id)
    form = MakersForm(request.POST or None, unit=the_shop().unit)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            verbs.say_makers_figure(
                engine=engine,
                what=form.cleaned_data["what"],
                lower=form.side("lower"),
                upper=form.side("upper"),
                source=form.cleaned_data["source"],
                hand=hand(request),
            )
        if form.is_valid():
            return redirect("engine_figures", job.pk, engine.pk)
    return _form_page(request, job, engine, form, "What the maker gives", "figure_makers")


@require_POST
def take_back_timing(request: HttpRequest, job_id: int, engine_id: int, reading_id: int) -> HttpResponse:
    """Take back what was read at a cylinder."""
    _, engine = _engine(job_id, engine_id)
    verbs.take_back_timing(reading=verbs.timing_by_id(engine, reading_id), hand=hand(request))
    messages.success(request, "Taken back; the history keeps it.")
    return redirect("engine_figures", job_id, engine_id)


@require_POST
def take_back_makers(request: HttpRequest, job_id: int, engine_id: int, figure_id: int) -> HttpResponse:
    """Take back a maker's figure."""
    _, engine = _engine(job_id, engine_id)
    verbs.take_back_makers_figure(figure=verbs.figure_by_id(engine, figure_id), hand=hand(request))
    messages.success(request, "Taken back; the history keeps it.")
    return redirect("engine_figures", job_id, engine_id)


def _engine(job_id: int, engine_id: int) -> tuple[Job, Engine]:
    job = job_by_id(job_id)
    engine = Engine.objects.filter(job=job, pk=engine_id, withdrawn=False).select_related("job").first()
    if engine is None:
        raise NotFound(f"There is no engine {engine_id} in the job {job.name}.")
    return job, engine


def _figures(engine: Engine, unit: LengthUnit) -> tuple[str, EngineFigures]:
    """Work the figures out; sizes that contradict each other are said, and the rest of the page stands."""
    told = sizes_of_engine(engine)
    try:
        return "", engine_figures(engine, told, unit.value)
    except InvalidInput as error:
        return str(error), EngineFigures(told)


def _drawn(found: EngineFigures, unit: LengthUnit) -> str:
    if not found.cylinders:
        return ""
    crevice_ml = (found.sizes.crevice_ml or 0.0) if found.sizes else 0.0
    return cylinder_drawing(found.cylinders[0].cylinder, unit, crevice_ml=crevice_ml)


def _form_page(
    request: HttpRequest,
    job: Job,
    engine: Engine,
    form: SizesForm | TimingForm | MakersForm,
    title: str,
    template: str,
) -> HttpResponse:
    page = job_page(job, here="measure", slip="figures", title=title, row=engine, form=form)
    return render(request, f"measurements/{template}.html", page, status=400 if form.errors else 200)
