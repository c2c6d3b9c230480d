"""How the card of a thread is laid out: figures in both units, and a numbered note on where each is from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from runningfit.core.standards.cards import ThreadCard
from runningfit.core.standards.limits import ExternalLimits, InternalLimits
from runningfit.core.standards.spanners import Hexagon
from runningfit.core.standards.strength_figures import Figure
from runningfit.core.standards.tapping import TappingDrills
from runningfit.core.units import MM_PER_INCH

# The words of a status that a person minds, the gravest first, with the stamp that carries them.
_STATUS_WORDS = (
    ("stand-in", "stand-in", "bad"),
    ("memory", "from memory", "open"),
    ("common practice", "common practice", "open"),
    ("secondary", "second hand", "open"),
    ("continued", "continued", "open"),
    ("recomputed", "by formula", ""),
    ("derived", "by formula", ""),
    ("verified", "verified", "good"),
)


@dataclass(frozen=True, slots=True)
class From:
    """Where figures come from: the number of the note, its status in a word, and all that is said of it."""

    number: int
    word: str
    stamp: str
    status: str
    source: str

    @property
    def more(self) -> str:
        """Return what the status says beyond its word."""
        said = self.status.lower()
        return "" if said in (self.word, "memory", "recomputed") else said


@dataclass(frozen=True, slots=True)
class Line:
    """One figure in both units, with the note on where it comes from."""

    name: str
    value: str
    other: str
    note: From


@dataclass(frozen=True, slots=True)
class LimitsLine:
    """The limits of one class: major, pitch and minor diameter from least to most, in mm and in inches."""

    thread_class: str
    usual: bool
    major: str
    pitch_diameter: str
    minor: str
    inches: tuple[str, str, str]
    note: From


@dataclass(frozen=True, slots=True)
class SpannerLine:
    """A hexagon with its spanners."""

    hexagon: Hexagon
    width: str
    note: From


@dataclass(frozen=True, slots=True)
class CardPage:
    """A card as its page shows it."""

    basics: tuple[Line, ...]
    bolt: tuple[LimitsLine, ...]
    hole: tuple[LimitsLine, ...]
    drills: tuple[Line, ...]
    spanners: tuple[SpannerLine, ...]
    strength: tuple[Line, ...]
    gauge_lengths: tuple[Line, ...]
    notes: tuple[From, ...]


class _Notes:
    """Number what the figures come from, in the order in which they appear."""

    def __init__(self) -> None:
        self.made: dict[tuple[str, str], From] = {}

    def of(self, status: str, source: str) -> From:
        """Return the note of a status and a source."""
        key = (status, source)
        if key not in self.made:
            word, stamp = status_word(status)
            self.made[key] = From(len(self.made) + 1, word, stamp, status, source)
        return self.made[key]


def status_word(status: str) -> tuple[str, str]:
    """Say a status in a word, and name the stamp for it."""
    said = status.lower()
    return next(((word, stamp) for part, word, stamp in _STATUS_WORDS if part in said), (said, ""))


def card_page(card: ThreadCard) -> CardPage:
    """Lay a card out."""
    notes = _Notes()
    areas = [area for area in (card.stress_area, card.stress_area_printed) if area is not None]
    # The notes are numbered as they come on the page, from its top.
    basics = tuple(_line(figure, notes) for figure in card.basics)
    strength = tuple(_line(figure, notes) for figure in areas)
    gauge_lengths = tuple(_line(figure, notes) for figure in card.gauge_lengths)
    bolt = tuple(_limits(one, order, notes) for order, one in enumerate(card.external))
    hole = tuple(_limits(one, order, notes) for order, one in enumerate(card.internal))
    drills = tuple(_drills(card.tapping, notes)) if card.tapping is not None else ()
    spanners = tuple(SpannerLine(one, _width(one), notes.of(one.status, one.source)) for one in card.hexagons)
    return CardPage(basics, bolt, hole, drills, spanners, strength, gauge_lengths, tuple(notes.made.values()))


def _drills(tapping: TappingDrills, notes: _Notes) -> Iterator[Line]:
    wanted = f"hole for {tapping.engagement:.0%} of the thread"
    yield _mm_line(wanted, tapping.diameter_mm, notes.of("common practice", tapping.source))
    for drill in (tapping.metric, tapping.inch):
        if drill is None:
            continue
        note = notes.of(drill.status, "the size of the drill")
        leaves = f"leaves {drill.engagement:.0%}"
        yield Line(f"drill {drill.name}", f"{drill.diameter_mm:.3f} mm", leaves, note)


def _line(figure: Figure, notes: _Notes) -> Line:
    note = notes.of(figure.status, figure.source)
    if figure.unit == "mm":
        return _mm_line(figure.name, figure.value, note)
    if figure.unit == "mm²":
        return Line(figure.name, f"{figure.value:.4g} mm²", f"{figure.value / MM_PER_INCH**2:.4f} in²", note)
    if figure.unit == "°":
        return Line(figure.name, f"{figure.value:.4g}°", "", note)
    return Line(figure.name, f"{figure.value:g} {figure.unit}".strip(), "", note)


def _mm_line(name: str, mm: float, note: From) -> Line:
    return Line(name, f"{mm:.3f} mm", f"{mm / MM_PER_INCH:.4f} in", note)


def _limits(limits: ExternalLimits | InternalLimits, order: int, notes: _Notes) -> LimitsLine:
    major: tuple[float | None, float | None]
    if isinstance(limits, ExternalLimits):
        major = (limits.major_min_mm, limits.major_max_mm)
    else:
        major = (limits.major_min_mm, None)
    pairs = (
        major,
        (limits.pitch_diameter_min_mm, limits.pitch_diameter_max_mm),
        (limits.minor_min_mm, limits.minor_max_mm),
    )
    said = [_between(low, high, 3, 1.0) for low, high in pairs]
    inches = [_between(low, high, 4, MM_PER_INCH) for low, high in pairs]
    return LimitsLine(
        limits.thread_class,
        order == 0,
        said[0],
        said[1],
        said[2],
        (inches[0], inches[1], inches[2]),
        notes.of(limits.status, limits.source),
    )


def _between(low: float | None, high: float | None, places: int, factor: float) -> str:
    if low is not None and high is not None:
        return f"{low / factor:.{places}f} to {high / factor:.{places}f}"
    if low is not None:
        return f"{low / factor:.{places}f} and more"
    return f"{high / factor:.{places}f} and less" if high is not None else ""


def _width(hexagon: Hexagon) -> str:
    high = f"{hexagon.max_mm:.2f} mm ({hexagon.max_mm / MM_PER_INCH:.3f} in)"
    return high if hexagon.min_mm is None else f"{hexagon.min_mm:.2f} to {high}"
