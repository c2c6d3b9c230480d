"""Lines of outside work: lots on their way out and back, lines of a consignment, consignments."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from html import escape
from typing import Any

from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.web.treatments.drawn_lines import compare_link
from runningfit.workshop.outside_work.confirming import process_said
from runningfit.workshop.outside_work.models import Consignment
from runningfit.workshop.outside_work.queries import ConsignmentSum


def send_lines(rows: Iterable[Mapping[str, Any]], state: str, job_id: int, unit: str) -> str:
    """Draw lots of a job in one state of the way out and back."""
    return "".join(_send_line(row, state, job_id, unit) for row in rows)


def _send_line(row: Mapping[str, Any], state: str, job_id: int, unit: str) -> str:
    lot, counts = row["lot"], row["counts"]
    to_lot = address("lot", job_id, lot.number)
    if state == "out":
        count = counts.outside
        words = f'<a class="tapline" href="{to_lot}">{drawn.lot_words(lot, counts.usable, unit)}</a>'
    else:
        count = counts.here
        checked = " checked" if row["ticked"] else ""
        words = (
            f'<label class="tickline"><input type="checkbox" name="lot" value="{lot.pk}"{checked}> '
            f"<span>{drawn.lot_words(lot, count, unit)}</span></label>"
        )
    defect = f'<div class="why">{escape(lot.defect)}</div>' if lot.defect else ""
    if lot.finish_received_look:
        look = f'{drawn.swatch(lot.finish_received_look)} <span class="soft">as received</span>'
    else:
        look = drawn.swatch(lot.finish_look) if lot.finish_look != "unknown" else ""
    bag = f'<span class="soft">bag</span> {drawn.bag_code(lot)}' if lot.bag else ""
    where = ", ".join(part for part in (bag, escape(lot.area.name) if lot.area else "") if part)
    return (
        f'<tr><td class="n">{count}</td>\n<td>{words}{defect}</td>\n<td>{look}</td>\n'
        f'<td>{where} <a class="soft" href="{to_lot}">lot {lot.number}</a></td>\n'
        f"<td>{escape(row['treatment'])}{_on_its_way(row, state)}{_to_compare(row, state)}</td></tr>\n"
    )


def _to_compare(row: Mapping[str, Any], state: str) -> str:
    """The warning about what was chosen leads to the other treatments, or else a plain link does."""
    if state in ("out", "done"):
        return ""
    return row["warning"] or f" {compare_link(row['lot'])}"


def _on_its_way(row: Mapping[str, Any], state: str) -> str:
    draft, line = row["draft"], row["line"]
    if draft:
        return f" {_way_to(draft.consignment, ', not sent', before='on ')}"
    if line and state == "out":
        gone = line.consignment
        due = f' <span class="soft">due {drawn.day(gone.due_on, year=False)}</span>' if gone.due_on else ""
        return f" {_way_to(gone, f', {escape(gone.shop.name)}')}{due}"
    if line and state == "done":
        return f' <span class="soft">back from {escape(line.consignment.shop.name)}</span>'
    return '<span class="soft">done here</span>' if state == "done" and not row["treatment"] else ""


def _way_to(consignment: Consignment, after: str, *, before: str = "") -> str:
    number = consignment.number
    return f'<a href="{address("consignment", number)}">{before}consignment {number}{after}</a>'


def consignment_lines(
    rows: Iterable[Mapping[str, Any]],
    consignment: Consignment,
    *,
    many_jobs: bool,
    currency: str,
    unit: str,
    once: Callable[[], str],
) -> str:
    """Draw the lines of a consignment, each with what is still out or can be taken off again.

    Parameters
    ----------
    once : callable
        Returns what every form carries.
    """
    return "".join(
        f"{_consigned(row, many_jobs, escape(currency), unit)}\n"
        f"<td>{_back_or_off(row, consignment, once)}</td></tr>\n"
        for row in rows
    )


def _consigned(row: Mapping[str, Any], many_jobs: bool, currency: str, unit: str) -> str:
    line, lot = row["line"], row["line"].lot
    about = [f"lot {lot.number}"]
    about += [escape(lot.job.name)] if many_jobs else []
    about += [escape(lot.defect)] if lot.defect else []
    about += [f"<b>{escape(line.must_not)}</b>"] if line.must_not else []
    bag = line.bag or lot.bag
    bag_said = f'<span class="soft">bag</span> <span class="code">{escape(bag.code)}</span>' if bag else ""
    asked = escape(row["treatment"])
    asked += row["warning"]
    if line.price is not None:
        asked += f' <span class="soft">{currency}{line.price:,.2f}</span>'
    if line.finish_received_look and line.finish_received_look != line.finish_asked:
        asked += f' <span class="soft">came</span> {drawn.swatch(line.finish_received_look)}'
    if line.finish_received_process:
        asked += f' <span class="soft">confirmed</span> {process_said(line.finish_received_process)}'
    return (
        f'<tr><td class="n">{line.count}</td>\n<td><a class="tapline" '
        f'href="{address("lot", lot.job_id, lot.number)}">{drawn.lot_words(lot, line.count, unit)}</a>'
        f'<div class="why">{", ".join(about)}</div></td>\n<td>{bag_said}</td>\n<td>{asked}</td>'
    )


def _back_or_off(row: Mapping[str, Any], consignment: Consignment, once: Callable[[], str]) -> str:
    line, lot = row["line"], row["line"].lot
    if consignment.sent_on:
        state = (
            f'<span class="stamp open">{row["out"]} out</span>'
            if row["out"]
            else f'<span class="stamp good">{line.back_count or 0} back</span>'
        )
        state += f' <span class="soft">{line.lost_count} written off</span>' if line.lost_count else ""
    else:
        fewer = f'<span class="stamp bad">{row["here"]} here</span> ' if row["here"] != line.count else ""
        state = (
            f'{fewer}<form method="post" class="inline" '
            f'action="{address("take_off", consignment.number, line.pk)}">{once()}'
            f'<button class="plain">Take off<span class="unseen"> lot {lot.number}</span></button></form>'
        )
    to_line = address("consignment_line", consignment.number, line.pk)
    return (
        f'{state} <a class="go" href="{to_line}">must not, price'
        f'<span class="unseen"> of lot {lot.number}</span></a>'
    )


def out_lines(rows: Iterable[ConsignmentSum], today: dt.date) -> str:
    """Draw consignments that are out, each with when it is promised and what can be done about it."""
    return "".join(_out_line(row, today) for row in rows)


def _out_line(row: ConsignmentSum, today: dt.date) -> str:
    one, number = row.consignment, row.consignment.number
    late = one.due_on is not None and one.due_on < today
    mark, stamp = (' class="mark"', ' <span class="stamp bad">late</span>') if late else ("", "")
    due = f"{drawn.day(one.due_on)}{stamp}" if one.due_on else '<span class="soft">no date</span>'
    back = f", {row.back} back" if row.back else ""
    sent = f" sent {drawn.day(one.sent_on, year=False)}" if one.sent_on else ""
    still_open = f'<span class="stamp open">{row.open} open</span>' if row.open else ""
    count_back = (
        f'<a class="button" href="{address("count_back", number)}">Count back'
        f'<span class="unseen"> consignment {number}</span></a>'
        if row.outside
        else ""
    )
    return (
        f'<tr{mark}><td class="n">{row.outside}</td>\n<td>{_shop_and_number(one)}'
        f'<div class="why">{row.sent} pieces of {row.lots} lots{sent}{back}</div></td>\n'
        f'<td>{due}</td>\n<td>{still_open}</td>\n<td><span class="do tight">'
        f'<a class="button plain" href="{address("call", number)}">Log a call'
        f'<span class="unseen"> about consignment {number}</span></a>{count_back}</span></td></tr>'
    )


def done_lines(rows: Iterable[ConsignmentSum], currency: str) -> str:
    """Draw consignments that are accounted for."""
    return "".join(_done_line(row, escape(currency)) for row in rows)


def _done_line(row: ConsignmentSum, currency: str) -> str:
    one = row.consignment
    sent = drawn.day(one.sent_on) if one.sent_on else ""
    lost = f", {row.lost} written off" if row.lost else ""
    paid: Decimal | None = one.paid
    return (
        f'<tr><td class="n">{row.back}</td><td>{_shop_and_number(one)}</td><td>{sent}{lost}</td>'
        f"<td>{'' if paid is None else f'{currency}{paid:,.2f}'}</td></tr>\n"
    )


def _shop_and_number(one: Consignment) -> str:
    said = f"{escape(one.shop.name)}, consignment {one.number}"
    return f'<a class="tapline" href="{address("consignment", one.number)}">{said}</a>'
