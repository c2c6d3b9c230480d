"""`runningfit photo compare`: what is missing, added or swapped between two photos of one bag."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.measure_options import text_of

if TYPE_CHECKING:
    from runningfit.core.photos.answers import CouldNotMeasure
    from runningfit.core.photos.comparing import Added, Comparison, Group, Missing
    from runningfit.core.photos.items import MeasuredPhoto

_DECIMALS = 4
_KEYS = (
    "before", "after", "summary", "probability_complete", "scale_ratio", "groups", "missing", "added",
    "swapped", "cannot_tell",
)  # fmt: skip
_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.command()
@click.argument("before", metavar="BEFORE", type=_FILE)
@click.argument("after", metavar="AFTER", type=_FILE)
@click.option("--mat", "mat_file", metavar="MAT.json", type=_FILE, help="The design of the mat of both.")
@click.option("--mat-before", metavar="MAT.json", type=_FILE, help="That of BEFORE, where they differ.")
@click.option("--mat-after", metavar="MAT.json", type=_FILE, help="That of AFTER, where they differ.")
@click.option(
    "--print-scale",
    type=float,
    metavar="SCALE",
    help="Measured over designed length of the ruler on the mat of both, such as 0.985; 1 if not told.",
)
@click.option(
    "--print-scale-before", type=float, metavar="SCALE", help="That of BEFORE, where they are two prints."
)
@click.option(
    "--print-scale-after", type=float, metavar="SCALE", help="That of AFTER, where they are two prints."
)
@click.option(
    "--same-looks",
    is_flag=True,
    help="The pieces were not plated or cleaned in between, so that their looks count.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def compare(
    *,
    before: Path,
    after: Path,
    mat_file: Path | None,
    mat_before: Path | None,
    mat_after: Path | None,
    print_scale: float | None,
    print_scale_before: float | None,
    print_scale_after: float | None,
    same_looks: bool,
    as_json: bool,
) -> None:
    """Say what is missing, added or swapped from the bag in BEFORE to the bag in AFTER.

    The pieces may lie anywhere. Each file is a photo, or a .json that `photo measure --json` wrote of one.
    Pieces that cannot be told apart are counted together.
    """
    from runningfit.core.photos.answers import CouldNotMeasure
    from runningfit.core.photos.comparing import compare as compare_photos

    began = time.perf_counter()
    ours = _measured(before, mat_before or mat_file, _first(print_scale_before, print_scale))
    theirs = _measured(after, mat_after or mat_file, _first(print_scale_after, print_scale))
    if isinstance(ours, CouldNotMeasure):
        record, page = _refused(before, ours)
    elif isinstance(theirs, CouldNotMeasure):
        record, page = _refused(after, theirs)
    else:
        found = compare_photos(ours, theirs, look_may_change=not same_looks)
        record, page = _record(found), _page(found)
    if as_json:
        record["seconds"] = round(time.perf_counter() - began, 2)
        click.echo(json.dumps(record, ensure_ascii=False, indent=1))
    else:
        click.echo(page)


def _measured(
    file: Path, mat_file: Path | None, print_scale: float | None
) -> MeasuredPhoto | CouldNotMeasure:
    from runningfit.cli.photo_measuring import measured_file
    from runningfit.core.photos.measured_files import read_photo

    if file.suffix.lower() == ".json":
        return read_photo(text_of(file))
    return measured_file(file, mat_file, print_scale).answer


def _first(own: float | None, of_both: float | None) -> float | None:
    return of_both if own is None else own


def _refused(file: Path, refused: CouldNotMeasure) -> tuple[dict[str, Any], str]:
    could_not = {
        "photo": str(file),
        "fault": str(refused.fault),
        "reason": refused.reason,
        "remedy": refused.remedy,
    }
    record: dict[str, Any] = {**dict.fromkeys(_KEYS), "could_not": could_not, "cautions": []}
    return record, f"Could not measure {file}: {refused.reason}\n{refused.remedy}"


def _record(found: Comparison) -> dict[str, Any]:
    return {
        "before": found.before,
        "after": found.after,
        "summary": found.summary,
        "probability_complete": round(found.probability_complete, _DECIMALS),
        "scale_ratio": None if found.scale_ratio is None else round(found.scale_ratio, _DECIMALS),
        "groups": [_group(one) for one in found.groups],
        "missing": [_one_group(one) for one in found.missing],
        "added": [_one_group(one) for one in found.added],
        "swapped": [
            {
                "gone": one.gone,
                "came": one.came,
                "count": one.count,
                "differs": [str(each) for each in one.differs],
                **_said(one.probability, one.sentence),
            }
            for one in found.swapped
        ],
        "cannot_tell": [
            {"groups": list(one.groups), **_said(one.probability, one.sentence), "remedy": one.remedy}
            for one in found.cannot_tell
        ],
        "could_not": None,
        "cautions": list(found.cautions),
    }


def _one_group(one: Missing | Added) -> dict[str, Any]:
    return {"group": one.group, "count": one.count, **_said(one.probability, one.sentence)}


def _said(probability: float | None, sentence: str) -> dict[str, Any]:
    return {
        "probability": None if probability is None else round(probability, _DECIMALS),
        "sentence": sentence,
    }


def _group(group: Group) -> dict[str, Any]:
    return {
        "number": group.number,
        "name": group.name,
        "kind": str(group.kind) if group.measured else None,
        "threads": [
            {"designation": one.designation, "probability": round(one.probability, _DECIMALS)}
            for one in group.threads
        ],
        "length_mm": None if group.length is None else round(group.length.value_mm, _DECIMALS),
        "u_length_mm": None if group.length is None else round(group.length.u_mm, _DECIMALS),
        "before": list(group.before),
        "after": list(group.after),
    }


def _page(found: Comparison) -> str:
    lines = [found.summary]
    for findings in (found.missing, found.added, found.swapped):
        lines.extend(one.sentence for one in findings)
    for open_one in found.cannot_tell:
        lines.extend((open_one.sentence, f"  {open_one.remedy}"))
    lines.append("before  after")
    lines.extend(f"{len(one.before):6d} {len(one.after):6d}  {one.name}" for one in found.groups)
    return "\n".join([*lines, *(["Mind", *(f"  {one}" for one in found.cautions)] if found.cautions else [])])
