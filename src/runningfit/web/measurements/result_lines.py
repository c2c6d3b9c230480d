"""What each set of a job's sheet comes to, in a word: for the sheet itself and for the judge page."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.web.measurements.result_saying import ANSWER_STAMPS, ANSWER_WORDS
from runningfit.workshop.measurements.judging import Answer, judged_of_sheet
from runningfit.workshop.measurements.sheet_now import SheetNow


@dataclass(frozen=True, slots=True)
class SetLine:
    """A set by its worst word, its stamp, and whether a person must look at it."""

    pk: int
    name: str
    word: str
    stamp: str
    waits: bool


def set_lines(sheet: SheetNow) -> list[SetLine]:
    """Return the sets of a job's sheet of which something is read."""
    return [
        SetLine(
            one.feature_set.pk,
            one.feature_set.name,
            ANSWER_WORDS[one.answer],
            ANSWER_STAMPS[one.answer],
            one.needs_a_person,
        )
        for one in judged_of_sheet(sheet)
        if one.answer is not Answer.NOT_READ
    ]
