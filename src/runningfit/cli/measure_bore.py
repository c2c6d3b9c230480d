"""`runningfit measure bore`: worn bores against their limits, and the oversize that cleans them up."""

from __future__ import annotations

import json
import re
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.joint_options import cautions_of, millimetres, reasons_of, rounded
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.measurements.conformity.bounds import Bounds
    from runningfit.core.treatments.machining.clean_up import CleanUp
    from runningfit.core.treatments.machining.judging import JudgedAll
    from runningfit.core.treatments.machining.readings import BoreReadings, Offset, Pit
    from runningfit.core.units.lengths import LengthUnit

_NO_SHARED = (
    "What the setting ring and the certificate leave open was not told: the readings are taken to share no "
    "error (--u-shared)."
)
# No gauge for bores is worse than this share of the bore.
_COARSE = 0.01


@click.command()
@click.argument("file", metavar="READINGS.csv", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--nominal", required=True, metavar="LENGTH", help="The size as made, such as 79.375mm.")
@click.option("--limits", required=True, metavar="RANGE", help="The wear limits, such as 79.362..79.388mm.")
@click.option("--oversizes", required=True, metavar="LENGTHS", help="Such as 0.25mm,0.50mm,0.75mm.")
@click.option(
    "--u", "u_text", required=True, metavar="LENGTH", help="Standard uncertainty of a reading's own."
)
@click.option(
    "--u-shared", metavar="LENGTH", help="That which all readings share, such as the setting ring's."
)
@click.option(
    "--hone", metavar="LENGTH", help="Stock on diameter that must be left for honing; none if not told."
)
@click.option(
    "--axis",
    type=click.Choice(["original", "worn", "unknown"]),
    default="unknown",
    show_default=True,
    help="On which axis the machine shop bores.",
)
@click.option("--pits", metavar="LENGTH", help="How deep pits are, all over, along the radius.")
@click.option("--u-pits", metavar="LENGTH", help="Its standard uncertainty; not told is that of a reading.")
@click.option(
    "--centring",
    metavar="LENGTH",
    help="By how much the tool may stand off its axis, plus or minus; none if not told.",
)
@click.option(
    "--offsets",
    metavar="OFFSETS",
    help="How far worn middles lie off the old axis, where read: '3: 0.04±0.01mm at 90°; 1: 0.02mm'.",
)
@click.option(
    "--one-sided",
    metavar="SHARE",
    help="How one-sided such engines wear, as found before: '40 ± 15 %'; not told is what is usual.",
)
@click.option("--most", metavar="LENGTH", help="The largest oversize that the maker allows.")
@click.option("--wanted", type=float, default=0.95, show_default=True, help="How probable it must be.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def bore(*, file: Path, wanted: float, as_json: bool, **given: str | None) -> None:
    """Judge worn bores, and give the smallest oversize that cleans them up.

    READINGS.csv has the columns bore,depth_mm,angle_deg,diameter_mm, a row for each reading.
    """
    from runningfit.core.treatments.machining.barriers import Barriers
    from runningfit.core.treatments.machining.clean_up import clean_up
    from runningfit.core.treatments.machining.cutting import Axis, Cutting, usual_centring
    from runningfit.core.treatments.machining.judging import WearLimits, judge_wear
    from runningfit.core.treatments.machining.told_sides import read_one_sided

    nominal_mm, unit = _nominal(str(given["nominal"]))
    bounds = _limits(str(given["limits"]), nominal_mm, unit)
    cutting = Cutting(
        nominal_mm,
        _steps(str(given["oversizes"])),
        _amount(given["hone"], "hone"),
        Axis(given["axis"] or "unknown"),
        centring_mm=usual_centring(_amount(given["centring"], "centring")),
        one_sided=read_one_sided(given["one_sided"] or ""),
    )
    readings = _readings(file, nominal_mm, given)
    judged = judge_wear(readings, WearLimits(bounds), wanted=wanted)
    judged = replace(
        judged, each=tuple(replace(one, verdict=one.verdict.in_unit(unit)) for one in judged.each)
    )
    barriers = Barriers(millimetres(given["most"], "most"))
    found = clean_up(readings, cutting, barriers=barriers, wanted=wanted)
    found = replace(
        found,
        verdict=found.verdict.in_unit(unit),
        chosen=found.chosen if isinstance(found.chosen, float) else found.chosen.in_unit(unit),
    )
    needed = any(one.verdict.outcome != "sound" for one in judged.each) or given["pits"] is not None
    recommended = found.chosen if needed and isinstance(found.chosen, float) else None
    reasons = [] if needed else ["All bores are within their limits: none needs machining."]
    reasons += reasons_of(found.verdict) + [one for each in judged.each for one in reasons_of(each.verdict)]
    cautions = list(
        dict.fromkeys(
            [
                *([] if given["u_shared"] else [_NO_SHARED]),
                *(one for each in judged.each for one in cautions_of(each.verdict)),
                *cautions_of(found.verdict),
            ]
        )
    )
    if as_json:
        record = _record(judged, found, recommended) | {"reasons": reasons, "cautions": cautions}
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    click.echo(_page(judged, found, recommended, reasons, cautions, unit))


def _nominal(text: str) -> tuple[float, LengthUnit]:
    """The size as made [mm], and the unit it was told in, which must stand there."""
    from runningfit.core.units.lengths import LengthQuestion, read_length

    try:
        length = read_length(text, default_unit=None)
    except InvalidInput as refused:
        raise InvalidInput("nominal", needs=refused.needs, came=text, remedy=refused.remedy) from refused
    if isinstance(length, LengthQuestion):
        raise InvalidInput(
            "nominal", needs="a length with its unit, such as 79.375mm or 3.125in", came=text,
            remedy="Write the unit.",
        )  # fmt: skip
    return length.mm, length.unit


def _amount(text: str | None, name: str) -> float:
    """A length that may be nothing [mm]."""
    from runningfit.core.units.lengths import read_offset

    if text is None:
        return 0.0
    try:
        found = read_offset(text, default_unit=None)
    except InvalidInput as refused:
        raise InvalidInput(
            name, needs="a length with its unit, such as 0.05mm", came=text, remedy=refused.remedy
        ) from refused
    if found < 0:
        raise InvalidInput(name, needs="a length that is not negative", came=text)
    return found


def _limits(text: str, nominal_mm: float, unit: LengthUnit) -> Bounds:
    """The wear limits [mm]; without a unit they are in that of the nominal."""
    from runningfit.cli.spans import length_limits, two_ends
    from runningfit.core.measurements.conformity.bounds import Bounds
    from runningfit.core.measurements.slips import slip_of

    if not any(mark.isalpha() or mark in '"”″' for mark in text.replace("to", "")):
        ends = two_ends(text, "limits", "79.362..79.388mm")
        text = "..".join(f"{end} {unit.value}" if end else "" for end in ends)
    low, high = length_limits(text, "limits")
    for end in (low, high):
        slip = None if end is None else slip_of(end, nominal_mm)
        if end is not None and (slip is not None or abs(end - nominal_mm) > nominal_mm / 10):
            raise InvalidInput(
                "limits", needs=f"diameters near the nominal, {nominal_mm:.6g} mm", came=f"{end:.6g} mm",
                remedy=f"Was it {slip}?" if slip else "Check limits and nominal.",
            )  # fmt: skip
    return Bounds(low, high)


def _steps(text: str) -> tuple[float, ...]:
    found = [millimetres(one.strip(), "oversizes") for one in text.split(",") if one.strip()]
    return tuple(sorted({one for one in found if one is not None}))


def _readings(file: Path, nominal_mm: float, given: dict[str, str | None]) -> list[BoreReadings]:
    from runningfit.core.treatments.machining.readings import BoreReadings
    from runningfit.core.treatments.machining.sheet import read_bore_sheet

    u, shared = _amount(given["u_text"], "uncertainty"), _amount(given["u_shared"], "shared uncertainty")
    for name, value in (("uncertainty", u), ("shared uncertainty", shared)):
        if value > _COARSE * nominal_mm:
            raise InvalidInput(
                name, needs="that of a gauge for bores, some thousandths of a millimetre",
                came=f"{value:g} mm", remedy="Was its unit another one?",
            )  # fmt: skip
    if u == 0:
        raise InvalidInput(
            "uncertainty", needs="more than nothing", came=str(given["u_text"]),
            remedy="No gauge is exact: it is at least 0.29 of the gauge's smallest step.",
        )  # fmt: skip
    pits = _pits(given, u)
    sheet = read_bore_sheet(file.read_bytes(), file.name, nominal_mm)
    offsets = _offsets(given["offsets"] or "", [one.name for one in sheet], u)
    return [BoreReadings(one.name, one.points, u, shared, pits, offsets.get(one.name)) for one in sheet]


def _offsets(text: str, names: Collection[str], u_mm: float) -> dict[str, Offset]:
    """How far worn middles lie off the old axis, by bore; a doubt not told is that of a reading."""
    from runningfit.core.treatments.machining.readings import Offset
    from runningfit.core.treatments.machining.told_sides import read_offsets

    found: dict[str, Offset] = {}
    for name, (size, towards) in read_offsets(text, names).items():
        middle, sign, doubt = (piece.strip() for piece in size.partition("±"))
        unit = "".join(re.findall(r"[A-Za-z\"″”]+$", doubt or middle))
        with_unit = middle if re.search(r"[A-Za-z\"″”]", middle) else middle + unit
        u = _amount(doubt, "offsets") / 2 if sign else u_mm
        found[name] = Offset(_amount(with_unit, "offsets"), u, towards)
    return found


def _pits(given: dict[str, str | None], u_mm: float) -> tuple[Pit, ...]:
    from runningfit.core.treatments.machining.readings import Pit

    if given["pits"] is None:
        if given["u_pits"] is not None:
            raise InvalidInput("u-pits", needs="--pits beside it", came=given["u_pits"])
        return ()
    depth = _amount(given["pits"], "pits")
    u = u_mm if given["u_pits"] is None else _amount(given["u_pits"], "u-pits")
    return (Pit(depth, u, everywhere=True),) if depth else ()


def _record(judged: JudgedAll, found: CleanUp, recommended: float | None) -> dict[str, Any]:
    from runningfit.core.treatments.machining.clean_up import CannotTell

    record: dict[str, Any] = {
        "bores": [
            {
                "bore": one.name,
                "taper_mm": rounded(one.form.taper_mm.value),
                "out_of_round_mm": rounded(one.form.out_of_round_mm.value),
                "max_mm": rounded(one.form.max_mm.value, 9),
                "min_mm": rounded(one.form.min_mm.value, 9),
                "verdict": str(one.verdict.outcome),
                "probability_within": rounded(one.probability_within),
                "barrel_mm": None if one.form.barrel_mm is None else rounded(one.form.barrel_mm.value),
                "worst": {
                    "depth_mm": rounded(one.form.worst.depth_mm),
                    "angle_deg": rounded(one.form.worst.angle_deg),
                },
                "to_prove": None if one.to_prove is None else one.to_prove.advice,
            }
            for one in judged.each
        ],
        "oversizes": [
            {
                "oversize_mm": rounded(one.step_mm),
                "probability_cleans_up": rounded(one.together.best),
                "per_bore": {name: rounded(chance.best) for name, chance in one.each},
                "low": rounded(one.together.low),
                "high": rounded(one.together.high),
                "per_bore_range": {
                    name: [rounded(chance.low), rounded(chance.high)] for name, chance in one.each
                },
                "forbidden": one.forbidden[0][1].text if one.forbidden else None,
            }
            for one in found.steps
        ],
        "recommended_mm": None if recommended is None else rounded(recommended),
    }
    if isinstance(found.chosen, CannotTell):
        record["cannot_tell"] = {"reason": found.chosen.reason, "remedy": found.chosen.remedy}
    if found.close_range:
        record["close_range"] = found.close_range
    return record


def _page(
    judged: JudgedAll,
    found: CleanUp,
    recommended: float | None,
    reasons: list[str],
    cautions: list[str],
    unit: LengthUnit,
) -> str:
    from runningfit.core.measurements.conformity.decision import percent
    from runningfit.core.treatments.machining.barriers import said_size
    from runningfit.core.units.said_lengths import SaidLength

    def said(size_mm: float, *, bare: bool = True) -> str:
        return SaidLength(size_mm, 4, bare=bare).in_unit(unit)

    lines = [
        f"bore {one.name}  {said(one.form.min_mm.value)} to {said(one.form.max_mm.value, bare=False)}, taper "
        f"{said(one.form.taper_mm.value)}, out of round {said(one.form.out_of_round_mm.value)}: "
        f"{str(one.verdict.outcome).replace('_', ' ')}, within with {percent(one.probability_within)}"
        for one in judged.each
    ]
    lines += [
        f"{said_size(one.step_mm).in_unit(unit)}  cleans up all with {percent(one.together.best)}, between "
        f"{percent(one.together.low)} and {percent(one.together.high)}"
        for one in found.steps
    ]
    step = None if recommended is None else said_size(recommended).in_unit(unit)
    lines.append("none recommended" if step is None else f"recommended {step}")
    return "\n".join(
        [*lines, "Why", *(f"  {one}" for one in reasons), "Mind", *(f"  {one}" for one in cautions)]
    )
