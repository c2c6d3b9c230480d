"""The verdict on threads in engagement: the bolt breaks first, the threads strip, or nobody can tell."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.joints.engagement import (
    ThreadAreas,
    ThreadPair,
    length_needed_mm,
    stripping_load_n,
    thread_areas,
)
from runningfit.core.joints.grades import Strength, is_trusted
from runningfit.core.joints.real_engagement import RealEngagement
from runningfit.core.joints.shear_by_authority import FED, ISO, IsoStripping, iso_tr_16224_stripping
from runningfit.core.joints.tapped_materials import TappedMaterial
from runningfit.core.joints.thread_insert import insert_areas, insert_length_needed_mm, insert_reason
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict

BRITTLE = Caution(
    "Cast iron is brittle: a thin boss, or one near an edge, may burst before its threads shear "
    "(common practice, no source)."
)
_MOST_CAREFUL = (Outcome.NOT_SOUND, Outcome.NOT_PROVEN, Outcome.SOUND)
_SAID = {Outcome.NOT_SOUND: "not sound", Outcome.NOT_PROVEN: "not proven", Outcome.SOUND: "sound"}
_SOURCE = "FED-STD-H28/2B, formulas 2a, 4a, 13, 14 and 16"


@dataclass(frozen=True, slots=True)
class EngagedThreads:
    """A bolt in a tapped hole or nut.

    Parameters
    ----------
    pair : ThreadPair
        Both threads at least material, or as measured.
    bolt : Strength
        Of the bolt.
    tapped : TappedMaterial
        Into which it is screwed.
    engagement : RealEngagement or None
        What really holds; none where it was not measured.
    preload_high_n : float or None
        95th percentile of the preload [N].
    mate_is_bad : bool
        Whether the thread on the other side was found stripped, stretched or pulled, and this one not gauged.
    in_insert : bool
        Whether the bolt is screwed into a thread insert, and the insert into the metal.
    flats_over_major : float or None
        Width across flats of a nut over the diameter [-]; none where it is a hole.
    """

    pair: ThreadPair
    bolt: Strength
    tapped: TappedMaterial
    engagement: RealEngagement | None
    preload_high_n: float | None = None
    mate_is_bad: bool = False
    in_insert: bool = False
    flats_over_major: float | None = None

    @property
    def areas(self) -> ThreadAreas:
        """The areas that carry it."""
        return insert_areas(self.pair) if self.in_insert else thread_areas(self.pair)

    @property
    def needed_mm(self) -> float:
        """The length at which the strongest bolt breaks first in the weakest metal [mm]."""
        needed = insert_length_needed_mm if self.in_insert else length_needed_mm
        return needed(self.pair, self.bolt.tensile_most_mpa, self.tapped.counts_as_mpa)


def _outcome(joint: EngagedThreads, needed_mm: float, load_n: float | None) -> Outcome:
    if joint.engagement is not None and not joint.engagement.clamps:
        return Outcome.NOT_SOUND
    if load_n is not None and joint.preload_high_n is not None and load_n < joint.preload_high_n:
        return Outcome.NOT_SOUND
    if joint.engagement is None or joint.mate_is_bad:
        return Outcome.NOT_PROVEN
    trusted = joint.bolt.trusted and joint.tapped.trusted and is_trusted(*joint.pair.statuses)
    trusted = trusted and not joint.in_insert
    return Outcome.SOUND if joint.engagement.engaged_mm >= needed_mm and trusted else Outcome.NOT_PROVEN


def _by_iso(joint: EngagedThreads) -> IsoStripping | None:
    """What the other authority says; none where it says nothing of such threads or such a metal."""
    if joint.in_insert or joint.tapped.is_brittle:
        return None
    return iso_tr_16224_stripping(
        joint.pair,
        bolt_tensile_mpa=joint.bolt.tensile_mpa,
        bolt_tensile_most_mpa=joint.bolt.tensile_most_mpa,
        tapped_tensile_mpa=joint.tapped.tensile_low_mpa,
        flats_over_major=joint.flats_over_major,
    )


def _held_against(
    joint: EngagedThreads, iso: IsoStripping | None, own: Outcome
) -> tuple[Outcome, list[Reason]]:
    """Hold the outcome against that of the other authority; where they differ the careful one instructs."""
    if iso is None:
        return own, []
    engaged = None if joint.engagement is None else joint.engagement.engaged_mm
    other = _outcome(joint, iso.needed_mm, None if engaged is None else iso.load_n_per_mm * engaged)
    if other is own:
        return own, []
    careful = min(own, other, key=_MOST_CAREFUL.index)
    holds = "" if engaged is None else f" and the threads hold {iso.load_n_per_mm * engaged / 1000:.1f} kN"
    instructs = FED if careful is own else ISO
    return careful, [
        Reason(
            f"The authorities differ: by {ISO} it takes {iso.needed_mm:.1f} mm{holds}, which would be "
            f"{_SAID[other]}; by {FED} it is {_SAID[own]}. The careful one instructs: {instructs}.",
            f"{ISO}, 4.2.3.1 and its factors, at least material",
        )
    ]


def _by_half(joint: EngagedThreads) -> float:
    """The load that the threads hold where the metal shears at half of its tensile strength [N]."""
    engaged = 0.0 if joint.engagement is None else joint.engagement.engaged_mm
    return stripping_load_n(joint.areas, engaged, joint.bolt.tensile_mpa, joint.tapped.tensile_low_mpa)


def judge_stripping(joint: EngagedThreads) -> Verdict:
    """Judge whether the threads of a joint hold as long as the bolt does.

    Parameters
    ----------
    joint : EngagedThreads
        The joint; the strongest bolt of its grade in the weakest metal of its kind counts.

    Returns
    -------
    Verdict
        Sound where the bolt breaks first; not sound where the preload alone may strip the threads or the bolt
        bottoms or meets the thread with its shank; otherwise not proven, as in an insert always. The value is
        the length needed [mm].
    """
    strongest, weakest = joint.bolt.tensile_most_mpa, joint.tapped.tensile_low_mpa
    needed = joint.needed_mm
    in_shear = f", {joint.tapped.shear_low_mpa:.0f} MPa in shear" if joint.tapped.is_brittle else ""
    reasons = [
        Reason(
            f"For the strongest {joint.bolt.said} ({strongest:.0f} MPa) to break first in the weakest "
            f"{joint.tapped.said} ({weakest:.0f} MPa{in_shear}) it takes {needed:.1f} mm of full thread.",
            _SOURCE,
        ),
        *([insert_reason(joint.pair.thread)] if joint.in_insert else []),
    ]
    cautions, load = [], None
    if joint.tapped.is_brittle:
        cautions.append(BRITTLE)
    if joint.engagement is None:
        reasons.append(Reason("How far the thread is engaged was not measured."))
    else:
        engaged = joint.engagement.engaged_mm
        load = stripping_load_n(
            joint.areas, engaged, joint.bolt.tensile_mpa, weakest, joint.tapped.shear_low_mpa
        )
        sheared = (
            "half of the tensile strength as shear"
            if joint.tapped.shear_low_mpa is None
            else f"its own shear strength of {joint.tapped.shear_low_mpa:.0f} MPa"
        )
        reasons.append(
            Reason(
                f"{engaged:.1f} mm are engaged; the threads hold {load / 1000:.1f} kN at the least, by "
                f"{sheared}.",
                _SOURCE,
            )
        )
        if joint.engagement.bottoms_by_mm > 0:
            cautions.append(
                Caution(
                    f"The bolt meets the bottom of its hole {joint.engagement.bottoms_by_mm:.1f} mm "
                    "before it "
                    "clamps: it splits the casting or clamps nothing. Shorten it or add a washer."
                )
            )
        if joint.engagement.shank_by_mm > 0:
            cautions.append(
                Caution(
                    f"Its plain shank meets the thread {joint.engagement.shank_by_mm:.1f} mm before it "
                    "clamps: it jams, or tears the first turns. Take one with more thread, or add a washer."
                )
            )
        if engaged < needed:
            cautions.append(
                Caution(
                    "Overtightened, the insert pulls out before the bolt breaks: a longer insert and bolt."
                    if joint.in_insert
                    else "Overtightened, the hole strips before the bolt breaks: a thread insert or a longer "
                    "bolt."
                )
            )
    if load is not None and joint.preload_high_n is not None:
        share = joint.preload_high_n / load
        reasons.append(
            Reason(f"1 time in 20 the preload alone takes {share:.0%} of that or more.", "computed preload")
        )
        if share > 1:
            cautions.append(Caution("Tightening may pull the thread: do not tighten to this torque."))
        elif joint.preload_high_n > _by_half(joint):
            cautions.append(
                Caution(
                    "Counted as FED-STD-H28/2B counts, with half of tensile strength as shear, this torque "
                    "may pull the thread: only the printed shear strength of the metal speaks against it."
                )
            )
    if joint.mate_is_bad:
        reasons.append(
            Reason("The thread that was in it is damaged: this one is not proven until it is gauged.")
        )
        cautions.append(Caution("Gauge the mate of a bad thread with GO and NO-GO before it is used."))
    outcome, differing = _held_against(joint, _by_iso(joint), _outcome(joint, needed, load))
    return Verdict(
        outcome,
        value=needed,
        unit="mm",
        reasons=(*reasons, *differing, *joint.bolt.reasons, *joint.tapped.reasons),
        cautions=tuple(cautions),
    )
