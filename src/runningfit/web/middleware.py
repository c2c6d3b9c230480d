"""What every request passes: the door, the rules for a page's resources, and errors said as answers."""

from __future__ import annotations

import errno
import sys
import time
from collections.abc import Callable

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.template import loader
from django.urls import reverse
from django.utils.cache import patch_vary_headers

from runningfit.core.errors import (
    AlreadyDone,
    Conflict,
    DataFolderError,
    InvalidInput,
    NotFound,
    NothingChanged,
    RunningFitError,
)

DISK_FULL = (
    "The disk with the data folder is full or cannot be written, so this was not kept. Nothing that was kept "
    "before is lost. Make room on that disk, then go back and send it again; what you typed is still there."
)
HELD_TOO_LONG = (
    "Somebody else's work held the books too long (a big list, perhaps), so this was not kept. Wait a "
    "little, then go back and send it again; what you typed is still there."
)

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


def only_so_much(get_response: Answer) -> Answer:
    """Refuse a sending larger than any honest one before a byte of it is read."""

    def middleware(request: HttpRequest) -> HttpResponseBase:
        sent = request.META.get("CONTENT_LENGTH") or "0"
        if sent.isdecimal() and int(sent) > settings.SENDING_LIMIT_BYTES:
            limit_mb = settings.SENDING_LIMIT_BYTES // 2**20
            return HttpResponse(
                f"This sending has {int(sent) // 2**20} MB; at most {limit_mb} MB are taken at once. "
                "Go back and send fewer photos at a time; nothing was kept of this one.",
                content_type="text/plain; charset=utf-8",
                status=413,
            )
        return get_response(request)

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
        if isinstance(error, AlreadyDone | NothingChanged):
            messages.info(request, str(error))
            return redirect(_back(request))
        if isinstance(error, RequestDataTooBig | TooManyFieldsSent):
            error = InvalidInput(
                "what was sent",
                needs=f"at most {settings.DATA_UPLOAD_MAX_MEMORY_SIZE // 2**20} MB in 20,000 fields",
                came="more",
                remedy="Send it in parts.",
            )
        trouble = trouble_with_the_folder(error)
        if trouble is not None:
            error, status = trouble
        elif isinstance(error, RunningFitError):
            status = 404 if isinstance(error, NotFound) else 409 if isinstance(error, Conflict) else 400
        else:
            return None
        page = {"error": error, "back": _back(request), "title": "This could not be done"}
        return render(request, "refused.html", page, status=status)


errors_as_answers = ErrorsAsAnswers


def trouble_with_the_folder(error: BaseException | None) -> tuple[DataFolderError, int] | None:
    """Return what to say, and the status, of a full disk or a database that is held too long; else None."""
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return DataFolderError(DISK_FULL), 507
    if not isinstance(error, OperationalError):
        return None
    said = str(error).lower()
    if any(words in said for words in ("disk is full", "no space left", "disk i/o error", "readonly")):
        return DataFolderError(DISK_FULL), 507
    if any(words in said for words in ("locked", "lock timeout", "deadlock")):
        return DataFolderError(HELD_TOO_LONG), 503
    return None


def broke(_request: HttpRequest) -> HttpResponse:
    """Say that something broke where no page could be made any more, and what to do where that is known."""
    said, status = trouble_with_the_folder(sys.exc_info()[1]) or ("", 500)
    return HttpResponse(loader.get_template("500.html").render({"said": said}), status=status)


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
