"""Hardware in a photo: measured beside the pages, corrected, and taken into the books once."""

from __future__ import annotations

import csv
import datetime as dt
import io
import threading
import zipfile
from pathlib import Path

import pytest
from django.utils import timezone
from pytest_django.fixtures import Settings

import hardware_for_tests as hardware
from hardware_for_tests import BLURRED, TOUCHING, bolt, measured, photo_of, shot
from hardware_for_tests import FULL_TRAY as TRAY
from runningfit.core.errors import Conflict, InvalidInput, NotFound, NothingChanged
from runningfit.core.photos.items import Look
from runningfit.core.pieces.kinds import Kind
from runningfit.workshop.models import (
    Photo,
    PhotoCorrection,
    PhotoPiece,
    Record,
)
from runningfit.workshop.photos import correcting
from runningfit.workshop.photos.comparing import compare_runs
from runningfit.workshop.photos.grouping import grouped
from runningfit.workshop.photos.hardware import measure_again, photograph
from runningfit.workshop.photos.hardware_reads import (
    pieces_of,
    run_of_job,
    to_settle,
)
from runningfit.workshop.photos.labelled import write_labelled
from runningfit.workshop.photos.pictures import read_picture
from runningfit.workshop.photos.printed_mats import keep_mat
from runningfit.workshop.photos.running import SILENT_S, compute, has_died, start
from runningfit.workshop.pieces.spec_reading import read_spec
from runningfit.workshop.records.models import Job
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("data_folder")]
ANN = Hand(who="Ann")


@pytest.fixture(autouse=True)
def answers_as_drawn(settings: Settings) -> None:
    settings.HARDWARE_MEASURER = hardware.MEASURER


def test_a_photo_is_measured_and_each_piece_kept_as_proposed(job: Job) -> None:
    mat = keep_mat(paper="A4", scale="0.985", hand=ANN)
    run = shot(job, TRAY, mat=mat)
    assert (run.state, run.mat_id, run.worker != "", run.ended_at is not None) == (
        "measured",
        mat.pk,
        True,
        True,
    )
    assert (run.width_px, run.cautions) == (hardware.WIDTH_PX, list(TRAY.cautions))
    by_number = {piece.number: piece for piece in pieces_of(run)}
    first = by_number[1]
    assert (first.kind, first.end_a, first.length_nominal, first.finish_look) == (
        "hex_bolt", "5/16-24 UNF", "1 3/8 in", "clear",
    )  # fmt: skip
    assert (first.unsure, first.length_basis, first.proposed["sizes"]["length"]) == (
        False, "under_head", [34.9, 0.15],
    )  # fmt: skip
    assert (by_number[4].end_a, by_number[4].ask) == ("5/16-24 UNF|M8x1", "Screw an M8x1 nut on it.")
    assert by_number[5].remark == "outside 16.0 mm, inside 8.4 mm" or by_number[5].remark == (
        "inside 8.4 mm, outside 16.0 mm"
    )
    assert by_number[7].ask == f"{TOUCHING.reason} {TOUCHING.remedy}"
    assert [piece.number for piece in to_settle(list(by_number.values()))] == [4, 7]


def test_what_the_measuring_leaves_unasked_is_asked_here(job: Job) -> None:
    run = shot(
        job,
        measured(
            bolt(1, at=(40, 30), kinds={Kind.HEX_BOLT: 0.55, Kind.STUD: 0.45}),
            bolt(2, at=(40, 60), threads={"M8": 0.5, "5/16-18 UNC": 0.48}),
            bolt(3, at=(40, 90), length_mm=36.4),
            bolt(4, at=(40, 120), look=Look.RUST),
        ),
    )
    asks = [piece.ask for piece in pieces_of(run)]
    assert asks[0] == "Look at it and say what it is."
    assert asks[1] == "Try a thread gauge: M8 or 5/16-18 UNC?"
    assert asks[2].startswith("Hold a caliper to it: ")
    assert asks[3] == ""
    rusty = pieces_of(run)[3]
    assert (rusty.finish_look, rusty.condition) == ("none", "rusty")


def test_a_photo_that_cannot_be_measured_says_why_and_what_to_do(job: Job) -> None:
    run = shot(job, BLURRED)
    assert (run.state, run.fault, run.reason, run.remedy) == (
        "refused", "blurred", BLURRED.reason, BLURRED.remedy,
    )  # fmt: skip
    again = shot(job, TRAY, instead=run)
    assert again.state == "measured"
    run.refresh_from_db()
    assert (run.withdrawn, Photo.objects.get(pk=run.photo_id).withdrawn) == (True, True)


def test_a_measuring_that_breaks_off_says_so_and_can_be_done_again(job: Job, settings: Settings) -> None:
    settings.HARDWARE_MEASURER = "hardware_for_tests.no_such_measurer"
    run = shot(job, TRAY)
    assert run.state == "broke"
    assert "no_such_measurer" in run.reason
    settings.HARDWARE_MEASURER = hardware.MEASURER
    new = measure_again(run=run, mat=None, hand=ANN)
    compute(new.pk)
    assert run_of_job(job, new.pk).state == "measured"
    assert new.photo_id == run.photo_id
    with pytest.raises(NotFound, match="put away or measured again"):
        run_of_job(job, run.pk)


def test_a_run_without_a_beat_has_died_and_one_with_a_beat_has_not(job: Job) -> None:
    picture = read_picture(photo_of(TRAY))
    run, _ = photograph(job=job, picture=picture, hand=ANN)
    assert not has_died(run)
    assert has_died(run, run.beat_at + dt.timedelta(seconds=SILENT_S + 1))
    compute(run.pk)
    assert not has_died(run_of_job(job, run.pk), timezone.now() + dt.timedelta(days=1))


def test_a_run_is_measured_once_whoever_else_tries(job: Job) -> None:
    run = shot(job, TRAY)
    worker = run.worker
    compute(run.pk)
    assert run_of_job(job, run.pk).worker == worker
    assert PhotoPiece.objects.filter(run=run).count() == len(TRAY.items)


@pytest.mark.django_db(transaction=True)
def test_a_run_is_measured_in_a_thread_of_its_own(job: Job) -> None:
    run, _ = photograph(job=job, picture=read_picture(photo_of(TRAY)), hand=ANN)
    for thread in threading.enumerate():
        if thread.name == f"hardware-{run.pk}":
            thread.join(30)
    assert run_of_job(job, run.pk).state == "measured"
    start(run.pk)
    for thread in threading.enumerate():
        if thread.name == f"hardware-{run.pk}":
            thread.join(30)
    assert PhotoPiece.objects.filter(run=run).count() == len(TRAY.items)


def test_the_very_photo_sent_again_gives_the_measuring_there_is(job: Job) -> None:
    run = shot(job, TRAY)
    again, is_new = photograph(job=job, picture=read_picture(photo_of(TRAY)), hand=ANN)
    assert (again.pk, is_new) == (run.pk, False)
    assert Photo.objects.count() == 1


def test_corrections_are_kept_beside_what_was_proposed(job: Job) -> None:
    run = shot(job, TRAY)
    spec = read_spec(kind="setscrew", thread="M8x1", length="35 mm")
    correcting.correct(run=run, numbers=[1, 2], spec=spec, look="yellow", hand=ANN)
    piece = PhotoPiece.objects.get(run=run, number=2)
    assert (piece.kind, piece.end_a, piece.length_nominal, piece.finish_look, piece.settled) == (
        "setscrew", "M8x1", "35 mm", "yellow", True,
    )  # fmt: skip
    said = PhotoCorrection.objects.filter(piece=piece).get()
    assert (said.what, said.who, said.proposed["kind"], said.said["kind"]) == (
        "other", "Ann", "hex_bolt", "setscrew",
    )  # fmt: skip
    left, top, right, bottom = said.box_px
    assert left < min(x for x, _ in piece.outline_px) < max(x for x, _ in piece.outline_px) < right
    assert 0 <= top < bottom <= hardware.HEIGHT_PX
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("they are bolts"))
    piece.refresh_from_db()
    assert (piece.kind, piece.end_a, piece.settled) == ("hex_bolt", "5/16-24 UNF", False)
    assert not PhotoCorrection.objects.filter(withdrawn=False).exists()


def test_the_same_said_twice_changes_nothing(job: Job) -> None:
    run = shot(job, TRAY)
    correcting.confirm(run=run, numbers=[4], hand=ANN)
    with pytest.raises(NothingChanged, match="what you sent is what stands there already"):
        correcting.confirm(run=run, numbers=[4], hand=ANN)
    assert PhotoCorrection.objects.count() == 1
    assert [piece.number for piece in to_settle(pieces_of(run))] == [7]


def test_pieces_are_set_aside_joined_split_and_taken_back(job: Job) -> None:
    run = shot(job, TRAY)
    correcting.set_aside(run=run, number=7, hand=ANN)
    correcting.join(run=run, number=6, into=5, hand=ANN)
    first, second, third = correcting.split(run=run, number=4, count=3, hand=ANN)
    assert (first.number, second.number, third.number) == (4, 8, 9)
    assert {one.split_off for one in (first, second, third)} == {first}
    assert len({str(one.outline_px) for one in (first, second, third)}) == 3
    assert (first.end_a, first.length_mm) == ("", None)
    assert [one.number for one in to_settle(pieces_of(run))] == [4, 8, 9]
    counted = sorted(piece.number for group in grouped(pieces_of(run)) for piece in group.pieces)
    assert counted == [1, 2, 3, 4, 5, 8, 9]
    assert [
        piece.number for group in grouped(pieces_of(run)) if group.unmeasured for piece in group.pieces
    ] == [4, 8, 9]
    correcting.count_again(run=run, number=6, hand=ANN)
    assert 6 in [piece.number for group in grouped(pieces_of(run)) for piece in group.pieces]
    with pytest.raises(InvalidInput, match="the number of another piece"):
        correcting.join(run=run, number=5, into=5, hand=ANN)
    with pytest.raises(InvalidInput, match=r"counts as a piece; .7, which is set aside"):
        correcting.join(run=run, number=5, into=7, hand=ANN)
    with pytest.raises(InvalidInput, match="2 to 20 pieces; 1 came"):
        correcting.split(run=run, number=5, count=1, hand=ANN)
    with pytest.raises(InvalidInput, match="the number of a piece in this photo; '77' came"):
        correcting.confirm(run=run, numbers=[77], hand=ANN)


def test_two_photos_are_compared_with_what_was_said_of_their_pieces(job: Job) -> None:
    nine = [bolt(n, at=(30 + 40 * (n % 5), 40 + 30 * (n // 5))) for n in range(1, 10)]
    before = shot(job, measured(*nine))
    after = shot(job, measured(*nine[:7], bolt(8, at=(150, 150), length_mm=38.1)))
    found = compare_runs(before, after)
    assert (sum(one.count for one in found.missing), sum(one.count for one in found.swapped)) == (1, 1)
    for number in range(2, 9):
        correcting.set_aside(run=after, number=number, hand=ANN)
    assert sum(one.count for one in compare_runs(before, after).missing) == 8
    with pytest.raises(Conflict, match="cannot be compared with itself"):
        compare_runs(before, before)


def test_corrections_are_given_out_as_cut_outs_and_a_table(job: Job) -> None:
    with pytest.raises(NotFound, match="nothing to give out"):
        write_labelled(io.BytesIO())
    run = shot(job, TRAY)
    correcting.confirm(run=run, numbers=[4], hand=ANN)
    correcting.correct(
        run=run, numbers=[1], spec=read_spec(kind="stud", thread="M8x1", length=""), look="black", hand=ANN
    )
    stream = io.BytesIO()
    assert write_labelled(stream) == 2
    with zipfile.ZipFile(stream) as archive:
        rows = list(csv.DictReader(io.StringIO(archive.read("corrections.csv").decode("utf-8-sig"))))
        assert [
            (row["what"], row["proposed_kind"], row["said_kind"], row["said_thread"]) for row in rows
        ] == [
            ("so", "hex_bolt", "hex_bolt", "5/16-24 UNF|M8x1"),
            ("other", "hex_bolt", "stud", "M8x1"),
        ]
        for row in rows:
            assert archive.read(row["cut_out"]).startswith(b"\xff\xd8\xff")
        told = archive.read("corrections.csv").decode() + archive.read("read-me.txt").decode()
    assert "Ann" not in told
    assert job.name not in told


def test_a_photo_without_its_file_is_still_given_out_as_a_line(job: Job, data_folder: Path) -> None:
    run = shot(job, TRAY)
    correcting.confirm(run=run, numbers=[4], hand=ANN)
    (data_folder / "photos" / run.photo.original).unlink()
    stream = io.BytesIO()
    assert write_labelled(stream) == 1
    with zipfile.ZipFile(stream) as archive:
        assert sorted(archive.namelist()) == ["corrections.csv", "read-me.txt"]


def test_a_split_is_taken_back_with_the_whole_outline(job: Job) -> None:
    run = shot(job, TRAY)
    whole = pieces_of(run)[2]
    correcting.split(run=run, number=3, count=2, hand=ANN)
    assert pieces_of(run)[2].outline_px != whole.outline_px
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("it is one"))
    again = pieces_of(run)
    assert len(again) == len(TRAY.items)
    assert (again[2].outline_px, again[2].length_mm, again[2].split_off) == (
        whole.outline_px, whole.length_mm, None,
    )  # fmt: skip
