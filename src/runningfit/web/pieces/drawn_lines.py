"""Lines of the pieces room's tables: lots, places, findings."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.workshop.pieces.bags import BagLine
from runningfit.workshop.pieces.models import Bag, Finding, Place
from runningfit.workshop.pieces.queries import LotLine


def lot_lines(lines: Iterable[LotLine], unit: str) -> str:
    """Draw lots with their counts, one ruled line each."""
    return "".join(f"<tr>{_lot_cells(line, unit)}</tr>\n" for line in lines)


def found_lines(lines: Iterable[LotLine], unit: str) -> str:
    """Draw lots of any job, each with its job and area."""
    return "".join(f"<tr>{_lot_cells(line, unit)}\n{_whose(line)}</tr>\n" for line in lines)


def _lot_cells(line: LotLine, unit: str) -> str:
    lot, usable = line.lot, line.counts.usable
    lost = ' <span class="stamp open">which engine: lost</span>' if lot.origin_lost else ""
    look = drawn.swatch(lot.finish_look) if lot.finish_look != "unknown" else ""
    bag = f'<span class="soft bagword">bag</span> {drawn.bag_code(lot)}' if lot.bag else ""
    return (
        f'<td class="n">{usable}</td>\n'
        f'<td><a class="tapline" href="{address("lot", lot.job_id, lot.number)}">'
        f"{drawn.kind_word(lot, usable)}</a>{lost}</td>\n"
        f'<td class="num">{drawn.ends(lot)}{drawn.times_length(lot, unit)}</td>\n'
        f"<td>{look}</td>\n<td>{bag}</td>\n<td>{_to_note(line)}</td>"
    )


def _to_note(line: LotLine) -> str:
    lot = line.lot
    stamp = drawn.thread_stamp(lot.thread_state)
    elsewhere = line.elsewhere
    defect = "" if lot.defect == "thread defective" else escape(lot.defect)
    comma = ", " if defect and elsewhere else ""
    asks = f' <span class="soft">asks {len(lot.questions)}</span>' if lot.questions else ""
    return f"{stamp}{' ' if stamp else ''}{defect}{comma}{escape(elsewhere)}{asks}"


def _whose(line: LotLine) -> str:
    lot = line.lot
    area = f", {escape(lot.area.name)}" if lot.area else ""
    return f'<td class="soft">{escape(lot.job.name)}, lot <span class="num">{lot.number}</span>{area}</td>'


def place_lines(places: Iterable[Place], job_id: int) -> str:
    """Draw places with what each needs, one ruled line each."""
    return "".join(_place_line(place, job_id) for place in places)


def _place_line(place: Place, job_id: int) -> str:
    said = f": {escape(place.basis_said)}" if place.basis_said and place.basis != "assumed" else ""
    long = f" × {escape(place.length_nominal)}" if place.length_mm else ""
    look = drawn.swatch(place.finish_wanted) if place.finish_wanted != "unknown" else ""
    return (
        f'<tr><td class="n">{place.count}</td>'
        f'<td><a class="tapline" href="{address("place", job_id, place.pk)}">{escape(place.name)}</a>'
        f'<div class="why">{escape(place.get_basis_display())}{said}</div></td>\n'
        f"<td>{drawn.kind_word(place, place.count)}</td>"
        f'<td class="num">{drawn.ends(place)}{long}</td>\n'
        f"<td>{look}</td>\n<td>{drawn.place_state(place)}</td></tr>\n"
    )


def finding_lines(findings: Iterable[Finding], *, settling: bool = False) -> str:
    """Draw findings, one ruled line each, with the way to settle those that are open."""
    return "".join(_finding_line(finding, settling) for finding in findings)


def _finding_line(finding: Finding, settling: bool) -> str:
    what = escape(finding.get_what_display())
    if finding.lot is not None:
        to_lot = address("lot", finding.job_id, finding.lot.number)
        what += f' <a class="tapline" href="{to_lot}">lot <span class="num">{finding.lot.number}</span></a>'
    if finding.place is not None:
        to_place = address("place", finding.job_id, finding.place.pk)
        what += f' <a class="tapline" href="{to_place}">{escape(finding.place.name)}</a>'
    if finding.area is not None:
        what += f'<span class="soft">, {escape(finding.area.name)}</span>'
    tried = f' <span class="soft">tried: {escape(finding.tried)}</span>' if finding.tried else ""
    if finding.settled:
        state = '<span class="stamp good">settled</span>'
    elif settling:
        state = ""
    else:
        to_settle = address("settle_finding", finding.job_id, finding.pk)
        state = f'<a class="tapline" href="{to_settle}">settle it</a>'
    return (
        f'<tr><td class="n">{finding.count or ""}</td><td>{what}</td>\n'
        f"<td>{escape(finding.note)}{tried}</td>\n<td>{state}</td></tr>\n"
    )


def bag_lines(lines: Iterable[BagLine], job_id: int) -> str:
    """Draw bags with what they hold and whether their labels are true."""
    return "".join(_bag_line(line, job_id) for line in lines)


def _bag_line(line: BagLine, job_id: int) -> str:
    bag, lots = line.bag, line.lots
    area = f"{escape(bag.area.name)}, " if bag.area else ""
    held = f"{lots} lot{drawn.plural(lots)}" if lots else '<span class="soft">empty</span>'
    packed = '<span class="stamp good">packed</span> ' if bag.packed_on else ""
    if line.label_stale:
        state = '<span class="stamp bad">label out of date</span>'
    elif bag.labelled_on:
        state = '<span class="stamp">labelled</span>'
    else:
        state = '<span class="stamp open">no label</span>' if lots else ""
    return (
        f'<tr><td class="n">{line.pieces}</td><td><a class="tapline code" '
        f'href="{address("bag", job_id, bag.code)}"><b>{escape(bag.code)}</b></a></td>'
        f"<td>{area}{held}</td>\n<td>{packed}{state}</td></tr>\n"
    )


def found_bags(bags: Iterable[Bag]) -> str:
    """Draw bags of any job, each with its area and job."""
    return "".join(
        f'<tr><td class="n code">{escape(bag.code)}</td><td><a class="tapline" '
        f'href="{address("bag", bag.job_id, bag.code)}">bag {escape(bag.code)}</a>'
        f"{f', {escape(bag.area.name)}' if bag.area else ''}</td>"
        f'<td class="soft">{escape(bag.job.name)}</td></tr>'
        for bag in bags
    )
