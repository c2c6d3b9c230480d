"""The drawn parts that every page shares: tally strokes, swatches, lengths, forms."""

from __future__ import annotations

import uuid
from typing import Any

from django import forms, template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from runningfit.core.pieces.kinds import Kind, label
from runningfit.core.units import LengthUnit, both_units
from runningfit.workshop.pieces.models import Lot, Place
from runningfit.workshop.records.queries import newest_record

register = template.Library()


@register.simple_tag(takes_context=True)
def once(context: template.Context) -> SafeString:
    """Draw what every form carries: the CSRF token, the form's own token, and the newest record seen."""
    csrf = context.get("csrf_token", "")
    return format_html(
        '<input type="hidden" name="csrfmiddlewaretoken" value="{}">'
        '<input type="hidden" name="once" value="{}"><input type="hidden" name="seen" value="{}">',
        csrf,
        uuid.uuid4().hex,
        _newest_record(context),
    )


def _newest_record(context: template.Context) -> int:
    # A page may draw a hundred forms; what it saw is one and the same for all of them.
    if "newest_record" not in context.render_context:
        context.render_context["newest_record"] = newest_record()
    newest: int = context.render_context["newest_record"]
    return newest


@register.inclusion_tag("parts/fields.html")
def fields(form: forms.BaseForm, *names: str) -> dict[str, Any]:
    """Draw the fields of a form, all of them or those named, each with its label, hint and error."""
    shown = [form[name] for name in names] if names else list(form)
    return {"form": form, "shown": shown}


@register.simple_tag
def swatch(look: str) -> SafeString:
    """Draw the look of a finish as a swatch with its name beside it."""
    return format_html('<span class="sw {}" aria-hidden="true"></span>{}', look, look)


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
def thread(ends: str) -> SafeString:
    """Show a thread as kept; an open question shows every candidate."""
    return format_html_join(mark_safe(' <i class="or">or</i> '), "{}", ((end,) for end in ends.split("|")))


@register.simple_tag(takes_context=True)
def length(context: template.Context, mm: float | None) -> str:
    """Show a length in the shop's unit with the other one beside it."""
    if mm is None:
        return ""
    shop = context.get("shop")
    return both_units(mm, LengthUnit(getattr(shop, "unit", "in")))


@register.filter
def kind_word(row: Lot | Place, count: int = 1) -> str:
    """Say the kind of a lot or a place, in the number that fits."""
    said: str = getattr(row, "kind_said", "")
    if row.kind == "other" and said:
        return said
    return label(Kind(row.kind), count).partition(" ")[2]


@register.filter
def money(value: object) -> str:
    """Show an amount with two places, or a dash where nobody said one."""
    return "–" if value is None else f"{value:,.2f}"
