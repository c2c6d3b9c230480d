"""`runningfit measure spring` and `volume`: a spring on a tester, a chamber filled from a burette."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.joint_options import newtons, rounded
from runningfit.cli.measure_options import text_of
from runningfit.cli.measure_shafts import length
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.measurements.conformity.decision import Conformity
    from runningfit.core.measurements.uncertainty.measured import Measured

_VOLUME = re.compile(
    r"\s*(?P<number>[0-9]*[.,]?[0-9]+)\s*(?P<unit>ml|cc|cm3|cm³|cu\.? ?in|in3|in³)\s*", re.IGNORECASE
)
_ML_PER_CUBIC_INCH = 2.54**3
# Cubic expansion of what burettes are filled with, per kelvin: value and doubt, from memory.
_LIQUIDS = {"paraffin": (9.5e-4, 1e-4), "water": (2.1e-4, 5e-5), "methylated spirit": (1.1e-3, 1e-4)}
_THERMOMETER_U_C = 1.0


@click.command()
@click.argument("file", metavar="READINGS.csv", type=click.Path(path_type=Path))
@click.option("--height", required=True, metavar="LENGTH", help="Where its load is asked for, as installed.")
@click.option("--u", "u_text", required=True, metavar="FORCE", help="Standard uncertainty of one load.")
@click.option("--limits", metavar="LOADS", help="The maker's at that height, such as 245N..265N.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def spring(*, file: Path, height: str, u_text: str, limits: str | None, as_json: bool) -> None:
    """Give the rate of a coil spring and its load at a height.

    READINGS.csv has the columns length_mm,load_n (or load_lbf, load_kgf).
    """
    from runningfit.core.measurements.form.reading_sheets import read_spring
    from runningfit.core.measurements.springs import spring_of

    found = spring_of(read_spring(text_of(file)), length(height, "height"), newtons(u_text))
    held = None if limits is None else _against(found.load_n, limits)
    cautions = [one.text for one in found.cautions]
    if held is not None:
        cautions += [one.text for one in held.verdict.cautions]
    if as_json:
        record: dict[str, Any] = {
            "rate_n_per_mm": rounded(found.rate_n_per_mm.value),
            "u_rate_n_per_mm": rounded(found.rate_n_per_mm.u),
            "free_length_mm": rounded(found.free_length_mm),
            "load_n": rounded(found.load_n.value),
            "u_load_n": rounded(found.load_n.u),
            "decision": None if held is None else str(held.decision),
            "probability_conforms": None if held is None else rounded(held.chances.inside),
            "cautions": cautions,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    lines = [
        f"rate {found.rate_n_per_mm.value:.4g} ± {found.rate_n_per_mm.u:.2g} N/mm, no load at "
        f"{found.free_length_mm:.2f} mm",
        f"load at {height}: {found.load_n.value:.4g} ± {found.load_n.u:.2g} N",
    ]
    if held is not None:
        lines.append(f"{str(held.decision).replace('_', ' ')}: {held.verdict.reasons[0].text}")
    click.echo("\n".join([*lines, *cautions]))


def _against(load_n: Measured, limits: str) -> Conformity:
    from runningfit.cli.spans import two_ends
    from runningfit.core.measurements.conformity.bounds import Bounds
    from runningfit.core.measurements.conformity.decision import decide

    low, high = (None if end is None else newtons(end) for end in two_ends(limits, "limits", "245N..265N"))
    return decide(load_n, Bounds(low, high), unit="N")


@click.command()
@click.option("--poured", required=True, metavar="VOLUME", help="What the burette showed, such as 42.3ml.")
@click.option("--u", "u_text", required=True, metavar="VOLUME", help="Its standard uncertainty.")
@click.option(
    "--liquid",
    default="paraffin",
    show_default=True,
    metavar="LIQUID",
    help=f"{', '.join(_LIQUIDS)}, or its cubic expansion such as 9.5e-4.",
)
@click.option("--metal", required=True, metavar="METAL", help='Of the chamber, such as "grey cast iron".')
@click.option("--burette", metavar="T", default="20C", show_default=True, help="Temperature of the burette.")
@click.option("--chamber", metavar="T", default="20C", show_default=True, help="Temperature of the chamber.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def volume(
    *, poured: str, u_text: str, liquid: str, metal: str, burette: str, chamber: str, as_json: bool
) -> None:
    """Give the volume at 20 °C of a chamber filled from a burette."""
    from runningfit.core.joints.press_fits.materials import read_elastic_material
    from runningfit.core.measurements.uncertainty.measured import Measured
    from runningfit.core.measurements.volumes import Filling, chamber_volume

    of_metal = read_elastic_material(metal)
    low, high = of_metal.expansion_low_per_k, of_metal.expansion_high_per_k
    expansion, from_memory = _liquid(liquid)
    filling = Filling(
        Measured(_millilitres(poured, "poured"), _millilitres(u_text, "u")),
        _temperature(burette),
        _temperature(chamber),
        expansion,
        Measured((low + high) / 2, (high - low) / 12**0.5),
    )
    found = chamber_volume(filling)
    cautions = [
        "The chamber's own plate, plug and valves are to be in and greased, and no bubble left.",
        f"Both temperatures are taken as known to {_THERMOMETER_U_C:g} K.",
    ]
    if from_memory:
        cautions.append(f"The expansion of {liquid} is from memory: fill at one temperature and it cancels.")
    if as_json:
        record = {
            "volume_ml": rounded(found.measured.value, 9),
            "u_ml": rounded(found.measured.u),
            "k": rounded(found.k),
            "U_ml": rounded(found.expanded_u),
            "contributions_ml": {one.name: rounded(one.u) for one in found.contributions if one.u},
            "cautions": cautions,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    lines = [
        f"{found.measured.value:.3f} ml at 20 °C, standard uncertainty {found.measured.u:.2g} ml, expanded "
        f"{found.expanded_u:.2g} ml (k = {found.k:.3g})",
        *(f"  {one.name}: {one.u:.2g} ml" for one in found.contributions if one.u),
    ]
    click.echo("\n".join([*lines, *cautions]))


def _millilitres(text: str, name: str) -> float:
    found = _VOLUME.fullmatch(text)
    if found is None:
        raise InvalidInput(name, needs="a volume with its unit, such as 42.3ml or 2.6 cu in", came=text)
    number = float(found["number"].replace(",", "."))
    return number * (_ML_PER_CUBIC_INCH if "in" in found["unit"].lower() else 1.0)


def _temperature(text: str) -> Measured:
    from runningfit.core.measurements.uncertainty.measured import Measured
    from runningfit.core.units.quantities import read_temperature

    return Measured(read_temperature(text, default_unit=None).temperature_c, _THERMOMETER_U_C)


def _liquid(text: str) -> tuple[Measured, bool]:
    """The cubic expansion of a liquid [1/K], and whether it is from memory."""
    from runningfit.core.measurements.uncertainty.measured import Measured

    known = _LIQUIDS.get(" ".join(text.lower().split()))
    if known is not None:
        return Measured(*known), True
    try:
        told = float(text.replace(",", "."))
    except ValueError:
        told = -1.0
    if not 0 < told < 0.01:
        raise InvalidInput(
            "liquid",
            needs=f"{', '.join(_LIQUIDS)}, or its cubic expansion per kelvin such as 9.5e-4",
            came=text,
        )
    return Measured(told, 0.05 * told), False
