"""`runningfit measure ratio`: the compression ratio of a cylinder, and what machining makes of it."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.joint_options import cautions_of, reasons_of, rounded
from runningfit.cli.measure_options import held_against
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from runningfit.core.measurements.engine_figures.compression import Cylinder, ForRatio
    from runningfit.core.measurements.uncertainty.measured import Measured
    from runningfit.core.measurements.uncertainty.propagation import Propagated
    from runningfit.core.verdicts import Verdict

_DOUBT = re.compile(r"(?P<value>.*?)\s*(?:±|\+/?-)\s*(?P<u>.*)")
_VOLUME = re.compile(r"(?P<number>-?\s*[0-9]*[.,]?[0-9]+)\s*(?P<unit>ml|cc|cm3|cm³|in3|in³|cu\.? ?in)", re.I)
_ML_PER_CUBIC_INCH = 2.54**3
_LENGTHS = ("bore", "stroke", "gasket", "gasket_bore", "deck", "land", "land_depth")


@click.command()
@click.option("--bore", required=True, metavar="LENGTH", help='Such as "79.41mm ±0.005mm", ± what u it has.')
@click.option("--stroke", required=True, metavar="LENGTH", help="Stroke.")
@click.option("--chamber", required=True, metavar="VOLUME", help='By burette: "42.3ml ±0.2ml".')
@click.option("--gasket", required=True, metavar="LENGTH", help="Thickness of the tightened gasket.")
@click.option("--gasket-bore", metavar="LENGTH", help="Its hole; not told is the bore.")
@click.option("--deck", metavar="LENGTH", help="Piston below the block's face; -0.2mm stands proud.")
@click.option("--dish", metavar="VOLUME", help="Hollow of the crown; a dome is negative.")
@click.option("--land", metavar="LENGTH", help="Diameter of the piston above its top ring.")
@click.option("--land-depth", metavar="LENGTH", help="From the edge down to the top ring.")
@click.option("--face", "face_mm2", type=float, metavar="MM2", help="Area of the chamber in the head's face.")
@click.option("--rebore", metavar="LENGTH", help="What if: the bore that it is bored to.")
@click.option("--head-skim", metavar="LENGTH", help="What if: off the face of the head.")
@click.option("--deck-skim", metavar="LENGTH", help="What if: off the face of the block.")
@click.option("--new-gasket", metavar="LENGTH", help="What if: another gasket's tightened thickness.")
@click.option("--wanted", type=float, metavar="RATIO", help="Say what skim or gasket brings this ratio.")
@click.option("--limits", metavar="RATIOS", help="The maker's, such as 8.3..8.7.")
@click.option("--page", "source", default="", metavar="PAGE", help="The manual and page of the limits.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def ratio(*, as_json: bool, **given: Any) -> None:
    """Give the compression ratio of a cylinder, and what machining or another gasket makes of it."""
    from runningfit.core.measurements.engine_figures.compression import compression_ratio, for_ratio

    cylinder = _cylinder(given)
    found = compression_ratio(cylinder)
    exact = _told_as_exact(given, cylinder)
    if given["limits"] is not None and not found.measured.u:
        raise InvalidInput(
            f"uncertainty of {_names(exact)}",
            needs="to be told to hold the ratio against limits, such as 79.41mm ±0.005mm",
            came=", ".join(given[one] for one in exact),
            remedy="Write ± behind those that matter, bore and chamber first: no gauge is exact.",
        )
    verdict = held_against(found.measured, given["limits"], given["source"])
    after = _after(cylinder, given)
    wanted = None if given["wanted"] is None else for_ratio(cylinder, given["wanted"])
    record: dict[str, Any] = {
        **_with_u(found, "ratio"),
        "swept_ml": rounded(cylinder.swept_ml),
        "above_ml": rounded(cylinder.above_ml),
        "contributions": {each.name: rounded(each.u) for each in found.contributions if each.u},
        "after": None if after is None else _with_u(after, "ratio"),
        "for_wanted": None
        if wanted is None
        else {
            "remove_ml": rounded(wanted.remove_ml),
            "head_skim_mm": rounded(wanted.head_skim_mm),
            "deck_skim_mm": rounded(wanted.deck_skim_mm),
            "gasket_mm": None if wanted.gasket_mm is None else rounded(wanted.gasket_mm),
            "piston_clearance_mm": rounded(wanted.piston_clearance_mm),
        },
        **_judged(verdict, _cautions(exact)),
    }
    if as_json:
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    lines = [
        _ratio_said(found),
        f"  swept {cylinder.swept_ml:.1f} ml, left above the piston {cylinder.above_ml:.2f} ml",
    ]
    if after is not None:
        lines.append(f"  afterwards {_ratio_said(after)}")
    if wanted is not None:
        lines.append(f"  for {given['wanted']:g} : 1 {_ways_said(wanted)}")
    if verdict is not None:
        lines.append(str(verdict.outcome).replace("_", " "))
        lines += ["Why", *(f"  {one}" for one in record["reasons"])]
    if record["cautions"]:
        lines += ["Mind", *(f"  {one}" for one in record["cautions"])]
    click.echo("\n".join(lines))


def _cylinder(given: dict[str, Any]) -> Cylinder:
    from runningfit.core.measurements.engine_figures.compression import Cylinder
    from runningfit.core.measurements.uncertainty.measured import Measured

    sizes = {key: _measured_length(given[key], key.replace("_", " ")) for key in _LENGTHS}
    chamber = _measured_volume(given["chamber"], "chamber")
    bore, stroke, gasket = sizes["bore"], sizes["stroke"], sizes["gasket"]
    assert bore is not None
    assert stroke is not None
    assert gasket is not None
    assert chamber is not None
    nothing = Measured(0.0, 0.0)
    if (sizes["land"] is None) != (sizes["land_depth"] is None):
        raise InvalidInput("land", needs="--land and --land-depth, or neither", came="one of them")
    return Cylinder(
        "1",
        bore,
        stroke,
        chamber,
        gasket,
        sizes["gasket_bore"] or replace(bore, u=0.0),
        sizes["deck"] or nothing,
        _measured_volume(given["dish"], "dish") or nothing,
        sizes["land"],
        sizes["land_depth"] or nothing,
        given["face_mm2"],
    )


def _told_as_exact(given: dict[str, Any], cylinder: Cylinder) -> list[str]:
    """What was told without its uncertainty, by the names of the options; the first two matter most."""
    told = {
        "bore": cylinder.bore_mm,
        "chamber": cylinder.chamber_ml,
        "stroke": cylinder.stroke_mm,
        "gasket": cylinder.gasket_mm,
        "gasket_bore": cylinder.gasket_bore_mm,
        "deck": cylinder.deck_mm,
        "dish": cylinder.dish_ml,
        "land": cylinder.land_diameter_mm,
        "land_depth": cylinder.land_mm,
    }
    return [name for name, one in told.items() if given[name] is not None and one is not None and not one.u]


def _names(options: Sequence[str]) -> str:
    said = [one.replace("_", " ") for one in options]
    return said[0] if len(said) == 1 else f"{', '.join(said[:-1])} and {said[-1]}"


def _after(cylinder: Cylinder, given: dict[str, Any]) -> Propagated | None:
    from runningfit.core.measurements.engine_figures.compression import compression_ratio, with_changes

    names = ("rebore", "head_skim", "deck_skim", "new_gasket")
    changes = {name: _measured_length(given[name], name.replace("_", " ")) for name in names}
    if not any(changes.values()):
        return None
    values = {name: None if one is None else one.value for name, one in changes.items()}
    changed = with_changes(
        cylinder,
        bore_mm=values["rebore"],
        head_skim_mm=values["head_skim"] or 0.0,
        deck_skim_mm=values["deck_skim"] or 0.0,
        gasket_mm=values["new_gasket"],
    )
    return compression_ratio(changed)


def _measured_length(text: str | None, name: str) -> Measured | None:
    from runningfit.core.measurements.uncertainty.measured import Measured
    from runningfit.core.units.lengths import read_offset

    if text is None:
        return None
    value, doubt = _value_and_doubt(text)
    try:
        return Measured(
            read_offset(value, default_unit=None),
            0.0 if doubt is None else read_offset(doubt, default_unit=None),
        )
    except InvalidInput as refused:
        raise InvalidInput(
            name, needs="a length with its unit, such as 79.41mm ±0.005mm", came=text, remedy=refused.remedy
        ) from refused


def _measured_volume(text: str | None, name: str) -> Measured | None:
    from runningfit.core.measurements.uncertainty.measured import Measured

    if text is None:
        return None
    value, doubt = _value_and_doubt(text)
    return Measured(
        _millilitres(value, name, text), 0.0 if doubt is None else _millilitres(doubt, name, text)
    )


def _value_and_doubt(text: str) -> tuple[str, str | None]:
    found = _DOUBT.fullmatch(text.strip())
    return (found["value"], found["u"]) if found and found["value"] else (text, None)


def _millilitres(text: str, name: str, typed: str) -> float:
    found = _VOLUME.fullmatch(text.strip())
    if found is None:
        raise InvalidInput(
            name, needs="a volume with its unit, such as 42.3ml ±0.2ml or 2.58in3", came=typed,
            remedy=f"Write the unit behind {text}." if text != typed else "",
        )  # fmt: skip
    value = float(found["number"].replace(" ", "").replace(",", "."))
    return value * (_ML_PER_CUBIC_INCH if "in" in found["unit"].lower() else 1.0)


def _with_u(found: Propagated, name: str) -> dict[str, float]:
    value, reach = found.measured.value, found.expanded_u
    return {
        name: rounded(value),
        "u": rounded(found.measured.u),
        "low": rounded(value - reach),
        "high": rounded(value + reach),
    }


def _judged(verdict: Verdict | None, cautions: list[str]) -> dict[str, Any]:
    if verdict is None:
        return {"verdict": None, "probability": None, "reasons": [], "cautions": cautions}
    return {
        "verdict": str(verdict.outcome),
        "probability": None if verdict.probability is None else rounded(verdict.probability),
        "reasons": reasons_of(verdict),
        "cautions": [*cautions, *cautions_of(verdict)],
    }


def _cautions(exact: Sequence[str]) -> list[str]:
    if not exact:
        return []
    are, them = ("was", "it is") if len(exact) == 1 else ("were", "they are")
    return [f"{_names(exact).capitalize()} {are} told without ±, so {them} taken as exact; none is."]


def _ratio_said(found: Propagated) -> str:
    doubt = f", ±{found.expanded_u:.2f} (95 %)" if found.measured.u else ""
    return f"{found.measured.value:.2f} : 1{doubt}"


def _ways_said(wanted: ForRatio) -> str:
    gasket = "" if wanted.gasket_mm is None else f"a gasket of {wanted.gasket_mm:.2f} mm, tightened"
    if wanted.remove_ml < 0:
        return f"the space above the piston must grow by {-wanted.remove_ml:.2f} ml, as with {gasket}"
    return (
        f"skim the head by {wanted.head_skim_mm:.2f} mm, or the block by {wanted.deck_skim_mm:.2f} mm"
        + (f", or fit {gasket}" if gasket else "")
        + f"; over the piston's edge {wanted.piston_clearance_mm:.2f} mm are then left"
    )
