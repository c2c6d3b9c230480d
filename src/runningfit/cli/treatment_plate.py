"""`runningfit treatment plate`: a thread before and after plating, as JSON or as a page of text."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.joint_options import one_thread
from runningfit.core.errors import InvalidInput
from runningfit.core.units import LengthQuestion, LengthUnit, read_length

if TYPE_CHECKING:
    from runningfit.core.pieces.gauging.measured import Measured
    from runningfit.core.standards import Thread
    from runningfit.core.treatments.plating import PlatingJudgement, Spread

# A micrometer over wires (common practice, no source).
_USUAL_U_MM = 0.005
_MM, _UM, _SHARE = 6, 4, 6
_PLUS_MINUS = re.compile(r"(.+?)\s*(?:±|\+/-|\+-)\s*(.+)")


@click.command()
@click.option("--thread", "designation", required=True, help='Such as "1/4-20 UNC", M8x1.25 or 2BA.')
@click.option("--class", "thread_class", help="2A, 6g, medium, close, normal; 2B or 6H is a nut or hole.")
@click.option(
    "--thickness", required=True, help="The new coat: 5um, 5..8um (5th to 95th percentile), .0002in."
)
@click.option("--stripped", help="Old plating that is stripped first: 8um, 5..10um.")
@click.option("--lost", help="Metal lost on each surface to rust, acid and blasting: 2um, 1..4um.")
@click.option("--pitch-diameter", help="As it is now, over the old plating: 5.47mm, or '5.47mm ± 0.01mm'.")
@click.option("--internal", is_flag=True, help="It is a nut or hole, where the class does not say so.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON, in millimetres and micrometres.")
def plate(
    *,
    designation: str,
    thread_class: str | None,
    thickness: str,
    stripped: str | None,
    lost: str | None,
    pitch_diameter: str | None,
    internal: bool,
    as_json: bool,
) -> None:
    """Say what a coat does to a thread, whether the GO gauge still passes, and how thick the coat may be.

    Without a pitch diameter the thread is taken as made anywhere within its class. max_thickness_um is that
    of a new part at maximum material; that of the part as measured stands under after.
    """
    from runningfit.core.treatments.plating import NO_COAT, ThreadHistory, judge_plating, read_coat

    one = one_thread(designation)
    judgement = judge_plating(
        one,
        read_coat(thickness),
        thread_class,
        internal=internal or _is_internal(one, thread_class),
        history=ThreadHistory(
            None if pitch_diameter is None else _measured(pitch_diameter),
            read_coat(stripped, argument="stripped plating") if stripped else NO_COAT,
            read_coat(lost, argument="lost metal") if lost else NO_COAT,
        ),
    )
    if as_json:
        click.echo(json.dumps(_answer(judgement), ensure_ascii=False, indent=1))
    else:
        click.echo("\n".join(_page(judgement)))


def _is_internal(one: Thread, thread_class: str | None) -> bool:
    """Whether only a nut or hole of this thread has such a class."""
    from runningfit.core.standards.limits import external_classes, internal_classes

    if thread_class is None or thread_class in external_classes(one):
        return False
    inner = internal_classes(one)
    return thread_class in inner or thread_class.upper() in inner


def _measured(text: str) -> Measured:
    from runningfit.core.pieces.gauging.measured import Measured

    found = _PLUS_MINUS.fullmatch(text.strip())
    value = _mm(found[1] if found else text)
    # What stands behind ± is taken as two standard uncertainties, as calibration certificates have it.
    return Measured(value, _mm(found[2]) / 2 if found else _USUAL_U_MM)


def _mm(text: str) -> float:
    read = read_length(text, default_unit=LengthUnit.MM)
    if isinstance(read, LengthQuestion):
        raise InvalidInput("pitch diameter", needs="one length", came=text, remedy=read.question)
    return read.mm


def _spread(size: Spread) -> dict[str, float]:
    from runningfit.core.treatments.plating import percentile_mm

    low, high = percentile_mm(size, 0.05), percentile_mm(size, 0.95)
    return {"low": round(low, _MM), "mean": round(size.mean_mm, _MM), "high": round(high, _MM)}


def _answer(judgement: PlatingJudgement) -> dict[str, Any]:
    plated, verdict = judgement.plated, judgement.verdict
    return {
        "pitch_diameter_growth_mm": round(plated.growth.pitch_diameter_mm, _MM),
        "max_thickness_um": round(1000 * plated.max_thickness_new_mm, _UM),
        "probability_go": round(plated.probability_go, _SHARE),
        "after": {
            "class": plated.limits.thread_class,
            "pitch_diameter_mm": _spread(plated.pitch_diameter),
            "minor_mm" if plated.internal else "major_mm": _spread(plated.crest),
            "growth_mm": {
                "major": round(plated.growth.major_mm, _MM),
                "pitch_diameter": round(plated.growth.pitch_diameter_mm, _MM),
                "minor": round(plated.growth.minor_mm, _MM),
            },
            "bare_pitch_diameter_mm": _spread(plated.bare),
            "go_limit_mm": round(plated.go_limit_mm, _MM),
            "max_thickness_as_is_um": round(1000 * plated.max_thickness_as_is_mm, _UM),
            "probability_engagement": round(plated.probability_engagement, _SHARE),
            "verdict": str(verdict.outcome),
            "reasons": [
                f"{reason.text} [{reason.source}]" if reason.source else reason.text
                for reason in verdict.reasons
            ],
            "cautions": [caution.text for caution in verdict.cautions],
        },
    }


def _page(judgement: PlatingJudgement) -> list[str]:
    plated, verdict = judgement.plated, judgement.verdict
    side = "hole" if plated.internal else "bolt"
    lines = [
        f"{plated.thread.designation} {plated.limits.thread_class}, {side}: "
        f"{str(verdict.outcome).replace('_', ' ')}"
    ]
    for reason in verdict.reasons:
        lines.append(f"  {reason.text}" + (f" [{reason.source}]" if reason.source else ""))
    return [*lines, *(f"! {caution.text}" for caution in verdict.cautions)]
