"""Whatever comes back, in however many parts: the books balance, and what is outside is what is owed."""

from __future__ import annotations

from random import Random

import pytest

from runningfit.core.errors import Conflict
from runningfit.core.pieces.finishes import FinishLook
from runningfit.workshop.outside_work import queries
from runningfit.workshop.outside_work.discrepancies import close_discrepancy
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.outside_work.outcomes import OUTCOMES
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.records.models import Record
from runningfit.workshop.records.taking_back import take_back
from workshop.outside_work.bucket import HAND, a_shed, back, balanced, group, sent

pytestmark = pytest.mark.django_db
WHY = HAND.because("by the dice")


def owed(consignment: Consignment) -> int:
    return sum(queries.outstanding(line) for line in queries.lines_of(consignment))


def outside_in_the_books() -> int:
    return sum(one.outside for one in counts_of(list(Lot.objects.all())).values())


@pytest.mark.parametrize("seed", range(15))
def test_what_is_outside_in_the_books_is_what_the_consignment_still_owes(seed: int) -> None:
    dice = Random(seed)
    shed, other = a_shed(), a_shed("Other engine")
    lots = [
        dice.choice((shed, other)).lot(
            dice.randint(1, 6),
            bag=f"B{number}",
            length=f"{dice.randint(1, 2)} in",
            length_mm=None,
            treatment=dice.choice(("zinc_clear", "zinc_yellow")),
            defect=dice.choice(("", "", "pulled threads")),
        )
        for number in range(dice.randint(2, 5))
    ]
    for lot in lots:
        Lot.objects.filter(pk=lot.pk).update(length_mm=25.4 * int(lot.length_nominal[0]))
    consignment = sent(*[Lot.objects.get(pk=lot.pk) for lot in lots])
    total = owed(consignment)
    for _step in range(8):
        act = dice.random()
        try:
            if act < 0.6:
                counted = [
                    group(
                        Lot.objects.get(pk=lot.pk),
                        count := dice.randint(0, 4),
                        damaged=dice.randint(0, min(1, count)),
                        look=dice.choice((FinishLook.CLEAR, FinishLook.YELLOW, FinishLook.UNKNOWN)),
                    )
                    for lot in dice.sample(lots, dice.randint(1, len(lots)))
                ]
                back(
                    consignment,
                    *counted,
                    finished=dice.random() < 0.4 or not any(one.count for one in counted),
                )
            elif act < 0.85:
                rows = list(queries.open_discrepancies())
                if rows:
                    row = dice.choice(rows)
                    close_discrepancy(discrepancy=row, outcome=dice.choice(OUTCOMES[row.kind]).key, hand=WHY)
            else:
                last = Record.objects.filter(reverses=None, reversed_by=None).latest("pk")
                if last.verb in ("count_back", "close_discrepancy"):
                    take_back(record=last, hand=WHY)
        except Conflict:
            # Refused with a sentence, such as counting what is all back; nothing may have changed.
            pass
        assert balanced()
        assert outside_in_the_books() == owed(consignment)
        assert 0 <= owed(consignment) <= total
