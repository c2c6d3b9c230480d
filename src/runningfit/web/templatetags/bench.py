"""The drawn parts that every page shares: tally strokes, swatches, lengths, forms."""

from __future__ import annotations

import uuid

from django import forms, template
from django.template.base import Parser, Token
from django.template.defaulttags import URLNode
from django.template.defaulttags import url as plain_url
from django.urls import NoReverseMatch
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString

from runningfit.core.pieces.finishes import FinishProcess
from runningfit.core.treatments import treatment
from runningfit.core.units import LengthUnit, both_units
from runningfit.core.units.said_torques import torques_in_both
from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.web.form_drawing import field_rows
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.records.queries import newest_record

register = template.Library()


class AddressNode(URLNode):
    """Django's url tag for addresses with values by their place, said quickly."""

    def render(self, context: template.Context) -> SafeString:
        """Draw the address, or keep it under the name asked for; empty there where no page has it."""
        values = [value.resolve(context) for value in self.args]
        try:
            said = address(str(self.view_name.resolve(context)), *values)
        except NoReverseMatch:
            if self.asvar is None:
                raise
            said = ""
        if self.asvar:
            context[self.asvar] = said
            return SafeString("")
        return conditional_escape(said)


@register.tag
def url(parser: Parser, token: Token) -> URLNode:
    """Draw the address of a page, as Django's own tag of this name does."""
    node = plain_url(parser, token)
    if node.kwargs:
        return node
    return AddressNode(node.view_name, node.args, node.kwargs, node.asvar)


@register.simple_tag(takes_context=True)
def once(context: template.Context) -> SafeString:
    """Draw what every form carries: the CSRF token, the form's own token, and the newest record seen."""
    return SafeString(once_of(context))


def once_of(context: template.Context) -> str:
    """Return what every form carries, as ``once`` draws it."""
    return (
        f'<input type="hidden" name="csrfmiddlewaretoken" value="{context.get("csrf_token", "")}">'
        f'<input type="hidden" name="once" value="{uuid.uuid4().hex}">'
        f'<input type="hidden" name="seen" value="{_newest_record(context)}">'
    )


def _newest_record(context: template.Context) -> int:
    # A page may draw a hundred forms; what it saw is one and the same for all of them.
    request = context.get("request")
    newest: int | None = getattr(request, "newest_record", None)
    if newest is None:
        newest = newest_record()
        if request is not None:
            request.newest_record = newest
    return newest


@register.simple_tag
def fields(form: forms.BaseForm, *names: str) -> SafeString:
    """Draw the fields of a form, all of them or those named, each with its label, hint and error."""
    return SafeString(field_rows(form, names))


@register.simple_tag
def part_of_form(form: forms.BaseForm, names: tuple[str, ...]) -> SafeString:
    """Draw some fields of a form that is drawn in parts; what is wrong with all of it stands elsewhere."""
    return SafeString(field_rows(form, names, part=True))


@register.filter
def torques(text: str, unit: str) -> str:
    """Say the torques of a sentence in both units, the shop's first."""
    return torques_in_both(text, LengthUnit(unit))


@register.simple_tag
def swatch(look: str) -> SafeString:
    """Draw the look of a finish as a swatch with its name beside it."""
    return SafeString(drawn.swatch(look))


@register.simple_tag
def strokes(count: int) -> SafeString:
    """Draw a count as tally strokes in fives, as a pencil would; beyond sixty the number alone is clearer."""
    if not 0 < count <= 60:
        return format_html('<span class="num">{}</span>', count)
    lines: list[str] = []
    for index in range(count):
        group, within = divmod(index, 5)
        left = group * 34
        if within < 4:
            lines.append(f"M{left + 4 + within * 6} 3v16")
        else:
            lines.append(f"M{left + 1} 17L{left + 25} 5")
    width = ((count - 1) // 5 + 1) * 34
    return format_html(
        '<svg class="strokes" width="{}" height="22" viewBox="0 0 {} 22" role="img" aria-label="{}">'
        '<path d="{}"/></svg>',
        width,
        width,
        count,
        "".join(lines),
    )


@register.filter
def treatment_words(key: str) -> str:
    """Say a treatment as the trade does, by its key."""
    return treatment(key).label if key else ""


@register.filter
def process_words(process: str) -> str:
    """Say the process of a finish as the trade does."""
    return FinishProcess(process).said if process in set(FinishProcess) else process


@register.filter
def thread(ends: str) -> SafeString:
    """Show a thread as kept; an open question shows every candidate."""
    return SafeString(drawn.thread(ends))


@register.simple_tag(takes_context=True)
def length(context: template.Context, mm: float | None) -> str:
    """Show a length in the shop's unit with the other one beside it."""
    if mm is None:
        return ""
    shop = context.get("shop")
    return both_units(mm, LengthUnit(getattr(shop, "unit", "in")))


@register.filter
def kind_word(row: Lot | Place, count: int = 1) -> SafeString:
    """Say the kind of a lot or a place, in the number that fits."""
    return SafeString(drawn.kind_word(row, count))


@register.filter
def money(value: object) -> str:
    """Show an amount with two places, or a dash where nobody said one."""
    return "–" if value is None else f"{value:,.2f}"
