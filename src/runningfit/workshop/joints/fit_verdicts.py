"""One verdict on a fit from the verdicts at its ends, where it is closest and where it is widest."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from runningfit.core.verdicts import Outcome, Reason, Verdict
from runningfit.workshop.joints.fit_pairing import LastRead

_WORST_FIRST = (Outcome.NOT_SOUND, Outcome.NOT_PROVEN, Outcome.SOUND)
_GAUGE = re.compile(r"\bgauge (\d+)\b")


def worse_verdict(verdicts: Sequence[Verdict], first: tuple[Reason, ...] = ()) -> Verdict:
    """Return the worse of verdicts on the ends of one clearance, with the reasons and cautions of all.

    Parameters
    ----------
    verdicts : sequence of Verdict
        One for each end.
    first : tuple of Reason
        What is said before their reasons.
    """
    worst = min(verdicts, key=lambda one: _WORST_FIRST.index(one.outcome))
    probability = worst.probability
    if worst.outcome is not Outcome.NOT_SOUND:
        chances = [one.probability for one in verdicts]
        known = [one for one in chances if one is not None]
        # Both ends are right at least this probably, however they hang together.
        probability = max(0.0, sum(known) - (len(known) - 1)) if len(known) == len(chances) else None
    return Verdict(
        worst.outcome,
        worst.value,
        worst.unit,
        worst.uncertainty,
        probability,
        tuple(dict.fromkeys((*first, *worst.reasons, *(why for one in verdicts for why in one.reasons)))),
        tuple(dict.fromkeys(caution for one in (worst, *verdicts) for caution in one.cautions)),
    )


def with_gauges_named(verdict: Verdict, names: Mapping[int, str]) -> Verdict:
    """Return a verdict whose reasons call a gauge by its name, and not by its number in the books."""

    def named(reason: Reason) -> Reason:
        if "gauge" not in reason.text:
            return reason
        parts = tuple(_named(one, names) if isinstance(one, str) else one for one in reason.parts)
        return replace(reason, text=_named(reason.text, names), parts=parts)

    return replace(verdict, reasons=tuple(map(named, verdict.reasons)))


def _named(text: str, names: Mapping[int, str]) -> str:
    return _GAUGE.sub(lambda found: names.get(int(found[1]), found[0]), text)


def state_said(hole: LastRead, shaft: LastRead) -> Reason:
    """Say of which round both parts are, where one of them was machined."""
    said = ["as it came back from machining" if one.round else "as found" for one in (hole, shaft)]
    return Reason(f"The part around is {said[0]}, the part within {said[1]}: limits for new parts decide.")
