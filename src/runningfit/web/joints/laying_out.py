"""Where everything of a threaded joint lies along its axis, as far as it is known; the rest is proposed.

A drawing needs a length for every part. What nobody measured is drawn in a likely proportion, and its name
says so: `Laid.unknown` holds it, and whoever draws shows it dashed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from runningfit.core.pieces.kinds import Kind
from runningfit.core.standards import Thread
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate

# Drawn proportions of the nominal diameter; the head of a hexagon is 1.5 to 1.7 wide and 0.65 high.
HEAD_HIGH, HEAD_HALF, WASHER_HALF, BLOCK_HALF, NUT_HALF = 0.65, 0.8, 1.0, 1.6, 0.85
_HEADLESS = frozenset({Kind.STUD, Kind.GRUB_SCREW})
_NUTS = frozenset({Kind.NUT, Kind.DOMED_NUT})
# These hold themselves, and nothing is clamped but a washer.
_CLAMP_NOTHING = frozenset({Kind.GRUB_SCREW, Kind.PLUG, Kind.UNION})


class Part(StrEnum):
    """A length of the joint that may not be known."""

    LENGTH = "length"
    CLAMPED = "clamped"
    DEPTH = "depth"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True)
class Laid:
    """A joint along its axis; 0 is the face under the head, everything in mm.

    Parameters
    ----------
    thread : Thread
        The thread that is drawn.
    start, tip : float
        Where the piece begins, its head included, and where it ends.
    has_head : bool
        Whether it has a head.
    washer, face, mouth, end : float
        Where the washer ends, the tapped part begins, its full thread begins, and its thread ends.
    floor : float
        Where the tapped part ends.
    engaged : tuple of float or None
        From where to where full thread lies in full thread; none where that is not known.
    in_nut : bool
        Whether the tapped part is a nut.
    is_nut : bool
        Whether the piece itself is the nut, and the rod through it is its mate.
    blind : bool
        Whether the hole is drawn with a bottom.
    unknown : frozenset of Part
        What is only proposed.
    alone : bool
        Whether there is no hole to draw at all.
    thread_length : float or None
        Length of the bolt's thread from its tip [mm]; none where nobody measured it.
    """

    thread: Thread
    start: float
    tip: float
    has_head: bool
    washer: float
    face: float
    mouth: float
    end: float
    floor: float
    engaged: tuple[float, float] | None
    in_nut: bool
    is_nut: bool
    blind: bool
    unknown: frozenset[Part]
    alone: bool = False
    thread_length: float | None = None

    @property
    def span(self) -> tuple[float, float]:
        """From where to where anything is drawn [mm]."""
        return self.start, max(self.tip, self.floor)


def lay_out(facts: JointFacts, thread: Thread, engaged_mm: float | None, *, alone: bool) -> Laid:
    """Lay a joint out along its axis.

    Parameters
    ----------
    facts : JointFacts
        What is known.
    thread : Thread
        The thread, or the first of those it may be.
    engaged_mm : float or None
        Full thread in full thread [mm], where it was reckoned.
    alone : bool
        Whether to draw the piece without any hole.
    """
    piece, mate, size = facts.piece, facts.mate, thread.major_mm
    unknown: set[Part] = set()
    if alone:
        return _alone(facts, thread)
    is_nut = piece.kind in _NUTS
    in_nut = is_nut or mate.mate is Mate.NUT
    has_head = not is_nut and piece.kind not in _HEADLESS
    washer = mate.washer_mm or 0.0
    length = None if is_nut else piece.length_mm
    start = _start(piece.kind, size)
    if length is not None and piece.kind is Kind.STUD:
        # Measured over all: what stands out for its nut reaches no hole.
        length = max(length + start, size)
    if mate.depth_mm is None:
        unknown.add(Part.DEPTH)
    if length is None and not is_nut:
        unknown.add(Part.LENGTH)
    clamped = mate.clamped_mm
    if clamped is None and piece.kind in _CLAMP_NOTHING:
        clamped = 0.0
    if clamped is None:
        unknown.add(Part.CLAMPED)
        clamped = _clamped(length, washer, size)
    face = washer + clamped
    depth = mate.depth_mm or _depth(length, face, size, in_nut=in_nut, engaged_mm=engaged_mm)
    tip = length if length is not None else face + min(depth, 1.4 * size) + (0.4 * size if in_nut else 0)
    if is_nut:
        tip = face + depth + 0.4 * size
    blind = mate.blind is True and not in_nut
    if mate.blind is None and not in_nut:
        unknown.add(Part.BOTTOM)
    end = face + depth
    mouth = face + (mate.chamfer_mm or 0.0)
    first = mouth + mate.damaged_turns * thread.pitch_mm
    floor = end if in_nut or not blind else end + 0.75 * size
    return Laid(
        thread=thread,
        start=start,
        tip=tip,
        has_head=has_head,
        washer=washer,
        face=face,
        mouth=mouth,
        end=end,
        floor=floor,
        engaged=(first, first + engaged_mm) if engaged_mm is not None else None,
        in_nut=in_nut,
        is_nut=is_nut,
        blind=blind,
        unknown=frozenset(unknown),
        thread_length=piece.thread_length_mm,
    )


def _start(kind: Kind, size_mm: float) -> float:
    """Where the piece begins: its head, what stands out for a nut, or the rod that a nut is turned onto."""
    if kind is Kind.GRUB_SCREW:
        return 0.0
    if kind in _NUTS:
        return -0.4 * size_mm
    return -(1.1 if kind is Kind.STUD else HEAD_HIGH) * size_mm


def _clamped(length_mm: float | None, washer_mm: float, size_mm: float) -> float:
    """Propose how thick the clamped parts are: the bolt goes about 1.3 diameters into the hole."""
    if length_mm is None:
        return 1.2 * size_mm
    return max(0.3 * length_mm, length_mm - washer_mm - 1.3 * size_mm)


def _depth(
    length_mm: float | None, face_mm: float, size_mm: float, *, in_nut: bool, engaged_mm: float | None
) -> float:
    """Propose how deep the hole is tapped: somewhat deeper than the bolt reaches."""
    if in_nut:
        return 0.8 * size_mm
    reach = (length_mm - face_mm) if length_mm is not None else 1.4 * size_mm
    return max(reach + 0.5 * size_mm, size_mm, engaged_mm or 0.0)


def _alone(facts: JointFacts, thread: Thread) -> Laid:
    piece, size = facts.piece, thread.major_mm
    is_nut = piece.kind in _NUTS
    length = piece.length_mm or (0.8 * size if is_nut else 3 * size)
    has_head = not is_nut and piece.kind not in _HEADLESS
    return Laid(
        thread=thread,
        start=-HEAD_HIGH * size if has_head else 0.0,
        tip=length,
        has_head=has_head,
        washer=0.0,
        face=0.0,
        mouth=0.0,
        end=length,
        floor=length,
        engaged=None,
        in_nut=is_nut,
        is_nut=is_nut,
        blind=False,
        unknown=frozenset() if piece.length_mm else frozenset({Part.LENGTH}),
        alone=True,
        thread_length=piece.thread_length_mm,
    )
