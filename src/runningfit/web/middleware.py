"""What every request passes: the door, the rules for a page's resources, and errors said as answers."""

from __future__ import annotations

import time
from collections.abc import Callable

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import patch_vary_headers

from runningfit.core.errors import AlreadyDone, Conflict, InvalidInput, NotFound, RunningFitError

Answer = Callable[[HttpRequest], HttpResponseBase]

POLICY = (
    "default-src 'self'; img-src 'self' data: blob:; style-src 'self'; script-src 'self'; "
    "object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)


def own_resources_only(get_response: Answer) -> Answer:
    """Let a page load nothing but what this server itself serves."""

    def middleware(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", "camera=(self), microphone=(), geolocation=()")
        if response.headers.get("Content-Type", "").startswith("text/html"):
            # The back button must get the whole page, never the fragment that htmx asked for last.
            response.headers.setdefault("Cache-Control", "no-store")
            patch_vary_headers(response, ["HX-Request"])
        return response

    return middleware


def passcode_at_the_door(get_response: Answer) -> Answer:
    """Ask for the passcode once a device when the shop's network is let in."""

    def middleware(request: HttpRequest) -> HttpResponseBase:
        if settings.LAN and not request.session.get("let_in") and not _open_to_all(request):
            return redirect(f"{reverse('door')}?next={request.path}")
        return get_response(request)

    return middleware


def _open_to_all(request: HttpRequest) -> bool:
    return request.path == reverse("door") or request.path.startswith(settings.STATIC_URL)


class ErrorsAsAnswers:
    """Say an error as a page that names the value, what it needs and what to do; nothing typed is lost."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Return the page for an error raised on purpose; others stay what they are."""
        if isinstance(error, AlreadyDone):
            messages.info(request, str(error))
            return redirect(_back(request))
        if isinstance(error, RequestDataTooBig | TooManyFieldsSent):
            error = InvalidInput(
                "what was sent",
                needs=f"at most {settings.UPLOAD_LIMIT_BYTES // 2**20} MB and 20,000 fields",
                came="more",
                remedy="Send it in parts.",
            )
        if not isinstance(error, RunningFitError):
            return None
        status = 404 if isinstance(error, NotFound) else 409 if isinstance(error, Conflict) else 400
        page = {"error": error, "back": _back(request), "title": "This could not be done"}
        return render(request, "refused.html", page, status=status)


errors_as_answers = ErrorsAsAnswers


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Say that the form was open too long, instead of a bare refusal."""
    page = {
        "error": "The page was open too long, or cookies are switched off, so the form could not be trusted. "
        "Go back, load the page again and send it once more; what you typed is still in the form.",
        "reason": reason,
        "back": _back(request),
        "title": "Please send that again",
    }
    return render(request, "refused.html", page, status=403)


def _back(request: HttpRequest) -> str:
    wanted = request.POST.get("next", "")
    if wanted.startswith("/") and not wanted.startswith("//"):
        return wanted
    return request.path if request.method == "GET" else request.META.get("HTTP_REFERER", "/")


class SlowDoor:
    """Count wrong passcodes of one device and make it wait, so that guessing is no use."""

    def __init__(self, *, tries: int = 5, wait_s: float = 60.0) -> None:
        self.tries = tries
        self.wait_s = wait_s
        self._wrong: dict[str, list[float]] = {}

    def waiting(self, device: str) -> bool:
        """Return whether the device must wait before its next try."""
        since = time.monotonic() - self.wait_s
        recent = [moment for moment in self._wrong.get(device, []) if moment > since]
        self._wrong[device] = recent
        return len(recent) >= self.tries

    def wrong(self, device: str) -> None:
        """Note a wrong passcode of the device."""
        self._wrong.setdefault(device, []).append(time.monotonic())
