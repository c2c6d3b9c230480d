"""What goes with what, as a page shows it, and which pairing a person keeps."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.measurements.conformity.decision import USUAL_WANTED
from runningfit.core.verdicts import Caution
from runningfit.workshop.joints.match_models import CHOICES, MATCHES, MatchDecision
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.writing import Hand, write

_SAID_KEPT = 300


@dataclass(frozen=True, slots=True)
class MatchRow:
    """One line of a pairing: its cells, and how it stands (good, open or bad) in words."""

    cells: tuple[str, ...]
    stamp: str = ""
    stamp_words: str = ""
    moved: bool = False


@dataclass(frozen=True, slots=True)
class Pairing:
    """One way to pair: a line that sums it up, the headings of its cells, and its lines."""

    said: str
    heads: tuple[str, ...]
    rows: tuple[MatchRow, ...]

    @property
    def lines(self) -> list[tuple[MatchRow, list[tuple[str, str]]]]:
        """Each line with its cells, each under its heading."""
        return [(row, list(zip(self.heads, row.cells, strict=True))) for row in self.rows]


@dataclass(frozen=True, slots=True)
class MatchShown:
    """An answer of the matching: the best, the second best and why it is only that.

    Parameters
    ----------
    kind : str
        pistons, weights or shims.
    best : Pairing
        Proven best by the aim.
    second : Pairing or None
        The next; none where there is no other.
    reasons : tuple of str
        Why, in sentences with their numbers.
    cautions : tuple of Caution
        What to mind.
    asked : dict of str to str
        The sets, limits and aim as asked for, by the names of the form.
    """

    kind: str
    best: Pairing
    second: Pairing | None
    reasons: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()
    asked: Mapping[str, str] = field(default_factory=dict)

    @property
    def key(self) -> str:
        """By what a form knows the answer that its page shows."""
        told = [self.best.said, *(cell for row in self.best.rows for cell in row.cells)]
        told += [cell for row in self.second.rows for cell in row.cells] if self.second else []
        return hashlib.sha256("\n".join(told).encode()).hexdigest()[:16]


def stamp_of(probability: float) -> tuple[str, str]:
    """Return how a chance to lie within limits stands, and the words for it."""
    if probability >= USUAL_WANTED:
        return "good", "within"
    return ("bad", "outside") if probability <= 1 - USUAL_WANTED else ("open", "not proven")


def percent(probability: float) -> str:
    """Say a chance without claiming certainty: at most 'over 99.9 %'."""
    if probability >= 0.9995:
        return "over 99.9 %"
    return "under 0.1 %" if probability < 0.0005 else f"{100 * probability:.1f} %"


def keep_match(*, job: Job, shown: MatchShown, choice: str, seen_key: str, hand: Hand) -> MatchDecision:
    """Keep a pairing: the best or the second best of those that were on the page.

    Parameters
    ----------
    shown : MatchShown
        The answer as it is now.
    choice : str
        best or second.
    seen_key : str
        By what the page knew the answer that it showed.

    Raises
    ------
    InvalidInput
        A choice that is none.
    Conflict
        The readings or what was asked changed since the page was shown.
    """
    pairing = {"best": shown.best, "second": shown.second}.get(choice)
    if pairing is None:
        raise InvalidInput("choice", needs=" or ".join(key for key, _ in CHOICES), came=choice)
    if seen_key != shown.key:
        raise Conflict("The answer is another one by now, since something was read or changed. Look again.")
    words = dict(MATCHES)[shown.kind]
    with write(verb="keep_match", summary=f"kept {words}: {pairing.said}"[:300], hand=hand, job=job) as entry:
        return entry.create(
            MatchDecision(
                job=job,
                kind=shown.kind,
                choice=choice,
                heads=list(pairing.heads),
                pairs=[list(row.cells) for row in pairing.rows],
                said=pairing.said[:_SAID_KEPT],
                asked=dict(shown.asked),
                why=hand.why[:_SAID_KEPT],
                who=hand.who,
                at=entry.at,
            )
        )


def take_back_match(*, decision: MatchDecision, hand: Hand) -> None:
    """Take back which pairing was kept; it stays in the history.

    Raises
    ------
    Conflict
        It was taken back already.
    """
    words = decision.get_kind_display()
    with write(verb="take_back_match", summary=f"took back {words}", hand=hand, job=decision.job) as entry:
        held = MatchDecision.objects.select_for_update().get(pk=decision.pk)
        if held.withdrawn:
            raise Conflict(f"It was taken back already: {words}.")
        entry.change(held, withdrawn=True)


def kept_matches(job: Job) -> list[MatchDecision]:
    """Return the pairing that stands of each kind, the latest first."""
    found: dict[str, MatchDecision] = {}
    for one in MatchDecision.objects.filter(job=job, withdrawn=False).order_by("-id")[:60]:
        found.setdefault(one.kind, one)
    return list(found.values())


def match_by_id(job: Job, decision_id: int) -> MatchDecision:
    """Return a kept pairing of a job, or raise NotFound saying so."""
    one = MatchDecision.objects.filter(job=job, pk=decision_id).select_related("job").first()
    if one is None:
        raise NotFound(f"There is no kept pairing {decision_id} in {job.name}.")
    return one


def listed(names: Sequence[str]) -> str:
    """Say several names in one breath."""
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)
