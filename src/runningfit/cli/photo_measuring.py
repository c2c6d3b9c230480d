"""A photo file measured for a command, with its progress on standard error where a person looks on."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

import click

from runningfit.cli.measure_options import text_of
from runningfit.core.errors import InvalidInput

if TYPE_CHECKING:
    from runningfit.core.photos.answers import CouldNotMeasure
    from runningfit.core.photos.checking import Plane
    from runningfit.core.photos.items import MeasuredPhoto

_LINE = 70
Command = TypeVar("Command", bound=Callable[..., Any])


def on_a_photo(command: Command) -> Command:
    """Give a command one photo, the mat that it shows and the scale of its print."""
    of_json = click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
    of_scale = click.option(
        "--print-scale",
        type=float,
        metavar="SCALE",
        help="Measured over designed length of the mat's ruler, such as 0.985; 1 if not told.",
    )
    of_mat = click.option(
        "--mat",
        "mat_file",
        metavar="MAT.json",
        type=click.Path(exists=True, dir_okay=False, path_type=Path),
        help="The design of the mat; not needed for the project's own.",
    )
    of_photo = click.argument(
        "photo", metavar="PHOTO", type=click.Path(exists=True, dir_okay=False, path_type=Path)
    )
    return of_photo(of_mat(of_scale(of_json(command))))


class Progress(Protocol):
    """Is told the step that began and the share of the work that is done, 0 to 1."""

    def __call__(self, step: str, share: float) -> None:
        """Take note of a step."""


@dataclass(frozen=True, slots=True)
class Answered:
    """What a photo answered, and how long it took [s]."""

    answer: MeasuredPhoto | CouldNotMeasure
    print_scale: float
    seconds: float


def checked_file(photo: Path, mat_file: Path | None, print_scale: float | None) -> Plane | CouldNotMeasure:
    """Judge whether a photo file can be measured."""
    from runningfit.core.photos.checking import check_photo
    from runningfit.core.photos.mats import read_mat

    mat = None if mat_file is None else read_mat(text_of(mat_file))
    try:
        data = photo.read_bytes()
    except OSError as error:
        raise InvalidInput("photo", needs="a file that can be read", came=str(photo)) from error
    return check_photo(data, mat=mat, print_scale=print_scale, filename=photo.name)


def measured_file(photo: Path, mat_file: Path | None, print_scale: float | None) -> Answered:
    """Measure a photo file on its mat."""
    from runningfit.core.photos.answers import CouldNotMeasure

    began = time.perf_counter()
    with _shown(photo.name) as progress:
        progress("looking for the mat", 0.0)
        plane = checked_file(photo, mat_file, print_scale)
        if isinstance(plane, CouldNotMeasure):
            answer: MeasuredPhoto | CouldNotMeasure = plane
        else:
            from runningfit.core.photos.measuring import measure_photo

            answer = measure_photo(plane, progress=progress)
    return Answered(answer, 1.0 if print_scale is None else print_scale, time.perf_counter() - began)


@contextmanager
def _shown(name: str) -> Iterator[Progress]:
    """Progress in one line that is overwritten; nothing where standard error is no terminal."""
    if not sys.stderr.isatty():
        yield lambda step, share: None  # noqa: ARG005
        return

    def show(step: str, share: float) -> None:
        click.echo(f"\r{f'{name}: {step} ({share:.0%})':<{_LINE}}"[: _LINE + 1], err=True, nl=False)

    try:
        yield show
    finally:
        click.echo(f"\r{'':<{_LINE}}\r", err=True, nl=False)
