"""A job whose pieces go out and come back: what the tests of outside work start from."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.plan.count_back import Counted
from runningfit.workshop.outside_work import count_back, services, treating
from runningfit.workshop.outside_work.expecting import Scope, sort_of
from runningfit.workshop.outside_work.models import Consignment, CountBack
from runningfit.workshop.pieces.ledger import Counts, books_balance, count_of
from runningfit.workshop.pieces.lots import LotFacts, keep_lot
from runningfit.workshop.pieces.models import Bag, Lot
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.services import add_donor, open_job
from runningfit.workshop.records.writing import Hand

HAND = Hand(who="Ann")
BUCKET = Scope("bucket")
CLEAR = FinishLook.CLEAR


@dataclass
class Shed:
    """One job with a subject engine, a donor, and lots in bags."""

    job: Job
    subject: Engine
    donor: Engine

    def bag(self, code: str) -> Bag:
        return Bag.objects.get_or_create(job=self.job, code=code)[0]

    def lot(
        self,
        count: int,
        *,
        bag: str = "T1",
        length: str = "1 3/8 in",
        length_mm: float | None = 34.925,
        origin: Engine | None = None,
        kind: str = "hex_bolt",
        thread: str = "5/16-24 UNF",
        treatment: str = "zinc_clear",
        defect: str = "",
    ) -> Lot:
        lot = keep_lot(
            job=self.job,
            facts=LotFacts(
                count=count,
                kind=kind,
                end_a=(thread,) if thread else (),
                length_mm=length_mm,
                length_nominal=length,
                bag=self.bag(bag) if bag else None,
                origin=origin or self.subject,
                defect=defect,
            ),
            hand=HAND,
        )
        if treatment:
            treating.say_treatment(lots=[lot], treatment=treatment, hand=HAND)
        return Lot.objects.get(pk=lot.pk)

    def nuts(self, count: int, **values: object) -> Lot:
        return self.lot(count, kind="nut", length="", length_mm=None, **values)  # type: ignore[arg-type]


def a_shed(name: str = "Launch engine") -> Shed:
    job = open_job(name=name, engine_name=f"Tern of the {name}", hand=HAND)
    donor = add_donor(job=job, name=f"donor of the {name}", hand=HAND)
    return Shed(job, job.engines.get(role=Engine.SUBJECT), donor)


def sent(*lots: Lot) -> Consignment:
    consignment = services.make_up(
        shop_name="The plater", shares=[services.Share(lot) for lot in lots], hand=HAND
    )
    return services.send(consignment=consignment, hand=HAND)


def group(
    lot: Lot, count: int, *, damaged: int = 0, look: FinishLook = CLEAR, key: int | None = None
) -> Counted:
    return Counted(key if key is not None else lot.pk, sort_of(lot), count, damaged, look)


def back(
    consignment: Consignment,
    *groups: Counted,
    finished: bool = True,
    scope: Scope = BUCKET,
    fixed: dict[int, int] | None = None,
    hand: Hand = HAND,
    damaged_said: str = "",
    baked: str = "",
) -> CountBack:
    """Propose and accept in one go, as a person who agrees does."""
    proposed = count_back.propose(
        consignment=consignment, scope=scope, counted=groups, finished=finished, fixed=fixed
    )
    return count_back.accept(
        consignment=consignment,
        scope=scope,
        counted=groups,
        finished=finished,
        fixed=fixed,
        state=proposed.state,
        hand=hand,
        damaged_said=damaged_said,
        baked=baked,
    )


def counts(lot: Lot) -> Counts:
    return count_of(lot)


def balanced() -> bool:
    came_in, held = books_balance()
    return came_in == held
