"""Templates whose memory is given back as soon as the page is drawn."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.template import TemplateDoesNotExist
from django.template.backends.django import DjangoTemplates, Template, reraise
from django.template.context import make_context
from django.utils.safestring import SafeString


class PageTemplate(Template):
    """A template that leaves nothing behind."""

    def render(self, context: dict[str, Any] | None = None, request: HttpRequest | None = None) -> SafeString:
        """Return the page."""
        about = make_context(context, request, autoescape=self.backend.engine.autoescape)
        try:
            return self.template.render(about)
        except TemplateDoesNotExist as error:
            reraise(error, self.backend)
        finally:
            # Django's context and its dictionaries hold each other, and with them every row of the page: they
            # would lie about until the garbage collector stops the server for all of them at once.
            about.dicts = []


class PageTemplates(DjangoTemplates):
    """Django's templates, each drawn as a PageTemplate."""

    def get_template(self, template_name: str) -> PageTemplate:
        """Return a template by its name."""
        try:
            return PageTemplate(self.engine.get_template(template_name), self)
        except TemplateDoesNotExist as error:
            reraise(error, self)
