"""Whether a used fastener may be used again: stretch, necking, pitch, rust, and what is never used twice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite, sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.normal import normal_below
from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.standards import Thread
from runningfit.core.treatments.cautions import CRITICAL
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_PRACTICE = "common practice, no source"
_SURE = 0.95
# Yield strength of steel without a yield point is defined by this share of lasting stretch (ISO 898-1:2013).
YIELD_OFFSET = 0.002
# A section that rust has made this much smaller has lost its margin over the proof load: proof is 0.85 of
# yield (Shigley, 9th edition, p. 442), and half of what is between is kept (common practice, no source).
MOST_LOST_SECTION = 0.075
_TURNS = 10


class Role(StrEnum):
    """What a fastener holds."""

    ORDINARY = "ordinary"
    SAFETY_CRITICAL = "safety_critical"


class Locking(StrEnum):
    """What locks, and is used once (common practice, no source)."""

    TAB_WASHER = "tab_washer"
    SPLIT_PIN = "split_pin"
    LOCK_WIRE = "lock_wire"
    NYLON_NUT = "nylon_nut"
    DEFORMED_NUT = "deformed_nut"
    SPRING_WASHER = "spring_washer"
    SEALING_WASHER = "sealing_washer"
    CIRCLIP = "circlip"


@dataclass(frozen=True, slots=True)
class Stretch:
    """Free length of a bolt against what it was when new.

    Parameters
    ----------
    free_length : Measured
        Its length now, not tightened.
    new_length : Measured
        Its length when new: by the maker's page, or of a new one measured alike.
    most_mm : float or None
        The maker's limit of lasting stretch [mm]; none where there is no page.
    """

    free_length: Measured
    new_length: Measured
    most_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Neck:
    """The thinnest place of the shank or of the run-out against a place that was never strained.

    Parameters
    ----------
    thinnest : Measured
        The smallest diameter found.
    unstrained : Measured
        The same diameter near the head, or of a new bolt.
    most_mm : float or None
        The maker's limit of the difference [mm]; none where there is no page.
    """

    thinnest: Measured
    unstrained: Measured
    most_mm: float | None = None


@dataclass(frozen=True, slots=True)
class TenTurns:
    """The length of ten pitches, over which a stretched thread shows.

    Parameters
    ----------
    thread : Thread
        What it should be.
    over_ten : Measured
        From a crest to the eleventh.
    """

    thread: Thread
    over_ten: Measured


@dataclass(frozen=True, slots=True)
class Rust:
    """The least diameter that rust or fretting has left.

    Parameters
    ----------
    least : Measured
        The diameter between the deepest pits.
    sound : Measured
        The same diameter where it is sound.
    """

    least: Measured
    sound: Measured


@dataclass(frozen=True, slots=True)
class UsedFastener:
    """What is known of a used fastener.

    Parameters
    ----------
    role : Role
        What it holds.
    torque_to_yield : bool
        Whether it is tightened beyond yield each time.
    locking : Locking or None
        What it is, if it is a locking part.
    looks_sound : bool or None
        Whether somebody looked and found no fault; none where nobody looked.
    fault : str
        The fault seen, in words.
    crack_tested : bool or None
        Whether it passed a crack test; none where it had none.
    stretch, neck, ten_turns, rust : or None
        What was measured.
    """

    role: Role = Role.ORDINARY
    torque_to_yield: bool = False
    locking: Locking | None = None
    looks_sound: bool | None = None
    fault: str = ""
    crack_tested: bool | None = None
    stretch: Stretch | None = None
    neck: Neck | None = None
    ten_turns: TenTurns | None = None
    rust: Rust | None = None


@dataclass(frozen=True, slots=True)
class _Test:
    """One rule tried: what it says, and whether it rests on the maker's own limit."""

    outcome: Outcome
    reason: Reason
    by_maker: bool = False


def judge_reuse(fastener: UsedFastener) -> Verdict:
    """Judge whether a used fastener may be used again.

    Parameters
    ----------
    fastener : UsedFastener
        What it is, what it holds, and what was measured.

    Returns
    -------
    Verdict
        Not sound where one rule says no; not proven where a rule cannot tell, or where a safety-critical or
        torque-to-yield one was not measured and crack tested; an ordinary one may pass on looks.

    Raises
    ------
    InvalidInput
        A measurement that cannot be, or a limit below nothing.
    """
    tests = _tests(fastener)
    rules = _rules(fastener, tests)
    found = [*rules, *tests]
    outcomes = {test.outcome for test in found}
    if Outcome.NOT_SOUND in outcomes:
        outcome = Outcome.NOT_SOUND
    elif Outcome.NOT_PROVEN in outcomes or not found:
        outcome = Outcome.NOT_PROVEN
    else:
        outcome = Outcome.SOUND
    order = (Outcome.NOT_SOUND, Outcome.NOT_PROVEN, Outcome.SOUND)
    reasons = [test.reason for wanted in order for test in found if test.outcome is wanted]
    if not found:
        reasons = [Reason("Nobody looked at it and nothing was measured.")]
    return Verdict(outcome, reasons=tuple(reasons), cautions=_cautions(fastener, tests))


def _rules(fastener: UsedFastener, tests: Sequence[_Test]) -> list[_Test]:
    """The rules that need no measurement."""
    found = []
    if fastener.locking is not None:
        said = f"A {fastener.locking.replace('_', ' ')} locks once: fit a new one."
        found.append(_Test(Outcome.NOT_SOUND, Reason(said, _PRACTICE)))
    if fastener.looks_sound is False:
        said = f": {fastener.fault}" if fastener.fault else ""
        found.append(_Test(Outcome.NOT_SOUND, Reason(f"A fault was seen on it{said}.")))
    if fastener.crack_tested is False:
        found.append(_Test(Outcome.NOT_SOUND, Reason("The crack test found something.")))
    by_maker = [test for test in tests if test.by_maker and test.outcome is Outcome.SOUND]
    if fastener.torque_to_yield and not by_maker:
        said = (
            "It is tightened beyond yield: it is replaced, unless its maker gives a limit of length or neck "
            "and it was measured against that."
        )
        source = "makers' service tables: torque-to-yield bolts replaced or neck-checked (VERIFIED)"
        found.append(_Test(Outcome.NOT_SOUND, Reason(said, source)))
    if fastener.role is Role.SAFETY_CRITICAL:
        found += _critical(fastener, tests)
    elif fastener.looks_sound and not tests:
        said = (
            "It was looked at and no fault was seen; for a fastener that nothing depends on this is enough."
        )
        found.append(_Test(Outcome.SOUND, Reason(said, _PRACTICE)))
    return found


def _critical(fastener: UsedFastener, tests: Sequence[_Test]) -> list[_Test]:
    missing = []
    if fastener.stretch is None:
        missing.append("its free length against a new one")
    if fastener.neck is None:
        missing.append("its thinnest place")
    if fastener.crack_tested is None:
        missing.append("a crack test")
    if not missing:
        return []
    looked = " Looks alone never pass it." if fastener.looks_sound and not tests else ""
    said = f"It is safety-critical and not proven: {', '.join(missing)} would tell.{looked}"
    return [_Test(Outcome.NOT_PROVEN, Reason(said, _PRACTICE))]


def _tests(fastener: UsedFastener) -> list[_Test]:
    found = []
    if fastener.stretch is not None:
        found.append(_lasting(_stretch(fastener.stretch), _longer(fastener.stretch), fastener.role))
    if fastener.neck is not None:
        found.append(_neck(fastener.neck))
    if fastener.ten_turns is not None:
        grown = _grown(fastener.ten_turns)
        found.append(_lasting(_ten_turns(fastener.ten_turns), grown, fastener.role))
    if fastener.rust is not None:
        found.append(_rust(fastener.rust, fastener.role))
    return found


def _longer(stretch: Stretch) -> Measured:
    """By how much a bolt is longer than new, and how sure that is."""
    now, new = stretch.free_length, stretch.new_length
    return Measured(now.mm - new.mm, sqrt(now.u_mm**2 + new.u_mm**2))


def _grown(turns: TenTurns) -> Measured:
    """By how much ten pitches are longer than they should be."""
    return Measured(turns.over_ten.mm - _TURNS * turns.thread.pitch_mm, turns.over_ten.u_mm)


def _lasting(test: _Test, excess: Measured, role: Role) -> _Test:
    """Pass nothing that must not break by a limit of our own, once it surely stretched: it was overloaded."""
    if role is not Role.SAFETY_CRITICAL or test.by_maker or test.outcome is not Outcome.SOUND:
        return test
    if normal_below(excess.mm / excess.u_mm) < _SURE:
        return test
    said = f"It stretched for good by {excess.mm:.3f} mm (u {excess.u_mm:.3f}): only its maker may pass it."
    return _Test(Outcome.NOT_PROVEN, Reason(said, _PRACTICE))


def _checked(name: str, measured: Measured) -> Measured:
    if not (isfinite(measured.mm) and measured.mm > 0):
        raise InvalidInput(name, needs="more than nothing [mm]", came=measured.mm, remedy="Measure it again.")
    if not (isfinite(measured.u_mm) and 0 < measured.u_mm < measured.mm):
        raise InvalidInput(
            f"uncertainty of {name}",
            needs="more than nothing and less than the length [mm]",
            came=measured.u_mm,
            remedy="A micrometer has about 0.005 mm, a caliper 0.02 mm (common practice, no source).",
        )
    return measured


def _against(
    what: str, excess_mm: float, u_mm: float, limit_mm: float, limit_said: str, source: str, *, by_maker: bool
) -> _Test:
    """Hold a difference against its limit, with its uncertainty."""
    over = normal_below((excess_mm - limit_mm) / u_mm)
    said = f"{what} by {excess_mm:.3f} mm (u {u_mm:.3f}); {limit_said} {limit_mm:.3f} mm"
    if over >= _SURE:
        return _Test(Outcome.NOT_SOUND, Reason(f"{said}: too much.", source), by_maker)
    if over > 1 - _SURE:
        told = f"{said}: not told apart (over with probability {over:.2f})."
        return _Test(Outcome.NOT_PROVEN, Reason(told, source), by_maker)
    return _Test(Outcome.SOUND, Reason(f"{said}: within.", source), by_maker)


def _limit(most_mm: float | None, otherwise_mm: float, otherwise: str, source: str) -> tuple[float, str, str]:
    if most_mm is None:
        return otherwise_mm, otherwise, source
    if not (isfinite(most_mm) and most_mm >= 0):
        raise InvalidInput(
            "the maker's limit", needs="nothing or more [mm]", came=most_mm, remedy="Read the page again."
        )
    return most_mm, "the maker allows", "the maker's page"


def _stretch(stretch: Stretch) -> _Test:
    now, new = _checked("free length", stretch.free_length), _checked("new length", stretch.new_length)
    limit, said, source = _limit(
        stretch.most_mm,
        YIELD_OFFSET * new.mm,
        "yield is a lasting stretch of 0.2 %, at the most",
        "ISO 898-1:2013, definition of 0.2 % proof strength; over the whole length, so the strained part has "
        "more (common practice)",
    )
    return _against(
        "It is longer than new",
        now.mm - new.mm,
        sqrt(now.u_mm**2 + new.u_mm**2),
        limit,
        said,
        source,
        by_maker=stretch.most_mm is not None,
    )


def _neck(neck: Neck) -> _Test:
    thin, whole = _checked("thinnest place", neck.thinnest), _checked("unstrained place", neck.unstrained)
    u = sqrt(thin.u_mm**2 + whole.u_mm**2)
    # A neck that can be measured at all is local yield; turned shanks differ by a hundredth of a millimetre.
    limit, said, source = _limit(neck.most_mm, 0.01, "a turned shank is even to", _PRACTICE)
    return _against(
        "Its shank is thinner at one place",
        whole.mm - thin.mm,
        u,
        limit,
        said,
        source,
        by_maker=neck.most_mm is not None,
    )


def _ten_turns(turns: TenTurns) -> _Test:
    measured = _checked("length of ten pitches", turns.over_ten)
    due = _TURNS * turns.thread.pitch_mm
    if abs(measured.mm - due) > turns.thread.pitch_mm / 2:
        raise InvalidInput(
            "length of ten pitches",
            needs=f"about {due:.2f} mm on {turns.thread.designation}",
            came=measured.mm,
            remedy="Count the turns again: from a crest to the eleventh.",
        )
    return _against(
        f"Ten pitches of {turns.thread.designation} are longer than {due:.3f} mm",
        measured.mm - due,
        measured.u_mm,
        YIELD_OFFSET * due,
        "a lasting stretch of 0.2 % is",
        "ISO 898-1:2013, definition of 0.2 % proof strength, taken over the thread (common practice)",
        by_maker=False,
    )


def _rust(rust: Rust, role: Role) -> _Test:
    least, sound = _checked("least diameter", rust.least), _checked("sound diameter", rust.sound)
    ratio = least.mm / sound.mm
    lost = 1 - ratio**2
    u = 2 * ratio * sqrt((least.u_mm / sound.mm) ** 2 + (ratio * sound.u_mm / sound.mm) ** 2)
    source = "area goes with the square of the diameter; the limit is common practice, no source"
    said = f"Rust has taken {lost:.1%} of its section (u {u:.1%})"
    if role is Role.SAFETY_CRITICAL and lost > 2 * u:
        return _Test(
            Outcome.NOT_SOUND, Reason(f"{said}: pits on what must not break are where it cracks.", source)
        )
    over = normal_below((lost - MOST_LOST_SECTION) / u)
    if over >= _SURE:
        return _Test(Outcome.NOT_SOUND, Reason(f"{said}, more than {MOST_LOST_SECTION:.1%}.", source))
    if over > 1 - _SURE:
        return _Test(Outcome.NOT_PROVEN, Reason(f"{said}, about {MOST_LOST_SECTION:.1%}.", source))
    return _Test(Outcome.SOUND, Reason(f"{said}, less than {MOST_LOST_SECTION:.1%}.", source))


def _cautions(fastener: UsedFastener, tests: Sequence[_Test]) -> tuple[Caution, ...]:
    cautions = []
    if any(not test.by_maker for test in tests):
        cautions.append(
            Caution("Limits without the maker's page are common practice: the engine's own manual governs.")
        )
    if fastener.role is Role.SAFETY_CRITICAL or fastener.torque_to_yield:
        cautions.append(CRITICAL)
    if fastener.role is Role.SAFETY_CRITICAL:
        cautions.append(
            Caution("Where one of a set is stretched or cracked, the set is replaced (common practice).")
        )
    return tuple(cautions)
