"""`runningfit treatment embrittlement`: what hydrogen can do to a piece, as JSON or as a page of text."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.treatments.embrittlement import EmbrittlementJudgement, ImpliedHardness


@click.command()
@click.option("--hardness", help='Measured: "42 HRC", "390 HV", "320 HB", "38..41 HRC".')
@click.option("--kind", help="What it is: spring_washer, circlip, tension_pin, spring, hex_bolt, nut.")
@click.option("--grade", help='Its grade: "ISO 898-1 12.9", "SAE J429 8", "BS 1768 S".')
@click.option(
    "--process",
    required=True,
    help='Every step in its order, the shop\'s own too: "acid pickle, zinc electroplate, passivate".',
)
@click.option("--case-hardened", is_flag=True, help="Its surface is hardened.")
@click.option("--safety-critical", is_flag=True, help="It holds a rod, a main cap, a flywheel or the like.")
@click.option(
    "--process-verified", is_flag=True, help="The plater proves its process by test (ISO 4042:2018)."
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def embrittlement(
    *,
    hardness: str | None,
    kind: str | None,
    grade: str | None,
    process: str,
    case_hardened: bool,
    safety_critical: bool,
    process_verified: bool,
    as_json: bool,
) -> None:
    """Say whether hydrogen can make a piece crack after cleaning and plating, by every standard on it.

    Say its hardness, its grade or what it is; a measured hardness goes before the others. Where standards
    differ, the strictest demand is instructed.
    """
    from runningfit.core.treatments.embrittlement import judge_embrittlement, read_process

    judgement = judge_embrittlement(
        _implied(hardness, kind, grade),
        read_process(process),
        case_hardened=case_hardened,
        safety_critical=safety_critical,
        process_verified=process_verified,
    )
    if as_json:
        click.echo(json.dumps(_answer(judgement), ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(_page(judgement)))


def _implied(hardness: str | None, kind: str | None, grade: str | None) -> ImpliedHardness:
    """What is known of the hardness; the kind still says whether it is a spring."""
    from runningfit.core.treatments.embrittlement import of_grade, of_kind, of_measurement, read_hardness

    by_kind = None if kind is None else of_kind(kind)
    if hardness is not None:
        known = of_measurement(read_hardness(hardness))
    elif grade is not None:
        known = of_grade(grade)
    elif by_kind is not None:
        return by_kind
    else:
        raise InvalidInput(
            "hardness",
            needs="a hardness, a grade or a kind",
            came="",
            remedy='Say --hardness "42 HRC", --grade "ISO 898-1 12.9" or --kind spring_washer.',
        )
    if by_kind is None:
        return known
    return replace(known, spring=by_kind.spring, in_tension=by_kind.in_tension)


def _plain(value: float | None) -> float | int | None:
    """A whole number without a point."""
    return int(value) if value is not None and value.is_integer() else value


def _answer(judgement: EmbrittlementJudgement) -> dict[str, Any]:
    bake = judgement.bake
    return {
        "risk": str(judgement.risk),
        "bake": None
        if bake is None
        else {
            "temperature_c": [_plain(bake.temperature_from_c), _plain(bake.temperature_to_c)],
            "hours": _plain(bake.hours),
            "within_hours": _plain(bake.within_hours),
        },
        "by_standard": [
            {
                "standard": one.standard,
                "edition": one.edition,
                "threshold": one.threshold,
                "says": str(one.says),
                "force": str(one.force),
                "hours": _plain(one.hours),
                "within_hours": _plain(one.within_hours),
                "note": one.note,
                "status": one.status,
                "source": one.source,
            }
            for one in judgement.by_standard
        ],
        "reasons": [
            f"{reason.text} [{reason.source}]" if reason.source else reason.text
            for reason in judgement.verdict.reasons
        ],
        "cautions": [
            *(caution.text for caution in judgement.verdict.cautions),
            *(f"Instead: {other}" for other in judgement.alternatives),
        ],
    }


def _page(judgement: EmbrittlementJudgement) -> list[str]:
    lines = [str(judgement.risk).replace("_", " ")]
    lines += [f"  {told}" for told in judgement.instructions]
    for reason in judgement.verdict.reasons:
        lines.append(f"  {reason.text}" + (f" [{reason.source}]" if reason.source else ""))
    lines += [f"! {caution.text}" for caution in judgement.verdict.cautions]
    return [*lines, *(f"Instead: {other}" for other in judgement.alternatives)]
