"""The rule of Bayes over all standard threads and none of them, for one set of readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from runningfit.core.pieces.identification.arithmetic import ONE
from runningfit.core.pieces.identification.identities import Identity, identities
from runningfit.core.pieces.identification.likelihood import likelihood, may_be, none_likelihood
from runningfit.core.pieces.identification.readings import ThreadReadings


@dataclass(frozen=True, slots=True)
class Weighed:
    """One identity with its probability after the readings.

    Parameters
    ----------
    identity : Identity
        The thread.
    probability : float
        0 to 1.
    """

    identity: Identity
    probability: float


@dataclass(frozen=True, slots=True)
class Posterior:
    """What the readings leave: the identities by probability, the rest, and how well all of it explains them.

    Parameters
    ----------
    weighed : tuple of Weighed
        The most probable first; those that are impossible are left out.
    none_of_these : float
        Probability of a thread of no standard here.
    evidence : float
        Density of the readings before it was known which thread it is.
    """

    weighed: tuple[Weighed, ...]
    none_of_these: float
    evidence: float


def posterior(readings: ThreadReadings, weights: Mapping[str, float], none_before: float) -> Posterior:
    """Weigh every standard thread by what was measured.

    Parameters
    ----------
    readings : ThreadReadings
        What was measured.
    weights : Mapping of str to float
        Probability of each designation before.
    none_before : float
        Probability of a thread of no standard before.

    Returns
    -------
    Posterior
        The probabilities come to 1.
    """
    none = none_before * none_likelihood(readings)
    found = []
    for identity in identities():
        before = sum(weights[name] for name in identity.names)
        if before and may_be(readings, identity.thread):
            joint = before * likelihood(readings, identity.thread, ONE)
            if joint:
                found.append((identity, joint))
    evidence = none + sum(joint for _, joint in found)
    if not evidence:
        return Posterior((), 1.0, 0.0)
    ranked = sorted(found, key=lambda pair: -pair[1])
    return Posterior(
        tuple(Weighed(identity, joint / evidence) for identity, joint in ranked), none / evidence, evidence
    )
