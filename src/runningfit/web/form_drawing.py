"""The plain fields of forms, drawn in Python: a page has up to forty, each a template or two of Django's."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from html import escape
from typing import Any

from django import forms
from django.forms.renderers import DjangoTemplates
from django.http import HttpRequest
from django.utils.safestring import SafeString


class PlainFields(DjangoTemplates):
    """Draws texts, choices and ticks itself, as Django's own templates do, and leaves the others to these."""

    def render(
        self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None
    ) -> SafeString:
        """Return a widget as HTML."""
        draw = _DRAWN.get(template_name)
        if draw is None or context["widget"].get("wrap_label"):
            return SafeString(super().render(template_name, context, request))
        return SafeString(draw(context["widget"]))


def _input(widget: Mapping[str, Any]) -> str:
    value = "" if widget["value"] is None else f' value="{_text(widget["value"])}"'
    return f'<input type="{widget["type"]}" name="{_text(widget["name"])}"{value}{_attrs(widget["attrs"])}>'


def _textarea(widget: Mapping[str, Any]) -> str:
    value = _text(widget["value"]) if widget["value"] else ""
    return f'<textarea name="{_text(widget["name"])}"{_attrs(widget["attrs"])}>\n{value}</textarea>'


def _select(widget: Mapping[str, Any]) -> str:
    options = "\n".join(_options(name, group) for name, group, _index in widget["optgroups"])
    return f'<select name="{_text(widget["name"])}"{_attrs(widget["attrs"])}>\n{options}\n</select>'


def _options(name: object, group: Iterable[Mapping[str, Any]]) -> str:
    options = "\n".join(
        f'<option value="{_text(option["value"])}"{_attrs(option["attrs"])}>{_text(option["label"])}</option>'
        for option in group
    )
    return f'<optgroup label="{_text(name)}">\n{options}\n</optgroup>' if name else options


_DRAWN: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "django/forms/widgets/radio_option.html": _input,
    "django/forms/widgets/checkbox_option.html": _input,
    "django/forms/widgets/select.html": _select,
    "django/forms/widgets/textarea.html": _textarea,
} | {f"django/forms/widgets/{kind}.html": _input for kind in ("text", "number", "date", "hidden", "checkbox")}


def _attrs(attrs: Mapping[str, Any]) -> str:
    return "".join(
        f" {name}" if value is True else f' {name}="{_text(value)}"'
        for name, value in attrs.items()
        if value is not False
    )


def _text(value: object) -> str:
    return str(value) if hasattr(value, "__html__") else escape(str(value))


def field_rows(form: forms.BaseForm, names: tuple[str, ...], *, part: bool = False) -> str:
    """Draw the fields of a form, all of them or those named, each with its label, hint and error.

    What is wrong with the form as a whole stands above, but not above a part of it.
    """
    shown = [form[name] for name in names] if names else list(form)
    if part:
        return "\n".join(_field(field) for field in shown)
    wrong = "".join(f"<p>{_text(error)}</p>" for error in form.non_field_errors())
    above = f'<div class="wrong" role="alert">{wrong}</div>' if wrong else ""
    return above + "\n".join(_field(field) for field in shown)


def _field(field: forms.BoundField) -> str:
    if field.is_hidden:
        return str(field)
    errors = "".join(f'<p class="wrong" role="alert">{_text(error)}</p>' for error in field.errors)
    bad = " bad" if errors else ""
    label, hint = _text(field.label), _text(field.help_text) if field.help_text else ""
    if field.widget_type == "radioselect":
        taps = "\n".join(
            f'<label class="tap">{radio.tag()}<span>{_text(radio.choice_label)}</span></label>'
            for radio in field
        )
        said = f'<p class="hint">{hint}</p>' if hint else ""
        return f'\n<fieldset class="taps{bad}"><legend>{label}</legend>\n{taps}\n{said}{errors}</fieldset>'
    tick = " tick" if field.widget_type == "checkbox" else ""
    said = f'<p class="hint" id="{field.id_for_label}_helptext">{hint}</p>' if hint else ""
    return (
        f'\n<div class="field{bad}{tick}">\n<label for="{field.id_for_label}">{label}</label>\n'
        f"{field}\n{said}\n{errors}\n</div>"
    )
