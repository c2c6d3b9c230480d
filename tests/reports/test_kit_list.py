"""The kit list as a PDF: its words, and text that tries to break out of it."""

from __future__ import annotations

import datetime as dt

import pytest

from printed_papers import words_of
from runningfit.reports.kit_list import kit_list
from runningfit.workshop.build.queries import kit_of
from runningfit.workshop.models import Area, Bag
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.places import PlaceFacts, add_place
from runningfit.workshop.plan.services import allot
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


def test_the_kit_list_names_place_bag_count_and_what_is_missing(area: Area) -> None:
    facts = PlaceFacts(
        name="cover bolts",
        count=9,
        basis="assumed",
        kind="hex_bolt",
        end_a=("5/16-24 UNF",),
        length_mm=34.925,
        length_nominal="1 3/8 in",
        torque_typed="18 lbf ft",
    )
    place = add_place(area=area, facts=facts, hand=ANN)
    bag = Bag.objects.create(job=area.job, code="T1")
    held = LotFacts(count=7, kind="hex_bolt", end_a=("5/16-24 UNF",), length_mm=34.925, bag=bag)
    allot(lot=keep_lot(job=area.job, facts=held, hand=ANN), place=place, count=7, hand=ANN)
    said = words_of(kit_list(kit_of(area), today=dt.date(2026, 3, 10)))
    for words in (
        "Kit list: Gear case",
        "10 Mar 2026",
        "cover bolts: 2 of 9 missing",
        "bag T1, lot 1",
        "18 lbf ft",
    ):
        assert words in said
    assert "a piece that was lost before cannot show" in said


def test_words_that_look_like_commands_are_printed_as_words(area: Area) -> None:
    hostile = '#panic("out") $x^2$ *bold* \\ "quoted" #read("/etc/passwd")'
    add_place(area=area, facts=PlaceFacts(name=hostile, count=1, basis="holes_counted"), hand=ANN)
    said = words_of(kit_list(kit_of(area), today=dt.date(2026, 3, 10)))
    assert '#panic("out") $x^2$ *bold*' in said
