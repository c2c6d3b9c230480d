"""Everything that a judgement of hydrogen looks at, and what it comes to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from runningfit.core.treatments.embrittlement.implied import ImpliedHardness
from runningfit.core.treatments.embrittlement.process import ProcessStep, read_process
from runningfit.core.treatments.embrittlement.rules import (
    Force,
    Saying,
    StandardSays,
    said_by_standards,
    strictness,
)
from runningfit.core.verdicts import Outcome


class Risk(StrEnum):
    """What embrittlement asks for."""

    BELOW_THRESHOLD = "below_threshold"
    BAKE = "bake"
    AVOID = "avoid"


_OUTCOMES = {
    Risk.BELOW_THRESHOLD: Outcome.SOUND,
    Risk.BAKE: Outcome.SOUND_AFTER_TREATMENT,
    Risk.AVOID: Outcome.NOT_SOUND,
}


@dataclass(frozen=True, slots=True)
class Case:
    """Everything the judgement looks at.

    Parameters
    ----------
    implied : ImpliedHardness
        How hard it is.
    steps : tuple of ProcessStep
        The whole chain.
    standards : tuple of StandardSays
        What every standard that covers the chain says.
    case_hardened, safety_critical, process_verified : bool
        As they are asked for.
    """

    implied: ImpliedHardness
    steps: tuple[ProcessStep, ...]
    standards: tuple[StandardSays, ...]
    case_hardened: bool
    safety_critical: bool
    process_verified: bool

    @property
    def bringing(self) -> tuple[ProcessStep, ...]:
        """The steps that bring hydrogen."""
        return tuple(step for step in self.steps if step.brings_hydrogen)

    def binding(self, one: StandardSays) -> bool:
        """Whether a standard binds here; advice counts for what must not fail."""
        return one.force is Force.REQUIRES or self.safety_critical

    @property
    def strictest(self) -> Saying:
        """The strictest that binds."""
        said = [self._verified(one.says) for one in self.standards if self.binding(one)]
        return max(said, key=strictness, default=Saying.BELOW_THRESHOLD)

    def _verified(self, saying: Saying) -> Saying:
        if saying is Saying.BAKE_UNLESS_VERIFIED and self.process_verified:
            return Saying.VERIFY
        return saying

    @property
    def risk(self) -> Risk:
        """What it all comes to."""
        if not self.bringing:
            return Risk.BELOW_THRESHOLD
        if self.implied.spring or self.strictest is Saying.AVOID:
            return Risk.AVOID
        if strictness(self.strictest) >= strictness(Saying.BAKE_UNLESS_VERIFIED):
            return Risk.BAKE
        # What is known from memory alone never passes.
        if self.implied.from_memory or self.case_hardened:
            return Risk.BAKE
        return Risk.BELOW_THRESHOLD

    @property
    def outcome(self) -> Outcome:
        """The risk as a verdict; where only memory says that a step is harmless, hard steel is not proven."""
        if self.risk is not Risk.BELOW_THRESHOLD or self.bringing:
            return _OUTCOMES[self.risk]
        plated = read_process("electroplate")
        hard = replace(self, steps=plated, standards=said_by_standards(self.implied, plated))
        doubted = any(step.status == "MEMORY" for step in self.steps)
        return Outcome.NOT_PROVEN if doubted and hard.risk is not Risk.BELOW_THRESHOLD else Outcome.SOUND

    @property
    def plated(self) -> bool:
        """Whether something is electroplated."""
        return any(step.does == "electroplate" for step in self.steps)

    @property
    def coated(self) -> bool:
        """Whether it goes into a bath that lays a coat on it, and not only into acid."""
        return any(step.does in {"electroplate", "phosphate"} for step in self.steps)

    @property
    def borrowing(self) -> tuple[str, ...]:
        """The metals laid on that no rule here names."""
        metals = (step.metal for step in self.steps if step.does == "electroplate")
        return tuple(dict.fromkeys(metal for metal in metals if metal not in {"zinc", "cadmium", ""}))

    @property
    def phosphated(self) -> bool:
        """Whether the coat is a phosphate and nothing is plated."""
        ways = {step.does for step in self.steps}
        return "phosphate" in ways and "electroplate" not in ways
