"""Hardware in a photo taken into the books: as lots with their pictures, in one act, and once."""

from __future__ import annotations

from typing import Any

import pytest
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from hardware_for_tests import FULL_TRAY as TRAY
from hardware_for_tests import bolt, measured, photo_of, shot, washer
from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.models import (
    Lot,
    Photo,
    PhotoRun,
    Place,
    Record,
)
from runningfit.workshop.photos import correcting
from runningfit.workshop.photos.accepting import Chosen, Into, accept
from runningfit.workshop.photos.grouping import grouped, state_of
from runningfit.workshop.photos.hardware import photograph, put_run_away
from runningfit.workshop.photos.hardware_reads import (
    lots_accepted,
    pieces_of,
    run_of_job,
)
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.same_pieces import seen_before
from runningfit.workshop.pieces.ledger import count_of
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


def all_of(run: PhotoRun) -> list[Chosen]:
    return [Chosen(one.key, len(one.pieces)) for one in grouped(pieces_of(run))]


def accepted(run: PhotoRun, **more: Any) -> list[Lot]:
    into = more.pop("into", Into(new_bag=True))
    return accept(
        run=run,
        chosen=more.pop("chosen", all_of(run)),
        into=into,
        state=state_of(pieces_of(run)),
        hand=ANN,
        **more,
    )


def test_alike_pieces_are_one_lot_and_washers_are_told_apart_by_their_diameters(job: Job) -> None:
    run = shot(
        job,
        measured(
            *(
                washer(
                    at + 1, at=(20 + 10 * (at % 15), 40 + 10 * (at // 15)), inside_mm=8.3 + 0.02 * (at % 7)
                )
                for at in range(150)
            ),
            washer(151, at=(200, 180), inside_mm=6.4, outside_mm=12.0),
        ),
    )
    groups = grouped(pieces_of(run))
    assert sorted(len(group.pieces) for group in groups) == [1, 150]
    large = max(groups, key=lambda group: len(group.pieces))
    assert large.remark == "inside 8.4 mm, outside 16.0 mm"
    lots = accepted(run)
    assert sorted(count_of(lot).bench for lot in lots) == [1, 150]
    words = Photo.objects.get(lot=next(lot for lot in lots if count_of(lot).bench == 150)).words
    assert words == "12 of 150 pieces, cut out of a photo on the mat"


def test_a_photo_becomes_lots_in_a_bag_and_a_place_in_one_act(job: Job, place: Place) -> None:
    run = shot(job, TRAY)
    groups = {group.first.number: group for group in grouped(pieces_of(run))}
    chosen = [
        Chosen(groups[1].key, 2, place),
        Chosen(groups[4].key, 1),
        Chosen(groups[5].key, 5),
    ]
    before = Record.objects.count()
    lots = accepted(run, chosen=chosen, into=Into(new_bag=True, area="Sump"))
    assert Record.objects.count() == before + 1
    bolts, unsure, washers = lots
    assert (bolts.end_a, bolts.length_nominal, bolts.place, count_of(bolts).bench) == (
        "5/16-24 UNF", "1 3/8 in", place, 2,
    )  # fmt: skip
    assert (unsure.end_a, unsure.questions) == ("5/16-24 UNF|M8x1", ["Screw an M8x1 nut on it."])
    assert (count_of(washers).bench, washers.remarks) == (
        5,
        "inside 8.5 mm, outside 16.2 mm, by a photo",
    ) or (washers.remarks == "inside 8.5 mm, outside 16.1 mm, by a photo")
    assert {lot.bag_id for lot in lots} == {bolts.bag_id}
    assert {str(lot.area) for lot in lots} == {"Sump"}
    assert {photo.lot_id for photo in Photo.objects.filter(lot__in=lots)} == {lot.pk for lot in lots}
    run = run_of_job(job, run.pk)
    assert [lot.pk for lot in lots_accepted(run)] == [lot.pk for lot in lots]
    assert Record.objects.latest("pk").summary == (
        f"accepted hardware photo {run.pk}: 8 pieces as lots 1, 2, 3, bag {bolts.bag}"
    )


def test_an_acceptance_is_taken_back_whole_and_can_be_made_again(job: Job) -> None:
    run = shot(job, TRAY)
    lots = accepted(run)
    with pytest.raises(Conflict, match="in the books already"):
        correcting.set_aside(run=run, number=1, hand=ANN)
    with pytest.raises(Conflict, match="in the books already"):
        put_run_away(run=run, hand=ANN)
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("wrong bag"))
    run = run_of_job(job, run.pk)
    assert (run.accepted_by_id, lots_accepted(run)) == (None, [])
    assert sum(count_of(lot).total for lot in lots) == 0
    assert not Photo.objects.filter(lot__in=lots, withdrawn=False).exists()
    assert len(accepted(run)) == len(lots)


def test_a_photo_is_accepted_once_and_not_over_a_correction_made_meanwhile(job: Job) -> None:
    run = shot(job, TRAY)
    state, chosen = state_of(pieces_of(run)), all_of(run)
    correcting.set_aside(run=run, number=3, hand=ANN)
    with pytest.raises(Conflict, match="Somebody corrected a piece"):
        accept(run=run, chosen=chosen, into=Into(), state=state, hand=ANN)
    with pytest.raises(Conflict, match="Somebody corrected a piece"):
        accept(run=run, chosen=all_of(run), into=Into(), state=state, hand=ANN)
    accepted(run)
    with pytest.raises(Conflict, match="in the books already"):
        accepted(run)
    assert Lot.objects.count() == len(chosen) - 1


def test_nothing_is_accepted_where_nothing_was_chosen_or_measured(job: Job) -> None:
    run = shot(job, TRAY)
    with pytest.raises(InvalidInput, match="at least one line that is ticked"):
        accepted(run, chosen=[])
    waiting, _ = photograph(job=job, picture=read_picture(photo_of(TRAY, mark="later")), hand=ANN)
    with pytest.raises(InvalidInput, match="one that is measured; 'one that waits its turn' came"):
        correcting.set_aside(run=waiting, number=1, hand=ANN)
    with pytest.raises(InvalidInput, match="bag"):
        accepted(run, into=Into(bag="no such code at all"))


def test_pieces_that_lie_where_counted_ones_lay_are_asked_about(job: Job) -> None:
    first = shot(job, TRAY)
    accepted(first)
    moved = measured(
        *(bolt(n, at=(x + 0.8, y - 1.1)) for n, (x, y) in enumerate([(40, 30), (120, 30), (220, 30)], 1))
    )
    second = shot(job, moved)
    (seen,) = seen_before(second, pieces_of(second))
    assert (seen.run.pk, seen.alike, seen.of) == (first.pk, 2, 3)


def test_the_same_tray_again_is_counted_only_when_a_person_says_so(job: Job) -> None:
    accepted(shot(job, TRAY))
    second = shot(job, TRAY, mark="again")
    with pytest.raises(Conflict, match=r"in the books already\. Nothing was counted"):
        accepted(second)
    lots = Lot.objects.count()
    accepted(second, others_than_before=True)
    assert Lot.objects.count() == 2 * lots


def test_other_pieces_on_the_mat_are_not_asked_about(job: Job) -> None:
    accepted(shot(job, TRAY))
    other = shot(job, measured(*(bolt(n, at=(30 * n, 150)) for n in range(1, 6))))
    assert seen_before(other, pieces_of(other)) == []
    long = shot(job, measured(bolt(1, at=(40, 30), length_mm=60), bolt(2, at=(120, 30), length_mm=60)))
    assert seen_before(long, pieces_of(long)) == []
