"""Parts of the building room's pages: areas with what stands against building, places of a kit."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from runningfit.web import drawn
from runningfit.web.addresses import address
from runningfit.workshop.build.queries import AreaState, KitLot, KitPlace

REASONS_SHOWN = 6
BUILT = '<span class="stamp good">built</span>'
READY = '<span class="stamp good">yes, ready to build</span>'
NOT_YET = '<span class="stamp bad">no, not yet</span>'


def area_parts(areas: Iterable[AreaState], job_id: int) -> str:
    """Draw areas, each with whether it can be built now and what stands against it."""
    return "".join(_area_part(row, job_id) for row in areas)


def _area_part(row: AreaState, job_id: int) -> str:
    area, state = row.area, row.state
    to_kit = address("kit", job_id, area.pk)
    stamp = BUILT if state.finished else READY if state.ready else NOT_YET
    fitted = ""
    if not row.places:
        stamp = '<span class="stamp open">not described</span>'
    else:
        missing = f", {state.missing} missing" if state.missing else ""
        outside = f", {state.outside} outside" if state.outside else ""
        fitted = (
            f'<span class="why"><span class="num">{state.fitted}</span> of '
            f'<span class="num">{state.needed}</span> fitted{missing}{outside}</span>'
        )
    against = _against(row, to_kit)
    return (
        f'<section class="part" aria-labelledby="area-{area.pk}">\n'
        f'<h2 id="area-{area.pk}"><a href="{to_kit}">{escape(area.name)}</a></h2>\n'
        f"{stamp}\n{fitted}\n{against}\n</section>\n"
    )


def _against(row: AreaState, to_kit: str) -> str:
    # Where all is fitted, or nobody said yet what is needed, only a test that is open stands against it.
    only_tests = row.state.finished or not row.places
    reasons = row.state.waits if only_tests else row.state.reasons
    more = len(reasons) - REASONS_SHOWN
    items = "".join(f"<li>{escape(reason.text)}</li>" for reason in reasons[:REASONS_SHOWN])
    if more > 0:
        items += f'<li><a href="{to_kit}">and {more} more</a></li>'
    said = () if only_tests else row.state.cautions
    cautions = "".join(f'<p class="why">{escape(caution.text)}</p>' for caution in said)
    return f'<ul class="reasons">{items}</ul>\n{cautions}' if items else cautions


def kit_lines(places: Iterable[KitPlace], job_id: int, unit: str) -> str:
    """Draw the places of a kit, each with the lots that fill it and what is in its place now."""
    return "".join(_kit_line(row, job_id, unit) for row in places)


def _kit_line(row: KitPlace, job_id: int, unit: str) -> str:
    place, missing = row.place, row.missing
    about = drawn.what(place, place.count, unit)
    about += f" · torque {escape(place.torque_typed)}" if place.torque_typed else ""
    if place.thread_state in ("defective", "not_proven"):
        about += f" · thread of the hole {escape(place.get_thread_state_display())}"
    lots = "".join(_lot(kept, job_id) for kept in row.lots)
    lots += f'<span class="stamp bad">{missing} missing</span>' if missing else ""
    fitted = f'<div><span class="stamp good">{row.fitted} fitted</span></div>' if row.fitted else ""
    to_fit = "".join(_to_fit(kept) for kept in row.lots if kept.to_fit)
    mark = ' class="mark"' if missing else ""
    return (
        f'\n<tr{mark}>\n<td class="n">{place.count}</td>\n'
        f'<th scope="row"><a href="{address("allot", job_id, place.pk)}">{escape(place.name)}</a>'
        f'<div class="why">{about}</div></th>\n<td>{lots}</td>\n<td>{fitted}{to_fit}</td>\n</tr>'
    )


def _lot(kept: KitLot, job_id: int) -> str:
    lot, counts = kept.lot, kept.counts
    stamps = [f'<span class="stamp open">{counts.outside} out</span>'] if counts.outside else []
    stamps += [f'<span class="stamp open">{escape(kept.due)}</span>'] if kept.due else []
    stamps += [stamp] if (stamp := drawn.thread_stamp(lot.thread_state)) else []
    after = "".join(f" {stamp}" for stamp in stamps)
    return (
        f'<div><span class="num">{counts.usable}</span> of {drawn.lot_link(lot, job_id)} · '
        f"{drawn.swatch(lot.finish_look)}{after}</div>"
    )


def _to_fit(kept: KitLot) -> str:
    lot = kept.lot
    return (
        f'<div class="quick take"><label class="ticked"><input type="checkbox" name="fit" value="{lot.pk}">'
        f'<span>lot {lot.number}</span></label><input name="count-{lot.pk}" type="number" min="1" '
        f'inputmode="numeric" aria-label="How many of lot {lot.number}" value="{kept.to_fit}"></div>'
    )
