"""What a count by photos comes to before anybody looked it through, in sentences."""

from __future__ import annotations

from dataclasses import dataclass

from runningfit.core.errors import RunningFitError
from runningfit.core.plan.count_back import reconcile
from runningfit.core.plan.count_back import saying as say
from runningfit.web.outside_work.counting_form import CountingForm
from runningfit.workshop.outside_work.expecting import Outside


@dataclass(frozen=True, slots=True)
class Difference:
    """What a count by photos comes to before anybody looked it through, by lot, in sentences."""

    missing: list[str]
    swapped: list[str]
    added: list[str]

    @property
    def any(self) -> bool:
        """Return whether anything differs from what was sent."""
        return bool(self.missing or self.swapped or self.added)


def difference(outside: Outside, form: CountingForm) -> Difference | None:
    """Say by lot what the photos find missing, swapped and added, changing nothing.

    Returns
    -------
    Difference or None
        None where something in the photos cannot be counted yet; the form then asks for it.
    """
    try:
        groups = form.as_photographed()
        proposal = reconcile(outside.expected, groups, finished=True)
    except RunningFitError:
        return None
    lines = outside.by_line
    counted = {group.key: group for group in groups}
    return Difference(
        [say.short_said(one, lines) for one in proposal.short],
        [say.swap_said(one, lines, counted[one.key]) for one in proposal.swapped],
        [say.over_said(one, counted[one.key]) for one in proposal.over],
    )
