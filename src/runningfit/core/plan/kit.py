"""Whether an area can be built now: what is missing, out, not proven, foreign or not yet treated."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from runningfit.core.verdicts import Caution, Outcome, Reason, Verdict


@dataclass(frozen=True, slots=True)
class KitNeed:
    """One place of the kit.

    Parameters
    ----------
    place : int
        Which place.
    said : str
        The place's name.
    count : int
        How many pieces it needs.
    thread_state : str
        Of its hole: nothing (not looked at), good, defective or not_proven.
    assumed : bool
        It is only assumed from what came off, so that a loss cannot show.
    """

    place: int
    said: str
    count: int
    thread_state: str = ""
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class KitPieces:
    """Alike pieces allotted to a place.

    Parameters
    ----------
    place : int
        Which place.
    said : str
        How the lot is named, with its bag.
    here, outside, fitted : int
        How many are loose in the shop, outside, and fitted already.
    thread_state : str
        Nothing (not looked at), good, defective or not_proven.
    treatment_due : str
        A treatment asked for and not yet received back; empty where none is.
    misfit : str
        Why they do not fit the place by the rules, where someone allotted them all the same.
    open_question : str
        What is still to find out before they are known to fit.
    """

    place: int
    said: str
    here: int = 0
    outside: int = 0
    fitted: int = 0
    thread_state: str = ""
    treatment_due: str = ""
    misfit: str = ""
    open_question: str = ""

    @property
    def count(self) -> int:
        """Return how many there are, wherever they lie."""
        return self.here + self.outside + self.fitted


@dataclass(frozen=True, slots=True)
class KitGate:
    """A test that the building of an area waits for.

    Parameters
    ----------
    said : str
        What is tested.
    failed : bool
        It was tested and failed; else it is still to be done.
    """

    said: str
    failed: bool = False


@dataclass(frozen=True, slots=True)
class Readiness:
    """The answer to "can we build this now?".

    Parameters
    ----------
    ready : bool
        Nothing stands in the way.
    reasons : tuple of Reason
        What does: first what it waits for, then place by place.
    waits : tuple of Reason
        The tests among them that are failed or still to be done; they stand even where all is fitted.
    cautions : tuple of Caution
        What to mind all the same.
    needed, fitted, missing, outside : int
        Pieces needed, fitted already, missing, and out of the shop.
    """

    ready: bool
    reasons: tuple[Reason, ...] = ()
    waits: tuple[Reason, ...] = ()
    cautions: tuple[Caution, ...] = ()
    needed: int = 0
    fitted: int = 0
    missing: int = 0
    outside: int = 0

    @property
    def finished(self) -> bool:
        """Return whether every piece needed is fitted."""
        return self.needed > 0 and self.fitted >= self.needed

    @property
    def verdict(self) -> Verdict:
        """Return the same answer in the form of every computation."""
        outcome = Outcome.SOUND if self.ready else Outcome.NOT_PROVEN
        return Verdict(outcome, reasons=self.reasons, cautions=self.cautions)


def readiness(
    needs: Sequence[KitNeed], filled: Iterable[KitPieces], gates: Sequence[KitGate] = ()
) -> Readiness:
    """Say whether everything that these places need is here, proven and treated.

    Parameters
    ----------
    needs : sequence of KitNeed
        The places of the area.
    filled : iterable of KitPieces
        The pieces allotted to them.
    gates : sequence of KitGate
        The tests that it waits for.

    Returns
    -------
    Readiness
        Ready only with at least one place and no reason against it. A piece with a defective thread fills
        nothing.
    """
    by_place: dict[int, list[KitPieces]] = defaultdict(list)
    for pieces in filled:
        by_place[pieces.place].append(pieces)
    waits = tuple(
        Reason(f"Waits for {gate.said}: {'failed' if gate.failed else 'still to be done'}") for gate in gates
    )
    reasons: list[Reason] = list(waits)
    missing = outside = fitted = 0
    for need in needs:
        lots = by_place[need.place]
        short, in_place = need.count, 0
        for lot in lots:
            if lot.thread_state != "defective":
                short -= lot.here + lot.outside + lot.fitted
                outside += lot.outside
                in_place += lot.fitted
        short = max(0, short)
        missing += short
        fitted += min(need.count, in_place)
        reasons += [Reason(f"{need.said}: {text}") for text in _against(need, lots, short)]
    if not needs:
        reasons.append(Reason("No place of this area is described yet, so nobody can say what it needs."))
    assumed = sum(1 for need in needs if need.assumed)
    cautions = []
    if assumed:
        every = "Its places are" if assumed == len(needs) else f"{assumed} of its {len(needs)} places are"
        cautions.append(
            Caution(f"{every} only assumed from what came off: a piece that was lost before cannot show.")
        )
    return Readiness(
        ready=not reasons,
        reasons=tuple(reasons),
        waits=waits,
        cautions=tuple(cautions),
        needed=sum(need.count for need in needs),
        fitted=fitted,
        missing=missing,
        outside=outside,
    )


def _against(need: KitNeed, lots: Sequence[KitPieces], short: int) -> Iterable[str]:
    """Say what stands against one place, one sentence each."""
    if short:
        yield f"{short} of {need.count} missing"
    if need.thread_state == "defective":
        yield "the thread of the hole is defective"
    elif need.thread_state == "not_proven":
        yield "the thread of the hole is not proven"
    for lot in lots:
        if not lot.count:
            continue
        if lot.outside:
            yield f"{lot.outside} outside ({lot.said})"
        if lot.thread_state == "defective":
            yield f"{lot.count} with a defective thread ({lot.said})"
        elif lot.thread_state == "not_proven":
            yield f"thread not proven ({lot.said})"
        if lot.treatment_due and lot.count > lot.fitted:
            yield f"{lot.treatment_due} not done yet ({lot.said})"
        if lot.misfit:
            yield f"does not belong here: {lot.misfit} ({lot.said})"
        elif lot.open_question:
            yield f"find out {lot.open_question} ({lot.said})"
