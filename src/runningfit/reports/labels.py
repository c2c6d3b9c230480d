"""Labels of bags: the code large, what is inside, the QR code by which a phone finds the bag's page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.kinds import Kind, label
from runningfit.reports.bag_address import address_fault, bag_address, qr_drawing
from runningfit.reports.papers import render
from runningfit.workshop.pieces.bags import BaggedLot, contents_of
from runningfit.workshop.pieces.models import Bag, Lot

MOST_LABELS = 600


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet, or one label of a roll, as shops buy them (common practice, no source)."""

    name: str
    said: str
    page_width_mm: float
    page_height_mm: float
    label_width_mm: float
    label_height_mm: float
    lines: int
    columns: int = 1
    rows: int = 1
    left_mm: float = 0.0
    top_mm: float = 0.0
    gap_x_mm: float = 0.0

    @property
    def places(self) -> int:
        """Return how many labels one sheet holds."""
        return self.columns * self.rows


SHEETS = (
    LabelSheet(
        name="a4-24",
        said="A4 sheet, 3 x 8 labels of 70 x 37 mm",
        page_width_mm=210,
        page_height_mm=297,
        columns=3,
        rows=8,
        label_width_mm=70,
        label_height_mm=37,
        top_mm=0.5,
        lines=4,
    ),
    LabelSheet(
        name="a4-24-gaps",
        said="A4 sheet, 3 x 8 labels of 63.5 x 33.9 mm",
        page_width_mm=210,
        page_height_mm=297,
        columns=3,
        rows=8,
        label_width_mm=63.5,
        label_height_mm=33.9,
        left_mm=7.2,
        top_mm=12.9,
        gap_x_mm=2.5,
        lines=4,
    ),
    LabelSheet(
        name="62",
        said="Roll of 62 mm, one label of 62 x 42 mm a page",
        page_width_mm=62,
        page_height_mm=42,
        label_width_mm=62,
        label_height_mm=42,
        lines=5,
    ),
)


def sheet_called(name: str) -> LabelSheet:
    """Return a label sheet by its name, or say which there are."""
    for sheet in SHEETS:
        if sheet.name == name:
            return sheet
    raise InvalidInput("sheet", needs=f"one of {', '.join(sheet.name for sheet in SHEETS)}", came=name)


def labels(bags: Sequence[Bag], *, sheet: LabelSheet, label_address: str, used: int = 0) -> bytes:
    """Set labels for bags and return the PDF.

    Parameters
    ----------
    bags : sequence of Bag
        With their job and area.
    sheet : LabelSheet
        What they are printed on.
    label_address : str
        The shop's address for labels; one that phones cannot reach gives labels without a QR code.
    used : int
        How many labels of the first sheet are used up, from the top left, row by row.

    Raises
    ------
    InvalidInput
        No bag or too many, or more labels used than the sheet has.
    """
    if not 1 <= len(bags) <= MOST_LABELS:
        raise InvalidInput(
            "bags", needs=f"1 to {MOST_LABELS} at a time", came=len(bags), remedy="Tick the bags to label."
        )
    if not 0 <= used < sheet.places:
        raise InvalidInput("used", needs=f"a number from 0 to {sheet.places - 1}", came=used)
    reachable = not address_fault(label_address)
    inside = contents_of(bags)
    images = {f"qr-{bag.pk}.svg": qr_drawing(bag_address(label_address, bag)) for bag in bags if reachable}
    data: dict[str, object] = {
        "sheet": asdict(sheet),
        "used": used,
        "labels": [
            {
                "code": bag.code,
                "area": bag.area.name if bag.area else "",
                "job": bag.job.name,
                "lines": lines_of(inside[bag.pk], sheet.lines),
                "qr": f"qr-{bag.pk}.svg" if reachable else "",
            }
            for bag in bags
        ],
    }
    return render("labels.typ", data, images)


def lines_of(inside: Sequence[BaggedLot], most: int) -> list[dict[str, str]]:
    """Return a bag's contents as lines of a label; the last one counts what has no room."""
    held = [one for one in inside if one.pieces]
    lines = [{"count": str(one.pieces), "words": _words(one.lot, one.pieces)} for one in held]
    if len(lines) <= most:
        return lines
    rest = held[most - 1 :]
    pieces = sum(one.pieces for one in rest)
    return [*lines[: most - 1], {"count": f"+{pieces}", "words": f"in {len(rest)} more lots"}]


def _words(lot: Lot, count: int) -> str:
    kind = lot.kind_said if lot.kind == "other" and lot.kind_said else _kind_word(lot, count)
    ends = " and ".join(_thread(end) for end in dict.fromkeys((lot.end_a, lot.end_b)) if end)
    parts = [kind, ends or lot.size_said]
    if lot.length_nominal:
        parts.append(f"x {lot.length_nominal}")
    said = " ".join(part for part in parts if part)
    look = "" if lot.finish_look == "unknown" else f", {lot.finish_look}"
    fault = f", {lot.defect}" if lot.defect else ""
    return f"{said}{look}{fault}"


def _thread(end: str) -> str:
    """Return a thread, an open one with what its candidates share said once: 1/4-20 UNC or BSW."""
    names = end.split("|")
    size = names[0].partition(" ")[0]
    if all(name.startswith(f"{size} ") for name in names):
        return f"{size} {' or '.join(name.removeprefix(f'{size} ') for name in names)}"
    return " or ".join(names)


def _kind_word(lot: Lot, count: int) -> str:
    return label(Kind(lot.kind), count).removeprefix(f"{count} ")
