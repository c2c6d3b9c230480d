"""Holding the thread of a lot against the limits of its class, and what that makes of its state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.gauging import ThreadCheck, ThreadMeasurement, check_thread
from runningfit.core.standards import thread as standard_thread
from runningfit.core.verdicts import Outcome
from runningfit.workshop.pieces.lots import held_lot
from runningfit.workshop.pieces.models import Lot
from runningfit.workshop.pieces.thread_models import ENDS, ThreadGauging
from runningfit.workshop.pieces.threads import mark_defective, part_of
from runningfit.workshop.records.writing import Hand, write

OUTCOME_WORDS = {
    Outcome.SOUND: "within its class",
    Outcome.NOT_SOUND: "not within its class",
    Outcome.NOT_PROVEN: "not proven",
}


@dataclass(frozen=True, slots=True)
class Gauged:
    """What was measured or gauged of a thread, as typed and as it is meant, and the class it should have."""

    designation: str
    thread_class: str | None
    typed: Mapping[str, str]
    measurement: ThreadMeasurement

    def check(self) -> ThreadCheck:
        """Return the verdict.

        Raises
        ------
        InvalidInput
            Nothing measured, a value that cannot be, a taper thread, or a class that the series has not.
        """
        return check_thread(standard_thread(self.designation), self.measurement, self.thread_class)


def proven_by_gauge(gauged: Gauged, outcome: Outcome) -> bool:
    """Return whether the gauges themselves prove the thread: GO goes, NO-GO stops, nothing against it."""
    both = gauged.measurement.go is True and gauged.measurement.no_go is False
    return both and outcome is Outcome.SOUND


def keep_check(*, lot: Lot, end: str, gauged: Gauged, hand: Hand, count: int | None = None) -> ThreadGauging:
    """Keep a check of a lot's thread against its limits, for all of its pieces or for some split off it.

    A GO and a NO-GO gauge that both say yes prove the thread good; what is surely outside its limits makes
    it defective, and what it was screwed to not proven. Diameters alone prove nothing: a thread nobody had
    looked at becomes not proven.

    Parameters
    ----------
    end : str
        end_a or end_b.
    count : int or None
        For how many pieces it speaks; None means all.

    Raises
    ------
    InvalidInput
        What was measured cannot be used, or the lot has not so many pieces.
    """
    if end not in dict(ENDS):
        raise InvalidInput("end", needs="end_a or end_b", came=end)
    check = gauged.check()
    verdict = check.verdict
    with write(verb="check_thread", summary=f"checked lot {lot.number}", hand=hand, job=lot.job) as entry:
        lot = held_lot(lot)
        also: list[str] = []
        if verdict.outcome is Outcome.NOT_SOUND:
            marked, also = mark_defective(entry, lot, count=count)
        else:
            marked = part_of(entry, lot, count)
            if proven_by_gauge(gauged, verdict.outcome):
                entry.change(marked, thread_state="good")
            elif not marked.thread_state:
                entry.change(marked, thread_state="not_proven")
        kept = entry.create(
            ThreadGauging(
                lot=marked,
                end=end,
                internal=gauged.measurement.internal,
                designation=gauged.designation,
                thread_class=check.thread_class,
                typed=dict(gauged.typed),
                readings={
                    name: value for name, value in asdict(gauged.measurement).items() if value is not None
                },
                outcome=verdict.outcome,
                probability=verdict.probability,
                reasons=[reason.text for reason in verdict.reasons],
                cautions=[caution.text for caution in verdict.cautions],
                earlier=latest_check(lot, end),
                at=entry.at,
                who=hand.who,
                why=hand.why[:300],
            )
        )
        doubted = f"; not proven by it: {', '.join(also)}" if also else ""
        entry.say(
            f"lot {marked.number}: {gauged.designation} {check.thread_class} "
            f"{OUTCOME_WORDS[verdict.outcome]}{doubted}"
        )
    return kept


def latest_check(lot: Lot, end: str) -> ThreadGauging | None:
    """Return the last check of an end of a lot."""
    return ThreadGauging.objects.filter(lot=lot, end=end, withdrawn=False).order_by("-id").first()
