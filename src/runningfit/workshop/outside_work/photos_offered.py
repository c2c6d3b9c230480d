"""Photos by which a consignment can be counted: which may, and which may show the same pieces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from runningfit.workshop.outside_work.expecting import Outside, Scope
from runningfit.workshop.photos.hardware_models import PhotoPiece, PhotoRun
from runningfit.workshop.photos.hardware_reads import measured_since, pieces_of_runs
from runningfit.workshop.photos.same_pieces import look_the_same

PHOTOS_OFFERED, MOST_OF_A_BUCKET = 6, 24


@dataclass(frozen=True, slots=True)
class Photographed:
    """The photos that propose a count: those that may, those that do, and what lies in these.

    Parameters
    ----------
    offered : list of PhotoRun
        The newest first.
    chosen : list of PhotoRun
        Those that were asked for.
    pieces : list of PhotoPiece
        All that lie in the chosen ones.
    twice : list of str
        Sentences about chosen photos that may show the same pieces.
    """

    offered: list[PhotoRun]
    chosen: list[PhotoRun]
    pieces: list[PhotoPiece]
    twice: list[str]


def photographed(outside: Outside, scope: Scope, asked: Sequence[str]) -> Photographed:
    """Return the photos by which a scope of a consignment can be counted.

    Parameters
    ----------
    outside : Outside
        What may come back.
    scope : Scope
        One bag, or the bucket; offered are photos of it since it went that are in no books.
    asked : sequence of str
        The numbers of the photos that were chosen.
    """
    offered = _offered(outside, scope)
    chosen = [run for run in offered if str(run.pk) in asked]
    by_run = pieces_of_runs(chosen)
    twice = [
        f"Photos {one.pk} and {other.pk} may show the same pieces: if they do, count by one of them."
        for one, other in combinations(chosen[::-1], 2)
        if look_the_same(by_run[one.pk], by_run[other.pk])
    ]
    return Photographed(offered, chosen, [piece for rows in by_run.values() for piece in rows], twice)


def _offered(outside: Outside, scope: Scope) -> list[PhotoRun]:
    sent_on = outside.consignment.sent_on
    if sent_on is None or (scope.way == "bag" and scope.bag is None):
        return []
    if scope.bag is not None:
        return measured_since({scope.bag.job_id}, sent_on, bag=scope.bag, most=PHOTOS_OFFERED)
    jobs = {line.lot.job_id for line in outside.lines.values()}
    return measured_since(jobs, sent_on, most=MOST_OF_A_BUCKET)
