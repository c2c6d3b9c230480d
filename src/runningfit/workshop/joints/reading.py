"""What is typed of a lot or of the other side of its joint, read in the trade's way into what is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import lru_cache

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.conditions import condition_of, read_condition
from runningfit.core.joints.grade_names import grades_of_marking, read_grade
from runningfit.core.joints.grades import strength_of
from runningfit.core.joints.nut_classes import read_nut_class
from runningfit.core.joints.tapped_materials import tapped_material
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.standards import thread as standard_thread
from runningfit.core.standards.limits import external_classes, internal_classes
from runningfit.core.treatments.advice import Material
from runningfit.core.treatments.embrittlement import read_hardness, read_process
from runningfit.core.treatments.plating import coat_of_class, read_coat
from runningfit.core.treatments.reuse import Role
from runningfit.core.treatments.threaded_joint.facts import Mate, Turned
from runningfit.core.treatments.threaded_joint.reading import finish_said
from runningfit.core.units import (
    LengthQuestion,
    LengthUnit,
    read_force,
    read_length,
)
from runningfit.workshop.joints.typed_units import said_with_unit, with_unit_kept
from runningfit.workshop.joints.typed_values import (
    DIFFERENCES,
    PLUS_MINUS,
    in_field,
    kept_diameter,
    more_than_nothing,
    read_difference,
    read_length_mm,
    read_number,
    read_scatter,
    read_torque_nm,
)

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
    mate_finish: str = ""
    mate_coat: str = ""
    turned: str = ""
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
    with in_field("head_marking", said.head_marking):
        if said.head_marking.strip() and not (internal and said.head_marking.strip().isdigit()):
            grades_of_marking(said.head_marking)
    if internal:
        _check_nut("grade", said.grade)
    else:
        _check_grade("grade", said.grade, threads)
    with in_field("hardness", said.hardness):
        if said.hardness.strip():
            read_hardness(said.hardness)
    _check_class("thread_class", said.thread_class, threads, internal=internal)
    for name in ("old_coat", "lost", "coat"):
        with in_field(name, getattr(said, name)):
            _check_coat(getattr(said, name), argument=name)
    with in_field("own_steps", said.own_steps):
        if said.own_steps.strip():
            read_process(said.own_steps)
    values = {field.name: getattr(said, field.name) for field in fields(said)}
    values |= {name: " ".join(text.split()) for name, text in values.items() if isinstance(text, str)}
    values |= {
        "material": _material(said.material),
        "role": _role(said.role),
        **{f"{name}_mm": read_difference(name, getattr(said, name), unit) for name in DIFFERENCES},
        **{f"{name}_mm": read_length_mm(name, getattr(said, name), unit) for name in _LENGTHS},
    }
    values["typed"] = with_unit_kept(_typed(values, *DIFFERENCES, *_LENGTHS), unit)
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
    if said.turned not in set(Turned):
        raise InvalidInput("turned", needs="head or nut, or nothing", came=said.turned)
    with in_field("mate_coat", said.mate_coat):
        _check_coat(said.mate_coat, argument="mate_coat")
    with in_field("material", said.material):
        tapped_material(said.material)
    if said.mate == Mate.NUT:
        _check_nut("mate_grade", said.mate_grade)
    else:
        _check_grade("mate_grade", said.mate_grade, threads)
    _check_class("mate_class", said.mate_class, threads, internal=said.mate != Mate.STUD)
    with in_field("torque_assumed", said.torque_assumed):
        read_condition(said.torque_assumed)
    with in_field("lubricant", said.lubricant):
        condition_of(None, said.lubricant)
    wanted_n = None
    with in_field("wanted_clamp", said.wanted_clamp):
        if said.wanted_clamp.strip():
            force = read_force(said.wanted_clamp, default_unit=None)
            wanted_n = more_than_nothing(force.force_n, said.wanted_clamp)
    of_place: dict[str, object] = {
        "hole_material": " ".join(said.material.split()),
        "hole_blind": said.blind,
        "hole_depth_mm": read_length_mm("depth", said.depth, unit),
        "torque_nm": read_torque_nm("torque", said.torque, unit),
        "torque_typed": said_with_unit("torque", said.torque.strip(), unit),
    }
    values: dict[str, object] = {
        "mate": said.mate,
        "mate_grade": said.mate_grade.strip(),
        "mate_class": said.mate_class.strip(),
        "mate_finish": _finish("mate_finish", said.mate_finish),
        "mate_coat": " ".join(said.mate_coat.split()),
        "turned": said.turned,
        "chamfer_mm": read_length_mm("chamfer", said.chamfer, unit),
        "clamped_mm": read_length_mm("clamped", said.clamped, unit),
        "washer_mm": read_length_mm("washer", said.washer, unit),
        "engaged_mm": read_length_mm("engaged", said.engaged, unit),
        "prevailing_nm": read_torque_nm("prevailing", said.prevailing, unit),
        "damaged_turns": read_number("damaged_turns", said.damaged_turns, "a number of turns such as 1.5")
        or 0.0,
        "hole_minor_typed": kept_diameter("hole_minor", said.hole_minor, unit),
        "hole_pitch_diameter_typed": kept_diameter("hole_pitch_diameter", said.hole_pitch_diameter, unit),
        "on_aluminium": said.on_aluminium,
        "torque_page": " ".join(said.torque_page.split()),
        "torque_assumed": " ".join(said.torque_assumed.split()),
        "lubricant": " ".join(said.lubricant.split()),
        "scatter": read_scatter(said.scatter),
        "wanted_clamp_n": wanted_n,
        "role": _role(said.role),
        "note": " ".join(said.note.split()),
    }
    typed = {field.name: getattr(said, field.name) for field in fields(said)}
    lengths = ("chamfer", "clamped", "washer", "engaged", "hole_minor", "hole_pitch_diameter")
    names = (*lengths, "damaged_turns", "prevailing", "scatter", "wanted_clamp")
    values["typed"] = with_unit_kept(_typed(typed, *names), unit)
    return of_place, values


@lru_cache(maxsize=2048)
def read_diameter(text: str) -> Measured | None:
    """Read a diameter as it is kept: in millimetres, with two standard uncertainties behind ±."""
    found = PLUS_MINUS.fullmatch(text)
    if found is None:
        return None
    try:
        mm, spread = (read_length(part, default_unit=LengthUnit.MM) for part in found.groups())
    except InvalidInput:
        return None
    if isinstance(mm, LengthQuestion) or isinstance(spread, LengthQuestion):
        return None
    return Measured(mm.mm, spread.mm / 2)


def _typed(values: dict[str, object], *names: str) -> dict[str, object]:
    """Take what was typed out of the values, to be kept beside what it means."""
    return {name: text for name in names if (text := values.pop(name))}


def _one(threads: Sequence[str]) -> str:
    return threads[0] if len(threads) == 1 else ""


def _check_grade(name: str, text: str, threads: Sequence[str]) -> None:
    with in_field(name, text):
        if not text.strip():
            return
        grade = read_grade(text)
        if one := _one(threads):
            strength_of(grade, standard_thread(one))


def _check_nut(name: str, text: str) -> None:
    with in_field(name, text):
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


def _finish(name: str, text: str) -> str:
    """Read the finish of the other side; its lubricant is said for the joint."""
    plain = " ".join(text.split())
    with in_field(name, text):
        if plain and finish_said(plain).lubricant is not None:
            raise InvalidInput(
                name, needs="a finish alone, such as zinc", came=text, remedy="Say the lubricant by itself."
            )
    return plain


def _role(text: str) -> str:
    if text not in set(Role):
        raise InvalidInput("role", needs=f"one of {', '.join(Role)}", came=text)
    return text
