"""Simulated threads named by the identification, and how often and how surely it was right."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from random import Random

from runningfit.core.pieces.identification import AngleGauge, Means, ThreadReadings, identify_many
from simulators.threads import NO_STANDARD, Bench, Habits, Piece, Standard, draw_for, make, twins

MIXES = ("leaf", "exact", "pitch", "pitch and flats", "nut")
_PIECES_A_SESSION = 20
_ANGLES = {Means.ANGLE_47_5: 47.5, Means.ANGLE_55: 55.0, Means.ANGLE_60: 60.0}


@dataclass(frozen=True)
class Case:
    """One piece, what was measured of it, and what it truly is."""

    readings: ThreadReadings
    truth: Standard
    piece: Piece
    bench: Bench


def _with_leaf(readings: ThreadReadings, bench: Bench, piece: Piece) -> ThreadReadings | None:
    leaf = bench.leaf(piece)
    if leaf is None:
        return None
    unit, mark = leaf
    return replace(readings, leaf_tpi=mark) if unit == "tpi" else replace(readings, leaf_mm=mark)


def _with_pitch(readings: ThreadReadings, bench: Bench, piece: Piece, u: float) -> ThreadReadings:
    return replace(readings, pitch_mm=bench.pitch(piece, u), u_pitch_mm=u)


def measure(mix: str, bench: Bench, piece: Piece) -> ThreadReadings:
    """Measure a piece: a diameter at u 0.01 to 0.03 mm, and its pitch in the way of the mix.

    leaf: by the gauge where a leaf seems to fit, else over some turns. exact: inch threads are told by their
    threads per inch, the others measured. pitch: always measured at u 0.005 to 0.03 mm. nut: so too, inside.
    """
    chance = bench.chance
    u, u_pitch = chance.uniform(0.01, 0.03), chance.uniform(0.005, 0.03)
    if mix == "nut":
        inner = ThreadReadings(internal=True, minor_mm=bench.caliper(piece.minor, u), u_minor_mm=u)
        return _with_pitch(inner, bench, piece, u_pitch)
    readings = ThreadReadings(major_mm=bench.caliper(piece.major, u), u_major_mm=u)
    if mix == "exact" and piece.standard.inch:
        return replace(readings, leaf_tpi=round(25.4 / piece.standard.pitch, 4))
    if mix == "leaf" and (found := _with_leaf(readings, bench, piece)):
        return found
    if mix == "pitch and flats" and piece.across_flats is not None:
        flats = bench.caliper(piece.across_flats, 0.05)
        readings = replace(readings, across_flats_mm=flats, u_across_flats_mm=0.05)
    return _with_pitch(readings, bench, piece, u_pitch)


def cases(count: int, mix: str, habits: Habits, seed: int, *, evenly: str = "lines") -> list[Case]:
    """Draw pieces and measure them, so many to a session with the same gauges."""
    chance = Random(f"{mix} {evenly} {seed}")
    made = []
    bench = Bench(chance, habits)
    for number in range(count):
        if number % _PIECES_A_SESSION == 0:
            bench = Bench(chance, habits)
        truth = draw_for(habits, chance, evenly=evenly)
        piece = make(truth, chance, habits, internal=mix == "nut")
        made.append(Case(measure(mix, bench, piece), truth, piece, bench))
    return made


def measure_also(means: Means, case: Case) -> ThreadReadings | None:
    """Make one further measurement; none where no leaf fits."""
    readings, bench, piece = case.readings, case.bench, case.piece
    if means is Means.LEAF:
        return _with_leaf(readings, bench, piece)
    if means in _ANGLES:
        tried = AngleGauge(_ANGLES[means], bench.angle(piece, _ANGLES[means]))
        return replace(readings, angle_gauges=(*readings.angle_gauges, tried))
    if means is Means.TEN_TURNS:
        return _with_pitch(readings, bench, piece, 0.005)
    if means is Means.TAPER:
        return replace(readings, tapers=bench.tapers(piece))
    if means is Means.FLATS and piece.across_flats is not None:
        flats = bench.caliper(piece.across_flats, 0.05)
        return replace(readings, across_flats_mm=flats, u_across_flats_mm=0.05)
    if means is Means.WIRES:
        flank = bench.micrometer(piece.flank, 0.01)
        return replace(readings, pitch_diameter_mm=flank, u_pitch_diameter_mm=0.01)
    return replace(readings, major_mm=bench.micrometer(piece.major, 0.006), u_major_mm=0.006)


@dataclass
class Score:
    """How often the first candidate, and one of the first two, was right, and the reliability by decile."""

    count: int = 0
    first: int = 0
    among_two: int = 0
    sure: int = 0
    sure_and_right: int = 0
    said: list[float] = field(default_factory=lambda: [0.0] * 10)
    right: list[int] = field(default_factory=lambda: [0] * 10)
    in_decile: list[int] = field(default_factory=lambda: [0] * 10)
    variance: list[float] = field(default_factory=lambda: [0.0] * 10)

    def add(self, candidates: Sequence[tuple[str, float]], truth: Standard) -> None:
        """Add one case; twins of the truth count as the truth, and their probabilities are added up."""
        alike = twins(truth.name)
        groups: dict[frozenset[str], float] = {}
        for name, probability in candidates:
            group = next((known for known in groups if name in known), twins(name))
            groups[group] = groups.get(group, 0.0) + probability
        hits = [name in alike for name, _ in candidates]
        self.count += 1
        self.first += hits[:1] == [True]
        self.among_two += any(hits[:2])
        for group, probability in groups.items():
            decile = min(9, int(10 * probability))
            self.in_decile[decile] += 1
            self.said[decile] += probability
            self.variance[decile] += probability * (1 - probability)
            self.right[decile] += truth.name in group
            if probability >= 0.9:
                self.sure += 1
                self.sure_and_right += truth.name in group

    def reliability(self) -> list[float]:
        """How often it was right less how often it said it would be, decile by decile."""
        return [
            (right - said) / max(count, 1)
            for right, said, count in zip(self.right, self.said, self.in_decile, strict=True)
        ]

    def standard_errors(self) -> list[float]:
        """How far chance alone carries each of these, if every probability said is true."""
        return [
            math.sqrt(variance) / max(count, 1)
            for variance, count in zip(self.variance, self.in_decile, strict=True)
        ]

    def told(self) -> str:
        """The whole score on a line, to read where a bound is missed."""
        away = " ".join(
            f"{decile}:{100 * off:+.1f}({count})"
            for decile, (off, count) in enumerate(zip(self.reliability(), self.in_decile, strict=True))
        )
        return (
            f"{self.count} cases, first {self.first / self.count:.4f}, among two "
            f"{self.among_two / self.count:.4f}, sure {self.sure / self.count:.3f} of which right "
            f"{self.sure_and_right / max(self.sure, 1):.4f}, deciles {away}"
        )


def scored(made: Sequence[Case], into: Score | None = None, *, with_none: bool = False) -> Score:
    """Name every case and add up how it went; with_none: "none of these" is an answer like any other."""
    score = into or Score()
    found = identify_many([case.readings for case in made])
    for row, case in enumerate(made):
        candidates = found.candidates(row, least_probability=0.001)
        if with_none:
            none = (NO_STANDARD, float(found.none_of_these[row]))
            candidates = tuple(sorted((*candidates, none), key=lambda one: -one[1]))
        score.add(candidates, case.truth)
    return score
