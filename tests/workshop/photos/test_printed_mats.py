"""Printed mats: what their ruler measures is kept as typed and as read, and one of them is the usual one."""

from __future__ import annotations

import pytest

from runningfit.core.errors import Conflict, InvalidInput
from runningfit.workshop.models import PrintedMat, Record
from runningfit.workshop.photos.printed_mats import keep_mat, make_usual, mats, measure_mat, put_mat_away
from runningfit.workshop.records.taking_back import take_back
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


def test_a_mat_is_kept_with_what_was_typed_and_what_it_means() -> None:
    mat = keep_mat(paper="A3", scale="295,5/300", where=" on  the bench ", hand=ANN)
    assert (mat.print_scale, mat.scale_typed, mat.where) == (0.985, "295,5/300", "on the bench")
    assert (mat.measured_by, str(mat), mat.usual) == ("Ann", "the A3 mat on the bench", True)
    assert Record.objects.latest("pk").summary == "kept the A3 mat on the bench: print scale 0.985"


def test_one_mat_is_the_usual_one() -> None:
    first, second = (keep_mat(paper=paper, scale="1", hand=ANN) for paper in ("A4", "letter"))
    assert [one.pk for one in mats()] == [first.pk, second.pk]
    make_usual(mat=second, hand=ANN)
    assert [(one.pk, one.usual) for one in mats()] == [(second.pk, True), (first.pk, False)]
    put_mat_away(mat=second, hand=ANN)
    assert [(one.pk, one.usual) for one in mats()] == [(first.pk, True)]


def test_a_mat_measured_again_can_be_taken_back() -> None:
    mat = keep_mat(paper="A4", scale="98.5", hand=ANN)
    measure_mat(mat=mat, scale="0,99", where="shelf", hand=ANN)
    mat.refresh_from_db()
    assert (mat.print_scale, mat.where) == (0.99, "shelf")
    take_back(record=Record.objects.latest("pk"), hand=ANN.because("wrong rule"))
    mat.refresh_from_db()
    assert (mat.print_scale, mat.scale_typed, mat.where) == (0.985, "98.5", "")


def test_a_scale_no_printer_comes_to_is_refused_and_nothing_is_kept() -> None:
    with pytest.raises(InvalidInput, match=r"came\. Hold a steel rule .* such as 197/200"):
        keep_mat(paper="A4", scale="50 %", hand=ANN)
    assert not PrintedMat.objects.exists()


def test_a_mat_that_was_put_away_is_not_changed() -> None:
    mat = keep_mat(paper="A4", scale="1", hand=ANN)
    put_mat_away(mat=mat, hand=ANN)
    with pytest.raises(Conflict, match="put away meanwhile"):
        measure_mat(mat=mat, scale="0.99", hand=ANN)
