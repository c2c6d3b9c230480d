"""Finding what the story names: a lot by its bag and words, a place, an area, a bag."""

from __future__ import annotations

from runningfit.core.errors import NotFound
from runningfit.workshop.pieces.ledger import counts_of
from runningfit.workshop.pieces.lots import describe
from runningfit.workshop.pieces.models import Area, Bag, Lot, Place
from runningfit.workshop.records.models import Job


class Shelf:
    """The rows of one job by the names that the story gives them, read afresh each time."""

    def __init__(self, job: Job) -> None:
        self._job = job

    def lot(self, named: str) -> Lot:
        """Return the lot of that bag and words; where it was split, the part with the most pieces.

        Raises
        ------
        NotFound
            No lot of the bag is called that; the message says what the bag holds.
        """
        code = named.partition(":")[0]
        lots = list(
            Lot.objects.filter(job=self._job, withdrawn=False, bag__code=code)
            .select_related("bag", "job", "area", "place__area__job")
            .order_by("number")
        )
        counts = counts_of(lots)
        alike = [lot for lot in lots if words_of(lot) == named and counts[lot.pk].total]
        if not alike:
            held = "; ".join(words_of(lot) for lot in lots) or "nothing"
            raise NotFound(f"The demo has no lot '{named}'. Its bag holds: {held}.")
        return max(alike, key=lambda lot: (counts[lot.pk].usable, -lot.number))

    def place(self, name: str) -> Place:
        """Return the place of that name."""
        return Place.objects.select_related("area__job").get(area__job=self._job, name=name, withdrawn=False)

    def area(self, name: str) -> Area:
        """Return the area of that name."""
        return Area.objects.get(job=self._job, name=name, withdrawn=False)

    def bag(self, code: str) -> Bag:
        """Return the bag of that code."""
        return Bag.objects.select_related("job").get(job=self._job, code=code, withdrawn=False)


def words_of(lot: Lot) -> str:
    """Return the name by which the story calls a lot: bag, words, and its defect behind a comma."""
    bag = f"{lot.bag.code}: " if lot.bag else ""
    return f"{bag}{describe(lot)}{f', {lot.defect}' if lot.defect else ''}"
