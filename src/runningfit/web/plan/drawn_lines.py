"""Lines of the plan's tables: places with what fills them, lots that belong nowhere, what is to buy."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.workshop.pieces.models import Place
from runningfit.workshop.plan.models import ToBuy
from runningfit.workshop.plan.queries import LotHere, PlaceLine
from runningfit.workshop.plan.strangers import Stranger


def plan_lines(lines: Iterable[PlaceLine], job_id: int, unit: str) -> str:
    """Draw places of the plan, each with what fills it and what is missing."""
    return "".join(_plan_line(line, job_id, unit) for line in lines)


def _plan_line(line: PlaceLine, job_id: int, unit: str) -> str:
    place, missing = line.place, line.missing
    to_allot, name = address("allot", job_id, place.pk), escape(place.name)
    sight = " · in sight" if place.visible else ""
    lots = "".join(_lot_here(here, job_id) for here in line.lots) or '<span class="soft">nothing yet</span>'
    mark = ' class="mark"' if missing else ""
    fill = f'<a class="button plain" href="{to_allot}">Fill<span class="unseen"> {name}</span></a>'
    return (
        f'\n<tr{mark}>\n<td class="n">{place.count}</td>\n'
        f'<th scope="row"><a href="{to_allot}">{name}</a>'
        f'<div class="why">{drawn.what(place, place.count, unit)}{sight}</div></th>\n'
        f"<td>{lots}</td>\n<td>{_state(line)} {fill if missing else ''}</td>\n</tr>"
    )


def _lot_here(here: LotHere, job_id: int) -> str:
    outside = here.counts.outside
    out = f' <span class="stamp open">{outside} out</span>' if outside else ""
    doubt = drawn.thread_stamp(here.lot.thread_state)
    return (
        f'<div><span class="num">{here.counts.usable}</span> of {drawn.lot_link(here.lot, job_id)}{out}'
        f"{' ' if doubt else ''}{doubt}</div>"
    )


def _state(line: PlaceLine) -> str:
    if line.missing:
        said = f'<span class="stamp bad">{line.missing} missing</span>'
        if line.on_order:
            said += f' <span class="soft">{line.on_order} on the list to buy</span>'
    elif line.over:
        said = f'<span class="stamp open">{line.over} too many</span>'
    else:
        said = '<span class="stamp good">full</span>'
    assumed = ' <span class="stamp open">assumed</span>' if line.assumed else ""
    hole = drawn.place_state(line.place)
    return f"{said}{assumed}{' ' if hole else ''}{hole}"


def stranger_lines(rows: Iterable[Stranger], job_id: int, unit: str) -> str:
    """Draw lots that belong nowhere, or may, each with why."""
    return "".join(_stranger_line(row, job_id, unit) for row in rows)


def _stranger_line(row: Stranger, job_id: int, unit: str) -> str:
    lot, usable = row.lot, row.counts.usable
    about = [drawn.what(lot, usable, unit), drawn.swatch(lot.finish_look)]
    about += [escape(lot.area.name)] if lot.area else []
    about += [escape(lot.origin.name)] if lot.origin else ["which engine: lost"] if lot.origin_lost else []
    why = escape(row.why[:1].upper() + row.why[1:])
    if not why and lot.place is not None:
        why = f"allotted to {escape(lot.place.name)}"
    return (
        f'<tr><td class="n">{usable}</td>\n<td>{drawn.lot_link(lot, job_id)}'
        f'<div class="why">{" · ".join(about)}</div></td>\n<td>{why}</td></tr>\n'
    )


def to_buy_lines(rows: Iterable[ToBuy], job_id: int, currency: str) -> str:
    """Draw what is to buy, with its price new and refurbished and how far it is."""
    return "".join(_to_buy_line(row, job_id, escape(currency)) for row in rows)


def _to_buy_line(row: ToBuy, job_id: int, currency: str) -> str:
    for_what = f"for {escape(row.place.name)}, {escape(row.place.area.name)}" if row.place else ""
    if row.instead_of is not None:
        for_what += f" instead of refurbishing lot {row.instead_of.number}"
    if row.note:
        for_what += f" {escape(row.note)}"
    new, old = '<span class="soft">no price yet</span>', ""
    if row.price_each is not None:
        by = f", {escape(row.supplier)}" if row.supplier else ""
        said_on = f", said {drawn.day(row.price_said_on)}" if row.price_said_on else ""
        price = f"{currency}{row.price_each:,.2f}"
        new = f'<span class="num">{price}</span> <span class="soft">new{by}{said_on}</span>'
    if row.refurbish_price_each is not None:
        price = f"{currency}{row.refurbish_price_each:,.2f}"
        old = f'<span class="num">{price}</span> <span class="soft">refurbished</span>'
    return (
        f'<tr><td class="n">{row.count}</td>\n<th scope="row">'
        f'<a href="{address("bought", job_id, row.pk)}">{escape(row.in_words)}</a>'
        f'<div class="why">{for_what}</div></th>\n<td>{new}</td>\n<td>{old}</td>\n'
        f"<td>{_how_far(row, job_id)}</td></tr>\n"
    )


def _how_far(row: ToBuy, job_id: int) -> str:
    if row.received_on is not None:
        lot = f" {drawn.lot_link(row.received_as, job_id)}" if row.received_as else ""
        return f'<span class="stamp good">came {drawn.day(row.received_on, year=False)}</span>{lot}'
    if row.ordered_on is None:
        return '<span class="stamp open">not ordered</span>'
    due = f"due {drawn.day(row.due_on)}" if row.due_on else '<span class="soft">no day said</span>'
    return f'<span class="stamp after">ordered</span> {due}'


def unlisted_lines(rows: Iterable[tuple[Place, int]], job_id: int, unit: str, once: Callable[[], str]) -> str:
    """Draw places that miss pieces, each with the form that puts them on the list to buy."""
    return "".join(_unlisted_line(place, missing, job_id, unit, once()) for place, missing in rows)


def _unlisted_line(place: Place, missing: int, job_id: int, unit: str, once: str) -> str:
    name = escape(place.name)
    return (
        f'<tr><td class="n">{missing}</td>\n<th scope="row">'
        f'<a href="{address("allot", job_id, place.pk)}">{name}</a> '
        f'<span class="soft">{escape(place.area.name)}</span>'
        f'<div class="why">{drawn.what(place, place.count, unit)}</div></th>\n'
        f'<td><form method="post" action="{address("buy_for_place", job_id, place.pk)}">{once}'
        f'<button class="plain">Buy {missing}<span class="unseen"> for {name}</span></button>'
        f"</form></td></tr>\n"
    )
