"""What is typed of a place, read in the trade's way into what the place says."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook, read_finish
from runningfit.core.pieces.kinds import Kind
from runningfit.core.units import LengthQuestion, LengthUnit, TorqueUnit, read_length, read_torque
from runningfit.workshop.pieces.places import PlaceFacts
from runningfit.workshop.pieces.spec_reading import read_spec


@dataclass(frozen=True, slots=True)
class PlaceWords:
    """A place as typed, in a form or in a row of a list."""

    name: str
    count: int
    basis: str
    basis_said: str = ""
    kind: str = "other"
    thread: str = ""
    length: str = ""
    finish: str = ""
    visible: bool = False
    torque: str = ""
    hole_material: str = ""
    hole_blind: str = ""
    hole_depth: str = ""
    note: str = ""


def read_place(words: PlaceWords, *, default_unit: LengthUnit) -> PlaceFacts:
    """Read what is typed of a place.

    Parameters
    ----------
    words : PlaceWords
        As typed.
    default_unit : LengthUnit
        The shop's unit, for bare lengths where the thread does not tell, and for a bare torque: lbf ft where
        the shop works in inches, N m where it works in millimetres.

    Raises
    ------
    InvalidInput
        A value was typed that cannot be read; it is named.
    """
    spec = read_spec(
        kind=words.kind,
        thread=words.thread,
        length=words.length,
        # What a plug is called tells whether its size is a thread or the bore it is pressed into.
        words=words.name if words.kind == Kind.PLUG else "",
        default_unit=default_unit,
    )
    torque_nm = None
    if words.torque.strip():
        bare = TorqueUnit.LBF_FT if default_unit is LengthUnit.INCH else TorqueUnit.NM
        torque_nm = read_torque(words.torque, default_unit=bare).torque_nm
    finish = words.finish.strip()
    look = finish if finish in set(FinishLook) else read_finish(finish).look.value if finish else "unknown"
    return PlaceFacts(
        name=words.name,
        count=words.count,
        basis=words.basis,
        basis_said=words.basis_said.strip(),
        kind=spec.kind,
        end_a=spec.end_a,
        end_b=spec.end_b,
        size_said=spec.size_said,
        length_mm=spec.length_mm,
        length_nominal=spec.length_nominal,
        length_typed=spec.length_typed,
        length_basis=spec.length_basis,
        finish_wanted=look,
        visible=words.visible,
        torque_nm=torque_nm,
        torque_typed=words.torque.strip(),
        hole_material=words.hole_material.strip(),
        hole_blind=words.hole_blind,
        hole_depth_mm=_depth(words.hole_depth, default_unit),
        note=words.note.strip(),
    )


def _depth(typed: str, default_unit: LengthUnit) -> float | None:
    if not typed.strip():
        return None
    try:
        reading = read_length(typed, default_unit=default_unit)
    except InvalidInput as error:
        raise InvalidInput("hole_depth", needs=error.needs, came=typed, remedy=error.remedy) from error
    if isinstance(reading, LengthQuestion):
        readings = " or ".join(one.said for one in reading.readings)
        raise InvalidInput(
            "hole_depth", needs="one depth", came=typed, remedy=f"It can be {readings}: say which."
        )
    return reading.mm
