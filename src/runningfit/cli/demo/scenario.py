"""Building the demo job: the story told through the same verbs that the pages call, in one transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from django.db import transaction
from django.utils import timezone

from runningfit.cli.demo import cupboard, figures, fitting, knowing, measuring, outside, reading, trays
from runningfit.cli.demo.outside import day
from runningfit.cli.demo.shelf import Shelf
from runningfit.cli.demo.story import PICTURES, Buy, SaidFinding, Story, money, the_story
from runningfit.core.pieces.understood import Meaning
from runningfit.core.units import LengthUnit
from runningfit.workshop.build.services import Fitting, fit_pieces
from runningfit.workshop.outside_work.treating import say_done, say_treatment
from runningfit.workshop.photos.pictured import Pictured
from runningfit.workshop.photos.printed_mats import keep_mat
from runningfit.workshop.photos.services import take_in_photo
from runningfit.workshop.pieces import bags, bench_lists, tally
from runningfit.workshop.pieces.bench_intake import take_in
from runningfit.workshop.pieces.findings import record_finding, settle_finding
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.pieces.lots import change_lot, recount
from runningfit.workshop.pieces.models import Area, BenchRow, Finding
from runningfit.workshop.pieces.place_reading import PlaceWords, read_place
from runningfit.workshop.pieces.places import add_area, add_place
from runningfit.workshop.pieces.understanding import keep_understood, understand_line
from runningfit.workshop.plan import buying
from runningfit.workshop.plan.proposing import OWN, suggest_allotment
from runningfit.workshop.plan.services import Allotment, allot, allot_many
from runningfit.workshop.records import services as records
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import subject_engine
from runningfit.workshop.records.writing import Hand

TAMSIN = Hand(who="Tamsin")
WILF = Hand(who="Wilf")


def build() -> Job:
    """Build the invented job in an empty data folder; all of it is kept, or nothing is."""
    with transaction.atomic():
        return _Telling(the_story()).tell()


class _Telling:
    """One telling of the story."""

    def __init__(self, story: Story) -> None:
        self._story = story
        self._job = self._open()
        self._shelf = Shelf(self._job)

    def tell(self) -> Job:
        """Tell everything, in the order in which a shop would come to it."""
        self._add_places()
        self._import_list()
        self._keep_lines()
        self._take_photos()
        self._say_treatments()
        self._allot()
        self._find()
        knowing.say_what_is_known(self._shelf, WILF)
        for named in self._story.named:
            measuring.name(named, self._shelf, WILF)
        for checked in self._story.checked:
            measuring.check(checked, self._shelf, TAMSIN)
        self._count_again()
        self._mark_bags()
        outside.add_shops(self._story.shops, WILF)
        for said in self._story.consignments:
            outside.consign(said, self._shelf, WILF)
        knowing.confirm_and_decide(self._shelf, WILF)
        self._fit()
        for row in self._story.to_buy:
            self._buy(row)
        self._tally()
        reading.fill_sheet(self._job, self._shelf, cupboard.fill_cupboard(WILF), TAMSIN)
        reading.inspect(self._job, self._shelf, TAMSIN)
        fitting.say_fits(self._job, TAMSIN)
        fitting.say_ways_of_machining(self._job, WILF)
        figures.say_figures(self._job, TAMSIN)
        # Said last: a folder with jobs and without this mark holds a demo that was not finished.
        return records.call_it_the_demo(job=self._job, hand=TAMSIN)

    def _open(self) -> Job:
        story = self._story
        records.say_shop(name=story.shop_name, hand=TAMSIN)
        job = records.open_job(
            name=story.job_name,
            engine_name=story.engine.name,
            engine_number=story.engine.number,
            built_from=story.engine.built_from,
            built_to=story.engine.built_to,
            built_basis=story.engine.built_basis,
            country=story.engine.country,
            wanted_by=timezone.localdate() + dt.timedelta(days=story.wanted_in),
            note=story.job_note,
            hand=TAMSIN,
        )
        for donor in story.donors:
            records.add_donor(
                job=job,
                name=donor.name,
                number=donor.number,
                built_from=donor.built_from,
                built_to=donor.built_to,
                built_basis=donor.built_basis,
                country=donor.country,
                hand=WILF,
            )
        return job

    def _add_places(self) -> None:
        engine = subject_engine(self._job)
        areas: dict[str, Area] = {}
        for said in self._story.places:
            if said.area not in areas:
                areas[said.area] = add_area(job=self._job, name=said.area, engine=engine, hand=TAMSIN)
            words = PlaceWords(
                name=said.name,
                count=said.count,
                basis=said.basis,
                basis_said=said.basis_said,
                kind=said.kind,
                thread=said.thread,
                length=said.length,
                finish=said.finish,
                visible=said.visible,
                torque=said.torque,
                hole_material=said.hole_material,
                hole_blind=said.hole_blind,
                hole_depth=said.hole_depth,
            )
            add_place(
                area=areas[said.area], facts=read_place(words, default_unit=LengthUnit.INCH), hand=TAMSIN
            )

    def _import_list(self) -> None:
        path = self._story.bench_list
        bench_list = take_in(job=self._job, name=path.name, data=path.read_bytes(), hand=TAMSIN).bench_list
        rows = {
            row.row: row
            for row in BenchRow.objects.filter(bench_list=bench_list).select_related("bench_list")
        }
        for chosen in self._story.threads:
            bench_lists.choose_thread(
                row=rows[chosen.row], end=chosen.end, designation=chosen.designation, hand=TAMSIN
            )
        for said in self._story.corrected:
            texts = {Meaning.KIND: said.kind, Meaning.FINISH: said.finish}
            given = {meaning: text for meaning, text in texts.items() if text}
            bench_lists.correct_row(row=rows[said.row], texts=given, hand=TAMSIN)
        for aside in self._story.aside:
            bench_lists.set_aside(row=rows[aside.row], hand=TAMSIN.because(aside.why))
        bench_lists.accept(bench_list=bench_list, hand=TAMSIN)

    def _keep_lines(self) -> None:
        stock = records.loose_stock_kept(hand=WILF)
        origins = self._origins()
        for said in self._story.lines:
            job = stock if said.origin == "stock" else self._job
            line = understand_line(job=job, text=said.line)
            keep_understood(job=job, line=line, origin=origins.get(said.origin), hand=WILF)
        for told in self._story.origins:
            change_lot(lot=self._shelf.lot(told.lot), origin=origins[told.engine], hand=TAMSIN)

    def _origins(self) -> Mapping[str, Engine | None]:
        by_number = {engine.number: engine for engine in self._job.engines.all()}
        origins = {donor.key: by_number[donor.number] for donor in self._story.donors}
        return {"subject": by_number[self._story.engine.number], **origins}

    def _take_photos(self) -> None:
        mat = keep_mat(paper="A4", scale="198.6/200", where="on the bench", hand=WILF)
        trays.photograph_trays(self._job, mat, WILF)
        for shown in self._story.pictures:
            shelf = self._shelf
            lot = shelf.lot(shown.lot) if shown.lot else None
            bag = shelf.bag(shown.bag) if shown.bag else lot.bag if lot else None
            area = shelf.area(shown.area) if shown.area else lot.area if lot else None
            place = shelf.place(shown.place) if shown.place else None
            pictured = Pictured(area=area, bag=bag, lot=lot, place=place, words=shown.words)
            self._photo(shown.file, pictured)

    def _photo(self, name: str, pictured: Pictured) -> None:
        data = (PICTURES / name).read_bytes()
        take_in_photo(job=self._job, data=data, filename=name, pictured=pictured, hand=WILF)

    def _say_treatments(self) -> None:
        for said in self._story.treats:
            hand = TAMSIN.because(said.why)
            say_treatment(
                lots=[self._shelf.lot(name) for name in said.lots], treatment=said.treatment, hand=hand
            )
            if said.done:
                say_done(lots=[self._shelf.lot(name) for name in said.lots], hand=hand)

    def _allot(self) -> None:
        for said in self._story.allots:
            lot = self._shelf.lot(said.lot)
            allot(
                lot=lot,
                place=self._shelf.place(said.place),
                count=said.count or count_of(lot).usable,
                hand=TAMSIN.because(said.why),
            )
        proposed = suggest_allotment(job=self._job)
        own = [Allotment(row.place, row.lot, row.count) for row in proposed.lines if row.origin == OWN]
        allot_many(job=self._job, allotments=own, hand=TAMSIN)

    def _find(self) -> None:
        for said in self._story.findings:
            finding = self._record(said)
            if said.photo:
                self._photo(said.photo, Pictured(finding=finding, area=finding.area, words=said.note))
            if said.settled:
                settle_finding(finding=finding, hand=TAMSIN.because(said.settled))

    def _record(self, said: SaidFinding) -> Finding:
        shelf = self._shelf
        return record_finding(
            job=self._job,
            what=said.what,
            lot=shelf.lot(said.lot) if said.lot else None,
            place=shelf.place(said.place) if said.place else None,
            area=shelf.area(said.area) if said.area else None,
            count=said.count,
            tried=said.tried,
            note=said.note,
            hand=TAMSIN,
        )

    def _count_again(self) -> None:
        for said in self._story.recounts:
            recount(lot=self._shelf.lot(said.lot), counted=said.counted, hand=WILF.because(said.why))

    def _mark_bags(self) -> None:
        for code in self._story.packed:
            bags.change_bag(bag=self._shelf.bag(code), packed=True, hand=WILF)
        labelled = [self._shelf.bag(code) for code in self._story.labelled]
        bags.mark_labelled(job=self._job, bags=labelled, hand=WILF)

    def _fit(self) -> None:
        fittings = [Fitting(self._shelf.lot(said.lot), said.count) for said in self._story.fits]
        fit_pieces(job=self._job, fittings=fittings, hand=TAMSIN)

    def _buy(self, said: Buy) -> None:
        row = buying.add_to_buy(
            job=self._job,
            place=self._shelf.place(said.place) if said.place else None,
            instead_of=self._shelf.lot(said.instead_of) if said.instead_of else None,
            count=said.count,
            what=said.what,
            note=said.note,
            hand=WILF,
        )
        if said.price is not None:
            buying.quote(
                row=row,
                supplier=said.supplier,
                price_each=money(said.price),
                refurbish_price_each=money(said.refurbish_price),
                note=said.note,
                hand=WILF,
            )
        if said.ordered is not None:
            buying.order(row=row, ordered_on=day(said.ordered), due_on=day(said.due), hand=WILF)
        if said.received:
            buying.receive(row=row, look=said.look, hand=WILF)

    def _tally(self) -> None:
        said = self._story.tally
        sheet = tally.open_sheet(
            job=self._job,
            kind=said.kind,
            thread=said.thread,
            finish_look=said.finish_look,
            unit=said.unit,
            bag=said.bag,
            hand=WILF,
        )
        presses = [
            tally.Pressed(f"demo-press-{number:03}", typed) for number, typed in enumerate(said.presses)
        ]
        tally.press(sheet=sheet, presses=presses, hand=WILF)
