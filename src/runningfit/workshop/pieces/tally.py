"""Verbs of the tally sheet: open it, press, answer, take a press back, close it into lots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from runningfit.core.errors import Conflict, InvalidInput, NotFound
from runningfit.core.pieces.designations import ThreadReading, read_ends
from runningfit.core.pieces.kinds import Kind
from runningfit.core.pieces.tally import read_press
from runningfit.core.units import LengthUnit, format_length
from runningfit.workshop.pieces.lots import LotFacts, keep_lots
from runningfit.workshop.pieces.models import LOOKS, Lot, TallyPress, TallySheet
from runningfit.workshop.pieces.tally_reads import TallyLine, choices_of, marks_of, state_of
from runningfit.workshop.pieces.understanding import AreasByName, BagsByCode
from runningfit.workshop.records.closed_jobs import refuse_closed
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.writing import Hand, write

MOST_PRESSES_AT_ONCE = 200
TALLIED_KINDS = tuple(kind for kind in Kind if kind.length_basis is not None)


@dataclass(frozen=True, slots=True)
class Pressed:
    """One press of the caliper's button: what it typed, and the token by which a second sending is known."""

    token: str
    typed: str


@dataclass(frozen=True, slots=True)
class Refused:
    """A press that could not be read, and why; nothing was counted for it."""

    token: str
    typed: str
    why: str


def open_sheet(
    *,
    job: Job,
    kind: str,
    hand: Hand,
    thread: str = "",
    finish_look: str = "unknown",
    unit: str = "mm",
    area: str = "",
    bag: str = "",
    origin: Engine | None = None,
) -> TallySheet:
    """Open a tally sheet for pieces alike in all but their length.

    Parameters
    ----------
    kind : str
        A kind that has a length.
    thread : str
        As the trade writes it; both ends of a stud. It decides between inch and metric lengths.
    unit : str
        The unit the caliper stands on, mm or in.
    area, bag : str
        By name and code; made where they do not exist yet.

    Raises
    ------
    InvalidInput
        The kind has no length, or the thread or the bag's code cannot be read.
    """
    tallied = _need_kind(kind)
    if finish_look not in LOOKS:
        raise InvalidInput("finish_look", needs=f"one of {', '.join(LOOKS)}", came=finish_look)
    ends = _ends(thread, tallied)
    with write(verb="open_tally_sheet", summary="opened a tally sheet", hand=hand, job=job) as entry:
        on_area = AreasByName(entry, job, origin).named(area)
        in_bag, unreadable = BagsByCode(entry, job).coded(bag, on_area)
        if unreadable:
            raise InvalidInput(
                "bag", needs="a code such as T1", came=bag, remedy="Use letters and figures only."
            )
        sheet = entry.create(
            TallySheet(
                job=job,
                kind=tallied.value,
                end_a="|".join(ends[0].candidates) if ends else "",
                end_b="|".join(ends[1].candidates) if len(ends) > 1 else "",
                size_said=(ends[0].size_said or "")[:40] if ends else "",
                finish_look=finish_look,
                series=_series(ends, unit),
                unit=LengthUnit(unit).value,
                area=on_area,
                bag=in_bag,
                origin=origin,
                opened_at=entry.at,
                opened_by=hand.who,
            )
        )
        for leaned in (on_area, in_bag, origin):
            entry.refer(leaned)
        entry.say(f"opened a tally sheet for {marks_of(sheet)}")
    return sheet


def press(*, sheet: TallySheet, presses: Sequence[Pressed], hand: Hand) -> list[Refused]:
    """Take presses of the caliper's button in the order they were made; one sent before is not taken again.

    A press is a reading on an open sheet, not an act: it leaves no record of its own; the row says who and
    when.

    Returns
    -------
    list of Refused
        Those that could not be read; nothing was counted for them.

    Raises
    ------
    Conflict
        The sheet was closed meanwhile; nothing was taken.
    """
    if len(presses) > MOST_PRESSES_AT_ONCE:
        raise InvalidInput("presses", needs=f"at most {MOST_PRESSES_AT_ONCE} at once", came=len(presses))
    rows: dict[str, TallyPress] = {}
    refused: list[Refused] = []
    for one in presses:
        try:
            _need_token(one.token)
            reading = read_press(one.typed, unit=LengthUnit(sheet.unit), series=LengthUnit(sheet.series))
        except InvalidInput as error:
            refused.append(Refused(one.token, one.typed, str(error)))
            continue
        rows[one.token] = TallyPress(
            sheet=sheet,
            token=one.token,
            typed=one.typed.strip()[:40],
            measured_mm=reading.mm,
            length_mm=reading.length.mm if reading.length else None,
            length_nominal=reading.length.said if reading.length else "",
            at=timezone.now(),
            who=hand.who,
        )
    with transaction.atomic():
        _locked_open(sheet)
        known = set(TallyPress.objects.filter(token__in=rows).values_list("token", flat=True))
        TallyPress.objects.bulk_create([row for token, row in rows.items() if token not in known])
    return refused


def answer(*, sheet: TallySheet, token: str, length_mm: float, hand: Hand) -> TallyPress:
    """Say which length a press counts as that lay between two; the same answer twice changes nothing.

    Parameters
    ----------
    token : str
        Of the press that is asked about.
    length_mm : float
        One of the lengths it offers [mm].

    Raises
    ------
    InvalidInput
        It is none of the lengths offered.
    Conflict
        Somebody answered otherwise meanwhile, or took the press back.
    """
    with write(verb="answer_press", summary="answered a press", hand=hand, job=sheet.job) as entry:
        _locked_open(sheet)
        row = _press_of(sheet, token)
        offered = choices_of(sheet, row)
        chosen = next((one for one in offered if abs(one.mm - length_mm) < 1e-3), None)
        if chosen is None:
            said = ", ".join(one.said for one in offered) or "none: measure it again"
            raise InvalidInput("length", needs=f"one of those offered ({said})", came=length_mm)
        if row.taken_back:
            raise Conflict(f"The press '{row.typed}' was taken back meanwhile.")
        if row.length_mm is not None and abs(row.length_mm - chosen.mm) > 1e-6:
            raise Conflict(f"The press '{row.typed}' was already answered as {row.length_nominal}.")
        entry.change(row, length_mm=chosen.mm, length_nominal=chosen.said)
        entry.refer(sheet)
        entry.say(f"answered on a tally sheet: {row.typed} counts as {chosen.said}")
    return row


def take_back_press(*, sheet: TallySheet, token: str, hand: Hand) -> TallyPress:
    """Take back one press, such as the last; taken back twice it is still one that is gone."""
    with write(verb="take_back_press", summary="took back a press", hand=hand, job=sheet.job) as entry:
        _locked_open(sheet)
        row = _press_of(sheet, token)
        entry.change(row, taken_back=True)
        entry.refer(sheet)
        entry.say(f"took back the press {row.typed} on a tally sheet")
    return row


def close_sheet(*, sheet: TallySheet, hand: Hand) -> list[Lot]:
    """Close a sheet: one lot for each length, all in one record.

    Returns
    -------
    list of Lot
        The shortest first.

    Raises
    ------
    Conflict
        It was closed before, a press still waits for an answer, or nothing was pressed.
    """
    with write(verb="close_tally_sheet", summary="closed a tally sheet", hand=hand, job=sheet.job) as entry:
        sheet = _locked_open(sheet)
        state = state_of(sheet)
        if state.questions:
            count = len(state.questions)
            raise Conflict(
                f"{count} press{'es wait' if count > 1 else ' waits'} for an answer: say which length."
            )
        if not state.lines:
            raise Conflict("Nothing is on this sheet yet. Throw it away if it is not needed.")
        lots = keep_lots(entry, job=sheet.job, facts=[_facts(sheet, line) for line in state.lines])
        entry.change(sheet, closed_at=entry.at)
        for leaned in (sheet.area, sheet.bag, sheet.origin):
            entry.refer(leaned)
        entry.say(f"closed a tally sheet: {state.total} {marks_of(sheet, state.total)} in {len(lots)} lots")
    return lots


def throw_away_sheet(*, sheet: TallySheet, hand: Hand) -> None:
    """Withdraw an open sheet; its presses stay with it, should the act be taken back."""
    with write(
        verb="throw_away_tally_sheet", summary="threw away a tally sheet", hand=hand, job=sheet.job
    ) as entry:
        sheet = _locked_open(sheet)
        total = sheet.presses.filter(taken_back=False).count()
        entry.change(sheet, withdrawn=True)
        entry.say(f"threw away a tally sheet with {total} {marks_of(sheet, total)}")


def _locked_open(sheet: TallySheet) -> TallySheet:
    """Hold the sheet until the transaction ends, so that no press slips in beside its closing."""
    held = TallySheet.objects.select_for_update(of=("self",)).select_related("job", "area", "bag", "origin")
    now = held.get(pk=sheet.pk)
    if now.closed_at is not None or now.withdrawn:
        raise Conflict("This tally sheet was closed meanwhile; nothing was counted on it.")
    if now.job.closed_on is not None:
        refuse_closed([now.job_id])
    return now


def _press_of(sheet: TallySheet, token: str) -> TallyPress:
    row = TallyPress.objects.filter(sheet=sheet, token=token).first()
    if row is None:
        raise NotFound("That press is not on this sheet.")
    return row


def _need_kind(kind: str) -> Kind:
    if kind not in TALLIED_KINDS:
        raise InvalidInput(
            "kind",
            needs="pieces that have a length",
            came=kind.replace("_", " "),
            remedy="Count nuts and washers, and write a quick line.",
        )
    return Kind(kind)


def _need_token(token: str) -> None:
    if not 8 <= len(token) <= 64:
        raise InvalidInput("token", needs="8 to 64 signs", came=token[:64])


def _ends(thread: str, kind: Kind) -> tuple[ThreadReading, ...]:
    if not thread.strip():
        return ()
    try:
        ends = read_ends(thread, threaded=kind.has_thread)
    except InvalidInput as error:
        raise InvalidInput("thread", needs=error.needs, came=error.came, remedy=error.remedy) from error
    if not any(end.candidates or end.size_said for end in ends):
        raise InvalidInput(
            "thread",
            needs="a thread such as 5/16-24 UNF or M8",
            came=thread,
            remedy="Leave it empty if unknown.",
        )
    return ends


def _series(ends: Sequence[ThreadReading], unit: str) -> str:
    """Inch or metric lengths: those of the thread, else those the caliper stands on."""
    names = [name for end in ends for name in end.candidates] or [
        end.size_said for end in ends if end.size_said
    ]
    if not names:
        return LengthUnit(unit).value
    metric = [name.upper().startswith("M") or name.lower().endswith("mm") for name in names]
    return (LengthUnit.MM if all(metric) else LengthUnit.INCH).value


def _facts(sheet: TallySheet, line: TallyLine) -> LotFacts:
    unit = LengthUnit(sheet.unit)
    shortest, longest = format_length(line.shortest_mm, unit), format_length(line.longest_mm, unit)
    basis = Kind(sheet.kind).length_basis
    return LotFacts(
        count=line.count,
        kind=sheet.kind,
        end_a=tuple(end for end in sheet.end_a.split("|") if end),
        end_b=tuple(end for end in sheet.end_b.split("|") if end),
        size_said=sheet.size_said,
        length_mm=line.length_mm,
        length_nominal=line.said,
        length_typed=shortest if shortest == longest else f"{shortest} to {longest}",
        length_basis=basis.value if basis else "",
        finish_look=sheet.finish_look,
        area=sheet.area,
        bag=sheet.bag,
        origin=sheet.origin,
    )
