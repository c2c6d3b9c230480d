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
