"""`runningfit measure uncertainty`: a budget worked out."""

from __future__ import annotations

import json
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

import click

from runningfit.cli.joint_options import rounded
from runningfit.cli.measure_options import text_of

if TYPE_CHECKING:
    from runningfit.core.measurements.uncertainty.inputs import Budget
    from runningfit.core.measurements.uncertainty.propagation import Propagated


@click.command()
@click.argument("file", metavar="BUDGET.toml", type=click.Path(path_type=Path))
@click.option("--monte-carlo", is_flag=True, help="Check the formula by draws as well (JCGM 101).")
@click.option("--seed", default=1, show_default=True, help="Where the draws start.")
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def uncertainty(*, file: Path, monte_carlo: bool, seed: int, as_json: bool) -> None:
    """Propagate the uncertainties of a budget to its result.

    \b
    A budget is a TOML text:
      model = "reading * (1 + a * (t - 20))"
      coverage = 0.95
      [inputs.reading]
      readings = [79.412, 79.414, 79.413]
      parts = [{ resolution = 0.001 }, { expanded = 0.004, k = 2, from = "certificate" }]
      [inputs.a]
      value = 11.5e-6
      half_width = 1e-6
      shape = "rectangular"
      [inputs.t]
      value = 24
      u = 0.5
      dof = 8
    """
    from runningfit.core.measurements.uncertainty.budget_file import read_budget
    from runningfit.core.measurements.uncertainty.propagation import propagate

    budget = read_budget(text_of(file))
    found = propagate(budget)
    drawn = _drawn(budget, found, seed) if monte_carlo else None
    if not as_json:
        click.echo(_page(budget, found, drawn))
        return
    measured, second = found.measured, found.second_order_u
    record: dict[str, object] = {
        "value": rounded(measured.value, 12),
        "u": rounded(measured.u),
        "dof": rounded(measured.dof) if isfinite(measured.dof) else None,
        "k": rounded(found.k),
        "U": rounded(found.expanded_u),
        "second_order_u": None if second is None else rounded(second),
    }
    if drawn is not None:
        record["monte_carlo"] = drawn
    click.echo(json.dumps(record, ensure_ascii=False, indent=1))


def _drawn(budget: Budget, found: Propagated, seed: int) -> dict[str, object]:
    from runningfit.core.measurements.uncertainty.monte_carlo import agrees, draw

    drawn = draw(budget, seed=seed)
    return {
        "value": rounded(drawn.value, 12),
        "u": rounded(drawn.u),
        "symmetric": [rounded(drawn.symmetric.low, 12), rounded(drawn.symmetric.high, 12)],
        "shortest": [rounded(drawn.shortest.low, 12), rounded(drawn.shortest.high, 12)],
        "trials": drawn.trials,
        "settled": drawn.settled,
        "agrees": agrees(found, drawn),
    }


def _page(budget: Budget, found: Propagated, drawn: dict[str, object] | None) -> str:
    unit = f" {budget.unit}" if budget.unit else ""
    measured = found.measured
    lines = [
        f"{measured.value:.10g}{unit}, standard uncertainty {measured.u:.3g}{unit}, expanded "
        f"{found.expanded_u:.3g}{unit} (k = {found.k:.3g}, {found.coverage * 100:.6g} %)",
        "What each input adds",
        *(f"  {one.name}: {one.u:.3g}{unit}" for one in found.contributions),
    ]
    if drawn is not None:
        lines += ["By draws", *(f"  {name}: {value}" for name, value in drawn.items())]
    return "\n".join([*lines, "Why", *(f"  {one.text} [{one.source}]" for one in found.reasons)])
