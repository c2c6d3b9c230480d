"""`runningfit photo score`: measured photos held against what really lies on their mats."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from runningfit.cli.measure_options import text_of
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.photos.scoring import Bin, Errors, PhotoCounts, Row, Score, Share

_DECIMALS = 4
_SHARES = (
    "found", "measured", "kind", "pitch", "thread", "thread_or_twin", "nut_thread_or_twin",
    "thread_among_three", "look", "length_covered", "diameter_covered",
)  # fmt: skip
_ERRORS = ("length", "major", "nominal_major", "head_across_flats", "outside", "inside", "thickness")


@click.command()
@click.argument(
    "files",
    nargs=-1,
    required=True,
    metavar="PHOTO.json TRUTH.json [PHOTO.json TRUTH.json ...]",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def score(*, files: tuple[Path, ...], as_json: bool) -> None:
    """Hold PHOTO.json, as `photo measure --json` wrote it, against the truth of a drawn photo.

    Several pairs are pooled. Pieces are matched one to one by where they lie on the mat: within 4 mm and a
    quarter of the piece's extent, or under the outline. Thread and pitch are those of outside threads; a
    twin has the same diameter and pitch under another name.
    """
    from runningfit.core.photos.measured_files import read_photo
    from runningfit.core.photos.scoring import score as score_photos
    from runningfit.core.photos.truths import read_truth

    if len(files) % 2:
        raise InvalidInput(
            "files",
            needs="pairs of a measured photo and its truth",
            came=f"{len(files)} file{'' if len(files) == 1 else 's'}",
        )
    pairs = zip(files[::2], files[1::2], strict=True)
    found = score_photos([(read_photo(text_of(one)), read_truth(text_of(other))) for one, other in pairs])
    click.echo(json.dumps(_record(found), ensure_ascii=False, indent=1) if as_json else _page(found))


def _record(found: Score) -> dict[str, Any]:
    return {
        "photos": [_counts(one) for one in found.photos],
        "exact_count": _share(found.exact),
        "all": _row(found.all),
        "by_kind": {name: _row(row) for name, row in found.by_kind.items()},
        "by_finish": {name: _row(row) for name, row in found.by_finish.items()},
        "thread_reliability": [_bin(one) for one in found.reliability],
        "thread_or_twin_reliability": [_bin(one) for one in found.reliability_of_twins],
    }


def _counts(one: PhotoCounts) -> dict[str, Any]:
    return {
        "image": one.image,
        "pieces": one.pieces,
        "outlines": one.outlines,
        "missed": list(one.missed),
        "extra": list(one.extra),
        "split": list(one.split),
        "merged": list(one.merged),
        "exact": one.exact,
        "refused": one.refused or None,
    }


def _share(one: Share) -> dict[str, Any]:
    share = one.share
    return {"right": one.right, "of": one.of, "share": None if share is None else round(share, _DECIMALS)}


def _errors(one: Errors) -> dict[str, Any]:
    sizes = {"median": one.median_mm, "p95": one.p95_mm, "bias": one.bias_mm}
    return {
        "count": one.count,
        "of": one.of,
        **{f"{name}_mm": None if size is None else round(size, _DECIMALS) for name, size in sizes.items()},
    }


def _row(row: Row) -> dict[str, Any]:
    return {
        "pieces": row.pieces,
        **{name: _share(getattr(row, name)) for name in _SHARES},
        **{name: _errors(getattr(row, name)) for name in _ERRORS},
    }


def _bin(one: Bin) -> dict[str, Any]:
    mean = None if one.mean is None else round(one.mean, _DECIMALS)
    return {"from": one.low, "to": one.high, "mean_probability": mean, **_share(one.right)}


def _page(found: Score) -> str:
    lines = []
    for one in found.photos:
        told = "every piece once" if one.exact else _faults(one)
        lines.append(f"{one.image or 'photo'}: {one.outlines} outlines for {one.pieces} pieces, {told}")
    lines.append(f"Photos with every piece once: {found.exact.right} of {found.exact.of}")
    lines.extend(f"  {name.replace('_', ' '):<20}{_said(getattr(found.all, name))}" for name in _SHARES)
    lines.append("Errors, median and 95th percentile without sign, and median with it")
    lines.extend(
        f"  {name.replace('_', ' '):<20}{_errors_said(getattr(found.all, name))}" for name in _ERRORS
    )
    for title, rows in (("By kind", found.by_kind), ("By finish", found.by_finish)):
        lines.append(title)
        lines.extend(_line(name, row) for name, row in rows.items())
    lines.append("First guess of the thread, by its probability")
    for alone, together in zip(found.reliability, found.reliability_of_twins, strict=True):
        ends = f"{alone.low:.1f} to {alone.high:.1f}"
        lines.append(f"  {ends}   {_said(alone.right)}; with twins {_said(together.right)}")
    return "\n".join(lines)


def _faults(one: PhotoCounts) -> str:
    if one.refused:
        return f"refused: {one.refused}"
    parts = (("missed", one.missed), ("extra", one.extra), ("split", one.split), ("merged", one.merged))
    return ", ".join(f"{word} {', '.join(map(str, numbers))}" for word, numbers in parts if numbers)


def _said(one: Share) -> str:
    return "none" if one.share is None else f"{one.right} of {one.of} ({one.share * 100:.0f} %)"


def _errors_said(one: Errors) -> str:
    if one.median_mm is None or one.p95_mm is None or one.bias_mm is None:
        return f"none of {one.of}"
    return f"{one.median_mm:.2f}, {one.p95_mm:.2f}, {one.bias_mm:+.2f} mm ({one.count} of {one.of})"


def _line(name: str, row: Row) -> str:
    return (
        f"  {name:<18} found {_said(row.found)}, kind {_said(row.kind)}, thread {_said(row.thread_or_twin)}, "
        f"look {_said(row.look)}, length {_errors_said(row.length)}"
    )
