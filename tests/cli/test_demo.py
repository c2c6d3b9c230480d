"""The demo: built once by its own verbs, each planted trouble shown as docs/demo.md says it should be."""

from __future__ import annotations

import datetime as dt
import shutil
import tempfile
from io import BytesIO
from pathlib import Path

import pytest
from django.test import Client, TestCase, override_settings
from django.urls import reverse
from PIL import Image

from runningfit.cli.demo.scenario import build
from runningfit.cli.demo.shelf import Shelf, words_of
from runningfit.cli.demo.story import DATA, PICTURES, the_story
from runningfit.cli.demo.trays import FOLDER
from runningfit.core.errors import NotFound
from runningfit.core.plan.fit import FitVerdict
from runningfit.core.plan.kit import Readiness
from runningfit.workshop.build.money import how_much
from runningfit.workshop.build.queries import areas_to_build, kit_of
from runningfit.workshop.outside_work.models import Consignment, Discrepancy, PhoneCall
from runningfit.workshop.photos.hardware_models import PhotoRun
from runningfit.workshop.photos.models import Photo
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.pieces.models import Area, Bag, BenchRow, Finding, Lot, Movement, Place, TallySheet
from runningfit.workshop.pieces.places import CANNOT_SHOW_LOSSES
from runningfit.workshop.pieces.tally_reads import state_of
from runningfit.workshop.pieces.thread_doubts import strangers_in_areas
from runningfit.workshop.plan.filling import filled, filling_of_job
from runningfit.workshop.plan.fitting import fit_of
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.plan.proposing import DONOR, STOCK, suggest_allotment
from runningfit.workshop.plan.strangers import strangers_of
from runningfit.workshop.records.models import Engine, Job, Record
from runningfit.workshop.records.queries import loose_stock

ROOT = Path(__file__).resolve().parents[2]
CASE_BOLT = "hex bolt 5/16-24 UNF x 1 3/8 in"


JOB_PAGES = (
    *("strip", "plan", "send", "build", "inbox", "bags", "labels", "findings", "tally", "areas", "photos"),
    *(
        "job_threads",
        "name_job_sheet",
        "foreign",
        "to_buy",
        "how_much",
        "discrepancies",
        "job_history",
        "suggest_allotment",
        "add_finding",
    ),
)


def state_of_area(demo: Job, name: str) -> Readiness:
    """Whether an area of the demo can be built now."""
    return next(row.state for row in areas_to_build(demo) if row.area.name == name)


def reasons(state: Readiness) -> str:
    return "\n".join(reason.text for reason in state.reasons)


class TestDemo(TestCase):
    """The demo job, built once for all tests and taken away whole behind them."""

    job: Job
    _folder: Path

    @classmethod
    def setUpClass(cls) -> None:
        """Give the photos and lists of the demo a folder of their own."""
        cls._folder = Path(tempfile.mkdtemp(prefix="runningfit-demo-"))
        cls.enterClassContext(override_settings(DATA=cls._folder, PHOTO_FOLDER=cls._folder / "photos"))
        cls.addClassCleanup(shutil.rmtree, cls._folder, ignore_errors=True)
        super().setUpClass()

    @classmethod
    def setUpTestData(cls) -> None:
        """Build the demo."""
        cls.job = build()

    @property
    def shelf(self) -> Shelf:
        """The lots, places and bags of the demo by name."""
        return Shelf(self.job)

    def test_it_is_one_job_with_two_donors_and_the_loose_stock(self) -> None:
        assert Job.objects.filter(is_stock=False).count() == 1
        assert self.job.is_demo
        roles = sorted(self.job.engines.values_list("role", flat=True))
        assert roles == [Engine.DONOR, Engine.DONOR, Engine.SUBJECT]
        windows = self.job.engines.values_list("built_from", "built_to")
        assert all(start and end and start < end for start, end in windows)
        assert "do not exist" in self.job.note

    def test_it_has_about_120_lots_in_twelve_areas(self) -> None:
        assert 110 <= Lot.objects.filter(withdrawn=False).count() <= 130
        assert Area.objects.filter(job=self.job, withdrawn=False).count() == 12
        assert Place.objects.filter(area__job=self.job).count() == len(the_story().places)

    def test_that_it_is_the_demo_is_said_last_of_all(self) -> None:
        assert Record.objects.latest("pk").verb == "call_it_the_demo"

    def test_its_books_balance(self) -> None:
        came_in = sum(
            (1 if move.from_account in ("found", "bought", "received_over") else 0) * move.count
            - (1 if move.to_account in ("found", "bought", "received_over") else 0) * move.count
            for move in Movement.objects.all()
        )
        lots = list(Lot.objects.all())
        assert came_in == sum(counts.total for counts in counts_of(lots).values())
        assert came_in > 700

    def test_everybody_and_every_shop_in_it_is_said_to_be_invented(self) -> None:
        shops = {shop.name for shop in the_story().shops}
        suppliers = {row.supplier for row in ToBuy.objects.exclude(supplier="")}
        assert all("invented" in name for name in shops | suppliers)
        assert "invented" in (DATA / "scenario.toml").read_text(encoding="utf-8")

    def test_a_pulled_thread_makes_its_hole_not_proven(self) -> None:
        pulled = self.shelf.lot(f"G1: {CASE_BOLT}, pulled threads")
        assert pulled.thread_state == "defective"
        assert pulled.place == self.shelf.place("case to block")
        assert self.shelf.place("case to block").thread_state == "not_proven"
        said = reasons(state_of_area(self.job, "gear case"))
        assert "case to block: the thread of the hole is not proven" in said
        assert "case to block: 2 of 9 missing" in said

    def test_metric_and_whitworth_bolts_are_foreign(self) -> None:
        foreign = {words_of(row.lot) for row in strangers_of(self.job).foreign}
        assert {
            "Y1: hex bolt M8x1.25 x 35 mm",
            "B2: hex bolt 1/2-12 BSW x 2 1/4 in",
            "G3: hex bolt 1/4-26 BSF x 1 in",
            "R3: hex bolt M6x1 x 20 mm",
        } <= foreign

    def test_a_metric_bolt_of_nearly_the_right_size_does_not_fit_the_dynamo(self) -> None:
        answer = fit_of(self.shelf.place("dynamo to bracket"), self.shelf.lot("Y1: hex bolt M8x1.25 x 35 mm"))
        assert answer.verdict is FitVerdict.NOT
        assert "M8x1.25" in answer.reasons[0]

    def test_a_place_with_all_its_bolts_is_not_ready_when_two_are_too_long(self) -> None:
        place = self.shelf.place("pump to gear case")
        assert filled(place) == place.count
        assert "pump to gear case: does not belong here: it is longer: 1 3/4 in" in reasons(
            state_of_area(self.job, "raw-water pump")
        )

    def test_a_place_known_only_from_what_came_off_is_full_and_says_that_losses_cannot_show(self) -> None:
        place = self.shelf.place("breather clip screws")
        assert (place.basis, filled(place)) == ("assumed", place.count)
        cautions = " ".join(caution.text for caution in state_of_area(self.job, "rocker box").cautions)
        assert "only assumed from what came off" in cautions
        assert "cannot show" in CANNOT_SHOW_LOSSES

    def test_twins_of_two_engines_lost_which_engine_they_are_of(self) -> None:
        for code in ("G1", "D1"):
            lot = self.shelf.lot(f"{code}: {CASE_BOLT}")
            assert lot.origin_lost
            assert lot.origin is None
            assert {"Tern no. 2117", "Tern no. 1874"} == set(lot.origin_said.split(" or "))
        assert Discrepancy.objects.filter(kind="indistinct", closed_at__isnull=True).count() == 2

    def test_the_bucket_is_two_short_with_one_swapped_and_all_of_it_stays_open(self) -> None:
        kept = {
            (row.kind, row.count): row.said
            for row in Discrepancy.objects.filter(job=self.job, closed_at=None)
        }
        assert ("short", 2) in kept
        assert "1 1/4 in came where" in kept["swapped", 1]
        consignment = Consignment.objects.get(number=2)
        assert consignment.closed_on is None
        assert consignment.paid == consignment.quoted

    def test_a_finish_that_came_back_other_than_asked_is_open(self) -> None:
        lot = self.shelf.lot("G2: setscrew 1/4-28 UNF x 3/4 in")
        assert (lot.finish_look, lot.finish_received_look) == ("clear", "yellow")
        by_look, by_process = Discrepancy.objects.filter(kind="finish", closed_at=None).order_by("pk")
        assert by_look.lot == lot
        assert "came back yellow; clear was asked" in by_look.said
        assert by_process.lot == self.shelf.lot("K2: hex bolt 3/8-16 UNC x 2 1/4 in")
        assert "zinc came; electroplate cadmium, yellow was asked" in by_process.said

    def test_missing_pieces_show_place_by_place(self) -> None:
        filling = filling_of_job(self.job)
        for name, missing in (
            ("head studs into the block", 3),
            ("core plugs in the head", 4),
            ("bearer feet", 4),
            ("clamp screws", 1),
        ):
            place = self.shelf.place(name)
            there = filling[place.pk].filled if place.pk in filling else 0
            assert place.count - there == missing, name
        rolled_away = counts_of([self.shelf.lot("L1: slotted screw 4BA x 1/2 in")])
        assert [counts.missing for counts in rolled_away.values()] == [1]

    def test_a_stud_keeps_its_two_pitches(self) -> None:
        lot = self.shelf.lot("K1: stud 5/16-18 UNC and 5/16-24 UNF x 2 1/4 in")
        assert (lot.end_a, lot.end_b) == ("5/16-18 UNC", "5/16-24 UNF")
        assert fit_of(self.shelf.place("box to head"), lot).fits

    def test_the_screw_missing_from_the_tray_came_from_a_donor(self) -> None:
        place = self.shelf.place("tray to block")
        given = Lot.objects.get(place=place, origin__role=Engine.DONOR)
        assert sum(counts.total for counts in counts_of([given]).values()) == 1
        assert filled(place) == place.count == 22

    def test_an_open_thread_keeps_both_candidates(self) -> None:
        lot = self.shelf.lot("T1: hex bolt 1/4-20 UNC or 1/4-20 BSW x 1 in")
        assert lot.end_a.split("|") == ["1/4-20 UNC", "1/4-20 BSW"]
        assert any("which" in question for question in lot.questions)

    def test_a_measured_thread_stays_open_with_its_readings_and_its_next_measurement(self) -> None:
        lot = self.shelf.lot("Y3: setscrew 1/4-26 BSF or 1/4-26 CEI x 1/2 in")
        naming = lot.namings.get()
        assert (naming.kept_as, naming.typed["leaf"]) == ("", "26 tpi")
        assert all(one["probability"] > 0.1 for one in naming.candidates[:2])
        assert "55 degree gauge" in naming.tell_apart
        page = Client().get(reverse("job_threads", args=[self.job.pk])).content.decode()
        assert page.count("55 degree gauge") >= 2

    def test_threads_of_another_family_are_pointed_out(self) -> None:
        told = {words_of(found.lot): found.stranger for found in strangers_in_areas(self.job)}
        assert set(told) == {"H4: nut 7/16-18 BSF", "G3: hex bolt 1/4-26 BSF x 1 in"}
        assert told["H4: nut 7/16-18 BSF"].instead == "7/16-20 UNF"
        assert all(stranger.odds >= 10 for stranger in told.values())

    def test_a_worn_bolt_is_told_apart_and_makes_its_hole_not_proven(self) -> None:
        worn = self.shelf.lot("Y1: hex bolt 3/8-16 UNC x 1 1/4 in, thread defective")
        assert worn.thread_state == "defective"
        gauging = worn.gaugings.get()
        assert "worn, or made so, by 0.061 mm" in gauging.reasons[0]
        assert self.shelf.lot("Y1: hex bolt 3/8-16 UNC x 1 1/4 in").thread_state == ""
        assert self.shelf.place("bracket to block").thread_state == "not_proven"

    def test_one_bag_code_stands_on_two_jobs(self) -> None:
        bags = Bag.objects.filter(code="G1", withdrawn=False)
        assert {bag.job_id for bag in bags} == {self.job.pk, loose_stock().pk}  # type: ignore[union-attr]
        found = self.client.get(reverse("find"), {"q": "G1"}).content.decode()
        assert found.count("/bags/G1") >= 2

    def test_the_loose_stock_is_proposed_where_it_fills_a_short_place(self) -> None:
        from_stock = {
            line.place.name: line.count
            for line in suggest_allotment(job=self.job).lines
            if line.origin == STOCK
        }
        assert from_stock["bearer feet"] == 4
        assert from_stock["drain plug washer"] == 1
        from_donors = {
            line.place.name: line.count
            for line in suggest_allotment(job=self.job).lines
            if line.origin == DONOR
        }
        assert from_donors["elbow studs"] == 2

    def test_two_rows_of_the_bench_list_wait_uncounted_with_a_reason(self) -> None:
        waiting = BenchRow.objects.filter(bench_list__job=self.job, counted_by=None).order_by("row")
        assert [row.row for row in waiting] == [58, 60]
        assert all(row.fate == "aside" and row.said and not row.lots.exists() for row in waiting)

    def test_the_mixed_tin_is_half_tallied_with_one_question(self) -> None:
        sheet = TallySheet.objects.get(job=self.job, closed_at=None)
        state = state_of(sheet)
        assert state.total == 17
        assert [question.press.typed for question in state.questions] == ["23.40"]

    def test_work_outside_is_out_with_its_calls_and_one_has_no_day(self) -> None:
        # Of 2 and 6 pieces are back, and something about them is open.
        out = Consignment.objects.filter(sent_on__isnull=False, closed_on=None).exclude(number__in=(2, 6))
        assert {consignment.number for consignment in out} == {3, 4}
        assert PhoneCall.objects.filter(consignment__number=3).count() == 2
        assert Consignment.objects.get(number=4).due_on is None
        assert Consignment.objects.get(number=1).closed_on is not None
        assert Consignment.objects.get(number=5).sent_on is None

    def test_one_area_can_be_built_and_its_kit_is_complete(self) -> None:
        assert state_of_area(self.job, "oil cooler").ready
        kit = kit_of(Area.objects.get(job=self.job, name="oil cooler"))
        assert sum(place.missing for place in kit.places) == 0
        assert sum(1 for row in areas_to_build(self.job) if row.state.ready) == 1

    def test_money_is_spent_committed_offered_and_not_yet_quoted(self) -> None:
        page = how_much(job=self.job, today=dt.date.today())
        assert all(page.totals[name] > 0 for name in ("spent", "committed", "offered"))
        assert len(page.unquoted) == 3
        assert page.undated == 1

    def test_findings_have_photos_and_one_is_settled(self) -> None:
        findings = Finding.objects.filter(job=self.job)
        assert {finding.what for finding in findings} == {what for what, _ in Finding.KINDS}
        assert findings.filter(settled=True).count() == 1
        assert Photo.objects.filter(finding__in=findings).count() == 3
        assert Photo.objects.filter(job=self.job, described=False).count() == 3

    def test_its_pictures_are_small_and_only_one_says_a_place_which_is_not_shown(self) -> None:
        files = sorted(PICTURES.glob("*.jpg"))
        named = {shown.file for shown in the_story().pictures} | {
            finding.photo for finding in the_story().findings if finding.photo
        }
        assert {path.name for path in files} == named
        assert sum(path.stat().st_size for path in files) <= 2_000_000
        with_data = [path.name for path in files if Image.open(BytesIO(path.read_bytes())).getexif()]
        assert with_data == ["pulled-threads.jpg"]
        from django.conf import settings

        for photo in Photo.objects.filter(job=self.job):
            shown = (settings.PHOTO_FOLDER / photo.shown).read_bytes()
            assert not Image.open(BytesIO(shown)).getexif()

    def test_two_trays_are_photographed_measured_and_wait_to_be_looked_through(self) -> None:
        runs = list(PhotoRun.objects.filter(job=self.job).order_by("pk"))
        assert [(run.state, run.accepted_by, run.pieces.count()) for run in runs] == [
            ("measured", None, 8), ("measured", None, 7),
        ]  # fmt: skip
        assert {run.print_scale for run in runs} == {0.993}
        files = sorted(FOLDER.iterdir())
        assert [path.stem for path in files] == ["tray-after", "tray-after", "tray-before", "tray-before"]
        assert sum(path.stat().st_size for path in files) <= 1_000_000
        page = Client().get(reverse("hardware_run", args=[self.job.pk, runs[0].pk])).content.decode()
        assert "What lies on the mat" in page
        asked = f"?before={runs[0].pk}&after={runs[1].pk}"
        page = Client().get(reverse("hardware_compare", args=[self.job.pk]) + asked).content.decode()
        assert "8 before, 7 after: 1 missing, 1 swapped." in page

    def test_every_main_page_of_the_job_answers(self) -> None:
        for name in JOB_PAGES:
            answer = Client().get(reverse(name, args=[self.job.pk]))
            assert answer.status_code == 200, name
            assert self.job.name in answer.content.decode(), name

    def test_the_page_across_all_jobs_says_what_is_short_and_out(self) -> None:
        page = Client().get(reverse("jobs")).content.decode()
        assert self.job.name in page
        assert "Pellbrook Plating" in page

    def test_a_name_the_demo_does_not_know_is_refused_with_what_the_bag_holds(self) -> None:
        with pytest.raises(NotFound, match=r"no lot 'K2: nut'.*K2: hex bolt 3/8-16 UNC x 2 1/4 in"):
            self.shelf.lot("K2: nut")


def test_every_trouble_is_told_in_the_documentation() -> None:
    text = (ROOT / "docs" / "demo.md").read_text(encoding="utf-8")
    for told in (
        "Pulled threads",
        "Foreign bolts",
        "only looks complete",
        "Twins",
        "bucket",
        "other than asked",
        "Missing pieces",
        "two pitches",
        "donor",
        "open thread",
        "another family",
        "worn bolt",
        "two jobs",
        "loose stock can fill",
        "spring washers asked for zinc",
        "flywheel bolts asked for zinc",
        "bolts in aluminium",
        "zinc came for cadmium",
    ):
        assert told.lower() in text.lower(), told
