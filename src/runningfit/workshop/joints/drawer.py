"""The shop's drawer of shims: what lies in it, by size, and what another would cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.joints.matching.shim_sheets import read_drawer
from runningfit.workshop.joints.fit_models import DrawerShim
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.records.writing import Hand, write

VALVE_SHIMS = "valve shims"
_THINNEST_MM, _THICKEST_MM = 0.3, 20.0
_MOST = 10_000
_SAME_MM = 5e-5


@dataclass(frozen=True, slots=True)
class SaidOfShim:
    """A size in the drawer: how many, what is marked on them, the price of another."""

    size: TypedNumber
    count: int
    mark: str = ""
    price: Decimal | None = None


def shims_in_drawer(purpose: str = VALVE_SHIMS) -> list[DrawerShim]:
    """Return what is known of the drawer, the thinnest first."""
    return list(DrawerShim.objects.filter(purpose=purpose, withdrawn=False).order_by("size_mm", "id"))


def shim_by_id(shim_id: int) -> DrawerShim:
    """Return a size of the drawer, or raise NotFound saying so."""
    one = DrawerShim.objects.filter(pk=shim_id, withdrawn=False).first()
    if one is None:
        raise NotFound(f"There is no size {shim_id} in the drawer.")
    return one


def put_in_drawer(*, said: SaidOfShim, hand: Hand, purpose: str = VALVE_SHIMS) -> DrawerShim:
    """Put a size into the drawer.

    Raises
    ------
    InvalidInput
        A size that no shim has, or a count or price below nothing.
    Conflict
        That size is there already, so its count is to be changed.
    """
    _check(said)
    with write(
        verb="put_in_drawer", summary=f"drawer: {said.count} of {said.size.typed}", hand=hand
    ) as entry:
        _refuse_twice(said, purpose, None)
        return entry.create(DrawerShim(purpose=purpose, **_columns(said)))


def change_in_drawer(*, shim: DrawerShim, said: SaidOfShim, hand: Hand) -> DrawerShim:
    """Say anew how many of a size there are, or what one costs; none left is a count of 0.

    Raises
    ------
    InvalidInput, Conflict
        As for a new one.
    """
    _check(said)
    summary = f"drawer: {said.count} of {said.size.typed}, {shim.count} before"
    with write(verb="put_in_drawer", summary=summary, hand=hand) as entry:
        held = DrawerShim.objects.select_for_update().get(pk=shim.pk)
        _refuse_twice(said, held.purpose, held)
        return entry.change(held, **_columns(said))


def import_drawer(*, data: bytes, hand: Hand, purpose: str = VALVE_SHIMS) -> Sequence[DrawerShim]:
    """Take a sheet of the drawer (shim_mm and count): sizes that are there get its count, others are added.

    Raises
    ------
    InvalidInput
        A column or a cell is missing or is no size; nothing is taken then.
    """
    told: dict[float, int] = {}
    for one in read_drawer(data):
        size_mm = round(one.thickness_mm, 6)
        told[size_mm] = told.get(size_mm, 0) + one.count
    said = [SaidOfShim(TypedNumber(size, f"{size:g} mm"), count) for size, count in sorted(told.items())]
    for row in said:
        _check(row)
    there = shims_in_drawer(purpose)
    made = []
    with write(verb="put_in_drawer", summary=f"drawer: {len(said)} sizes from a sheet", hand=hand) as entry:
        for row in said:
            held = next((one for one in there if abs(one.size_mm - row.size.value) < _SAME_MM), None)
            made.append(
                entry.create(DrawerShim(purpose=purpose, **_columns(row)))
                if held is None
                else entry.change(held, count=row.count)
            )
    return made


def _check(said: SaidOfShim) -> None:
    if not _THINNEST_MM <= said.size.value <= _THICKEST_MM:
        raise InvalidInput(
            "size", needs=f"a shim from {_THINNEST_MM:g} to {_THICKEST_MM:g} mm thick", came=said.size.typed,
            remedy="Look for a slipped decimal point, or the other unit.",
        )  # fmt: skip
    if not 0 <= said.count <= _MOST:
        raise InvalidInput("count", needs=f"0 to {_MOST:,}", came=said.count)
    if said.price is not None and not 0 <= said.price <= _MOST:
        raise InvalidInput("price", needs=f"an amount from 0 to {_MOST:,}", came=str(said.price))


def _refuse_twice(said: SaidOfShim, purpose: str, but: DrawerShim | None) -> None:
    for one in shims_in_drawer(purpose):
        if (but is None or one.pk != but.pk) and abs(one.size_mm - said.size.value) < _SAME_MM:
            raise Conflict(f"{one.size_typed} is in the drawer already, {one.count} of it. Change its count.")


def _columns(said: SaidOfShim) -> dict[str, object]:
    return {
        "size_mm": said.size.value,
        "size_typed": said.size.typed,
        "count": said.count,
        "mark": said.mark.strip(),
        "price": said.price,
    }
