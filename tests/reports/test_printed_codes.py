"""Printed QR codes read back, from the page as a printer sets it, by a reader that is not the writer."""

from __future__ import annotations

import pytest
import zxingcpp

from printed_papers import pages_of
from runningfit.reports.labels import SHEETS, LabelSheet, labels
from runningfit.workshop.pieces.bags import make_bag
from runningfit.workshop.records.services import open_job
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
HAND = Hand(who="Ada")
LONG = "https://running-fit.workshop-of-the-long-name.example:8017/engines/bench"


@pytest.mark.parametrize("address", ["http://192.168.1.20:8017", LONG], ids=["short", "long"])
@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_every_code_on_a_sheet_leads_to_its_own_bag(sheet: LabelSheet, address: str) -> None:
    job = open_job(name="Tern", engine_name="Pellworth Tern", hand=HAND)
    bags = [make_bag(job=job, hand=HAND) for _ in range(24)] + [make_bag(job=job, code="K" * 12, hand=HAND)]
    pages = pages_of(labels(bags, sheet=sheet, label_address=address), dots_per_inch=300)
    read = {code.text for page in pages for code in zxingcpp.read_barcodes(page)}
    assert read == {f"{address}/b/{job.pk}/{bag.code}" for bag in bags}
