"""Bags of hardware that are photographed, go away and come back, with pieces lost, added and swapped.

Nothing here comes from the comparison that it is held against: threads, lengths, errors and what the photo
makes of them follow laws of their own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from random import Random

# Name, outside diameter and pitch [mm], by their makers' tables from memory.
THREADS = {
    "M4x0.7": (4.0, 0.7), "M5x0.8": (5.0, 0.8), "M6x1": (6.0, 1.0), "M8x1.25": (8.0, 1.25),
    "M8x1": (8.0, 1.0), "M10x1.5": (10.0, 1.5), "M10x1.25": (10.0, 1.25), "M12x1.75": (12.0, 1.75),
    "1/4-20 UNC": (6.35, 1.27), "1/4-28 UNF": (6.35, 0.907), "1/4-26 BSF": (6.35, 0.977),
    "5/16-18 UNC": (7.9375, 1.411), "5/16-24 UNF": (7.9375, 1.058), "5/16-22 BSF": (7.9375, 1.1545),
    "3/8-16 UNC": (9.525, 1.5875), "3/8-24 UNF": (9.525, 1.058), "3/8-20 BSF": (9.525, 1.27),
    "7/16-14 UNC": (11.1125, 1.814), "7/16-20 UNF": (11.1125, 1.27), "1/2-13 UNC": (12.7, 1.954),
    "1/2-20 UNF": (12.7, 1.27),
}  # fmt: skip
NAMES = tuple(THREADS)
WITH_LENGTH = ("hex_bolt", "hex_bolt", "hex_bolt", "stud", "slotted_screw")
WITH_THREAD = frozenset({"hex_bolt", "stud", "slotted_screw", "nut"})
LOOKS = ("yellow", "clear", "black", "steel")
METRIC_LENGTHS = (12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70)
# How often a photo reads a pitch that is not the thread's, and names a kind that is not the piece's.
PITCH_MISREAD, KIND_MISREAD = 0.02, 0.03
# How often a length, or a thread, is read off something else altogether, which no uncertainty tells.
GROSS = 0.002


@dataclass(frozen=True)
class Make:
    """What a piece is: kind, thread, length or outside diameter [mm], look."""

    kind: str
    thread: str
    length: float
    outside: float
    look: str


@dataclass(frozen=True)
class Seen:
    """What a photo makes of a piece; sizes are (value, standard uncertainty) [mm]."""

    piece: int
    kinds: dict[str, float]
    threads: dict[str, float]
    looks: dict[str, float]
    sizes: dict[str, tuple[float, float]]


@dataclass(frozen=True)
class Trial:
    """A bag before and after, as seen, and what became of it."""

    before: tuple[Seen, ...]
    after: tuple[Seen, ...]
    makes: dict[int, Make]
    missing: tuple[int, ...]
    added: tuple[int, ...]
    swapped: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Errors:
    """How well the photos measure; lengths and diameters [mm], the pitch and the scale as shares."""

    length: float = 0.25
    diameter: float = 0.12
    pitch: float = 0.006
    scale: float = 0.002


def make(chance: Random) -> Make:
    """Any make."""
    kind = chance.choice(
        (*WITH_LENGTH, *WITH_LENGTH, "nut", "nut", "plain_washer", "spring_washer", "spacer")
    )
    thread = chance.choice(NAMES) if kind in WITH_THREAD else ""
    inch = "/" in thread or (not thread and chance.random() < 0.5)
    length = 3.175 * chance.randint(4, 20) if inch else float(chance.choice(METRIC_LENGTHS))
    outside = 0.0
    if kind in {"plain_washer", "spring_washer"}:
        outside = chance.uniform(8, 25)
    if kind == "spacer":
        outside = chance.uniform(8, 18)
    has_length = kind in WITH_LENGTH or kind == "spacer"
    return Make(kind, thread, length if has_length else 0.0, outside, chance.choice(LOOKS))


def another(of: Make, chance: Random) -> Make:
    """What comes in place of a piece: of its kind, another thread or another length, or any other."""
    for _ in range(1000):
        way = chance.random()
        if of.thread and of.length and way < 0.45:
            steps = chance.choice((-3, -2, -1, 1, 2, 3))
            other = replace(of, length=of.length + steps * (3.175 if "/" in of.thread else 5.0))
        elif of.thread and way < 0.9:
            near = [
                name
                for name in NAMES
                if name != of.thread and abs(math.log(THREADS[name][0] / THREADS[of.thread][0])) < 0.3
            ]
            other = replace(of, thread=chance.choice(near))
        else:
            other = make(chance)
        if other.kind == of.kind and other != of and (other.length >= 8 or not of.length):
            return other
    raise AssertionError("nothing else of this kind")


def seen(piece: int, what: Make, errors: Errors, scale: float, chance: Random) -> Seen:
    """What a photo makes of a piece."""
    sizes: dict[str, tuple[float, float]] = {}
    if what.length:
        read = what.length * scale + chance.gauss(0, errors.length)
        if chance.random() < GROSS:
            read = max(5.0, read + chance.choice((-1, 1)) * chance.uniform(2, 20))
        sizes["length"] = (read, errors.length)
    if what.outside:
        for name, size in (("outside", what.outside), ("inside", what.outside * 0.53)):
            sizes[name] = (size * scale + chance.gauss(0, errors.diameter), errors.diameter)
    threads: dict[str, float] = {}
    if what.thread:
        major, pitch = THREADS[chance.choice(NAMES) if chance.random() < GROSS else what.thread]
        read_major = major * scale + chance.gauss(0, errors.diameter)
        read_pitch = pitch * (1 + chance.gauss(0, errors.pitch))
        if chance.random() < PITCH_MISREAD:
            read_pitch = chance.uniform(0.6, 2.2)
        if what.kind != "nut":
            sizes["major"] = (read_major, errors.diameter)
            sizes["pitch"] = (read_pitch, pitch * errors.pitch)
        flats = 1.58 * THREADS[what.thread][0]
        if what.kind in {"nut", "hex_bolt"}:
            sizes["head_across_flats"] = (flats * scale + chance.gauss(0, errors.diameter), errors.diameter)
        threads = _threads(read_major, read_pitch, errors)
    kinds = _told(what.kind, ("hex_bolt", "stud", "slotted_screw", "nut", "plain_washer", "spacer"), chance)
    return Seen(piece, kinds, threads, _told(what.look, LOOKS, chance), sizes)


def _threads(major: float, pitch: float, errors: Errors) -> dict[str, float]:
    """Probabilities of the threads, by the very errors that were made."""
    weights = {}
    for name, (ideal_major, ideal_pitch) in THREADS.items():
        u = ideal_pitch * errors.pitch
        near = math.exp(-((pitch - ideal_pitch) ** 2) / (2 * u * u)) / (u * math.sqrt(2 * math.pi))
        likely = (1 - PITCH_MISREAD) * near + PITCH_MISREAD / 1.6
        weights[name] = likely * math.exp(-((major - ideal_major) ** 2) / (2 * errors.diameter**2))
    total = sum(weights.values())
    if not total:
        return {}
    ranked = sorted(((weight / total, name) for name, weight in weights.items()), reverse=True)
    return {name: share for share, name in ranked[:3]}


def _told(true: str, names: tuple[str, ...], chance: Random) -> dict[str, float]:
    others = [name for name in names if name != true]
    wrong = chance.choice(others)
    if chance.random() < KIND_MISREAD:
        true, wrong = wrong, true
    return {true: 1 - KIND_MISREAD, wrong: KIND_MISREAD}


def trial(
    chance: Random,
    *,
    errors: Errors | None = None,
    lost: float = 0.03,
    swapped: float = 0.03,
    added: float = 0.02,
    designs: tuple[int, int] = (4, 10),
) -> Trial:
    """Draw a bag, send it away, and see it again."""
    errors = errors or Errors()
    makes: dict[int, Make] = {}
    for _ in range(chance.randint(*designs)):
        what = make(chance)
        for _ in range(chance.choice((1, 1, 2, 2, 3, 4, 6))):
            makes[len(makes)] = what
    pieces = list(makes)
    gone, swaps, there = [], [], []
    for piece in pieces:
        fate = chance.random()
        if fate < lost:
            gone.append(piece)
        elif fate < lost + swapped:
            makes[len(makes)] = another(makes[piece], chance)
            swaps.append((piece, len(makes) - 1))
            there.append(len(makes) - 1)
        else:
            there.append(piece)
    new = []
    for _ in pieces:
        if chance.random() < added:
            makes[len(makes)] = make(chance)
            new.append(len(makes) - 1)
    first, second = (1 + chance.gauss(0, errors.scale) for _ in range(2))
    before = [seen(one, makes[one], errors, first, chance) for one in pieces]
    after = [seen(one, makes[one], errors, second, chance) for one in (*there, *new)]
    chance.shuffle(before)
    chance.shuffle(after)
    return Trial(tuple(before), tuple(after), makes, tuple(gone), tuple(new), tuple(swaps))
