"""What is typed of a lot or of the other side of its joint, read in the trade's way into what is kept."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.conditions import condition_of, read_condition
from runningfit.core.joints.grade_names import grades_of_marking, read_grade
from runningfit.core.joints.grades import strength_of
from runningfit.core.joints.nut_classes import read_nut_class
from runningfit.core.joints.preload import check_scatter
from runningfit.core.joints.tapped_materials import tapped_material
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.standards import thread as standard_thread
from runningfit.core.standards.limits import external_classes, internal_classes
from runningfit.core.treatments.advice import Material
from runningfit.core.treatments.embrittlement import read_hardness, read_process
from runningfit.core.treatments.plating import coat_of_class, read_coat
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.facts import Mate
from runningfit.core.units import (
    LengthQuestion,
    LengthUnit,
    TorqueUnit,
    read_force,
    read_length,
    read_offset,
    read_torque,
)

# Standard uncertainty of a hole's diameter where none was typed: a caliper (common practice, no source).
_U_CALIPER_MM = 0.02
_PLUS_MINUS = re.compile(r"(.+?)\s*(?:±|\+/-|\+-)\s*(.+)")
_NUMBER = re.compile(r"[±]?\s*(?P<number>[0-9]*[.,]?[0-9]+)\s*(?P<percent>%|per ?cent)?")
# What is measured of a used piece against a new one, and what is asked where less than nothing came.
_DIFFERENCES = {
    "stretch": "How much longer than new?",
    "stretch_most": "How much longer may it be?",
    "neck": "How much thinner at its thinnest place?",
    "neck_most": "How much thinner may it be?",
    "rust": "How much thinner has rust left it?",
}
_LENGTHS = ("thread_length", "over_ten")
_COAT_STANDARDS = ("ASTM B633", "ASTM B766", "ASTM F1941", "QQ-P-416")


@dataclass(frozen=True, slots=True)
class SaidOfLot:
    """What is said of the pieces of a lot, as typed; empty or none where nobody knows."""

    head_marking: str = ""
    grade: str = ""
    hardness: str = ""
    material: str = ""
    thread_class: str = ""
    role: str = Role.ORDINARY.value
    torque_to_yield: bool = False
    stretch: str = ""
    stretch_most: str = ""
    neck: str = ""
    neck_most: str = ""
    thread_length: str = ""
    over_ten: str = ""
    rust: str = ""
    lost: str = ""
    looks_sound: bool | None = None
    crack_tested: bool | None = None
    is_new: bool = False
    old_coat: str = ""
    own_steps: str = ""
    coat: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class SaidOfPlace:
    """What is said of the other side of a place's joint and of its torque, as typed; empty is not known."""

    mate: str = ""
    material: str = ""
    mate_grade: str = ""
    mate_class: str = ""
    blind: str = ""
    depth: str = ""
    chamfer: str = ""
    clamped: str = ""
    washer: str = ""
    engaged: str = ""
    prevailing: str = ""
    damaged_turns: str = ""
    hole_minor: str = ""
    hole_pitch_diameter: str = ""
    on_aluminium: bool = False
    torque: str = ""
    torque_page: str = ""
    torque_assumed: str = ""
    lubricant: str = ""
    scatter: str = ""
    wanted_clamp: str = ""
    role: str = Role.ORDINARY.value
    note: str = ""


def read_of_lot(
    said: SaidOfLot, *, threads: Sequence[str], internal: bool, unit: LengthUnit
) -> dict[str, object]:
    """Read what is typed of a lot into the fields of its row.

    Parameters
    ----------
    said : SaidOfLot
        As typed.
    threads : sequence of str
        Designations its thread may have; a grade and a class are held against the one thread there is.
    internal : bool
        Whether it is a nut.
    unit : LengthUnit
        The shop's unit, for a stretch without one.

    Raises
    ------
    InvalidInput
        A value cannot be read; it is named as the field is.
    """
    with _field("head_marking", said.head_marking):
        if said.head_marking.strip() and not (internal and said.head_marking.strip().isdigit()):
            grades_of_marking(said.head_marking)
    if internal:
        _check_nut("grade", said.grade)
    else:
        _check_grade("grade", said.grade, threads)
    with _field("hardness", said.hardness):
        if said.hardness.strip():
            read_hardness(said.hardness)
    _check_class("thread_class", said.thread_class, threads, internal=internal)
    for name in ("old_coat", "lost", "coat"):
        with _field(name, getattr(said, name)):
            _check_coat(getattr(said, name), argument=name)
    with _field("own_steps", said.own_steps):
        if said.own_steps.strip():
            read_process(said.own_steps)
    values = {field.name: getattr(said, field.name) for field in fields(said)}
    values |= {name: " ".join(text.split()) for name, text in values.items() if isinstance(text, str)}
    values |= {
        "material": _material(said.material),
        "role": _role(said.role),
        **{f"{name}_mm": _difference(name, getattr(said, name), unit) for name in _DIFFERENCES},
        **{f"{name}_mm": _length(name, getattr(said, name), unit) for name in _LENGTHS},
    }
    values["typed"] = _typed(values, *_DIFFERENCES, *_LENGTHS)
    return values


def read_of_place(
    said: SaidOfPlace, *, threads: Sequence[str], unit: LengthUnit
) -> tuple[dict[str, object], dict[str, object]]:
    """Read what is typed of a place's joint into the fields of the place and of what is known of it.

    Parameters
    ----------
    said : SaidOfPlace
        As typed.
    threads : sequence of str
        Designations its thread may have.
    unit : LengthUnit
        The shop's unit, for bare lengths; a bare torque is lbf ft in inches, N m in millimetres.

    Raises
    ------
    InvalidInput
        A value cannot be read; it is named as the field is.
    """
    if said.mate not in set(Mate):
        raise InvalidInput(
            "mate", needs=f"one of {', '.join(filter(None, Mate))}, or nothing", came=said.mate
        )
    if said.blind not in ("", "blind", "through"):
        raise InvalidInput("blind", needs="blind or through, or nothing", came=said.blind)
    with _field("material", said.material):
        tapped_material(said.material)
    if said.mate == Mate.NUT:
        _check_nut("mate_grade", said.mate_grade)
    else:
        _check_grade("mate_grade", said.mate_grade, threads)
    _check_class("mate_class", said.mate_class, threads, internal=said.mate != Mate.STUD)
    with _field("torque_assumed", said.torque_assumed):
        read_condition(said.torque_assumed)
    with _field("lubricant", said.lubricant):
        condition_of(None, said.lubricant)
    wanted_n = None
    with _field("wanted_clamp", said.wanted_clamp):
        if said.wanted_clamp.strip():
            force = read_force(said.wanted_clamp, default_unit=None)
            wanted_n = _more_than_nothing(force.force_n, said.wanted_clamp)
    of_place: dict[str, object] = {
        "hole_material": " ".join(said.material.split()),
        "hole_blind": said.blind,
        "hole_depth_mm": _length("depth", said.depth, unit),
        "torque_nm": _torque("torque", said.torque, unit),
        "torque_typed": said.torque.strip(),
    }
    values: dict[str, object] = {
        "mate": said.mate,
        "mate_grade": said.mate_grade.strip(),
        "mate_class": said.mate_class.strip(),
        "chamfer_mm": _length("chamfer", said.chamfer, unit),
        "clamped_mm": _length("clamped", said.clamped, unit),
        "washer_mm": _length("washer", said.washer, unit),
        "engaged_mm": _length("engaged", said.engaged, unit),
        "prevailing_nm": _torque("prevailing", said.prevailing, unit),
        "damaged_turns": _number("damaged_turns", said.damaged_turns, "a number of turns such as 1.5") or 0.0,
        "hole_minor_typed": _diameter("hole_minor", said.hole_minor, unit),
        "hole_pitch_diameter_typed": _diameter("hole_pitch_diameter", said.hole_pitch_diameter, unit),
        "on_aluminium": said.on_aluminium,
        "torque_page": " ".join(said.torque_page.split()),
        "torque_assumed": " ".join(said.torque_assumed.split()),
        "lubricant": " ".join(said.lubricant.split()),
        "scatter": _scatter(said.scatter),
        "wanted_clamp_n": wanted_n,
        "role": _role(said.role),
        "note": " ".join(said.note.split()),
    }
    typed = {field.name: getattr(said, field.name) for field in fields(said)}
    lengths = ("chamfer", "clamped", "washer", "engaged", "hole_minor", "hole_pitch_diameter")
    values["typed"] = _typed(typed, *lengths, "damaged_turns", "prevailing", "scatter", "wanted_clamp")
    return of_place, values


@lru_cache(maxsize=2048)
def read_diameter(text: str) -> Measured | None:
    """Read a diameter as it is kept: in millimetres, with two standard uncertainties behind ±."""
    found = _PLUS_MINUS.fullmatch(text)
    if found is None:
        return None
    try:
        mm, spread = (read_length(part, default_unit=LengthUnit.MM) for part in found.groups())
    except InvalidInput:
        return None
    if isinstance(mm, LengthQuestion) or isinstance(spread, LengthQuestion):
        return None
    return Measured(mm.mm, spread.mm / 2)


@contextmanager
def _field(name: str, came: str) -> Iterator[None]:
    """Name what is refused as its field is named."""
    try:
        yield
    except InvalidInput as error:
        raise InvalidInput(name, needs=error.needs, came=came, remedy=error.remedy) from error


def _typed(values: dict[str, object], *names: str) -> dict[str, object]:
    """Take what was typed out of the values, to be kept beside what it means."""
    return {name: text for name in names if (text := values.pop(name))}


def _one(threads: Sequence[str]) -> str:
    return threads[0] if len(threads) == 1 else ""


def _check_grade(name: str, text: str, threads: Sequence[str]) -> None:
    with _field(name, text):
        if not text.strip():
            return
        grade = read_grade(text)
        if one := _one(threads):
            strength_of(grade, standard_thread(one))


def _check_nut(name: str, text: str) -> None:
    with _field(name, text):
        read_nut_class(text)


def _check_class(name: str, text: str, threads: Sequence[str], *, internal: bool) -> None:
    one = _one(threads)
    if not text.strip() or not one:
        return
    thread = standard_thread(one)
    classes = internal_classes(thread) if internal else external_classes(thread)
    if text.strip() not in classes:
        needs = f"a class of {one}: {', '.join(classes)}" if classes else f"no class: {one} has none here"
        raise InvalidInput(name, needs=needs, came=text, remedy="Leave it out if it is not known.")


def _check_coat(text: str, *, argument: str) -> None:
    plain = " ".join(text.split())
    if not plain:
        return
    for standard in _COAT_STANDARDS:
        if plain.lower().startswith(standard.lower()):
            coat_of_class(standard, plain[len(standard) :])
            return
    read_coat(plain, argument=argument)


def _material(text: str) -> str:
    plain = "_".join(text.lower().replace("_", " ").split())
    if plain and plain not in set(Material):
        known = ", ".join(one.replace("_", " ") for one in Material)
        raise InvalidInput("material", needs=f"one of {known}", came=text, remedy="Or leave it out.")
    return plain


def _role(text: str) -> str:
    if text not in set(Role):
        raise InvalidInput("role", needs=f"one of {', '.join(Role)}", came=text)
    return text


def _difference(name: str, text: str, unit: LengthUnit) -> float | None:
    """Read by how much a piece is longer or thinner than it was new, or may be."""
    with _field(name, text):
        if not text.strip():
            return None
        value = read_offset(text, default_unit=unit)
        if value < 0:
            raise InvalidInput(name, needs="nothing or more", came=text, remedy=_DIFFERENCES[name])
        return value


def _torque(name: str, text: str, unit: LengthUnit) -> float | None:
    with _field(name, text):
        if not text.strip():
            return None
        bare = TorqueUnit.LBF_FT if unit is LengthUnit.INCH else TorqueUnit.NM
        return _more_than_nothing(read_torque(text, default_unit=bare).torque_nm, text)


def _length(name: str, text: str, unit: LengthUnit) -> float | None:
    with _field(name, text):
        if not text.strip():
            return None
        # Nothing is a thickness too: no chamfer, no washer.
        if re.fullmatch(r"0*[.,]?0+\s*(?:mm|in|inch|\")?|none", text.strip().lower()):
            return 0.0
        reading = read_length(text, default_unit=unit)
        if isinstance(reading, LengthQuestion):
            readings = " or ".join(one.said for one in reading.readings)
            raise InvalidInput(
                name, needs="one length", came=text, remedy=f"It can be {readings}: say which."
            )
        return reading.mm


def _diameter(name: str, text: str, unit: LengthUnit) -> str:
    """Read a diameter, with or without its uncertainty, into the form in which it is kept."""
    if not text.strip():
        return ""
    found = _PLUS_MINUS.fullmatch(text.strip())
    mm = _length(name, found[1] if found else text, unit) or 0.0
    spread_mm = (_length(name, found[2], unit) or 0.0) if found else 2 * _U_CALIPER_MM
    if not 0 < spread_mm / 2 < mm:
        raise InvalidInput(
            name,
            needs="a diameter, and behind ± more than nothing and less than it",
            came=text,
            remedy="A caliper has about ± 0.04 mm (common practice, no source).",
        )
    return f"{mm:.4f} mm ± {spread_mm:.4f} mm"


def _number(name: str, text: str, needs: str) -> float | None:
    if not text.strip():
        return None
    found = _NUMBER.fullmatch(text.strip().lower())
    if found is None or found["percent"]:
        raise InvalidInput(name, needs=needs, came=text, remedy="Or leave it out.")
    return float(found["number"].replace(",", "."))


def _scatter(text: str) -> float | None:
    if not text.strip():
        return None
    found = _NUMBER.fullmatch(text.strip().lower())
    if found is None:
        raise InvalidInput("scatter", needs="a share such as 0.25 or 25 %", came=text)
    value = float(found["number"].replace(",", ".")) / (100 if found["percent"] else 1)
    with _field("scatter", text):
        return check_scatter(value)


def _more_than_nothing(value: float, text: str) -> float:
    if value <= 0:
        raise InvalidInput("value", needs="more than nothing", came=text, remedy="Or leave it out.")
    return value
