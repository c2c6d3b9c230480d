"""How a compared treatment is said: its verdict as a stamp, its effects in a few words, cost and days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from runningfit.core.treatments.comparing import Aspect, CoatFit, Compared, Effect
from runningfit.core.verdicts import Caution, Outcome, Reason
from runningfit.workshop.treatments.past import Past
from runningfit.workshop.treatments.queries import LotTreatment, LotTreatments

WORDS = {
    Outcome.SOUND: "sound",
    Outcome.SOUND_AFTER_TREATMENT: "sound after treatment",
    Outcome.NOT_PROVEN: "not proven",
    Outcome.NOT_SOUND: "not sound",
}
STAMPS = {
    Outcome.SOUND: "good",
    Outcome.SOUND_AFTER_TREATMENT: "after",
    Outcome.NOT_PROVEN: "open",
    Outcome.NOT_SOUND: "bad",
}
NOT_KNOWN = "not known"
_ORDER = (Outcome.SOUND, Outcome.SOUND_AFTER_TREATMENT, Outcome.NOT_PROVEN, Outcome.NOT_SOUND)


@dataclass(frozen=True, slots=True)
class Cell:
    """One effect as it stands in its column; the stamp only where it is not plainly sound."""

    word: str
    says: str
    stamp: str = ""
    stamp_says: str = ""
    is_as_now: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One treatment as a line of the table, or a block on a phone."""

    compared: Compared
    stamp: str
    says: str
    cells: tuple[Cell, ...]
    cost: str
    days: str
    dangers: Cell
    reasons: tuple[Reason, ...]
    cautions: tuple[Caution, ...]
    brief: str
    coat: str
    is_chosen: bool
    is_ticked: bool

    @property
    def key(self) -> str:
        """Return its name in the form."""
        return self.compared.candidate.key

    @property
    def eye(self) -> str:
        """Return what a person must look at, unless the columns say it in the same words."""
        said = self.compared.needs_a_person
        return "" if said in {effect.says for effect in self.compared.effects} else said

    @property
    def mark(self) -> str:
        """Return its name as a place on the page."""
        return self.key.replace("+", "-and-")

    @property
    def coats(self) -> tuple[CoatFit, ...]:
        """Return the classes of its coat."""
        return self.compared.coats


@dataclass(frozen=True, slots=True)
class Group:
    """Treatments that come to the same, for the lines at the top."""

    stamp: str
    says: str
    rows: tuple[Row, ...]


def treatment_rows(shown: LotTreatments, count: int, currency: str, ticked: str, coat: str = "") -> list[Row]:
    """Say every treatment of a lot: leaving it first, then those that come out best.

    Parameters
    ----------
    count : int
        How many pieces the lot has.
    currency : str
        The sign before an amount.
    ticked : str
        Which one a refused form had ticked; empty for none.
    coat : str
        The class of coat that stands with the lot's treatment, or that a refused form had chosen.
    """
    now = shown.treatments[0].compared
    best = {
        key: min(_ORDER.index(one.compared.outcome) for one in shown.treatments if _is_of(one, key))
        for key in {one.compared.candidate.treatment for one in shown.treatments}
    }
    # Plating stands beside its bake, wherever that comes out.
    treatments = sorted(
        shown.treatments,
        key=lambda one: (one.compared is not now, best.get(one.compared.candidate.treatment, 0)),
    )
    return [_row(one, now, count, currency, ticked, coat) for one in treatments]


def _is_of(one: LotTreatment, key: str) -> bool:
    return one.compared.candidate.treatment == key and one.compared.can_be_chosen


def by_outcome(rows: Sequence[Row]) -> list[Group]:
    """Group the treatments by what they come to, the sound ones first."""
    groups = []
    for outcome in _ORDER:
        mine = tuple(row for row in rows if row.compared.outcome is outcome)
        if mine:
            groups.append(Group(STAMPS[outcome], WORDS[outcome], mine))
    return groups


def cost_said(past: Past, count: int, currency: str, *, is_done_here: bool) -> str:
    """Say what a treatment costs by the records, and for all pieces; never a guess."""
    if not past.each:
        return "no bill: done here" if is_done_here else NOT_KNOWN
    low, high = past.each[0], past.each[-1]
    each = _money(low, currency) if low == high else f"{_money(low, currency)} to {_money(high, currency)}"
    told = f"{each} each, {'as quoted' if past.quoted else _times(len(past.each))}"
    if count < 2:
        return told
    whole = [_money(one * count, currency) for one in dict.fromkeys((low, high))]
    return f"{told}; about {' to '.join(whole)} for {count}"


def days_said(past: Past, *, is_done_here: bool) -> str:
    """Say how many days a treatment took by the records."""
    if not past.days:
        return "done here" if is_done_here else NOT_KNOWN
    low, high = past.days[0], past.days[-1]
    told = f"{low} day{'' if low == 1 else 's'}" if low == high else f"{low} to {high} days"
    return f"{told}, {_times(len(past.days))}"


def brief_said(compared: Compared, now: Compared, cost: str, days: str) -> str:
    """Say a treatment in one line for a phone: cost, days, and the one danger that matters."""
    money = cost.partition(",")[0].partition(";")[0]
    time = days.partition(",")[0].partition(";")[0]
    if cost == days == NOT_KNOWN:
        paid = "cost and days not known"
    elif time == "done here":
        paid = money if money.startswith("no bill") else f"{money}, {time}"
    else:
        paid = f"{'cost not known' if money == NOT_KNOWN else money}, "
        paid += "days not known" if time == NOT_KNOWN else time
    worst = max(
        (one for one in compared.effects if one.outcome not in (None, Outcome.SOUND)),
        # What is surely wrong, then what can crack later, then what is worst and was not so before.
        key=lambda one: (
            one.outcome is Outcome.NOT_SOUND,
            one.aspect is Aspect.DANGERS,
            _ORDER.index(one.outcome or Outcome.SOUND),
            one.says != now.effect(one.aspect).says,
        ),
        default=None,
    )
    # The rest of it stands in its column, once that is opened.
    return f"{paid} · {worst.says.partition('. ')[0].rstrip('.')}" if worst is not None else paid


def _row(one: LotTreatment, now: Compared, count: int, currency: str, ticked: str, coat: str) -> Row:
    compared = one.compared
    baked = compared.candidate.is_baked
    cost = cost_said(one.past, count, currency, is_done_here=one.is_done_here)
    days = days_said(one.past, is_done_here=one.is_done_here)
    seen = [compared.effect(aspect) for aspect in (Aspect.FIT, Aspect.STRENGTH, Aspect.CLAMP, Aspect.LOOKS)]
    dangers = compared.effect(Aspect.DANGERS)
    return Row(
        compared,
        STAMPS[compared.outcome],
        WORDS[compared.outcome],
        tuple(_cell(effect, now if compared is not now else None) for effect in seen),
        f"{cost}; the bake may come on top" if baked and cost != NOT_KNOWN else cost,
        f"{days}; the bake may come on top" if baked and days != NOT_KNOWN else days,
        _cell(dangers),
        tuple(dict.fromkeys(reason for effect in (dangers, *seen) for reason in effect.reasons)),
        tuple(dict.fromkeys(caution for effect in (dangers, *seen) for caution in effect.cautions)),
        brief_said(compared, now, cost, days),
        coat if one.is_chosen or ticked == compared.candidate.key else "",
        one.is_chosen,
        ticked == compared.candidate.key if ticked else one.is_chosen,
    )


def _cell(effect: Effect, now: Compared | None = None) -> Cell:
    """One effect in its column; what a treatment leaves as it is, is said once, where nothing is done."""
    outcome = effect.outcome
    if now is not None and effect.aspect in (Aspect.STRENGTH, Aspect.CLAMP):
        left = now.effect(effect.aspect)
        if (left.says, left.outcome) == (effect.says, outcome):
            return Cell(effect.aspect.value, "as now", is_as_now=True)
    if outcome is None or outcome is Outcome.SOUND:
        return Cell(effect.aspect.value, effect.says)
    return Cell(effect.aspect.value, effect.says, STAMPS[outcome], WORDS[outcome])


def _money(amount: Decimal, currency: str) -> str:
    return f"{currency}{amount:,.2f}"


def _times(count: int) -> str:
    return "once before" if count == 1 else f"{count} times before"
