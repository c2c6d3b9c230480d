"""`runningfit joint engagement`: how far a thread must be engaged so that the bolt breaks first."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from runningfit.cli import joint_options as told
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.standards import Thread


@click.command()
@told.options("thread")
@click.option("--class", "classes", metavar="CLASSES", help="Bolt and hole, such as 2A/2B, 6g/6H or medium.")
@click.option("--bolt-tensile", metavar="STRESS", help="Tensile strength of the bolt, such as 827MPa.")
@told.options("grade")
@click.option("--tapped-tensile", metavar="STRESS", help="Tensile strength of the tapped metal.")
@click.option("--tapped-material", metavar="METAL", help="Or its name, such as aluminium or LM25-TF.")
@click.option("--length", metavar="LENGTH", help="How far it is engaged.")
@click.option("--chamfer", metavar="LENGTH", help="Countersink and point within that length.")
@click.option("--damaged-turns", type=float, default=0.0, metavar="TURNS", help="Turns that hold no more.")
@told.options("json")
def engagement(
    *,
    thread_text: str,
    classes: str | None,
    bolt_tensile: str | None,
    grade: str | None,
    tapped_tensile: str | None,
    tapped_material: str | None,
    length: str | None,
    chamfer: str | None,
    damaged_turns: float,
    as_json: bool,
) -> None:
    """Give the engagement that makes the bolt break before its thread or the hole's strips."""
    from runningfit.core.joints.engagement import length_needed_mm, thread_areas, thread_pair
    from runningfit.core.joints.real_engagement import full_thread_mm

    thread = told.one_thread(thread_text)
    external, internal = _classes(thread, classes)
    pair = thread_pair(thread, external, internal)
    bolt, bolt_said = _bolt_mpa(bolt_tensile, grade, thread)
    tapped, tapped_said = _tapped_mpa(tapped_tensile, tapped_material)
    needed = length_needed_mm(pair, bolt, tapped)
    areas = thread_areas(pair)
    engaged = told.millimetres(length, "length of engagement")
    holds = None
    if engaged is not None:
        taken = told.millimetres(chamfer, "chamfer") or 0.0
        holds = full_thread_mm(thread, engaged, taken, damaged_turns) >= needed
    if as_json:
        record = {
            "stress_area_mm2": round(areas.stress_mm2, 4),
            "shear_area_internal_mm2_per_mm": round(areas.internal_mm2_per_mm, 4),
            "shear_area_external_mm2_per_mm": round(areas.external_mm2_per_mm, 4),
            "length_needed_mm": round(needed, 4),
            "bolt_breaks_first": holds,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    lines = [
        f"{thread.designation} {pair.external_class}/{pair.internal_class}, bolt {bolt:.0f} MPa "
        f"({bolt_said}), "
        f"tapped metal {tapped:.0f} MPa ({tapped_said})",
        f"  stress area {areas.stress_mm2:.2f} mm²",
        f"  shear area of the hole's thread {areas.internal_mm2_per_mm:.3f} mm² for each mm engaged",
        f"  shear area of the bolt's thread {areas.external_mm2_per_mm:.3f} mm² for each mm engaged",
        f"  the bolt breaks first from {needed:.2f} mm of full thread on",
        "  [FED-STD-H28/2B formulas 1b, 2a, 4a, 13, 14, 16; limits: "
        + "; ".join(dict.fromkeys(pair.statuses))
        + "]",
    ]
    if holds is not None:
        lines.append(f"  with {length} the {'bolt breaks' if holds else 'threads strip'} first")
    click.echo("\n".join(lines))


def _classes(thread: Thread, text: str | None) -> tuple[str | None, str | None]:
    """The class of bolt and of hole, of one word or two."""
    from runningfit.core.standards.limits import external_classes, internal_classes

    outers, inners = external_classes(thread), internal_classes(thread)
    external = internal = None
    for word in (text or "").replace("/", " ").split():
        said = word.strip(" ,")
        known = False
        if said in outers and external is None:
            external, known = said, True
        if said in inners and internal is None:
            internal, known = said, True
        if not known:
            raise InvalidInput(
                "class",
                needs=f"one of {thread.series}: {', '.join(outers)} (bolt) or {', '.join(inners)} (hole)",
                came=said,
                remedy="Write both as in 2A/2B.",
            )
    return external, internal


def _bolt_mpa(bolt_tensile: str | None, grade: str | None, thread: Thread) -> tuple[float, str]:
    """The tensile strength of the bolt: as given, or the strongest of its grade."""
    if bolt_tensile is not None:
        return told.megapascals(bolt_tensile, "bolt tensile"), "as given"
    strength = told.strength(grade, thread)
    if strength is None:
        raise InvalidInput(
            "bolt tensile",
            needs="the tensile strength or the grade of the bolt",
            came="",
            remedy='Write --bolt-tensile 827MPa or --grade "SAE J429 5".',
        )
    return strength.tensile_most_mpa, f"the strongest {strength.said}"


def _tapped_mpa(tapped_tensile: str | None, tapped_material: str | None) -> tuple[float, str]:
    """The tensile strength of the tapped metal: as given, or the least of its kind."""
    from runningfit.core.joints.tapped_materials import tapped_material as look_up

    if tapped_tensile is not None:
        return told.megapascals(tapped_tensile, "tapped tensile"), "as given"
    if tapped_material is None:
        raise InvalidInput(
            "tapped tensile",
            needs="the tensile strength or the name of the tapped metal",
            came="",
            remedy="Write --tapped-tensile 230MPa or --tapped-material aluminium.",
        )
    material = look_up(tapped_material)
    return material.tensile_low_mpa, f"the weakest {material.said}"
