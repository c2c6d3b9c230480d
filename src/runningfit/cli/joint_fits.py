"""`runningfit joint fit`, `press` and `plug`: limits of a fit, what a press fit does, a plug in its seat."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli import joint_options as told
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.joints.press_fits.case import PressCase
    from runningfit.core.joints.press_fits.judging import PressAnswer
    from runningfit.core.joints.press_fits.lame import PressState

_NOTHING = re.compile(r"\s*0+(?:[.,]0*)?\s*(?:mm|in)?\s*")
_TWO = re.compile(r"(?P<low>.+?)\s*(?:\.\.+|…|\bto\b)\s*(?P<high>.+)")
_UNIT = re.compile(r"[0-9.,\s]*(?P<unit>[^0-9.,\s].*)")


@click.command()
@click.argument("fit_text", metavar="FIT")
@told.options("json")
def fit(*, fit_text: str, as_json: bool) -> None:
    """Give the limits of hole and shaft and the clearance of a FIT such as "25 H7/g6" or "1 in RC4"."""
    from runningfit.core.joints.limits_and_fits import read_fit

    found = read_fit(fit_text)
    figures = {
        "hole_upper_um": found.hole.upper_um,
        "hole_lower_um": found.hole.lower_um,
        "shaft_upper_um": found.shaft.upper_um,
        "shaft_lower_um": found.shaft.lower_um,
        "clearance_min_um": found.clearance_min_um,
        "clearance_max_um": found.clearance_max_um,
    }
    record: dict[str, Any] = {key: _whole(value) for key, value in figures.items()}
    sources = [f"{one.said}: {one.source} ({one.status})" for one in (found.hole, found.shaft)]
    if as_json:
        record |= {"kind": str(found.kind), "nominal_mm": told.rounded(found.nominal_mm), "reasons": sources}
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    size = found.nominal_mm
    lines = [f"{size:g} mm {found.name}, {found.kind} fit"]
    for one in (found.hole, found.shaft):
        lines.append(
            f"  {one.said}: {one.upper_um:+g} to {one.lower_um:+g} µm, "
            f"{size + one.upper_um / 1000:.4f} to {size + one.lower_um / 1000:.4f} mm"
        )
    low, high = found.clearance_min_um, found.clearance_max_um
    shown = f"interference {-high:g} to {-low:g} µm" if high <= 0 else f"clearance {low:+g} to {high:+g} µm"
    click.echo("\n".join([*lines, f"  {shown}", *(f"  [{source}]" for source in sources)]))


@click.command()
@click.option("--fit", "fit_text", metavar="FIT", help='Instead of diameter and interference: "40 H7/s6".')
@click.option("--inner-bore", default="0mm", metavar="LENGTH", help="Bore of the inner part; 0mm is solid.")
@click.option("--diameter", metavar="LENGTH", help="Diameter where they meet.")
@click.option("--outer", required=True, metavar="LENGTH", help="Outside diameter of the outer part.")
@click.option("--interference", metavar="LENGTH", help="On diameter, or a range: 0.02..0.04mm.")
@click.option("--length", required=True, metavar="LENGTH", help="Length in contact.")
@click.option("--mu", metavar="MU", help="Friction, such as 0.12 or 0.10..0.15.")
@click.option("--inner-material", required=True, metavar="METAL", help='Such as steel, or "E=207GPa,…".')
@click.option(
    "--outer-material",
    required=True,
    metavar="METAL",
    help='Such as LM25-TF, or "E=207GPa,nu=0.3,alpha=11.5e-6,yield=350MPa".',
)
@click.option("--temperature", metavar="T", help="Of both parts, such as 90C; not told is 20C.")
@click.option("--rz", metavar="UM", type=float, help="Sum of both surfaces' roughness depth Rz, in µm.")
@click.option("--clearance", metavar="LENGTH", help="Clearance wanted while it is put together.")
@click.option("--needed-force", metavar="FORCE", help="What it shall hold against, such as 5kN.")
@click.option("--needed-torque", metavar="TORQUE", help='And against turning, such as "50 N m".')
@told.options("json")
def press(*, as_json: bool, **given: Any) -> None:
    """Give pressure, stresses and grip of a press fit, hot and cold, and the heat that opens it."""
    from runningfit.core.joints.press_fits.judging import judge_press

    case = _case(given)
    answer = judge_press(case)
    unit = told.spoken_unit(given["diameter"])
    answer = replace(answer, verdict=answer.verdict.in_unit(unit))
    if as_json:
        click.echo(json.dumps(_press_record(case, answer), ensure_ascii=False, indent=1))
        return
    figures = answer.figures
    usual = figures.usual
    lines = [
        f"{str(answer.verdict.outcome).replace('_', ' ')}, at {case.temperature_c:g} °C",
        f"  pressure {usual.pressure_mpa:.1f} MPa ({figures.least.pressure_mpa:.1f} to "
        f"{figures.most.pressure_mpa:.1f})",
        f"  hoop stress outer {usual.hoop_outer_mpa:.1f} MPa, inner {usual.hoop_inner_mpa:.1f} MPa, "
        f"at the inner bore {usual.hoop_inner_bore_mpa:.1f} MPa",
    ]
    if figures.push_out_n is not None and figures.torque_nm is not None:
        lines.append(f"  pushed out by {figures.push_out_n:.0f} N, turned by {figures.torque_nm:.1f} N m")
    lines.append(
        f"  opens when the outer part is {figures.heat_outer_k:.1f} K warmer, or the inner "
        f"{figures.cool_inner_k:.1f} K colder"
    )
    click.echo(told.page(answer.verdict, *lines))


@click.command()
@click.option("--kind", required=True, type=click.Choice(["cup", "domed"]), help="What plug it is.")
@click.option("--plug", "plug_text", required=True, metavar="LENGTH", help="Diameter of the plug.")
@click.option("--seat", "seat_text", required=True, metavar="LENGTH", help="Diameter of its seat.")
@told.options("json")
def plug(*, kind: str, plug_text: str, seat_text: str, as_json: bool) -> None:
    """Say whether a core plug suits its seat."""
    from runningfit.core.joints.press_fits.plugs import PlugKind, PlugSeat, judge_plug

    seat = PlugSeat(PlugKind(kind), _length(plug_text, "plug"), _length(seat_text, "seat"))
    verdict = judge_plug(seat).in_unit(told.spoken_unit(seat_text))
    if as_json:
        record = {
            "clearance_mm": told.rounded(seat.seat_mm - seat.plug_mm),
            "verdict": str(verdict.outcome),
            "reasons": told.reasons_of(verdict),
            "cautions": told.cautions_of(verdict),
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    click.echo(told.page(verdict, str(verdict.outcome).replace("_", " ")))


def _case(given: dict[str, Any]) -> PressCase:
    from runningfit.core.joints.press_fits.case import REFERENCE_C, PressCase
    from runningfit.core.joints.press_fits.lame import PressGeometry
    from runningfit.core.joints.press_fits.materials import read_elastic_material
    from runningfit.core.units.quantities import TemperatureUnit, read_temperature

    diameter, low, high, limits_trusted = _interference(given)
    bore = given["inner_bore"]
    geometry = PressGeometry(
        0.0 if _NOTHING.fullmatch(bore) else _length(bore, "inner bore"),
        diameter,
        _length(given["outer"], "outer"),
        _length(given["length"], "length"),
    )
    friction = None if given["mu"] is None else told.number_range(given["mu"], "friction", "0.10..0.15")
    heat = given["temperature"]
    return PressCase(
        geometry,
        low,
        high,
        read_elastic_material(given["inner_material"]),
        read_elastic_material(given["outer_material"]),
        None if friction is None else friction[0],
        None if friction is None else friction[1],
        REFERENCE_C
        if heat is None
        else read_temperature(heat, default_unit=TemperatureUnit.CELSIUS).temperature_c,
        given["rz"],
        told.millimetres(given["clearance"], "clearance") or 0.0,
        None if given["needed_force"] is None else told.newtons(given["needed_force"]),
        None if given["needed_torque"] is None else told.newton_metres(given["needed_torque"]),
        limits_trusted,
    )


def _interference(given: dict[str, Any]) -> tuple[float, float, float, bool]:
    """Diameter, least and largest interference [mm], of a fit or as told; whether none is from memory."""
    from runningfit.core.joints.grades import is_trusted
    from runningfit.core.joints.limits_and_fits import read_fit

    text, diameter, interference = given["fit_text"], given["diameter"], given["interference"]
    if text is not None:
        if diameter is not None or interference is not None:
            raise InvalidInput("fit", needs="no diameter and interference beside it", came=text)
        found = read_fit(text)
        trusted = is_trusted(found.hole.status, found.hole.source, found.shaft.status, found.shaft.source)
        return found.nominal_mm, -found.clearance_max_um / 1000, -found.clearance_min_um / 1000, trusted
    if diameter is None or interference is None:
        raise InvalidInput(
            "press fit", needs="--diameter and --interference, or --fit", came="",
            remedy='Write --diameter 40mm --interference 0.030mm, or --fit "40 H7/s6".',
        )  # fmt: skip
    two = _TWO.fullmatch(interference)
    if two is None:
        low = high = _length(interference, "interference")
    else:
        high = _length(two["high"], "interference")
        unit = _UNIT.fullmatch(two["high"])
        bare = two["low"].replace(".", "").replace(",", "").strip().isdigit()
        low_text = two["low"] + (f" {unit['unit']}" if bare and unit else "")
        low = 0.0 if _NOTHING.fullmatch(low_text) else _length(low_text, "interference")
    return _length(diameter, "diameter"), low, high, True


def _length(text: str, name: str) -> float:
    length = told.millimetres(text, name)
    assert length is not None
    return length


def _press_record(case: PressCase, answer: PressAnswer) -> dict[str, Any]:
    figures = answer.figures
    usual = figures.usual

    def grip(value: float | None) -> float | None:
        return None if value is None else told.rounded(value)

    def ends(state: PressState, push: float | None, torque: float | None) -> dict[str, Any]:
        return {
            "interference_mm": told.rounded(state.interference_mm),
            "pressure_mpa": told.rounded(state.pressure_mpa),
            "hoop_stress_outer_mpa": told.rounded(state.hoop_outer_mpa),
            "push_out_n": grip(push),
            "holding_torque_nm": grip(torque),
        }

    return {
        "pressure_mpa": told.rounded(usual.pressure_mpa),
        "hoop_stress_inner_mpa": told.rounded(usual.hoop_inner_mpa),
        "hoop_stress_inner_bore_mpa": told.rounded(usual.hoop_inner_bore_mpa),
        "hoop_stress_outer_mpa": told.rounded(usual.hoop_outer_mpa),
        "von_mises_outer_mpa": told.rounded(usual.mises_outer_mpa),
        "push_out_n": grip(figures.push_out_n),
        "holding_torque_nm": grip(figures.torque_nm),
        "assembly_delta_t_k": told.rounded(figures.heat_outer_k),
        "assembly_cooling_k": told.rounded(figures.cool_inner_k),
        "temperature_c": told.rounded(case.temperature_c),
        "interference_mm": told.rounded(usual.interference_mm),
        "pressure_at_20_c_mpa": told.rounded(figures.cold.pressure_mpa),
        "least": ends(figures.least, figures.push_out_least_n, figures.torque_least_nm),
        "most": ends(figures.most, figures.push_out_most_n, figures.torque_most_nm),
        "verdict": str(answer.verdict.outcome),
        "reasons": told.reasons_of(answer.verdict),
        "cautions": told.cautions_of(answer.verdict),
    }


def _whole(value: float) -> float:
    """A figure of a table without the tail that adding up leaves."""
    near = round(value, 3) + 0.0
    return int(near) if near == int(near) else near
