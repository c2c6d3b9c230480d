"""`runningfit joint torque-for` and `retorque`: the torque for a preload, and for another finish."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from runningfit.cli import joint_options as told

if TYPE_CHECKING:
    from runningfit.core.joints.retorque import TorqueAnswer


@click.command("torque-for")
@told.options("thread", "grade")
@click.option("--preload", required=True, metavar="FORCE", help='Wanted on average, such as "22 kN".')
@told.options("finish", "lubricant", "mu_thread", "mu_head", "bearing", "scatter", "json")
def torque_for(
    *,
    thread_text: str,
    grade: str | None,
    preload: str,
    finish: str | None,
    lubricant: str | None,
    mu_thread: str | None,
    mu_head: str | None,
    bearing_diameter: str | None,
    scatter: str | None,
    as_json: bool,
) -> None:
    """Give the torque for a PRELOAD; none where the bolt might yield."""
    from runningfit.core.joints.grades import unknown_strength
    from runningfit.core.joints.preload import tightening_of
    from runningfit.core.joints.retorque import torque_for as computed

    thread = told.one_thread(thread_text)
    strength = told.strength(grade, thread)
    tightening = tightening_of(
        thread,
        told.friction(thread, finish, lubricant, mu_thread, mu_head),
        bearing_diameter_mm=told.millimetres(bearing_diameter, "bearing diameter"),
        scatter=told.share(scatter),
    )
    force = told.newtons(preload)
    _show(
        computed(tightening, force, strength or unknown_strength(), grade_known=strength is not None),
        thread.designation,
        as_json=as_json,
    )


@click.command()
@told.options("thread", "torque")
@click.option("--from", "old", required=True, metavar="CONDITION", help='Such as "black oxide, dry".')
@click.option("--to", "new", required=True, metavar="CONDITION", help='As received: "cadmium, dry".')
@told.options("grade", "bearing", "scatter", "json")
def retorque(
    *,
    thread_text: str,
    torque_text: str,
    old: str,
    new: str,
    grade: str | None,
    bearing_diameter: str | None,
    scatter: str | None,
    as_json: bool,
) -> None:
    """Give the torque for another finish or lubricant than TORQUE was made for; none where none is safe."""
    from runningfit.core.joints.conditions import read_condition
    from runningfit.core.joints.retorque import FinishChange
    from runningfit.core.joints.retorque import retorque as computed

    thread = told.one_thread(thread_text)
    change = FinishChange(
        thread,
        told.newton_metres(torque_text),
        read_condition(old),
        read_condition(new),
        told.strength(grade, thread),
        told.millimetres(bearing_diameter, "bearing diameter"),
        told.share(scatter),
    )
    _show(computed(change), thread.designation, as_json=as_json)


def _both_units(torque_nm: float) -> str:
    from runningfit.core.units.quantities import TorqueUnit, torque_in

    return f"{torque_nm:.1f} N m, {torque_in(torque_nm, TorqueUnit.LBF_FT):.1f} lbf ft"


def _show(answer: TorqueAnswer, designation: str, *, as_json: bool) -> None:
    """The torque, or that there is none."""
    torque, ratio = answer.torque_nm, answer.ratio_if_unchanged
    if not as_json:
        figure = "no torque is safe" if torque is None else _both_units(torque.mean)
        click.echo(told.page(answer.verdict, f"{designation}: {figure}"))
        return
    record = {
        "torque_nm": None if torque is None else told.spread_answer(torque, ("mean", "low", "high")),
        "preload_ratio_if_unchanged": None
        if ratio is None
        else told.spread_answer(ratio, ("low", "median", "high")),
        "reasons": told.reasons_of(answer.verdict),
        "cautions": told.cautions_of(answer.verdict),
    }
    click.echo(json.dumps(record, ensure_ascii=False, indent=1))
