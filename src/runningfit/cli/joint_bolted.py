"""`runningfit joint bolted`: what a torque does to a bolt."""

from __future__ import annotations

import json

import click

from runningfit.cli import joint_options as told


@click.command()
@told.options(
    "thread", "grade", "torque", "finish", "lubricant", "mu_thread", "mu_head", "bearing", "scatter"
)
@click.option("--wanted-clamp", metavar="FORCE", help="The clamp that the joint needs at the least.")
@click.option("--prevailing", metavar="TORQUE", help="What a self-locking nut takes without any clamp.")
@click.option("--clamped-length", metavar="LENGTH", help="Length clamped, so that settling is counted.")
@told.options("json")
def bolted(
    *,
    thread_text: str,
    grade: str | None,
    torque_text: str,
    finish: str | None,
    lubricant: str | None,
    mu_thread: str | None,
    mu_head: str | None,
    bearing_diameter: str | None,
    scatter: str | None,
    wanted_clamp: str | None,
    prevailing: str | None,
    clamped_length: str | None,
    as_json: bool,
) -> None:
    """Say how a bolt tightened to TORQUE clamps, and how near it comes to yielding."""
    from runningfit.core.joints.bolted import BoltedJoint, judge_bolted
    from runningfit.core.joints.embedment import usual_loss_n
    from runningfit.core.joints.grades import unknown_strength
    from runningfit.core.joints.preload import Prevailing, tightening_of

    thread = told.one_thread(thread_text)
    strength = told.strength(grade, thread)
    lost = None if prevailing is None else told.newton_metres(prevailing)
    clamped = told.millimetres(clamped_length, "clamped length")
    joint = BoltedJoint(
        tightening_of(
            thread,
            told.friction(thread, finish, lubricant, mu_thread, mu_head),
            bearing_diameter_mm=told.millimetres(bearing_diameter, "bearing diameter"),
            scatter=told.share(scatter),
        ),
        told.newton_metres(torque_text),
        strength or unknown_strength(),
        grade_known=strength is not None,
        wanted_clamp_n=None if wanted_clamp is None else told.newtons(wanted_clamp),
        settling_loss_n=None if clamped is None else usual_loss_n(thread, clamped),
        prevailing=None if lost is None else Prevailing(lost, lost),
        scatter_known=scatter is not None,
        settling_from_memory=clamped is not None,
    )
    answer = judge_bolted(joint)
    verdict = answer.verdict
    if not as_json:
        click.echo(told.page(verdict, f"{thread.designation}: {str(verdict.outcome).replace('_', ' ')}"))
        return
    use = answer.yield_utilisation
    record = {
        "preload_n": told.spread_answer(answer.preload_n),
        "nut_factor": told.rounded(answer.nut_factor, 5),
        "proof_load_n": told.rounded(answer.proof_load_n),
        "yield_utilisation": {"mean": told.rounded(use.mean, 5), "high": told.rounded(use.high, 5)},
        "probability_yield": round(answer.probability_yield, 6),
        "verdict": str(verdict.outcome),
        "reasons": told.reasons_of(verdict),
        "cautions": told.cautions_of(verdict),
    }
    click.echo(json.dumps(record, ensure_ascii=False, indent=1))
