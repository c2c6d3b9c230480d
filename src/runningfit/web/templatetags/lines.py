"""Tags for lines of tables, which are drawn in Python since a page has up to a hundred of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import Any

from django import template
from django.utils.safestring import SafeString

from runningfit.core.treatments.threaded_joint.answers import Question
from runningfit.web import drawn
from runningfit.web.build import drawn_lines as build
from runningfit.web.joints import drawn_lines as joints
from runningfit.web.outside_work import drawn_lines as outside_work
from runningfit.web.photos import drawn_lines as photos_room
from runningfit.web.photos import hardware_drawing
from runningfit.web.pieces import drawn_lines as pieces
from runningfit.web.plan import drawn_lines as plan
from runningfit.web.records import drawn_lines as records
from runningfit.web.templatetags.bench import once_of
from runningfit.workshop.build.all_jobs import DueLine, JobLine
from runningfit.workshop.build.queries import AreaState, KitPlace
from runningfit.workshop.joints.queries import JudgedJoint
from runningfit.workshop.outside_work.queries import ConsignmentSum
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.bags import BagLine
from runningfit.workshop.pieces.models import Bag, Fastener, Finding, Lot, Place
from runningfit.workshop.pieces.queries import LotLine
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.plan.queries import PlaceLine
from runningfit.workshop.plan.strangers import Stranger
from runningfit.workshop.records.queries import Act

register = template.Library()


def _unit(context: template.Context) -> str:
    return getattr(context.get("shop"), "unit", "in")


def _currency(context: template.Context) -> str:
    return getattr(context.get("shop"), "currency", "")


def _job(context: template.Context) -> int:
    job_id: int = context["job"].pk
    return job_id


@register.simple_tag(takes_context=True)
def what(context: template.Context, row: Fastener, count: int) -> SafeString:
    """Draw what a lot is or a place needs."""
    return SafeString(drawn.what(row, count, _unit(context)))


@register.simple_tag
def lot_link(lot: Lot, job_id: int) -> SafeString:
    """Draw a lot as the way to its page, with its bag."""
    return SafeString(drawn.lot_link(lot, job_id))


@register.simple_tag(takes_context=True)
def lot_words(context: template.Context, lot: Lot, count: int) -> SafeString:
    """Draw a lot in words."""
    return SafeString(drawn.lot_words(lot, count, _unit(context)))


@register.simple_tag(takes_context=True)
def lot_lines(context: template.Context, lines: Iterable[LotLine]) -> SafeString:
    """Draw lots with their counts."""
    return SafeString(pieces.lot_lines(lines, _unit(context)))


@register.simple_tag(takes_context=True)
def found_lines(context: template.Context, lines: Iterable[LotLine]) -> SafeString:
    """Draw lots of any job."""
    return SafeString(pieces.found_lines(lines, _unit(context)))


@register.simple_tag(takes_context=True)
def place_lines(context: template.Context, places: Iterable[Place]) -> SafeString:
    """Draw places with what each needs."""
    return SafeString(pieces.place_lines(places, _job(context)))


@register.simple_tag
def finding_lines(findings: Iterable[Finding], settling: bool = False) -> SafeString:
    """Draw findings."""
    return SafeString(pieces.finding_lines(findings, settling=settling))


@register.simple_tag(takes_context=True)
def act_lines(context: template.Context, acts: Iterable[Act]) -> SafeString:
    """Draw acts of the history."""
    return SafeString(records.act_lines(acts, of_shop=not context.get("job")))


@register.simple_tag(takes_context=True)
def plan_lines(context: template.Context, lines: Iterable[PlaceLine]) -> SafeString:
    """Draw places of the plan with what fills them."""
    return SafeString(plan.plan_lines(lines, _job(context), _unit(context)))


@register.simple_tag(takes_context=True)
def stranger_lines(context: template.Context, rows: Iterable[Stranger]) -> SafeString:
    """Draw lots that belong nowhere, or may."""
    return SafeString(plan.stranger_lines(rows, _job(context), _unit(context)))


@register.simple_tag(takes_context=True)
def to_buy_lines(context: template.Context, rows: Iterable[ToBuy]) -> SafeString:
    """Draw what is to buy."""
    return SafeString(plan.to_buy_lines(rows, _job(context), _currency(context)))


@register.simple_tag(takes_context=True)
def unlisted_lines(context: template.Context, rows: Iterable[tuple[Place, int]]) -> SafeString:
    """Draw places that miss pieces which are not on the list to buy."""
    return SafeString(plan.unlisted_lines(rows, _job(context), _unit(context), partial(once_of, context)))


@register.simple_tag(takes_context=True)
def area_parts(context: template.Context, areas: Iterable[AreaState]) -> SafeString:
    """Draw areas with whether each can be built now."""
    return SafeString(build.area_parts(areas, _job(context)))


@register.simple_tag(takes_context=True)
def kit_lines(context: template.Context, places: Iterable[KitPlace]) -> SafeString:
    """Draw the places of a kit."""
    return SafeString(build.kit_lines(places, _job(context), _unit(context)))


@register.simple_tag(takes_context=True)
def judge_lines(
    context: template.Context,
    rows: Iterable[JudgedJoint],
    question: Question | None = None,
    focused: bool = False,
) -> SafeString:
    """Draw joints with what each comes to."""
    once = partial(once_of, context)
    return SafeString(joints.judge_lines(rows, question, _unit(context), once, focused=focused))


@register.simple_tag(takes_context=True)
def bag_lines(context: template.Context, lines: Iterable[BagLine]) -> SafeString:
    """Draw bags with what they hold."""
    return SafeString(pieces.bag_lines(lines, _job(context)))


@register.simple_tag
def found_bags(bags: Iterable[Bag]) -> SafeString:
    """Draw bags of any job."""
    return SafeString(pieces.found_bags(bags))


@register.simple_tag
def photo_piece(piece: PhotoPiece, count: int) -> SafeString:
    """Draw what a piece in a photo is, or so many alike ones."""
    return hardware_drawing.what(piece, count)


@register.simple_tag
def cut_out(piece: PhotoPiece, run: PhotoRun) -> SafeString:
    """Draw a piece cut out of the photo that it was measured in."""
    return hardware_drawing.cut_out(piece, run)


@register.simple_tag(takes_context=True)
def photo_figures(context: template.Context, photos: Iterable[Photo]) -> SafeString:
    """Draw photos of a job."""
    return SafeString(photos_room.photo_figures(photos, _job(context)))


@register.simple_tag
def waiting_figures(photos: Iterable[Photo], shown: Photo) -> SafeString:
    """Draw photos that wait for their names."""
    return SafeString(photos_room.waiting_figures(photos, shown))


@register.simple_tag(takes_context=True)
def send_lines(context: template.Context, rows: Iterable[Mapping[str, Any]]) -> SafeString:
    """Draw lots of a job in one state of the way out and back."""
    return SafeString(outside_work.send_lines(rows, context["state"], _job(context), _unit(context)))


@register.simple_tag(takes_context=True)
def consignment_lines(context: template.Context, rows: Iterable[Mapping[str, Any]]) -> SafeString:
    """Draw the lines of a consignment."""
    return SafeString(
        outside_work.consignment_lines(
            rows,
            context["consignment"],
            many_jobs=len(context["jobs"]) > 1,
            currency=_currency(context),
            unit=_unit(context),
            once=partial(once_of, context),
        )
    )


@register.simple_tag(takes_context=True)
def out_lines(context: template.Context, rows: Iterable[ConsignmentSum]) -> SafeString:
    """Draw consignments that are out."""
    return SafeString(outside_work.out_lines(rows, context["today"]))


@register.simple_tag(takes_context=True)
def done_lines(context: template.Context, rows: Iterable[ConsignmentSum]) -> SafeString:
    """Draw consignments that are accounted for."""
    return SafeString(outside_work.done_lines(rows, _currency(context)))


@register.simple_tag
def job_lines(lines: Iterable[JobLine]) -> SafeString:
    """Draw the open jobs."""
    return SafeString(records.job_lines(lines))


@register.simple_tag
def due_lines(lines: Iterable[DueLine]) -> SafeString:
    """Draw what shall come back or arrive."""
    return SafeString(records.due_lines(lines))
