"""Treatments held side by side: what each does to fit, strength, clamp and looks, and what it endangers."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.pieces.kinds import Kind
from runningfit.core.treatments.advice import Material, advice_for
from runningfit.core.treatments.candidates import (
    CLASS_STANDARDS,
    CLASSES,
    Candidate,
    candidates_for,
    facts_after,
)
from runningfit.core.treatments.plain import treatment
from runningfit.core.treatments.threaded_joint import judge_joint, judge_piece
from runningfit.core.treatments.threaded_joint.answers import Check, JointJudgement, Question
from runningfit.core.treatments.threaded_joint.facts import JointFacts, Mate
from runningfit.core.treatments.threaded_joint.reading import finish_said
from runningfit.core.verdicts import Caution, Outcome, Reason


class Aspect(StrEnum):
    """What is asked of every treatment."""

    FIT = "fit"
    STRENGTH = "strength"
    CLAMP = "clamp"
    LOOKS = "looks"
    DANGERS = "dangers"


@dataclass(frozen=True, slots=True)
class Effect:
    """What a treatment does in one respect.

    Parameters
    ----------
    aspect : Aspect
        Which.
    says : str
        In a few words.
    outcome : Outcome or None
        What it comes to; none where there is nothing to judge.
    reasons : tuple of Reason
        Why, the weightiest first.
    cautions : tuple of Caution
        What to mind.
    """

    aspect: Aspect
    says: str
    outcome: Outcome | None = None
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[Caution, ...] = ()


@dataclass(frozen=True, slots=True)
class CoatFit:
    """Whether the thread still assembles with one class of coat.

    Parameters
    ----------
    standard, name : str
        The class, and whose it is.
    says : str
        How probably it goes together.
    outcome : Outcome
        What it comes to.
    """

    standard: str
    name: str
    says: str
    outcome: Outcome

    @property
    def asked(self) -> str:
        """The class as it is asked of a shop, with whose it is."""
        return f"{self.standard} {self.name}"


@dataclass(frozen=True, slots=True)
class Compared:
    """One treatment, judged.

    Parameters
    ----------
    candidate : Candidate
        Which.
    outcome : Outcome
        The worst of its effects that can be judged.
    effects : tuple of Effect
        One for each aspect, in their order.
    coats : tuple of CoatFit
        For each class of its coat.
    can_be_chosen : bool
        False where it is shown only beside the one that is done instead, such as plating without its bake.
    needs_a_person : str
        What a person must look at before it is chosen; empty where nothing.
    """

    candidate: Candidate
    outcome: Outcome
    effects: tuple[Effect, ...]
    coats: tuple[CoatFit, ...] = ()
    can_be_chosen: bool = True
    needs_a_person: str = ""

    def effect(self, aspect: Aspect) -> Effect:
        """What it does in one respect."""
        return next(one for one in self.effects if one.aspect is aspect)


# What is worse stands later; what cannot be told is better than what is surely wrong.
_WORSE = (Outcome.SOUND, Outcome.SOUND_AFTER_TREATMENT, Outcome.NOT_PROVEN, Outcome.NOT_SOUND)
_SPRINGS = frozenset({Kind.SPRING_WASHER, Kind.CLIP})
# Nobody can say beforehand how bare or cleaned metal will look.
_LOOKS_CHANGE = frozenset({"derust", "bead_blast", "replace"})


def worst_of(outcomes: Iterable[Outcome]) -> Outcome:
    """Give the worst of several outcomes.

    Parameters
    ----------
    outcomes : iterable of Outcome
        Any number of them.

    Returns
    -------
    Outcome
        Sound where there are none.
    """
    return max(outcomes, key=_WORSE.index, default=Outcome.SOUND)


def compare(
    facts: JointFacts,
    *,
    look_now: FinishLook = FinishLook.UNKNOWN,
    look_wanted: FinishLook = FinishLook.UNKNOWN,
    visible: bool = False,
    loose: bool = False,
    tried: Sequence[Candidate] | None = None,
) -> tuple[Compared, ...]:
    """Hold the treatments of a piece side by side.

    Parameters
    ----------
    facts : JointFacts
        What is known of the joint.
    look_now, look_wanted : FinishLook
        How the pieces look, and how they shall look at their place.
    visible : bool
        Whether the place can be seen on the finished engine.
    loose : bool
        Whether the pieces belong to no place, so that nothing is judged of the other side and of the torque.
    tried : sequence of Candidate or None
        Which to compare; none is all of `candidates_for`.

    Returns
    -------
    tuple of Compared
        In the order of the candidates; a bake is left out where hydrogen asks for none, or none would do.
    """
    found = []
    for candidate in candidates_for(facts) if tried is None else tried:
        after = facts_after(facts, candidate)
        judgement = judge_piece(after.piece) if loose else judge_joint(after)
        if candidate.is_baked and judgement.plater.bake is None:
            continue
        # Where the bake is another candidate, the treatment without it is only shown beside it.
        chooses = candidate.is_baked or not candidate.can_be_baked or judgement.plater.bake is None
        effects = (
            _fit(judgement, after),
            _strength(judgement, candidate),
            _clamp(judgement, after, loose=loose),
            _looks(candidate, look_now, look_wanted, visible=visible),
            _dangers(after, candidate, judgement),
        )
        found.append(
            Compared(
                candidate,
                worst_of(one.outcome for one in effects if one.outcome is not None),
                effects,
                _coats(facts, candidate, loose=loose) if chooses else (),
                can_be_chosen=chooses,
                needs_a_person=_needs_a_person(candidate, judgement),
            )
        )
    return tuple(found)


def _checks(judgement: JointJudgement, *questions: Question) -> list[Check]:
    return [check for check in judgement.checks if check.question in questions]


def _of_checks(aspect: Aspect, checks: Sequence[Check], otherwise: str) -> Effect:
    """The worst of several checks speaks for all of them."""
    if not checks:
        return Effect(aspect, otherwise)
    said = max(checks, key=lambda check: _WORSE.index(check.verdict.outcome))
    return Effect(aspect, said.says, said.verdict.outcome, said.verdict.reasons, said.verdict.cautions)


_NO_THREAD = "it has no thread"


def _fit(judgement: JointJudgement, after: JointFacts) -> Effect:
    otherwise = "nothing is added to the thread" if after.piece.threads else _NO_THREAD
    effect = _of_checks(Aspect.FIT, _checks(judgement, Question.PLATING), otherwise)
    for check in _checks(judgement, Question.PLATING):
        most_um, probability = check.verdict.value, check.verdict.probability
        if most_um is not None and probability is not None:
            room = f"at most {most_um:.1f} µm" if most_um > 0 else "no room for a coat"
            return replace(effect, says=f"goes together {_percent(probability)}; {room}")
    return effect


def _percent(probability: float) -> str:
    """A probability in whole percent; never surely, never never."""
    return f"{min(99, max(1, round(100 * probability)))} %"


def _strength(judgement: JointJudgement, candidate: Candidate) -> Effect:
    checks = _checks(judgement, Question.REUSE, Question.STRIPPING, Question.YIELDING)
    if candidate.treatment == "replace":
        checks = [check for check in checks if check.question is not Question.REUSE]
        return _of_checks(Aspect.STRENGTH, checks, "new: as strong as the grade that is bought")
    return _of_checks(Aspect.STRENGTH, checks, "not judged: nothing is known of it")


def _clamp(judgement: JointJudgement, after: JointFacts, *, loose: bool) -> Effect:
    if not after.piece.threads:
        return Effect(Aspect.CLAMP, _NO_THREAD)
    if loose:
        return Effect(Aspect.CLAMP, "it belongs to no place yet")
    effect = _of_checks(Aspect.CLAMP, _checks(judgement, Question.TORQUE), "no torque is said")
    ratio = judgement.torque.ratio_if_unchanged
    # Of a finish without figures of friction the ratio would be that of every finish there is.
    if ratio is None or finish_said(after.piece.finish_received).finish is None:
        return effect
    hard = f"{ratio.mean:.2g} times as hard"
    alike = "about as hard" if hard.startswith("1 ") else hard
    says = f"the same torque clamps {alike} ({ratio.low:.2g} to {ratio.high:.2g})"
    return Effect(Aspect.CLAMP, says, effect.outcome, effect.reasons, effect.cautions)


def _looks(candidate: Candidate, now: FinishLook, wanted: FinishLook, *, visible: bool) -> Effect:
    """How it will look against what is wanted; no look makes a joint unsound."""
    given = treatment(candidate.treatment).look
    if given is None and candidate.treatment in _LOOKS_CHANGE:
        says = "as bought: choose it" if candidate.treatment == "replace" else "bare metal: look when done"
        return Effect(Aspect.LOOKS, says)
    look = given or now
    if look is FinishLook.UNKNOWN:
        return Effect(Aspect.LOOKS, "stays as it is")
    stays = "" if given else "stays "
    if wanted is FinishLook.UNKNOWN:
        return Effect(Aspect.LOOKS, f"{stays}{_named(look)}")
    if look is wanted:
        return Effect(Aspect.LOOKS, f"{stays}{_named(look)}, as wanted")
    seen = ", and it will be seen" if visible else ""
    return Effect(Aspect.LOOKS, f"{stays}{_named(look)}; {_named(wanted)} is wanted{seen}")


def _named(look: FinishLook) -> str:
    return "bare" if look is FinishLook.NONE else str(look.value)


def _dangers(after: JointFacts, candidate: Candidate, judgement: JointJudgement) -> Effect:
    checks = _checks(judgement, Question.HYDROGEN)
    advice = advice_for(candidate.treatment, materials_of(after))
    cautions = tuple(one.caution for one in advice)
    bake = judgement.plater.bake
    if not checks:
        says = _short(advice[0].what) if advice else "none beyond the usual"
        return Effect(Aspect.DANGERS, says, None, (), cautions)
    check = checks[0]
    verdict = check.verdict
    reasons = verdict.reasons
    cautions = tuple(dict.fromkeys((*verdict.cautions, *cautions)))
    if bake is not None and candidate.is_baked:
        return Effect(
            Aspect.DANGERS, f"bake at {bake.said}", Outcome.SOUND_AFTER_TREATMENT, reasons, cautions
        )
    if bake is not None and candidate.can_be_baked:
        says = "without a bake it can crack under load, days later"
        return Effect(Aspect.DANGERS, says, Outcome.NOT_SOUND, reasons, cautions)
    return Effect(Aspect.DANGERS, check.says, verdict.outcome, reasons, cautions)


def _short(what: str) -> str:
    """The first sentence of an advice without its full stop, as it stands in a column."""
    return what[:1].lower() + what[1:].rstrip(".")


def _coats(facts: JointFacts, candidate: Candidate, *, loose: bool) -> tuple[CoatFit, ...]:
    standard = CLASS_STANDARDS.get(candidate.treatment)
    if standard is None or not facts.piece.threads:
        return ()
    found = []
    for name in CLASSES[candidate.treatment]:
        after = facts_after(facts, candidate, f"{standard} {name}")
        judgement = judge_piece(after.piece) if loose else judge_joint(after)
        for check in _checks(judgement, Question.PLATING)[:1]:
            probability = check.verdict.probability
            says = check.says if probability is None else _percent(probability)
            found.append(CoatFit(standard, name, says, check.verdict.outcome))
    return tuple(found)


def _needs_a_person(candidate: Candidate, judgement: JointJudgement) -> str:
    """What somebody must look at before this treatment is chosen; what is so anyway stands in its column."""
    for check in _checks(judgement, Question.HYDROGEN, Question.PLATING):
        if check.needs_a_person:
            return check.says
    if candidate.treatment == "thread_insert":
        return "Measure the wall round the hole and the depth below it first."
    return ""


def materials_of(facts: JointFacts) -> tuple[Material, ...]:
    """Name everything that a treatment of the piece may meet.

    Parameters
    ----------
    facts : JointFacts
        What is known of the joint.

    Returns
    -------
    tuple of Material
        Its own metal, steel where nobody said; springs and hard grades as such; an old coat that nobody
        knows counts as cadmium, at its careful end; for an insert the metal of the hole.
    """
    piece = facts.piece
    found = [_metal(piece.material, Material.STEEL)]
    if piece.kind in _SPRINGS:
        found.append(Material.SPRING_STEEL)
    finish = piece.finish_now.lower()
    if not piece.is_new and (not finish or "cadmium" in finish or "yellow" in finish or "plated" in finish):
        found.append(Material.CADMIUM_OR_CHROMATE)
    if facts.mate.mate in {Mate.TAPPED_HOLE, Mate.INSERT} and piece.treatment == "thread_insert":
        found = [_metal(facts.mate.material, Material.ALUMINIUM)]
    return tuple(dict.fromkeys(found))


def _metal(said: str, otherwise: Material) -> Material:
    """A metal by its word; what is no word of advice's list counts as what is usual there."""
    plain = said.strip().lower().replace(" ", "_")
    if plain in set(Material):
        return Material(plain)
    for word, metal in (
        ("alumin", Material.ALUMINIUM),
        ("iron", Material.CAST_IRON),
        ("magnes", Material.MAGNESIUM),
    ):
        if word in plain:
            return metal
    if not plain:
        return otherwise
    try:
        return Material(plain.split("_")[-1])
    except ValueError:
        return otherwise
