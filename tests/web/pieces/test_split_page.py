"""A person who splits a lot of which something was found says of which pieces it was."""

from __future__ import annotations

import pytest
from django.test import Client

from runningfit.workshop.models import Finding, Lot
from runningfit.workshop.pieces.findings import record_finding
from workshop.outside_work.bucket import HAND, a_shed

pytestmark = pytest.mark.django_db
ASKED = "What was found and gauged of the lot was of"


def test_which_pieces_it_was_is_asked_where_something_was_found(client: Client) -> None:
    shed = a_shed()
    lot, clean = shed.lot(6, treatment=""), shed.lot(6, treatment="")
    record_finding(job=shed.job, what="cracked", lot=lot, hand=HAND)
    pages = [f"/jobs/{shed.job.pk}/lots/{one.number}" for one in (lot, clean)]
    assert [ASKED in client.get(page).content.decode() for page in pages] == [True, False]
    client.post(f"{pages[0]}/split", {"split-count": "2", "split-concerns": "part"})
    part = Lot.objects.get(parent=lot)
    assert Finding.objects.get().lot_id == part.pk
    client.post(f"{pages[1]}/split", {"split-count": "2"})
    assert Lot.objects.filter(parent=clean).exists()
