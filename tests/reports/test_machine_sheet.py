"""The machine-shop sheet as a PDF: sizes, limits at 20 °C in both units, what to keep, what to mind."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from printed_papers import count_pages, words_of
from runningfit.reports.consignment_note import consignment_note
from runningfit.reports.machine_sheet import machine_sheet
from runningfit.workshop.measurements.inspecting import SaidOfInspection, want_inspection
from runningfit.workshop.models import Consignment, FeatureSet, Job
from runningfit.workshop.outside_work.services import make_up
from runningfit.workshop.records.services import say_shop
from runningfit.workshop.records.writing import Hand
from runningfit.workshop.treatments.machining import decide_step, make_order, say_machining
from runningfit.workshop.treatments.machining_said import SaidOfMachining
from workshop.treatments.worn_engine import ANN, JOURNALS_SAID, SAID, features, journals_of, worn

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 3, 10)


def ordered(one: FeatureSet, said: SaidOfMachining, piece: str, why: str = "") -> Consignment:
    say_machining(feature_set=one, said=said, hand=ANN)
    hand = Hand(who="Ann", why=why or "as ever")
    decide_step(feature_set=one, steps=dict.fromkeys([row.pk for row in features(one)], 0.25), hand=hand)
    return make_order(feature_set=one, hand=hand, shop_name="Hillside Machine Shop", piece=piece)


def paper(consignment: Consignment) -> str:
    return words_of(machine_sheet(consignment, today=DAY))


def test_each_bore_has_its_size_its_limits_and_a_line_for_the_shop_s_figure(job: Job) -> None:
    say_shop(hand=ANN, unit="mm")
    said = paper(ordered(worn(job), SAID, "cylinder block"))
    for part in (
        "Machine-shop sheet: consignment 1", "Launch engine", "10 Mar 2026", "Hillside Machine Shop",
        "Cylinder bores: bore and hone, 0.25 mm over", "79.525 mm", "79.625 mm", "3.1348 in",
        "79.615 to 79.635 mm", "0.100 mm", "limits at 20 °C", "shop's figure", "cylinder block (lot 1)",
        "60° cross-hatch, Ra 0.4 to 0.8 µm", "the stamped numbers", "following the worn hole",
        "each bore at three depths in two directions",
        "Never above 80.375 mm (3.1644 in) (shop manual p. 31)",
        "Cut bore 3 first", "nominal 79.375 mm + 0.25 mm", "Machined by", "Measured by",
    ):  # fmt: skip
        assert part in said, part


def test_inches_first_where_the_shop_works_in_inches(job: Job) -> None:
    said = paper(ordered(worn(job), SAID, "cylinder block"))
    assert "3.1344 to 3.1352 in" in said
    assert said.index("3.1348 in") < said.index("79.625 mm")


def test_a_crankshaft_is_crack_tested_and_never_ground_below_its_layer(job: Job) -> None:
    mains = journals_of(job)
    want_inspection(job=job, said=SaidOfInspection("crack_test", "crankshaft", gates="machining"), hand=ANN)
    layer = replace(JOURNALS_SAID, hard_layer="0.40 ± 0.04 mm", hard_left="0.10", most_step="0.50 mm")
    said = paper(ordered(mains, layer, "crankshaft", why="tested there first"))
    for part in (
        "Main journals: grind and polish, 0.25 mm under", "49.740 to 49.760 mm",
        "Never below 49.500 mm (1.9488 in)",
        "Crack test: crankshaft: not passed yet", "Ordered all the same: tested there first",
        "Crack-test before grinding", "0.40 ± 0.04 mm deep as made; 0.10 mm must be left", "fillets",
    ):  # fmt: skip
        assert part in said, part


def test_an_unknown_layer_is_asked_about(job: Job) -> None:
    said = paper(ordered(journals_of(job), JOURNALS_SAID, "crankshaft"))
    assert "Whether the journals are case-hardened is not known" in said


def test_one_engine_fits_on_two_pages_and_the_note_names_the_sheet(job: Job) -> None:
    made = ordered(worn(job), SAID, "cylinder block")
    assert count_pages(machine_sheet(made, today=DAY)) == 1
    assert "machine-shop sheet goes along: 4 operations" in words_of(consignment_note(made, today=DAY))


def test_a_consignment_without_machining_says_so(job: Job) -> None:
    made = make_up(hand=ANN, shop_name="Bright Plating")
    assert "Nothing on this consignment is machined." in paper(made)
    assert "machine-shop sheet" not in words_of(consignment_note(made, today=DAY))


def test_words_that_look_like_commands_are_printed_as_words(job: Job) -> None:
    hostile = '#panic("out") $x^2$ *bold*'
    assert hostile in paper(ordered(worn(job), replace(SAID, keep=hostile), hostile))
