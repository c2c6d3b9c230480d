"""The view of the shop itself: what it says once for all jobs, how phones get in, and its safe copies."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from runningfit.web.hands import hand, kept
from runningfit.web.records.forms import ShopForm
from runningfit.workshop.records import services
from runningfit.workshop.records.queries import the_shop


def shop(request: HttpRequest) -> HttpResponse:
    """Say the shop's name, its label address, its currency and unit; tell how phones get in."""
    now = the_shop()
    start = {"name": now.name, "label_address": now.label_address, "currency": now.currency, "unit": now.unit}
    form = ShopForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        with kept(form):
            services.say_shop(**form.cleaned_data, hand=hand(request))
        if form.is_valid():
            messages.success(request, "Kept.")
            return redirect("shop")
    page = {
        "form": form,
        "lan": settings.LAN,
        "passcode_set": Path(settings.PASSCODE_FILE).exists(),
        "address": f"{request.scheme}://{request.get_host()}/",
        "last_backup": last_backup(Path(settings.DATA) / "backups"),
        "folder": settings.DATA,
        "slip": "shop",
        "title": "The shop",
    }
    return render(request, "records/shop.html", page)


def last_backup(folder: Path) -> dt.datetime | None:
    """Return when the newest backup in the data folder's own place for them was written, or None."""
    try:
        written = [file.stat().st_mtime for file in folder.glob("*.zip")]
    except OSError:
        return None
    return dt.datetime.fromtimestamp(max(written), tz=timezone.get_current_timezone()) if written else None
