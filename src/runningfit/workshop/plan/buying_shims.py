"""The shims that a plan buys, put on the list at once."""

from __future__ import annotations

from collections.abc import Sequence

from runningfit.core.errors import Conflict
from runningfit.workshop.joints.match_shims import ToBuyShim
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand, write


def buy_shims(*, job: Job, shims: Sequence[ToBuyShim], hand: Hand) -> list[ToBuy]:
    """Put shims on the list to buy, less those of the same size that are on it already.

    Raises
    ------
    Conflict
        All of them are on the list already, or there are none to buy.
    """
    made: list[ToBuy] = []
    with write(verb="add_to_buy", summary="to buy: valve shims", hand=hand, job=job) as entry:
        open_rows = ToBuy.objects.filter(job=job, withdrawn=False, received_on__isnull=True)
        listed = list(open_rows.values_list("what", "count"))
        for one in shims:
            more = one.count - sum(count for what, count in listed if what == one.words)
            if more > 0:
                row = ToBuy(job=job, what=one.words, count=more, price_each=one.price_each)
                made.append(entry.create(row))
        if not made:
            raise Conflict(
                "These shims are on the list to buy already." if shims else "There is none to buy."
            )
        entry.say("to buy: " + ", ".join(f"{row.count} {row.what}" for row in made))
    return made
