"""`runningfit thread identify`: a thread named from what was measured, or a whole sheet of them."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.identification import (
    AngleGauge,
    Country,
    TappedMaterial,
    ThreadPrior,
    ThreadReadings,
)
from runningfit.core.pieces.identification import (
    identify as identify_one,
)
from runningfit.core.standards import ThreadSeries
from runningfit.core.units import MM_PER_INCH, LengthQuestion, LengthUnit, read_length

if TYPE_CHECKING:
    from runningfit.core.pieces.identification import Identification

_COUNTRIES = {
    "uk": Country.UNITED_KINGDOM,
    "us": Country.UNITED_STATES,
    "europe": Country.EUROPE,
    "japan": Country.JAPAN,
}
_TPI = re.compile(
    r"([0-9]{1,3}(?:[.,][0-9]{1,4})?)\s*(?:tpi|t\.p\.i\.?|threads?(?: per inch)?|per inch|/in)\.?"
)
_LEAF_MM = re.compile(r"(?:leaf\s+(?:of\s+)?)(?P<before>.+)|(?P<behind>.+?)\s*leaf")
_BARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
# Without a unit: no thread has a pitch of 7 mm, and none here fewer than 3.25 threads per inch.
_BARE_MM_BELOW, _BARE_TPI_FROM = 4.0, 7.0
_YEARS = re.compile(r"(\d{4})(?:\s*(?:-|–|to)\s*(\d{4}))?")
_NEAR = re.compile(r"(?:(\d+)\s*(?:x\s*|of\s+))?(.+)")


@click.command()
@click.option("--major", help="Major diameter of a bolt: 7.87mm, 0.310in, 5/16.")
@click.option("--minor", help="Minor diameter: of a nut or hole, or the core of a bolt.")
@click.option("--pitch-diameter", help="Pitch diameter, such as over wires.")
@click.option("--pitch", help="24tpi (a leaf of the gauge), 1.06mm (measured), or 'leaf 1.25mm'.")
@click.option("--internal", is_flag=True, help="It is a nut or a hole.")
@click.option("--angle", multiple=True, type=float, help="A flank angle gauge that fits: 55, 60 or 47.5.")
@click.option("--not-angle", multiple=True, type=float, help="A flank angle gauge that does not fit.")
@click.option("--taper/--no-taper", default=None, help="Whether the thread tapers, if somebody looked.")
@click.option("--across-flats", help="Width across flats of the head, or of the nut.")
@click.option("--u-major", help="Standard uncertainty of the major diameter (0.02mm if not said).")
@click.option("--u-minor", help="The same of the minor diameter.")
@click.option("--u-pitch-diameter", help="The same of the pitch diameter.")
@click.option("--u-pitch", help="The same of the measured pitch (0.02mm if not said).")
@click.option("--u-across-flats", help="The same of the width across flats (0.05mm if not said).")
@click.option("--country", type=click.Choice(sorted(_COUNTRIES)), help="Where the maker worked.")
@click.option("--year", help="When it was built: 1952, or 1948-1955.")
@click.option(
    "--material", type=click.Choice([one.value for one in TappedMaterial]), help="What it is tapped into."
)
@click.option("--near", multiple=True, help="A thread of the same area: '5/16-24 UNF', '12 x 5/16-24 UNF'.")
@click.option("--weight", multiple=True, help="How often a series is to count: BSF=2, CEI=0.")
@click.option(
    "--batch",
    type=click.Path(path_type=Path),
    help="A CSV file with the columns major_mm, tpi, pitch_mm, u_major_mm, u_pitch_mm.",
)
@click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")
def identify(
    *,
    major: str | None,
    minor: str | None,
    pitch_diameter: str | None,
    pitch: str | None,
    internal: bool,
    angle: tuple[float, ...],
    not_angle: tuple[float, ...],
    taper: bool | None,
    across_flats: str | None,
    u_major: str | None,
    u_minor: str | None,
    u_pitch_diameter: str | None,
    u_pitch: str | None,
    u_across_flats: str | None,
    country: str | None,
    year: str | None,
    material: str | None,
    near: tuple[str, ...],
    weight: tuple[str, ...],
    batch: Path | None,
    as_json: bool,
) -> None:
    """Name a thread from what was measured, with how sure the name is and what to measure next.

    A number without a unit is in mm. The probabilities of the candidates and of none of them come to 1.
    """
    prior = _prior(country, year, material, near, weight)
    if batch is not None:
        from runningfit.cli.thread_sheet import batch_answer

        click.echo(batch_answer(batch, prior, as_json=as_json))
        return
    leaf_tpi, leaf_mm, pitch_mm = _pitch(pitch)
    readings = ThreadReadings(
        internal=internal,
        major_mm=_mm("major diameter", major),
        minor_mm=_mm("minor diameter", minor),
        pitch_diameter_mm=_mm("pitch diameter", pitch_diameter),
        leaf_tpi=leaf_tpi,
        leaf_mm=leaf_mm,
        pitch_mm=pitch_mm,
        across_flats_mm=_mm("width across flats", across_flats),
        angle_gauges=(
            *(AngleGauge(one) for one in angle),
            *(AngleGauge(one, fits=False) for one in not_angle),
        ),
        tapers=taper,
        u_major_mm=_mm("uncertainty of the major diameter", u_major),
        u_minor_mm=_mm("uncertainty of the minor diameter", u_minor),
        u_pitch_diameter_mm=_mm("uncertainty of the pitch diameter", u_pitch_diameter),
        u_pitch_mm=_mm("uncertainty of the pitch", u_pitch),
        u_across_flats_mm=_mm("uncertainty of the width across flats", u_across_flats),
    )
    found = identify_one(readings, prior)
    click.echo(json.dumps(_answer(found), ensure_ascii=False, indent=1) if as_json else _page(found))


def _mm(what: str, text: str | None) -> float | None:
    """Read a length as the trade writes it; a number alone is in mm."""
    if text is None:
        return None
    try:
        length = read_length(text, default_unit=LengthUnit.MM)
    except InvalidInput as error:
        raise InvalidInput(what, needs=error.needs, came=error.came, remedy=error.remedy) from error
    if isinstance(length, LengthQuestion):
        raise InvalidInput(what, needs="a length that reads one way", came=text, remedy=length.question)
    return length.mm


def _pitch(text: str | None) -> tuple[float | None, float | None, float | None]:
    """Read a pitch: threads per inch of a leaf, the pitch of a leaf [mm], or a measured pitch [mm]."""
    if text is None:
        return None, None, None
    words = " ".join(text.lower().split())
    if found := _TPI.fullmatch(words):
        return _threads_per_inch(float(found[1].replace(",", ".")))
    if found := _LEAF_MM.fullmatch(words):
        return None, _mm("pitch of the leaf", found["before"] or found["behind"]), None
    if _BARE.fullmatch(words):
        number = float(words.replace(",", "."))
        if number >= _BARE_TPI_FROM:
            return _threads_per_inch(number)
        if number >= _BARE_MM_BELOW:
            raise InvalidInput("pitch", needs="its unit", came=text, remedy=f"Write {text}tpi or {text}mm.")
    return None, None, _mm("pitch", text)


def _threads_per_inch(tpi: float) -> tuple[float | None, float | None, float | None]:
    """Leaves have whole or half threads per inch; anything else was measured."""
    if not tpi:
        raise InvalidInput("threads per inch", needs="more than 0", came=tpi, remedy="Read the leaf again.")
    return (tpi, None, None) if (2 * tpi).is_integer() else (None, None, MM_PER_INCH / tpi)


def _prior(
    country: str | None,
    year: str | None,
    material: str | None,
    near: tuple[str, ...],
    weight: tuple[str, ...],
) -> ThreadPrior:
    built = _YEARS.fullmatch(year.strip()) if year is not None else None
    if year is not None and built is None:
        raise InvalidInput("year", needs="a year or two", came=year, remedy="Write 1952, or 1948-1955.")
    neighbours = []
    for one in near:
        if found := _NEAR.fullmatch(one.strip()):
            neighbours.append((found[2], float(found[1] or 1)))
    return ThreadPrior(
        country=_COUNTRIES[country] if country else None,
        built_from=int(built[1]) if built else None,
        built_to=int(built[2] or built[1]) if built else None,
        neighbours=tuple(neighbours),
        tapped_material=TappedMaterial(material) if material else None,
        series_weights=tuple(_series_weight(one) for one in weight),
    )


def _series_weight(text: str) -> tuple[ThreadSeries, float]:
    name, _, factor = text.partition("=")
    known = {series.value.lower(): series for series in ThreadSeries}
    series = known.get(name.strip().lower())
    try:
        number = float(factor)
    except ValueError:
        number = None
    if series is None or number is None:
        raise InvalidInput(
            "weight",
            needs="a series and a factor, such as BSF=2",
            came=text,
            remedy=f"The series are {', '.join(ThreadSeries)}.",
        )
    return series, number


def _answer(found: Identification) -> dict[str, object]:
    return {
        "candidates": [
            {
                "designation": one.designation,
                "probability": round(one.probability, 6),
                "major_mm": round(one.thread.major_mm, 4),
                "pitch_mm": round(one.thread.pitch_mm, 4),
            }
            for one in found.candidates
        ],
        "none_of_these": round(found.none_of_these, 6),
        "tell_apart": found.tell_apart,
        "prior": found.prior,
        "twins": [list(group) for group in found.twins],
        "next": [
            {"measure": one.means.value, "bits": round(one.bits, 3), "look_for": one.said}
            for one in found.next_measurements
        ],
        "reasons": [reason.text for reason in found.reasons],
    }


def _page(found: Identification) -> str:
    lines = [
        f"{one.probability:7.1%}  {', '.join((one.designation, *one.other_names))}"
        for one in found.candidates
    ]
    lines.append(f"{found.none_of_these:7.1%}  none of these")
    lines.extend(f"Alike in diameter and pitch: {', '.join(group)}." for group in found.twins)
    lines.extend(reason.text for reason in found.reasons)
    lines.append(f"Next: {found.tell_apart}")
    lines.append(f"Held likely before: {found.prior}")
    return "\n".join(lines)
