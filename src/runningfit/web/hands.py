"""Between a request and a verb: whose hand it is, and how a refused value returns to its form."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager

from django import forms
from django.http import HttpRequest

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput, NotFound, NothingChanged
from runningfit.workshop.records.writing import Hand

SEEN = re.compile("[0-9]{1,18}")


def hand(request: HttpRequest, why: str = "") -> Hand:
    """Return whose hand it is, with the token of the form that was sent."""
    return Hand(
        who=request.session.get("who") or "not said",
        why=why or request.POST.get("why", ""),
        token=request.POST.get("once") or None,
        seen=int(seen) if SEEN.fullmatch(seen := request.POST.get("seen", "")) else None,
    )


@contextmanager
def kept(form: forms.Form) -> Iterator[None]:
    """Turn what a verb refuses into an error of the form, so that nothing typed is lost.

    Use it around the verb and look at ``form.is_valid()`` again behind it: it is False when the verb refused.
    """
    try:
        yield
    except (AlreadyDone, NothingChanged):
        raise
    except InvalidInput as error:
        # A field of two words is called by both, with a space between.
        called = error.argument.replace(" ", "_")
        name = called if called in form.fields else None
        form.add_error(name, str(error))
    except (Conflict, NotFound) as error:
        form.add_error(None, str(error))
