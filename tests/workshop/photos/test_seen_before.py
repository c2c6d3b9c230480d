"""What is said of photos in the books is what they are now, whatever was kept of them."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from hardware_for_tests import TOUCHING, bolt, measured, shot, washer
from runningfit.core.photos.items import PhotoItem
from runningfit.workshop.models import PhotoPiece, PhotoRun, Record
from runningfit.workshop.photos import correcting
from runningfit.workshop.photos.accepting import Chosen, Into, accept
from runningfit.workshop.photos.grouping import grouped, state_of
from runningfit.workshop.photos.hardware_reads import pieces_of, run_of_job
from runningfit.workshop.photos.same_pieces import seen_before
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


def laid(*, x_mm: float = 0.0, longer_mm: float = 0.0, more: Sequence[PhotoItem] = ()) -> list[PhotoItem]:
    """Three bolts of one sort, one longer, and a washer, shifted on the mat."""
    return [
        *(bolt(n, at=(40 + 60 * n + x_mm, 30), length_mm=34.9 + longer_mm) for n in range(1, 4)),
        bolt(4, at=(40 + x_mm, 60), length_mm=50.8 + longer_mm),
        washer(5, at=(60 + x_mm, 100), outside_mm=16.0 + longer_mm),
        *more,
    ]


def into_the_books(run: PhotoRun) -> Record:
    """Accept a photo, whatever is in the books already; returns the act."""
    pieces = pieces_of(run)
    chosen = [Chosen(one.key, len(one.pieces)) for one in grouped(pieces)]
    accept(
        run=run,
        chosen=chosen,
        into=Into(new_bag=True),
        state=state_of(pieces),
        hand=ANN,
        others_than_before=True,
    )
    return Record.objects.latest("pk")


def told(run: PhotoRun) -> list[tuple[int, int, int, int, bool]]:
    """What is seen of a photo, in short."""
    found = seen_before(run, pieces_of(run))
    return [(one.run.pk, one.alike, one.of, one.there, one.at_one_spot) for one in found]


def test_a_photo_counts_from_its_acceptance_until_this_is_taken_back(job: Job) -> None:
    first = shot(job, measured(*laid()))
    second = shot(job, measured(*laid(x_mm=33)))
    assert told(second) == []
    act = into_the_books(first)
    assert told(second) == told(second) == [(first.pk, 5, 5, 5, False)]
    take_back(record=act, hand=ANN.because("wrong bag"))
    assert told(second) == []
    into_the_books(run_of_job(job, first.pk))
    assert told(second) == [(first.pk, 5, 5, 5, False)]


def test_what_is_corrected_on_either_side_is_seen_at_once(job: Job) -> None:
    first = shot(job, measured(*laid()))
    second = shot(job, measured(*laid(x_mm=33)))
    act = into_the_books(first)
    assert told(second) == [(first.pk, 5, 5, 5, False)]
    correcting.set_aside(run=second, number=5, hand=ANN)
    assert told(second) == [(first.pk, 4, 4, 5, False)]
    correcting.count_again(run=second, number=5, hand=ANN)
    assert told(second) == [(first.pk, 5, 5, 5, False)]
    take_back(record=act, hand=ANN.because("one was no piece"))
    first = run_of_job(job, first.pk)
    correcting.set_aside(run=first, number=4, hand=ANN)
    into_the_books(first)
    assert told(second) == [(first.pk, 4, 5, 4, False)]


def test_a_part_that_was_split_off_is_no_longer_what_was_measured(job: Job) -> None:
    first = shot(job, measured(*laid()))
    correcting.split(run=first, number=4, count=2, hand=ANN)
    into_the_books(first)
    second = shot(job, measured(*laid(x_mm=33)))
    # Of six pieces there, the two parts of the split one count as what nobody measured.
    assert told(second) == [(first.pk, 4, 5, 6, False)]


def test_another_measuring_of_the_same_spots_is_another(job: Job) -> None:
    """Rows of one number and one spot may differ in what was measured."""
    first = shot(job, measured(*laid()))
    into_the_books(first)
    second = shot(job, measured(*laid(x_mm=33)))
    assert told(second) == [(first.pk, 5, 5, 5, False)]
    for row, other in zip(pieces_of(first), measured(*laid(longer_mm=9)).items, strict=True):
        length = row.proposed["sizes"]
        if "length" in length and other.sizes.length:
            length["length"][0] = other.sizes.length.value_mm
        PhotoPiece.objects.filter(pk=row.pk).update(proposed=row.proposed)
    assert told(second) == []


def test_photos_in_which_nothing_could_be_measured_say_nothing(job: Job) -> None:
    into_the_books(shot(job, measured(*laid())))
    none = shot(job, measured(bolt(1, at=(200, 150), could_not=TOUCHING)))
    assert told(none) == []


def test_many_photos_ask_the_database_no_more_than_one(job: Job) -> None:
    into_the_books(shot(job, measured(*laid())))
    run = shot(job, measured(*laid(x_mm=33)))
    pieces = pieces_of(run)
    asked = []
    for count in (1, 7):
        while PhotoRun.objects.filter(accepted_by__isnull=False).count() < count:
            more = PhotoRun.objects.count()
            into_the_books(shot(job, measured(*laid(x_mm=60.0 + more))))
        with CaptureQueriesContext(connection) as queries:
            assert len(seen_before(run, pieces)) == count
        asked.append(len(queries))
    assert asked == [2, 2]
