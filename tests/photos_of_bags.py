"""Photos for the comparison, from what a simulator saw or as a test writes them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.items import Estimate, Look, MeasuredPhoto, PhotoItem, Sizes, ThreadChance
from runningfit.core.pieces.kinds import Kind
from simulators.bags import Seen


def piece(
    kind: Kind = Kind.HEX_BOLT,
    thread: str | Mapping[str, float] = "",
    *,
    look: Look | None = None,
    fault: Fault | None = None,
    u_mm: float = 0.2,
    **sizes_mm: float,
) -> PhotoItem:
    """A piece as a test says it: sizes in mm, all with one uncertainty."""
    threads = {thread: 0.98} if isinstance(thread, str) else thread
    return PhotoItem(
        1,
        kind,
        {kind: 1.0},
        (50.0, 50.0),
        (),
        (),
        Sizes(**{name: Estimate(value, u_mm) for name, value in sizes_mm.items()}),
        tuple(ThreadChance(name, share) for name, share in threads.items() if name),
        {} if look is None else {look: 1.0},
        None if fault is None else CouldNotMeasure(fault, "It could not be measured.", "Lay it apart."),
        "",
    )


def photo(items: Iterable[PhotoItem]) -> MeasuredPhoto:
    """A photo of these pieces, numbered from 1."""
    numbered = tuple(replace(one, number=number) for number, one in enumerate(items, start=1))
    return MeasuredPhoto(1.0, 0.1, 4000, 3000, numbered, (), {})


def photo_of(pieces: Iterable[Seen]) -> MeasuredPhoto:
    """A photo of what a simulator saw."""
    return photo(map(_item, pieces))


def _item(one: Seen) -> PhotoItem:
    sizes: dict[str, Any] = {name: Estimate(*size) for name, size in one.sizes.items()}
    kinds = {Kind(name): share for name, share in one.kinds.items()}
    return PhotoItem(
        1,
        max(kinds, key=lambda kind: kinds[kind]),
        kinds,
        (50.0, 50.0),
        (),
        (),
        Sizes(**sizes),
        tuple(ThreadChance(name, share) for name, share in one.threads.items()),
        {Look(name): share for name, share in one.looks.items()},
        None,
        "",
    )
