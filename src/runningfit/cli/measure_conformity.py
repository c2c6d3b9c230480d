"""`runningfit measure conformity`: a measured value against its limits."""

from __future__ import annotations

import json
from math import inf

import click

from runningfit.cli.joint_options import page
from runningfit.cli.measure_options import figure
from runningfit.core.errors import InvalidInput

_TELLING = ("value", "uncertainty", "lower limit", "upper limit", "prior mean", "prior deviation")


@click.command()
@click.option("--value", "value_text", required=True, metavar="VALUE", help="What was measured.")
@click.option("--u", "u_text", required=True, metavar="U", help="Its standard uncertainty.")
@click.option("--lower", metavar="VALUE", help="The lower limit.")
@click.option("--upper", metavar="VALUE", help="The upper limit.")
@click.option("--dof", type=float, default=None, help="Degrees of freedom of the uncertainty.")
@click.option("--prior-mean", metavar="VALUE", help="What such values mostly are; not told is not known.")
@click.option("--prior-sd", metavar="VALUE", help="How far they mostly lie from it.")
@click.option("--wanted", type=float, default=0.95, show_default=True, help="How probable it must be.")
@click.option("--as-typed", is_flag=True, help="The figures are right, however far apart they lie.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def conformity(
    *,
    value_text: str,
    u_text: str,
    lower: str | None,
    upper: str | None,
    dof: float | None,
    prior_mean: str | None,
    prior_sd: str | None,
    wanted: float,
    as_typed: bool,
    as_json: bool,
) -> None:
    """Say whether a value lies inside its limits, outside, or whether that is not proven.

    Figures are bare numbers in one unit, or all lengths such as 79.381mm or 3.1252in.
    """
    from runningfit.core.measurements.conformity.bounds import Bounds, NormalPrior
    from runningfit.core.measurements.conformity.decision import decide
    from runningfit.core.measurements.uncertainty.measured import Measured

    texts = (value_text, u_text, lower, upper, prior_mean, prior_sd)
    told = [figure(text, name) for text, name in zip(texts, _TELLING, strict=True)]
    with_unit = {one[1] for one in told if one is not None}
    if len(with_unit) > 1:
        raise InvalidInput(
            "figures",
            needs="all with a unit, or all without",
            came="some of each",
            remedy="Write the unit to each.",
        )
    value, u, low, high, mean, deviation = (None if one is None else one[0] for one in told)
    if value is None or u is None or (mean is None) != (deviation is None):
        raise InvalidInput("prior", needs="a mean and a deviation", came="one of them")
    bounds = Bounds(low, high)
    if not as_typed:
        _check_slip(value, low, high)
    prior = None if mean is None or deviation is None else NormalPrior(mean, deviation)
    measured = Measured(value, u, inf if dof is None else dof)
    answer = decide(measured, bounds, prior=prior, wanted=wanted, unit="mm" if True in with_unit else "")
    if not as_json:
        click.echo(page(answer.verdict, str(answer.decision).replace("_", " ")))
        return
    record = {
        "probability_conforms": float(f"{answer.chances.inside:.9g}"),
        "decision": str(answer.decision),
    }
    click.echo(json.dumps(record, indent=1))


def _check_slip(value: float, low: float | None, high: float | None) -> None:
    """Ask about a value that its size shows to be in another unit, or to have a slipped decimal."""
    from runningfit.core.measurements.slips import slip_of

    limits = [one for one in (low, high) if one is not None]
    if not limits or ((low is not None and value >= low) and (high is not None and value <= high)):
        return
    slip = slip_of(value, sum(limits) / len(limits))
    if slip is not None:
        raise InvalidInput(
            "value", needs=f"to be near its limits, {' to '.join(f'{one:g}' for one in limits)}",
            came=f"{value:g}", remedy=f"Was it {slip}? If it is right, add --as-typed.",
        )  # fmt: skip
