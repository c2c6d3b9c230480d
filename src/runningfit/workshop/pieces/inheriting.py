"""What was found, gauged and known of pieces, when a lot is split and when two are joined."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.core.pieces.finishes import FinishLook
from runningfit.core.treatments import treatment
from runningfit.workshop.pieces.models import Finding, Lot
from runningfit.workshop.pieces.thread_models import ENDS, ThreadGauging
from runningfit.workshop.records.writing import Entry

# Which pieces that was found of, what was found of a lot that is split; what nobody can tell counts for all.
CONCERNS: Mapping[str, str] = {
    "both": "all of them, or nobody can tell",
    "part": "only those that are split off",
    "rest": "only those that stay",
}
_FINDING_WORDS = dict(Finding.KINDS)
# What a bath did to pieces cannot be seen on them: joined, one lot would hide it of the other.
_DONE = ("treatment_done", "done_chain", "finish_received_process", "finish_received_look")
_ORDERED = ("treatment", "ordered_steps", "ordered_coat")
# Whose row it is, and words beside it: these say nothing of the pieces.
_NOT_OF_THE_PIECES = frozenset({"id", "withdrawn", "lot", "note", "typed"})


def inherit(entry: Entry, lot: Lot, part: Lot, concerns: str = "both") -> None:
    """Give a part that was split off what was found and gauged of the whole, inside an open record.

    Parameters
    ----------
    lot, part : Lot
        What it was split off from, and the new lot, both held.
    concerns : str
        One of `CONCERNS`. Of pieces that it does not concern a bad thread is still not proven good.

    Raises
    ------
    InvalidInput
        It is none of those.
    """
    if concerns not in CONCERNS:
        raise InvalidInput("concerns", needs=f"one of {', '.join(CONCERNS)}", came=concerns)
    findings = list(Finding.objects.filter(lot=lot, withdrawn=False, settled=False).order_by("pk"))
    gaugings = list(last_gaugings(lot).values())
    if concerns == "both":
        for finding in findings:
            note = f"{finding.note} Found of lot {lot.number}, before these were split off it.".strip()
            # How many of these it was, nobody counted.
            copied = _copy(finding, lot=part, job=part.job, area=part.area, place=part.place)
            copied.note, copied.count = note, None
            entry.create(copied)
        for gauging in gaugings:
            entry.create(_copy(gauging, lot=part, earlier=gauging))
        return
    if not findings and not gaugings:
        return
    spared = part if concerns == "rest" else lot
    entry.change(spared, **_without(spared, findings, gaugings))
    if concerns == "part":
        for row in (*findings, *gaugings):
            entry.change(row, lot=part)


def is_anything_found(lot: Lot) -> bool:
    """Return whether something was found of a lot that is not settled, or an end of it was gauged."""
    return (
        Finding.objects.filter(lot=lot, withdrawn=False, settled=False).exists()
        or ThreadGauging.objects.filter(lot=lot, withdrawn=False).exists()
    )


def last_gaugings(lot: Lot) -> dict[str, ThreadGauging]:
    """Return the last check of each end of a lot."""
    rows = ThreadGauging.objects.filter(lot=lot, withdrawn=False).order_by("pk")
    return {row.end: row for row in rows}


def need_the_same(into: Lot, other: Lot) -> None:
    """Refuse to join lots of which different things are known, found or done.

    Raises
    ------
    Conflict
        What contradicts, with both sides of it, and what to do.
    """
    if any(getattr(into, name) != getattr(other, name) for name in _DONE):
        raise Conflict(
            f"Lots {into.number} and {other.number} were not treated alike: what was done to one would "
            "be taken for done to all. Keep them apart, or confirm the finish of both first."
        )
    if any(getattr(into, name) != getattr(other, name) for name in _ORDERED):
        raise Conflict(
            f"Lot {into.number} is down for {_ordered(into)}, lot {other.number} for {_ordered(other)}. "
            "Say the same of both first, or keep them apart."
        )
    _refuse_if(into, other, _contradictions(into, other))


def keep_all(entry: Entry, into: Lot, other: Lot) -> None:
    """Keep of two lots that are joined every finding and check, and of both states of a thread the worse."""
    state = into.thread_state
    if other.thread_state != state:
        state = "not_proven" if "not_proven" in (state, other.thread_state) else ""
    said = (other.condition.strip(), into.condition.strip())
    condition = into.condition if said[0] in ("", said[1]) else "; ".join(part for part in said[::-1] if part)
    entry.change(
        into,
        thread_state=state,
        condition=condition[:300],
        # What is known of only one of them is not known of the other.
        finish_look=into.finish_look if into.finish_look == other.finish_look else FinishLook.UNKNOWN.value,
        finish_process=into.finish_process if into.finish_process == other.finish_process else "",
    )
    for finding in Finding.objects.filter(lot=other, withdrawn=False).order_by("pk"):
        entry.change(finding, lot=into)
    for gauging in ThreadGauging.objects.filter(lot=other, withdrawn=False).order_by("pk"):
        entry.change(gauging, lot=into)


def _copy(row: Any, **values: Any) -> Any:
    kept = {one.name: getattr(row, one.name) for one in row._meta.concrete_fields if not one.primary_key}
    return type(row)(**(kept | values))


def _without(lot: Lot, findings: Iterable[Finding], gaugings: list[ThreadGauging]) -> dict[str, str]:
    """What stands of a lot that the findings do not concern; a bad thread beside it leaves it not proven."""
    whats = {finding.what for finding in findings}
    values = {}
    if lot.defect in {_FINDING_WORDS[what] for what in whats}:
        values["defect"] = ""
    if lot.thread_state == "defective":
        values["thread_state"] = "not_proven"
    elif lot.thread_state == "good" and gaugings:
        values["thread_state"] = ""
    return values


def _ordered(lot: Lot) -> str:
    if not lot.treatment:
        return "nothing yet"
    label = treatment(lot.treatment).label
    beside = ", ".join(getattr(lot, name) for name in _ORDERED[1:] if getattr(lot, name))
    return f"{label} with {beside}" if beside else label


def _contradictions(into: Lot, other: Lot) -> Iterable[tuple[str, str, str]]:
    """What is said otherwise of the two: of what, and both sides of it."""
    yield "defect", into.defect, other.defect
    if "defective" in (into.thread_state, other.thread_state):
        yield "thread", into.get_thread_state_display(), other.get_thread_state_display()
    if FinishLook.UNKNOWN.value not in (into.finish_look, other.finish_look):
        yield "look", into.finish_look, other.finish_look
    if into.finish_process and other.finish_process:
        yield "finish", into.finish_process, other.finish_process
    known, known_other = _known(into), _known(other)
    for name in known | known_other:
        yield name.replace("_", " "), str(known.get(name, "")), str(known_other.get(name, ""))
    gauged, gauged_other = last_gaugings(into), last_gaugings(other)
    for end, words in ENDS:
        yield f"check of {words}", _gauged(gauged.get(end)), _gauged(gauged_other.get(end))


def _refuse_if(into: Lot, other: Lot, told: Iterable[tuple[str, str, str]]) -> None:
    for what, of_into, of_other in told:
        if of_into != of_other:
            raise Conflict(
                f"{what.capitalize()} of lot {into.number}: {of_into or 'not said'}; of lot {other.number}: "
                f"{of_other or 'not said'}. Joined, what holds of one would be taken for all. Say or measure "
                "it of both first, or keep them apart."
            )


def _known(lot: Lot) -> dict[str, object]:
    """Return what is known of a lot, its own or that of the nearest lot it was split off from."""
    at: Lot | None = lot
    while at is not None:
        row = getattr(at, "known", None)
        if row is not None and not row.withdrawn:
            fields = [one for one in row._meta.concrete_fields if one.name not in _NOT_OF_THE_PIECES]
            said = {one.name: getattr(row, one.name) for one in fields}
            default = {one.name: one.get_default() for one in fields}
            return {name: value for name, value in said.items() if value != default[name]}
        at = at.parent
    return {}


def _gauged(gauging: ThreadGauging | None) -> str:
    """Say a check so that two are the same only where they were gauged alike."""
    if gauging is None:
        return ""
    outcome = gauging.outcome.replace("_", " ")
    read = ", ".join(f"{name} {value}" for name, value in sorted(gauging.typed.items()) if value)
    return f"{gauging.designation} {gauging.thread_class}, {outcome} ({read})"
