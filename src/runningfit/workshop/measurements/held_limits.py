"""Values held against limits: which limits there are, what each proves, and what would prove the rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import sqrt

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.running_fits.fit_limits import FitRole, LimitsFor, sanity_band
from runningfit.core.measurements.conformity.bounds import Bounds
from runningfit.core.measurements.conformity.decision import USUAL_WANTED, Conformity, Decision, decide
from runningfit.core.measurements.conformity.next_readings import ToProve, to_prove
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.measurements.sheets.usual_limits import USUAL_FLATNESS_MM, USUAL_FLATNESS_SOURCE
from runningfit.core.measurements.uncertainty.measured import Measured
from runningfit.core.treatments.machining.judging import USUAL_BORE_LIMITS, USUAL_JOURNAL_LIMITS, WearLimits
from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict
from runningfit.workshop.measurements.corrected import CorrectedPoint
from runningfit.workshop.measurements.models import FeatureLimit
from runningfit.workshop.measurements.queries import SetState

NEW, WEAR = "new", "wear"
# Whose figures prove nothing about this engine.
_BORROWED = ("other_maker", "practice")
_BORROWED_SAID = Caution(
    "These limits are another maker's or common practice, not this engine's: keeping them is no pass, and "
    "breaking them no verdict. Look for the page of its own manual."
)


@dataclass(frozen=True, slots=True)
class Allowed:
    """One limit: of what, in the unit of its quantity, and where it stands; its row where it was typed."""

    what: str
    bounds: Bounds
    source: str
    at_mm: float | None = None
    limit: FeatureLimit | None = None


@dataclass(frozen=True, slots=True)
class LimitGroup:
    """The limits of one state, wear or new, of this engine or borrowed."""

    state: str
    borrowed: bool
    allowed: tuple[Allowed, ...]

    def of(self, *what: str) -> tuple[Allowed, ...]:
        """Return its limits of something."""
        return tuple(one for one in self.allowed if one.what in what)


@dataclass(frozen=True, slots=True)
class Proof:
    """What would prove it: a sentence, how many readings in all, how good a gauge must be, and where."""

    advice: str
    readings: int | None = None
    gauge_u: float | None = None
    where: str = ""


@dataclass(frozen=True, slots=True)
class Held:
    """A feature held against the limits of one state.

    ``within`` is how probably all are kept; ``broken_with`` how probably each alone is broken.
    """

    group: LimitGroup
    verdict: Verdict
    within: float
    broken_with: tuple[tuple[str, float], ...]
    proof: Proof | None


@dataclass(frozen=True, slots=True)
class Value:
    """One value that is held against a limit, with what is its own doubt and what it shares.

    ``unit`` is its unit where it is another than that of the readings, as of a rate.
    """

    said: str
    value: float
    own_u: float
    own_dof: float
    shared_u: float
    count: int = 1
    unit: str = ""

    @classmethod
    def of(cls, said: str, point: CorrectedPoint) -> Value:
        """Return the value of one point."""
        return cls(said, point.value, point.own_u, point.own_dof, point.shared_u, point.count)

    @property
    def whole(self) -> Measured:
        """It with all its uncertainty; the degrees of freedom by Welch and Satterthwaite."""
        own, shared = self.own_u**2, self.shared_u**2
        dof = self.own_dof * ((own + shared) / own) ** 2 if own else float("inf")
        return Measured(self.value, sqrt(own + shared), max(1.0, dof))


def limit_groups(state: SetState, bore_mm: float | None) -> tuple[LimitGroup, ...]:
    """Return the limits of a set by state and by whose they are, those that decide first.

    Parts as found are held to the wear limits first, those back from machining to the limits for new parts.
    Where nobody typed a wear limit, what other makers allow stands beside, as far as it is known.

    Parameters
    ----------
    bore_mm : float or None
        The size of the bores that rings run in.
    """
    found: dict[tuple[str, bool], list[Allowed]] = {}
    for row in state.limits:
        borrowed = row.basis in _BORROWED
        source = row.source or row.get_basis_display()
        found.setdefault((row.state, borrowed), []).append(
            Allowed(row.what, Bounds(row.lower, row.upper), source, row.at_mm, row)
        )
    if not any(which == WEAR for which, _ in found):
        for which, band in _bands(state, bore_mm):
            if not any(there == which for there, _ in found):
                found.setdefault((which, True), []).append(band)
    order = (NEW, WEAR) if state.round else (WEAR, NEW)
    return tuple(
        LimitGroup(which, borrowed, tuple(found[which, borrowed]))
        for borrowed in (False, True)
        for which in order
        if (which, borrowed) in found
    )


def _bands(state: SetState, bore_mm: float | None) -> list[tuple[str, Allowed]]:
    purpose = state.feature_set.purpose
    usual: Mapping[str, WearLimits] = {
        "bores": USUAL_BORE_LIMITS,
        "mains": USUAL_JOURNAL_LIMITS,
        "crankpins": USUAL_JOURNAL_LIMITS,
    }
    if purpose in usual and state.kind.is_round:
        limits = usual[purpose]
        forms = (("out_of_round", limits.out_of_round_mm), ("taper", limits.taper_mm))
        return [(WEAR, Allowed(what, Bounds(None, most), limits.source)) for what, most in forms]
    if state.kind is FeatureKind.FACE:
        return [(WEAR, Allowed("flatness", Bounds(None, USUAL_FLATNESS_MM), USUAL_FLATNESS_SOURCE))]
    if state.kind is FeatureKind.GAP and purpose == "end_float":
        return _fit_band(FitRole.END_FLOAT, 1.0, LimitsFor.WEAR)
    if state.kind is FeatureKind.GAP and purpose == "ring_gaps" and bore_mm:
        return _fit_band(FitRole.TOP_RING, bore_mm, LimitsFor.NEW)
    return []


def _fit_band(role: FitRole, size_mm: float, used_for: LimitsFor) -> list[tuple[str, Allowed]]:
    band = sanity_band(role, size_mm, used_for)
    if band is None:
        return []
    source = f"{band.said}: {band.source}" if band.said else band.source
    return [(WEAR if used_for is LimitsFor.WEAR else NEW, Allowed("size", band.bounds, source))]


def hold(
    group: LimitGroup, values: Sequence[tuple[Value, Allowed]], unit: str, cautions: Sequence[Caution] = ()
) -> Held:
    """Hold values against their limits, all of which must be kept.

    How probably all are kept is at least one less what each lacks of it, however they err together.
    """
    found = [(value, one, _decided(value.whole, one.bounds, value.unit or unit)) for value, one in values]
    within = max(0.0, 1 - sum(1 - each.chances.inside for _, _, each in found))
    outcome = Outcome.NOT_PROVEN
    if any(each.decision is Decision.OUTSIDE for _, _, each in found):
        outcome = Outcome.NOT_SOUND
    elif within >= USUAL_WANTED:
        outcome = Outcome.SOUND
    value, one, worst = min(found, key=lambda each: each[2].chances.inside)
    reasons = []
    for held, allowed, each in found:
        first = each.verdict.reasons[0]
        named = (f"{held.said}: ",) if held.said else ()
        reasons.append(Reason.of(*named, *first.parts, source="; ".join((allowed.source, first.source))))
    reasons.append(worst.verdict.reasons[-1])
    proof = None
    if outcome is Outcome.NOT_PROVEN:
        proof = _proof(value, one.bounds, unit)
    verdict = Verdict(
        outcome,
        value.value,
        value.unit or unit,
        value.whole.u,
        worst.chances.outside if outcome is Outcome.NOT_SOUND else within,
        tuple(reasons),
        tuple(dict.fromkeys((*(each for _, _, got in found for each in got.verdict.cautions), *cautions))),
    )
    broken = tuple((held.said or one.what, each.chances.outside) for held, one, each in found)
    return softened(Held(group, verdict, within, broken, proof))


def _proof(value: Value, bounds: Bounds, unit: str) -> Proof:
    if value.unit:
        # No gauge reads a rate: it is as sure as the loads, over as far as their heights lie apart.
        return Proof("Read the loads again, and at heights farther apart.", where=value.said)
    more = to_prove(value.value, value.own_u * sqrt(value.count), value.shared_u, bounds, unit=unit)
    return proof_of(more, value.said, value.count)


def proof_of(more: ToProve, said: str, count: int) -> Proof:
    """Say what would prove it; where this place alone is proven, the others lack it."""
    if more.readings is not None and more.readings <= count:
        return Proof("Each place by itself is shown to keep it, all together are not: read each again.", 2)
    return Proof(more.advice, more.readings, more.gauge_u, said)


def softened(held: Held) -> Held:
    """Return what borrowed limits come to: nothing is proven by them, either way."""
    if not held.group.borrowed:
        return held
    verdict = replace(
        held.verdict,
        outcome=Outcome.NOT_PROVEN,
        probability=held.within,
        cautions=tuple(dict.fromkeys((_BORROWED_SAID, *held.verdict.cautions))),
    )
    return replace(held, verdict=verdict, proof=None)


@lru_cache(maxsize=8192)
def _decided(measured: Measured, bounds: Bounds, unit: str) -> Conformity:
    return decide(measured, bounds, unit=unit)


def why_not(error: InvalidInput) -> str:
    """Say why something cannot be judged: what it needs, what came, what to do."""
    said = str(error)
    return said[:1].upper() + said[1:]
