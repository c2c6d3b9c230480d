"""Tags that draw thread profiles, and the name of a thread as a way to its card."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from django import template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from runningfit.core.standards import thread as standard_thread
from runningfit.web.pieces.thread_drawing import one_thread, two_threads

register = template.Library()
_OR = ' <i class="or">or</i> '


@register.inclusion_tag("parts/thread_drawing.html", takes_context=True)
def thread_drawing(context: template.Context, designation: str) -> dict[str, Any]:
    """Draw the profile of one thread."""
    return {"drawing": one_thread(standard_thread(designation)), "number": _number(context)}


@register.inclusion_tag("parts/threads_over.html", takes_context=True)
def threads_over(context: template.Context, first: str, second: str) -> dict[str, Any]:
    """Draw two threads laid over each other at the same scale."""
    drawing = two_threads(standard_thread(first), standard_thread(second))
    return {"drawing": drawing, "number": _number(context)}


@register.filter
def thread_cards(ends: str) -> SafeString:
    """Show a thread as kept, each name leading to its card; an open question shows every candidate."""
    return mark_safe(_OR.join(thread_link(end) for end in ends.split("|") if end))  # noqa: S308  (escaped below)


@lru_cache(maxsize=2048)
def thread_link(designation: str) -> SafeString:
    """Draw the name of a thread as a way to its card."""
    address = reverse("thread_card", args=[designation])
    return format_html('<a class="thread" href="{}">{}</a>', address, designation)


def _number(context: template.Context) -> int:
    """Number the drawings of a page, so that the hatching of each has a name of its own."""
    drawn: int = (context.render_context.get("drawings") or 0) + 1
    context.render_context["drawings"] = drawn
    return drawn
