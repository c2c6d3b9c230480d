"""Addresses and fields that are drawn in Python are what Django itself would say."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates
from django.template import Context, Template
from django.urls import NoReverseMatch, reverse

from runningfit.web.addresses import address
from runningfit.web.form_drawing import PlainFields, field_rows

NASTY = "<b>\"5/16\" & '2BA'</b>"


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("jobs", ()),
        ("lot", (12, 777)),
        ("bag", (12, "T7")),
        ("bag", (12, "GC.4")),
        ("bag", (3, "a b/ä&?")),
        ("photo", (7, "thumb")),
    ],
)
def test_an_address_is_that_of_django(name: str, values: tuple[object, ...]) -> None:
    try:
        expected = reverse(name, args=values)
    except NoReverseMatch:
        expected = ""
    if expected:
        # Asked twice: the first time the pattern is made, the second time it is kept.
        assert [address(name, *values) for _ in range(2)] == [expected] * 2
    else:
        with pytest.raises(NoReverseMatch, match="Reverse for"):
            address(name, *values)


@pytest.mark.parametrize(("name", "values"), [("no such page", ()), ("lot", (-1, 2)), ("lot", ("x", 2))])
def test_an_address_that_is_none_is_refused(name: str, values: tuple[object, ...]) -> None:
    with pytest.raises(NoReverseMatch, match="Reverse for"):
        address(name, *values)


def test_the_tag_keeps_an_address_under_a_name_and_nothing_where_there_is_none() -> None:
    said = Template("{% url 'lot' 1 2 as a %}{% url 'lot' -1 2 as b %}[{{ a }}|{{ b }}]{% url 'lot' 3 4 %}")
    assert said.render(Context()) == "[/jobs/1/lots/2|]/jobs/3/lots/4"


class Every(forms.Form):
    """Each sort of field that the pages have."""

    words = forms.CharField(label=NASTY, help_text=NASTY, required=False, max_length=30)
    many_words = forms.CharField(widget=forms.Textarea(attrs={"rows": 3, "class": NASTY}), required=False)
    number = forms.IntegerField(min_value=1, max_value=9, required=False)
    day = forms.DateField(required=False, widget=forms.DateInput(attrs={"type": "date"}))
    hidden = forms.CharField(widget=forms.HiddenInput, required=False)
    tick = forms.BooleanField(required=False)
    one = forms.ChoiceField(
        choices=[("", "none"), (NASTY, NASTY), ("group", [("a", "A"), ("b", NASTY)])], required=False
    )
    tapped = forms.ChoiceField(
        choices=[("a", NASTY), ("b", "B")], widget=forms.RadioSelect, initial="a", required=False
    )
    ticked = forms.MultipleChoiceField(
        choices=[("a", "A"), ("b", "B")], widget=forms.CheckboxSelectMultiple, required=False
    )
    file = forms.FileField(required=False)


def close(html: str) -> str:
    """Leave out the space between tags, and say quotes in one way."""
    return re.sub(r"\s*(<[^>]*>)\s*", r"\1", html).replace("&#39;", "&#x27;")


VALUES: list[dict[str, Any] | None] = [
    None,
    dict.fromkeys(Every.base_fields, NASTY),
    {"words": "", "number": "4", "day": "2026-11-25", "tick": "on", "one": "b", "tapped": "b"},
    {"many_words": "a\nb", "ticked": ["a", "b"], "number": "x", "hidden": "5"},
]


@pytest.mark.parametrize("values", VALUES)
def test_each_field_is_drawn_as_django_draws_it(values: dict[str, Any] | None) -> None:
    ours, djangos = Every(values, renderer=PlainFields()), Every(values, renderer=DjangoTemplates())
    for name in Every.base_fields:
        assert close(str(ours[name])) == close(str(djangos[name])), name
    for here, there in zip(ours["tapped"], djangos["tapped"], strict=True):
        assert close(here.tag()) == close(there.tag())


def test_a_field_has_its_label_its_hint_and_its_error() -> None:
    form = Every({"number": "77"})
    form.add_error(None, NASTY)
    drawn = field_rows(form, ("words", "number", "tapped", "tick", "hidden"))
    assert "<b>" not in drawn
    assert '<div class="wrong" role="alert"><p>&lt;b&gt;' in drawn
    assert '<p class="hint" id="id_words_helptext">&lt;b&gt;' in drawn
    assert '<div class="field bad">\n<label for="id_number">Number</label>' in drawn
    assert '<p class="wrong" role="alert">Ensure this value is less than or equal to 9.</p>' in drawn
    assert '<fieldset class="taps"><legend>Tapped</legend>' in drawn
    assert '<div class="field tick">' in drawn
    assert drawn.count("<input") == 6
