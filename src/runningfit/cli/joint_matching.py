"""`runningfit joint match`, `shims` and `weights`: what goes with what, proven best."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from runningfit.cli import joint_options as told
from runningfit.core.errors import InvalidInput

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command()
@click.argument("matrix", metavar="MATRIX.csv", type=FILE)
@click.option("--bottleneck", is_flag=True, help="Make the largest cost as small as can be, then the total.")
@click.option("--u", "u_cost", type=float, metavar="U", help="Standard uncertainty of each cost.")
@told.options("json")
def match(*, matrix: Path, bottleneck: bool, u_cost: float | None, as_json: bool) -> None:
    """Pair the rows of MATRIX.csv with its columns at the least total; an empty cell or x forbids a pair."""
    from runningfit.core.joints.matching.assignment import best_pairs, read_cost_table

    found = best_pairs(read_cost_table(matrix.read_bytes()), bottleneck=bottleneck, u_cost=u_cost)
    second = found.second_total
    if as_json:
        record = {
            "pairs": [[pair.row, pair.column] for pair in found.pairs],
            "total": told.rounded(found.total, 9),
            "largest": told.rounded(found.largest, 9),
            "second_best_total": None if second is None else told.rounded(second, 9),
            "second_best_largest": found.second_largest,
            "second_best_pairs": [[pair.row, pair.column] for pair in found.second_pairs],
            "probability_best": found.probability_best,
            "proven": True,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    lines = [f"{pair.row} – {pair.column}  {pair.cost:g}" for pair in found.pairs]
    lines.append(f"total {found.total:g}, largest {found.largest:g}; proven best")
    if second is None:
        lines.append("no other pairing is possible")
    else:
        others = set(found.second_pairs) - set(found.pairs)
        changed = ", ".join(f"{pair.row} – {pair.column}" for pair in found.second_pairs if pair in others)
        lines.append(f"next best: total {second:g}, largest {found.second_largest:g}, with {changed}")
    if found.probability_best is not None:
        lines.append(f"truly better than the next with {found.probability_best:.0%} probability")
    click.echo("\n".join(lines))


@click.command()
@click.argument("valves", metavar="VALVES.csv", type=FILE)
@click.argument("drawer", metavar="DRAWER.csv", type=FILE)
@click.option("--limits", metavar="RANGE", help="Clearance of all valves, such as 0.15..0.20mm.")
@click.option("--grades", metavar="RANGE", help="What is sold, such as 2.00..3.50/0.05mm.")
@click.option("--u", "u_text", metavar="LENGTH", help="Standard uncertainty of a clearance.")
@click.option(
    "--sure", type=float, default=0.0, metavar="P", help="How surely it shall lie within, 0.95 say."
)
@told.options("json")
def shims(
    *,
    valves: Path,
    drawer: Path,
    limits: str | None,
    grades: str | None,
    u_text: str | None,
    sure: float,
    as_json: bool,
) -> None:
    """Give each valve a shim: from those at hand first, buying the least, near the middle of its limits.

    VALVES.csv has the columns valve, clearance_mm, shim_mm, min_mm, max_mm (or target_mm, tolerance_mm);
    DRAWER.csv shim_mm, count.
    """
    from runningfit.core.joints.matching.shim_sheets import read_drawer, read_valves
    from runningfit.core.joints.matching.shims import Grades, plan_shims, usual_grades

    of_all = None if limits is None else _two_mm(limits, "limits", "0.15..0.20mm")
    found = read_valves(valves.read_bytes(), of_all)
    sold = usual_grades(found)
    cautions = [
        "Shims on sale are taken in steps of 0.05 mm (common practice, no source): --grades says others."
    ]
    if grades is not None:
        ends, slash, step = grades.partition("/")
        low, high = _two_mm(ends, "grades", "2.00..3.50/0.05mm")
        by = (
            told.millimetres(step if any(map(str.isalpha, step)) else f"{step}mm", "grades")
            if slash
            else None
        )
        if by is None or low > high:
            raise InvalidInput("grades", needs="a range and a step such as 2.00..3.50/0.05mm", came=grades)
        sold, cautions = Grades(low, high, by), []
    plan = plan_shims(
        found,
        read_drawer(drawer.read_bytes()),
        sold,
        u_mm=told.millimetres(u_text, "uncertainty"),
        least_probability=sure,
    )
    reasons = [
        "No plan buys fewer shims, and none that buys as few comes nearer to the middle of the limits: one "
        "assignment, solved exactly."
    ]
    reasons += [
        f"{valve.name} needs a shim of {valve.clearance_with_mm(valve.most_mm):.3f} to "
        f"{valve.clearance_with_mm(valve.least_mm):.3f} mm: none at hand, none on sale."
        for valve in plan.impossible
    ]
    cautions.append(
        "Measure each clearance again with its new shim in, and turn the engine over by hand first."
    )
    if as_json:
        record: dict[str, Any] = {
            "assignments": [
                {
                    "valve": one.valve,
                    "shim_mm": told.rounded(one.shim_mm),
                    "from": str(one.origin),
                    "of_valve": one.of_valve or None,
                    "clearance_mm": told.rounded(one.clearance_mm),
                    "probability_within": one.probability_within,
                }
                for one in plan.assignments
            ],
            "buy": [{"shim_mm": told.rounded(one.thickness_mm), "count": one.count} for one in plan.buy],
            "impossible": [valve.name for valve in plan.impossible],
            "proven": True,
            "reasons": reasons,
            "cautions": cautions,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    lines = [
        f"{one.valve}: {one.shim_mm:.3f} mm, {one.origin}"
        + (f" {one.of_valve}" if one.of_valve not in {"", one.valve} else "")
        + f", leaves {one.clearance_mm:.3f} mm"
        for one in plan.assignments
    ]
    lines += [f"buy {one.count} of {one.thickness_mm:.3f} mm" for one in plan.buy] or ["nothing to buy"]
    click.echo(
        "\n".join(
            [*lines, "Why", *(f"  {one}" for one in reasons), "Mind", *(f"  {one}" for one in cautions)]
        )
    )


@click.command()
@click.argument("first", metavar="RODS.csv", type=FILE)
@click.argument("other", metavar="PISTONS.csv", type=FILE)
@click.option("--tolerance", type=float, default=1.0, metavar="GRAMS", help="How far pairs may differ; 1 g.")
@told.options("json")
def weights(*, first: Path, other: Path, tolerance: float, as_json: bool) -> None:
    """Pair two sorts of parts so that all pairs weigh alike with the least metal taken off.

    Both files have the columns name, weight_g and, where metal may be taken off, removable_g.
    """
    from runningfit.core.joints.matching.weights import pair_by_weight, read_weighed_parts

    plan = pair_by_weight(
        read_weighed_parts(first.read_bytes(), "The first sheet"),
        read_weighed_parts(other.read_bytes(), "The second sheet"),
        tolerance,
    )
    if as_json:
        record = {
            "pairs": []
            if plan is None
            else [
                {
                    "pair": [pair.one, pair.other],
                    "weight_g": told.rounded(pair.weight_g, 9),
                    "take_off_g": [told.rounded(pair.off_one_g, 9), told.rounded(pair.off_other_g, 9)],
                }
                for pair in plan.pairs
            ],
            "target_g": None if plan is None else told.rounded(plan.target_g, 9),
            "removed_g": None if plan is None else told.rounded(plan.removed_g, 9),
            "spread_before_g": None if plan is None else told.rounded(plan.spread_before_g, 9),
            "proven": True,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
        return
    if plan is None:
        click.echo("No pairing comes within the tolerance with the metal that may be taken off; proven.")
        return
    lines = [
        f"{pair.one} – {pair.other}  {pair.weight_g:.1f} g, take {pair.off_one_g:.1f} g off {pair.one} and "
        f"{pair.off_other_g:.1f} g off {pair.other}"
        for pair in plan.pairs
    ]
    click.echo(
        "\n".join([*lines, f"{plan.removed_g:.1f} g come off in all, to {plan.target_g:.1f} g; proven least"])
    )


def _two_mm(text: str, name: str, example: str) -> tuple[float, float]:
    """Two lengths parted by dots; a unit behind the second holds for both."""
    low, dots, high = text.partition("..")
    number = low.strip()
    if not dots:
        raise InvalidInput(name, needs=f"a range such as {example}", came=text)
    unit = high.strip(" .0123456789,") or "mm"
    ends = [part if any(map(str.isalpha, part)) else f"{part.strip(' .')}{unit}" for part in (number, high)]
    first, second = (0.0 if end.strip("0.,") == unit else told.millimetres(end, name) for end in ends)
    if first is None or second is None:
        raise InvalidInput(name, needs=f"a range such as {example}", came=text)
    return first, second
