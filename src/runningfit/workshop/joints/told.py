"""What of a lot's and a place's own row tells of its joint: plain values, by which alike joints are known."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Any, NamedTuple, TypeAlias, TypeVar

from django.db.models import TextField
from django.db.models.functions import Cast, JSONArray

from runningfit.workshop.joints.models import KnownOfLot, KnownOfPlace
from runningfit.workshop.pieces.models import Lot, Place

_K = TypeVar("_K", KnownOfLot, KnownOfPlace)
# Whose row it is, how a length was typed, and a note: none of them tells of the joint.
_TELLS_NOTHING = frozenset({"id", "withdrawn", "lot", "place", "note", "typed"})
Values: TypeAlias = tuple[Any, ...]


class LotTold(NamedTuple):
    """The fields of a lot that tell of its joint, and no others; all but the length are texts."""

    length_mm: float | None
    kind: str
    kind_said: str
    end_a: str
    end_b: str
    condition: str
    defect: str
    thread_state: str
    finish_look: str
    finish_process: str
    finish_received_look: str
    finish_received_process: str
    treatment: str
    treatment_done: str
    ordered_steps: str
    ordered_coat: str
    done_chain: str


class PlaceTold(NamedTuple):
    """The fields of a place that tell of its joint, and no others."""

    kind: str
    end_a: str
    length_mm: float | None
    thread_state: str
    hole_material: str
    hole_blind: str
    hole_depth_mm: float | None
    torque_nm: float | None
    torque_typed: str


# A database hands over one text three times as fast as a dozen, and one is sooner found to be as another.
LOT_IN_ONE = Cast(JSONArray(*LotTold._fields[1:]), TextField())


def lot_told(length_mm: float | None, in_one: str) -> LotTold:
    """Return the fields of a lot from its length and from what `LOT_IN_ONE` read."""
    return LotTold(length_mm, *json.loads(in_one))


LotRow: TypeAlias = Lot | LotTold
PlaceRow: TypeAlias = Place | PlaceTold


@cache
def known_fields(model: type[KnownOfLot] | type[KnownOfPlace]) -> tuple[str, ...]:
    """Return the fields of what is known that tell of a joint."""
    return tuple(one.attname for one in model._meta.concrete_fields if one.name not in _TELLS_NOTHING)


@lru_cache(maxsize=8192)
def known_from(model: type[_K], values: Values) -> _K:
    """Return a row of these values, in the order of `known_fields`, that stands for every one like it."""
    told: Mapping[str, Any] = dict(zip(known_fields(model), values, strict=True))
    return model(**told)
