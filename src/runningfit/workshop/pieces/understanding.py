"""From a lot as understood to lots as kept, whichever way it came in: quick line, photo, bench list."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.condition import Defect
from runningfit.core.pieces.quick_line import read_quick_line
from runningfit.core.pieces.understood import End, Meaning, UnderstoodLine, UnderstoodLot
from runningfit.workshop.pieces.bag_codes import normal_code
from runningfit.workshop.pieces.lots import LotFacts, describe, keep_lots
from runningfit.workshop.pieces.models import Area, Bag, Lot
from runningfit.workshop.records.models import Engine, Job
from runningfit.workshop.records.queries import subject_engine
from runningfit.workshop.records.writing import Entry, Hand, write

_THREAD_FAULT = re.compile(
    r"\bthread(?:s|ed)?\b|\bcross-?threaded\b|\bstripped\b(?!\s+(?:of\s+)?(?:paint|plating))", re.IGNORECASE
)


def understand_line(*, job: Job, text: str) -> UnderstoodLine:
    """Understand a quick line with the areas and bags of the job in mind.

    Raises
    ------
    InvalidInput
        The line is empty or too long.
    """
    areas = Area.objects.filter(job=job, withdrawn=False).values_list("name", flat=True).distinct()
    bags = Bag.objects.filter(job=job, withdrawn=False).values_list("code", flat=True)
    return read_quick_line(text, known_areas=tuple(areas), known_bags=tuple(bags))


def is_thread_fault(what: str) -> bool:
    """Return whether a defect in words is one of the thread."""
    return _THREAD_FAULT.search(what) is not None


def facts_of(
    lot: UnderstoodLot,
    *,
    area: Area | None = None,
    bag: Bag | None = None,
    origin: Engine | None = None,
) -> tuple[list[LotFacts], list[str]]:
    """Return what is to be kept of a lot as understood: one fact for the good pieces and one for each defect.

    Parameters
    ----------
    lot : UnderstoodLot
        A quick line or a row of a bench list.
    area, bag, origin
        The rows that its words mean; the caller finds or makes them.

    Returns
    -------
    facts : list of LotFacts
        The good pieces first, unless none is good; the counts add up to the count said.
    questions : list of str
        What stays open, in sentences; every fact carries them too.

    Raises
    ------
    InvalidInput
        The count is not known, so nothing can be counted.
    """
    if lot.count is None:
        problem = next((problem for problem in lot.problems if problem.field is Meaning.COUNT), None)
        raise InvalidInput(
            "count",
            needs="a whole number of pieces",
            came=problem.came if problem else "nothing",
            remedy="Say how many there are, such as 9 hex bolts.",
        )
    questions = [problem.sentence for problem in lot.problems]
    questions += [question.question for question in lot.questions]
    parts, open_defects = _told_apart(lot.count, lot.defects)
    questions += open_defects
    typed = dict(reversed(lot.typed))
    ends = [*lot.ends, End((), ""), End((), "")]
    unread = " / ".join(end.typed for end in lot.ends if not end.candidates and end.typed)
    return [
        LotFacts(
            count=count,
            kind=lot.kind.value if lot.kind else "other",
            end_a=ends[0].candidates,
            end_b=ends[1].candidates,
            size_said=_shortened(lot.size_said or unread, 40),
            length_mm=lot.length_mm,
            length_nominal=_shortened(lot.length_nominal or "", 30),
            length_typed=_shortened(typed.get(Meaning.LENGTH, ""), 60),
            length_basis=lot.length_basis.value if lot.length_basis else "",
            finish_look=lot.finish_look.value,
            finish_process=lot.finish_process.value if lot.finish_process else "",
            condition=_shortened(lot.condition if defect or len(parts) == 1 else _of_all(lot.condition), 300),
            defect=_shortened(defect, 120),
            remarks=_shortened(lot.remarks, 500),
            kind_said=_shortened(typed.get(Meaning.KIND, ""), 120),
            area=area,
            bag=bag,
            origin=origin,
            thread_state=state,
            questions=tuple(questions),
        )
        for count, defect, state in parts
    ], questions


def _of_all(condition: str) -> str:
    """Return the condition without what is said of some pieces only: "rusty, 2 sheared" is "rusty"."""
    said = [part.strip() for part in re.split(r"[;,]", condition)]
    return ", ".join(part for part in said if part and not part[0].isdigit())


def keep_understood_lots(
    entry: Entry,
    *,
    job: Job,
    understood: Sequence[UnderstoodLot],
    origin: Engine | None = None,
    source: str = "found",
    area: Area | None = None,
    bag: Bag | None = None,
) -> list[list[Lot]]:
    """Keep lots as understood inside an open record, with the areas and bags they name.

    Parameters
    ----------
    entry : Entry
        The open record.
    job : Job
        The job they belong to.
    understood : sequence of UnderstoodLot
        Lines or rows; each must have a count.
    origin : Engine or None
        The engine they came off.
    area, bag
        Taken where a lot names none itself.

    Returns
    -------
    list of list of Lot
        For each lot as understood the lots it became, the good pieces first.

    Raises
    ------
    InvalidInput
        A count is not known.
    """
    areas = AreasByName(entry, job, origin)
    bags = BagsByCode(entry, job)
    facts: list[LotFacts] = []
    sizes: list[int] = []
    for one in understood:
        own_area = areas.named(one.area) or area
        own_bag, question = bags.coded(one.bag, own_area)
        made, _questions = facts_of(one, area=own_area, bag=own_bag or bag, origin=origin)
        if question:
            made = [replace(fact, questions=(*fact.questions, question)) for fact in made]
        facts += made
        sizes.append(len(made))
    lots = iter(keep_lots(entry, job=job, facts=facts, source=source))
    for used in (area, bag, origin, *areas.used.values(), *bags.used.values()):
        entry.refer(used)
    return [[next(lots) for _ in range(size)] for size in sizes]


def keep_understood(
    *, job: Job, line: UnderstoodLot, hand: Hand, origin: Engine | None = None, source: str = "found"
) -> list[Lot]:
    """Keep one quick line: its lots, and the area and bag it names where they do not exist yet."""
    with write(verb="keep_understood", summary="kept a lot", hand=hand, job=job) as entry:
        ((*lots,),) = keep_understood_lots(entry, job=job, understood=[line], origin=origin, source=source)
        entry.say(said_of(lots, line))
    return lots


def said_of(lots: Sequence[Lot], line: UnderstoodLot) -> str:
    """Return the line of the history that says which lots were kept."""
    numbers = " and ".join(str(lot.number) for lot in lots)
    return f"kept lot{'s' if len(lots) > 1 else ''} {numbers}: {line.count} {describe(lots[0])}"


class AreasByName:
    """The areas of a job by name; one that is not there yet is made in the open record."""

    def __init__(self, entry: Entry, job: Job, origin: Engine | None) -> None:
        self._entry = entry
        self._job = job
        self._engine = origin or subject_engine(job)
        self._by_name: dict[str, Area] | None = None
        self.used: dict[int, Area] = {}

    def named(self, name: str) -> Area | None:
        """Return the area of that name, or None where no name is given."""
        name = _shortened(" ".join(name.split()), 80)
        if not name:
            return None
        known = self._known()
        area = known.get(name.casefold())
        if area is None:
            area = self._entry.create(Area(job=self._job, engine=self._engine, name=name))
            known[name.casefold()] = area
        else:
            self.used[area.pk] = area
        return area

    def _known(self) -> dict[str, Area]:
        if self._by_name is None:
            engine_id = self._engine.pk if self._engine else None
            rows = list(Area.objects.filter(job=self._job, withdrawn=False).order_by("-pk"))
            # Two engines may have areas of one name: that of the engine in hand wins, then one of no engine.
            rows.sort(key=lambda row: (row.engine_id == engine_id, row.engine_id is None))
            self._by_name = {row.name.casefold(): row for row in rows}
        return self._by_name


class BagsByCode:
    """The bags of a job by code; one that is not there yet is made in the open record."""

    def __init__(self, entry: Entry, job: Job) -> None:
        self._entry = entry
        self._job = job
        self._by_code: dict[str, Bag] | None = None
        self.used: dict[int, Bag] = {}

    def coded(self, typed: str, area: Area | None) -> tuple[Bag | None, str]:
        """Return the bag, and a question where the words cannot be a bag's code."""
        if not typed.strip():
            return None, ""
        try:
            code = normal_code(typed)
        except InvalidInput as error:
            return None, str(error)
        known = self._known()
        bag = known.get(code)
        if bag is None:
            bag = self._entry.create(Bag(job=self._job, code=code, area=area))
            known[code] = bag
        else:
            self.used[bag.pk] = bag
        return bag, ""

    def _known(self) -> dict[str, Bag]:
        if self._by_code is None:
            self._by_code = {bag.code: bag for bag in Bag.objects.filter(job=self._job, withdrawn=False)}
        return self._by_code


def _told_apart(count: int, defects: Sequence[Defect]) -> tuple[list[tuple[int, str, str]], list[str]]:
    """Split a count by its defects: (count, defect, thread state) each, and what stays open."""
    counted = [(defect.count, defect.what) for defect in defects if defect.count]
    uncounted = [defect.what for defect in defects if not defect.count]
    questions: list[str] = []
    total = sum(number for number, _what in counted)
    if total > count:
        # They may overlap, or be wrong; told apart they would count pieces that are not there.
        uncounted = [f"{number} {what}" for number, what in counted] + uncounted
        counted = []
        questions.append(f"Defects of {total} pieces are said of {count}: count the good and the bad again.")
    rest_defect = ", ".join(uncounted)
    rest_state = ""
    if is_thread_fault(rest_defect):
        rest_state = "not_proven"
        if not questions:
            questions.append(f"How many have {rest_defect}? Count them, then split the lot.")
    good = count - sum(number for number, _what in counted)
    parts = [(good, rest_defect, rest_state)] if good else []
    for number, what in counted:
        parts.append((number, what, "defective" if is_thread_fault(what) else rest_state))
    return parts, questions


def _shortened(text: str, longest: int) -> str:
    return text if len(text) <= longest else text[: longest - 1] + "…"
