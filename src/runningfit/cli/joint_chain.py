"""`runningfit joint chain`: what a gap made of many dimensions comes to, and the shim that centres it."""

from __future__ import annotations

import json
from pathlib import Path

import click

from runningfit.cli import joint_options as told
from runningfit.core.errors import InvalidInput


@click.command()
@click.argument(
    "chain_file", metavar="CHAIN.toml", type=click.Path(exists=True, dir_okay=False, path_type=Path)
)
@click.option(
    "--draws", type=int, default=1_000_000, metavar="N", help="Draws of the Monte Carlo; a million."
)
@told.options("json")
def chain(*, chain_file: Path, draws: int, as_json: bool) -> None:
    """Give the gap of CHAIN.toml by worst case, root sum of squares and draws, and what centres it."""
    from runningfit.core.joints.chains.chain import solve_chain
    from runningfit.core.joints.chains.draws import draw_chain
    from runningfit.core.joints.chains.files import read_chain

    try:
        text = chain_file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as refused:
        raise InvalidInput(
            "The chain", needs="a TOML file in UTF-8", came="bytes that are no text"
        ) from refused
    asked = read_chain(text)
    answer = solve_chain(asked)
    drawn = draw_chain(asked, answer, draws)
    shim = answer.shim
    if as_json:
        record = {
            "name": asked.name,
            "mean_mm": told.rounded(answer.mean_mm, 9),
            "worst_case": {
                "low_mm": told.rounded(answer.worst_low_mm, 9),
                "high_mm": told.rounded(answer.worst_high_mm, 9),
            },
            "rss": {
                "low_mm": told.rounded(answer.mean_mm - answer.rss_mm, 9),
                "high_mm": told.rounded(answer.mean_mm + answer.rss_mm, 9),
                "sigma_mm": told.rounded(answer.sigma_mm),
                "probability_within": answer.probability_within,
            },
            "monte_carlo": {
                "draws": drawn.draws,
                "mean_mm": told.rounded(drawn.mean_mm),
                "sigma_mm": told.rounded(drawn.sigma_mm),
                "low_mm": told.rounded(drawn.low_mm),
                "high_mm": told.rounded(drawn.high_mm),
                "probability_within": drawn.probability_within,
                "u_probability": drawn.u_probability,
            },
            "limits": {"lower_mm": asked.lower_mm, "upper_mm": asked.upper_mm},
            "shim": None
            if shim is None
            else {
                "name": shim.name,
                "exact_mm": told.rounded(shim.exact_mm),
                "chosen_mm": told.rounded(shim.chosen_mm),
                "gap_mm": told.rounded(shim.gap_mm),
            },
            "sensitivity": [
                {
                    "name": share.name,
                    "factor": share.factor,
                    "worst_mm": told.rounded(share.worst_mm),
                    "sigma_mm": told.rounded(share.sigma_mm),
                    "share_of_variance": told.rounded(share.of_variance),
                }
                for share in answer.shares
            ],
            "cautions": [one.text for one in answer.cautions],
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    three = answer.rss_mm
    lines = [
        f"{asked.name}: {answer.mean_mm:.4f} mm",
        f"  worst case           {answer.worst_low_mm:.4f} to {answer.worst_high_mm:.4f} mm",
        f"  root sum of squares  {answer.mean_mm - three:.4f} to {answer.mean_mm + three:.4f} mm (99.7 %)",
        f"  by {drawn.draws:,} draws  {drawn.low_mm:.4f} to {drawn.high_mm:.4f} mm (95 %)",
    ]
    if drawn.probability_within is not None:
        lines.append(f"  within its limits with {drawn.probability_within:.2%} probability")
    if shim is not None:
        lines.append(f"  {shim.name} {shim.chosen_mm:.3f} mm (exact {shim.exact_mm:.4f} mm)")
    lines.append("What spreads it")
    lines += [
        f"  {share.of_variance:6.1%} {'█' * round(20 * share.of_variance)} {share.name}, "
        f"±{share.worst_mm:.4f} mm"
        for share in answer.shares
    ]
    if answer.cautions:
        lines += ["Mind", *(f"  {one.text}" for one in answer.cautions)]
    click.echo("\n".join(lines))
