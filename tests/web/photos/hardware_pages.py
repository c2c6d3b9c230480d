"""Reading and filling the pages of photographed hardware: what their tests share."""

from __future__ import annotations

import re
from html import unescape

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from runningfit.workshop.models import PhotoRun
from runningfit.workshop.photos.grouping import grouped, state_of
from runningfit.workshop.photos.hardware_reads import pieces_of
from runningfit.workshop.records.models import Job


def file(data: bytes, name: str = "tray.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type="image/jpeg")


def at(job: Job, rest: str = "") -> str:
    return f"/jobs/{job.pk}/hardware{rest}"


def page_of(client: Client, where: str) -> str:
    return client.get(where).content.decode()


def told(html: str) -> str:
    """The words of a page, each space once."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def accept_form(run: PhotoRun, **more: object) -> dict[str, object]:
    groups = grouped(pieces_of(run))
    form: dict[str, object] = {"once": "a", "bag": "+", "other_bag": "", "area": "", "origin": ""}
    for group in groups:
        form |= {f"k-{group.key}": "on", f"n-{group.key}": len(group.pieces), f"p-{group.key}": ""}
    return form | {"state": state_of(pieces_of(run))} | more
