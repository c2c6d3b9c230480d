"""The verdict on a plated thread: whether it still passes, why, and what to mind."""

from __future__ import annotations

from runningfit.core.standards import Thread
from runningfit.core.treatments.cautions import CRITICAL, THREADS
from runningfit.core.treatments.plating.chances import Spread, probability_below
from runningfit.core.treatments.plating.coats import Coat
from runningfit.core.treatments.plating.threads import (
    PlatedThread,
    PlatingJudgement,
    ThreadHistory,
    plate_thread,
)
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

_SURE = 0.95
_FINEST_MM = 1e-7


def percentile_mm(size: Spread, share: float) -> float:
    """Give a percentile of a size.

    Parameters
    ----------
    size : Spread
        The size.
    share : float
        Which share lies below it, more than 0 and less than 1.

    Returns
    -------
    float
        The size below which that share lies [mm].
    """
    low, high = size.low_mm - 9 * size.u_mm, size.high_mm + 9 * size.u_mm
    while high - low > _FINEST_MM:
        middle = (low + high) / 2
        low, high = (middle, high) if probability_below(size, middle) < share else (low, middle)
    return (low + high) / 2


def from_memory(plated: PlatedThread) -> bool:
    """Tell whether the limits of a thread rest on memory, so that no pass may rest on them.

    Parameters
    ----------
    plated : PlatedThread
        The thread.

    Returns
    -------
    bool
        By the status of its limits.
    """
    said = f"{plated.limits.status} {plated.limits.source}".lower()
    return "memory" in said


def judge_plating(
    thread: Thread,
    coat: Coat,
    thread_class: str | None = None,
    *,
    internal: bool = False,
    history: ThreadHistory | None = None,
    wanted: float = 0.95,
) -> PlatingJudgement:
    """Judge whether a thread still passes once it is plated.

    Parameters
    ----------
    thread : Thread
        A parallel thread.
    coat : Coat
        The new plating.
    thread_class : str or None
        Its class; none is the usual one.
    internal : bool
        Whether it is a nut or hole.
    history : ThreadHistory or None
        What was measured, what is stripped and what is lost first; none for a new part.
    wanted : float
        How probable it must be that the very part passes, for the thickest coat.

    Returns
    -------
    PlatingJudgement
        Sound where GO and engagement both hold with 95 %, not sound where one surely fails, else not proven.
        Where the limits rest on memory it is never sound.

    Raises
    ------
    InvalidInput
        As `plate_thread` does.
    """
    known = history or ThreadHistory()
    plated = plate_thread(thread, coat, thread_class, internal=internal, history=known, wanted=wanted)
    verdict = Verdict(
        _outcome(plated),
        value=1000 * plated.max_thickness_as_is_mm,
        unit="µm",
        probability=min(plated.probability_go, plated.probability_engagement),
        reasons=_reasons(plated, coat, known),
        cautions=_cautions(plated, coat, known),
    )
    return PlatingJudgement(plated, verdict)


def _outcome(plated: PlatedThread) -> Outcome:
    least = min(plated.probability_go, plated.probability_engagement)
    if least <= 1 - _SURE:
        return Outcome.NOT_SOUND
    if least < _SURE or from_memory(plated):
        return Outcome.NOT_PROVEN
    return Outcome.SOUND


def _reasons(plated: PlatedThread, coat: Coat, known: ThreadHistory) -> tuple[Reason, ...]:
    thread, limits = plated.thread, plated.limits
    side, changes = ("hole", "shrinks") if plated.internal else ("bolt", "grows")
    factor = plated.growth.pitch_diameter_mm / coat.mean_mm if coat.mean_mm else 0.0
    reasons = []
    if coat.mean_mm:
        reasons.append(
            Reason(
                f"The pitch diameter of the {side} {changes} by {abs(factor):.3f} times the coat: "
                f"{1000 * abs(plated.growth.pitch_diameter_mm):.1f} µm for {1000 * coat.mean_mm:.3g} µm.",
                "2 / sin(a/2), ASME B1.1-2019 section 7",
            )
        )
    reasons.append(_bare_reason(plated, known))
    reasons.append(
        Reason(
            f"After plating the GO gauge allows the basic {plated.go_limit_mm:.4f} mm; it passes with "
            f"probability {plated.probability_go:.3f}.",
            "no mating thread of any class lies beyond the basic size; ASME B1.1 and ISO 965-1 have the same "
            "rule, from memory",
        )
    )
    reasons.append(
        Reason(
            f"The bare metal keeps the other limit of class {limits.thread_class} with probability "
            f"{plated.probability_engagement:.3f}, so that the flanks engage; the coat carries nothing.",
            f"{limits.source} ({limits.status})",
        )
    )
    reasons.append(
        Reason(
            f"A new {thread.designation} {limits.thread_class} of greatest material takes at most "
            f"{1000 * plated.max_thickness_new_mm:.2f} µm; this one takes "
            f"{1000 * plated.max_thickness_as_is_mm:.2f} µm, to pass with probability {plated.wanted:g}."
        )
    )
    if coat.note:
        reasons.append(Reason(f"The coat is {coat.said}.", coat.note))
    return tuple(reasons)


def _bare_reason(plated: PlatedThread, known: ThreadHistory) -> Reason:
    low, high = percentile_mm(plated.bare, 0.05), percentile_mm(plated.bare, 0.95)
    bare = f"Its bare metal has a pitch diameter of {low:.4f} to {high:.4f} mm (5 to 95 %)"
    off = []
    if known.pitch_diameter is not None and known.stripped.mean_mm:
        off.append(f"{known.stripped.said or 'the old plating'} of old plating stripped")
    if known.lost.mean_mm:
        off.append(f"{known.lost.said or 'some'} of metal lost on each surface")
    done = f", {' and '.join(off)}" if off else ""
    if known.pitch_diameter is None:
        return Reason(f"{bare}: made anywhere within its class{done}.", plated.limits.source)
    return Reason(
        f"{bare}: measured {known.pitch_diameter.mm:.4f} mm (u {known.pitch_diameter.u_mm:g}){done}."
    )


def _cautions(plated: PlatedThread, coat: Coat, known: ThreadHistory) -> tuple[Caution, ...]:
    cautions = []
    if from_memory(plated):
        cautions.append(
            Caution("The limits of this class rest on memory in part: try a GO gauge or the mating part.")
        )
    if known.pitch_diameter is None:
        said = "The pitch diameter was not measured: it is taken as made within its class, not worn."
        cautions.append(Caution(said))
        if known.stripped.mean_mm:
            cautions.append(
                Caution("Stripping bares the thread as it was made; how much comes off counts once measured.")
            )
    if not coat.unevenness and coat.mean_mm:
        cautions.append(
            Caution(
                "The coat is taken as even; tank plating is thicker at crests and ends (common practice)."
            )
        )
    if plated.internal:
        cautions.append(
            Caution(
                "Plating hardly reaches into a hole: its mouth closes first (common practice, no source)."
            )
        )
    return (*cautions, THREADS, CRITICAL)
