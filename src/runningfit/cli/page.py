"""The page docs/cli.md, made from the commands themselves: what each does, its options, what it answers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import click

from runningfit.cli.entry import COMMANDS, main

HEAD = """# The command `runningfit`

Made from the commands by `scripts/generate.py`; change their help, not this page.

`runningfit` alone serves the shop's own data folder, as `runningfit serve` does. From a clone, the command is
`.venv/bin/runningfit` once `./start` has run. What goes wrong is one line on standard error, with exit status
2; what was done is on standard output. The settings that come from the environment are at the end.
"""

ANSWERS = {
    "backup": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT}',
    "export": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT}',
    "import": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT}',
    "restore": '{"file": PATH, "rows": {TABLE: COUNT, …}, "files": COUNT, "set_aside": PATH or null}',
    "passcode": '{"passcode": "set"}',
    "thread show": (
        '{"designation": "1/4-20 UNC", "pitch_mm": 1.27, "major_mm": 6.35, "pitch_diameter_mm": 5.5245,\n'
        ' "minor_mm": 4.97586, "stress_area_mm2": 20.5296,\n'
        ' "external": {"class": "2A", "major_max_mm": …, "major_min_mm": …,\n'
        '              "pitch_diameter_max_mm": …, "pitch_diameter_min_mm": …} or null,\n'
        ' "internal": {"class": "2B", "minor_min_mm": …, "minor_max_mm": …,\n'
        '              "pitch_diameter_min_mm": …, "pitch_diameter_max_mm": …} or null,\n'
        ' "source": TEXT, "reasons": {KEY: WHY_IT_IS_NULL, …} where something is null}'
    ),
    "thread identify": (
        '{"candidates": [{"designation": "5/16-24 UNF", "probability": 0.996, "major_mm": 7.9375,\n'
        '                 "pitch_mm": 1.0583}, …],\n'
        ' "none_of_these": 0.003, "tell_apart": WHAT_TO_MEASURE_NEXT, "prior": WHAT_WAS_HELD_LIKELY,\n'
        ' "twins": [[DESIGNATION, …], …], "next": [{"measure": …, "bits": …, "look_for": …}, …],\n'
        ' "reasons": [TEXT, …]}\n'
        "or with --batch, in the order of the file:\n"
        '{"results": [{"candidates": […], "none_of_these": …} or {"candidates": [], "problem": "row 7: …"}, '
        "…]}"
    ),
    "joint bolted": (
        '{"preload_n": {"low": 15687.0, "mean": 19855.5, "high": 24024.2}, "nut_factor": 0.21507,\n'
        ' "proof_load_n": 29298.7, "yield_utilisation": {"mean": 0.747, "high": 0.904},\n'
        ' "probability_yield": 0.004, "verdict": "sound", "not_sound" or "not_proven",\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}\n'
        "low and high are the 5th and 95th percentile"
    ),
    "joint torque-for": (
        '{"torque_nm": {"mean": 401.2, "low": 369.0, "high": 439.6} or null where none is safe,\n'
        ' "preload_ratio_if_unchanged": null, "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "joint retorque": (
        '{"torque_nm": {"mean": 27.6, "low": …, "high": …} or null where none is safe,\n'
        ' "preload_ratio_if_unchanged": {"low": …, "median": 1.54, "high": …},\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "joint engagement": (
        '{"stress_area_mm2": 20.5296, "shear_area_internal_mm2_per_mm": 13.69,\n'
        ' "shear_area_external_mm2_per_mm": 9.3461, "length_needed_mm": 10.7841,\n'
        ' "bolt_breaks_first": true, false, or null without a length}'
    ),
    "treatment plate": (
        '{"pitch_diameter_growth_mm": 0.02, "max_thickness_um": 6.985, "probability_go": 1.0,\n'
        ' "after": {"class": "2A", "pitch_diameter_mm": {"low": …, "mean": …, "high": …}, "major_mm": {…},\n'
        '           "growth_mm": {"major": …, "pitch_diameter": …, "minor": …},\n'
        '           "bare_pitch_diameter_mm": {…}, "go_limit_mm": 5.5245, "max_thickness_as_is_um": 8.1597,\n'
        '           "probability_engagement": 1.0, "verdict": "sound", "reasons": […], "cautions": […]}}'
    ),
    "treatment embrittlement": (
        '{"risk": "below_threshold", "bake" or "avoid",\n'
        ' "bake": {"temperature_c": [190, 220], "hours": 14, "within_hours": 4} or null,\n'
        ' "by_standard": [{"standard": "ISO 4042", "edition": "2018", "threshold": "above 390 HV",\n'
        '                  "says": "bake", "force": "requires", "hours": null, "within_hours": null,\n'
        '                  "note": TEXT, "status": "VERIFIED", "source": TEXT}, …],\n'
        ' "reasons": [TEXT, …], "cautions": [TEXT, …]}'
    ),
    "catalogue read": (
        '{"rows": [{"row": 2, "kind": "hex_bolt", "count": 9,\n'
        '           "defects": [{"count": 2, "what": "pulled threads"}],\n'
        '           "ends": [{"candidates": ["5/16-24 UNF"]}],\n'
        '           "length_mm": 34.925, "length_nominal": "1 3/8 in", "length_basis": "under_head",\n'
        '           "finish_look": "clear", "finish_process": null, "condition": null, "problems": []}, …]}'
    ),
}


def cli_page(settings: Sequence[tuple[str, str, str]]) -> str:
    """Return the page as it should stand in docs/cli.md.

    Parameters
    ----------
    settings : sequence of (str, str, str)
        The settings from the environment: name, what holds otherwise, and what it is for.
    """
    parts = [HEAD]
    group = click.Context(main, info_name="runningfit")
    for name in sorted(COMMANDS):
        command = main.get_command(group, name)
        if command is not None:
            parts.extend(_told(command, name, group))
    parts.append(_environment(settings))
    return "\n".join(parts)


def _told(command: click.Command, name: str, parent: click.Context) -> Iterator[str]:
    context = click.Context(
        command, info_name=name.rpartition(" ")[2], parent=parent, terminal_width=96, max_content_width=96
    )
    if isinstance(command, click.Group):
        for below in command.list_commands(context):
            inner = command.get_command(context, below)
            if inner is not None:
                yield from _told(inner, f"{name} {below}", context)
        return
    yield f"## `runningfit {name}`\n"
    yield f"```text\n{command.get_help(context)}\n```\n"
    if name in ANSWERS:
        yield f"With `--json` it answers:\n\n```text\n{ANSWERS[name]}\n```\n"


def _environment(settings: Sequence[tuple[str, str, str]]) -> str:
    rows = [
        f"| `{name}` | {f'`{default}`' if default else ''} | {told} |" for name, default, told in settings
    ]
    return "\n".join(
        ["## Settings from the environment\n", "| name | otherwise | what |", "|---|---|---|", *rows, ""]
    )
