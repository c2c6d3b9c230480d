"""What is known of a threaded joint, as people said it; what nobody said is empty."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from runningfit.core.pieces.gauging.measured import Measured
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.reuse import Role


class ThreadState(StrEnum):
    """What was found of a thread; a bad one makes its mate not proven."""

    NOT_LOOKED_AT = ""
    GOOD = "good"
    DEFECTIVE = "defective"
    NOT_PROVEN = "not_proven"


class Turned(StrEnum):
    """Which part is turned when the joint is tightened."""

    NOT_SAID = ""
    HEAD = "head"
    NUT = "nut"


class Mate(StrEnum):
    """What the thread of the piece is turned into, or onto."""

    NOT_SAID = ""
    TAPPED_HOLE = "tapped_hole"
    INSERT = "insert"
    NUT = "nut"
    STUD = "stud"


@dataclass(frozen=True, slots=True)
class PieceFacts:
    """What is known of the alike pieces of one lot.

    Parameters
    ----------
    kind : Kind
        What they are.
    threads : tuple of str
        Designations their thread may have; several where that is open, none where they have no thread.
    length_mm : float or None
        Length under the head, or over all where the kind has no head [mm].
    grade, head_marking : str
        Strength grade as said, and what stands on the head.
    hardness : str
        As measured and typed, such as 38 HRC.
    material : str
        A word of `Material`; empty is not known.
    thread_class : str
        Class of its thread; empty is the usual one of the series.
    role : Role
        What it holds.
    torque_to_yield : bool
        Whether it is tightened beyond yield each time.
    thread_state : ThreadState
        What was found of its thread.
    passes_go, stops_no_go : bool or None
        What GO and NO-GO gauge said; none where not tried.
    pitch_diameter, major : Measured or None
        As measured.
    stretch_mm, stretch_most_mm : float or None
        Lasting stretch found, and the maker's limit of it [mm].
    looks_sound, crack_tested : bool or None
        As in `UsedFastener`.
    fault : str
        The fault that was seen, in words; empty where none was or nobody said which.
    neck_mm, neck_most_mm : float or None
        By how much its thinnest place is thinner than the unstrained shank, and the maker's limit of it [mm].
    thread_length_mm : float or None
        Length of its thread from the end [mm]; none where nobody measured it.
    over_ten_mm : float or None
        Length over ten pitches of its thread, from a crest to the eleventh [mm].
    rust_mm : float or None
        By how much rust has left it thinner than it was, on the diameter [mm].
    lost : str
        Metal lost on each surface to rust, acid and blasting since it was measured, as typed.
    is_new : bool
        Whether the pieces were bought new.
    finish_now : str
        Finish worn now, as words of a condition; empty is not known.
    old_coat : str
        Thickness of the old coat that will be stripped, as typed.
    own_steps : str
        What the shop itself does before, such as `acid rust remover`; read by `read_process`.
    treatment : str
        Key of the treatment chosen; empty is none.
    ordered_steps : str
        What the outside shop was told to do besides its usual steps, such as `bake`; read by `read_process`.
    coat : str
        Thickness or class of the new coat, as typed; empty is not said.
    finish_received : str
        Finish confirmed after the work; empty is not confirmed.
    done_steps : str
        Steps of every work that was done before the treatment, as `steps_done` gives them.
    is_treated : bool
        Whether the treatment was done: its bath is behind the piece, whether or not a finish is confirmed.
    baked : str
        Of a treatment that was done: `yes` or `certificate` where its bake was done, `no` where it was not;
        empty where nobody said.
    """

    kind: Kind
    threads: tuple[str, ...] = ()
    length_mm: float | None = None
    grade: str = ""
    head_marking: str = ""
    hardness: str = ""
    material: str = ""
    thread_class: str = ""
    role: Role = Role.ORDINARY
    torque_to_yield: bool = False
    thread_state: ThreadState = ThreadState.NOT_LOOKED_AT
    passes_go: bool | None = None
    stops_no_go: bool | None = None
    pitch_diameter: Measured | None = None
    major: Measured | None = None
    stretch_mm: float | None = None
    stretch_most_mm: float | None = None
    looks_sound: bool | None = None
    fault: str = ""
    crack_tested: bool | None = None
    is_new: bool = False
    finish_now: str = ""
    old_coat: str = ""
    own_steps: str = ""
    treatment: str = ""
    coat: str = ""
    finish_received: str = ""
    ordered_steps: str = ""
    neck_mm: float | None = None
    neck_most_mm: float | None = None
    thread_length_mm: float | None = None
    over_ten_mm: float | None = None
    rust_mm: float | None = None
    lost: str = ""
    done_steps: str = ""
    is_treated: bool = False
    baked: str = ""


@dataclass(frozen=True, slots=True)
class MateFacts:
    """What is known of the thread on the other side, and of what is clamped between.

    Parameters
    ----------
    mate : Mate
        What it is.
    material : str
        The metal of the tapped part, as said; empty is not known.
    grade : str
        Strength grade of the nut or stud, as said.
    thread_class : str
        Class of its thread; empty is the usual one.
    thread_state : ThreadState
        What was found of it.
    blind : bool or None
        Whether the hole is blind; none where not said.
    depth_mm, chamfer_mm : float or None
        Depth of full thread, and chamfer at its mouth [mm].
    clamped_mm, washer_mm : float or None
        Thickness of the clamped parts, and of the washers [mm].
    damaged_turns : float
        Turns that no longer hold.
    pitch_diameter, minor : Measured or None
        As measured.
    on_aluminium : bool
        Whether head or nut turns on bare aluminium or magnesium.
    engaged_mm : float or None
        Length of full thread engaged, as counted in turns or measured [mm]; it goes before what is reckoned.
    prevailing_nm : float or None
        Torque that a self-locking nut or insert takes before anything clamps [N m]; none where not said.
    finish : str
        Finish that it wears, as words of a condition; empty is not said.
    coat : str
        Thickness or class of that coat, as typed; empty is not said.
    turned : Turned
        Which part is turned.
    """

    mate: Mate = Mate.NOT_SAID
    material: str = ""
    grade: str = ""
    thread_class: str = ""
    thread_state: ThreadState = ThreadState.NOT_LOOKED_AT
    blind: bool | None = None
    depth_mm: float | None = None
    chamfer_mm: float | None = None
    clamped_mm: float | None = None
    washer_mm: float | None = None
    damaged_turns: float = 0.0
    pitch_diameter: Measured | None = None
    minor: Measured | None = None
    on_aluminium: bool = False
    engaged_mm: float | None = None
    prevailing_nm: float | None = None
    finish: str = ""
    coat: str = ""
    turned: Turned = Turned.NOT_SAID


@dataclass(frozen=True, slots=True)
class TorqueFacts:
    """What is known of how the joint is tightened.

    Parameters
    ----------
    torque_nm : float or None
        The maker's figure [N m].
    said : str
        As typed.
    page : str
        Where it stands; empty is not said.
    assumed : str
        The condition it was made for, as words; empty is not known.
    lubricant : str
        What will be used now, as words; empty is not known.
    scatter : float or None
        The tool's 95 % half-width [-].
    wanted_clamp_n : float or None
        The clamp the joint needs [N].
    """

    torque_nm: float | None = None
    said: str = ""
    page: str = ""
    assumed: str = ""
    lubricant: str = ""
    scatter: float | None = None
    wanted_clamp_n: float | None = None


@dataclass(frozen=True, slots=True)
class JointFacts:
    """All that is known of one threaded joint.

    Parameters
    ----------
    piece : PieceFacts
        The bolt, screw, stud, plug or nut that is turned in.
    mate : MateFacts
        The other side.
    torque : TorqueFacts
        How it is tightened.
    """

    piece: PieceFacts
    mate: MateFacts = field(default_factory=MateFacts)
    torque: TorqueFacts = field(default_factory=TorqueFacts)
