"""Measured photos held against truths that a test writes: what is found, what is right, how far off."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from photos_of_bags import photo, piece
from runningfit.core.errors import InvalidInput
from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.items import Look, MeasuredPhoto, PhotoItem
from runningfit.core.photos.scoring import Score, Share, score
from runningfit.core.photos.truths import Truth, read_truth, thread_named
from runningfit.core.pieces.kinds import Kind

Spot = tuple[float, float]


def square(middle: Spot, half_mm: float) -> list[list[float]]:
    x, y = middle
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return [[x + half_mm * dx, y + half_mm * dy] for dx, dy in corners]


def true(
    kind: str, at: Spot, *, finish: str = "yellow", half_mm: float = 8.0, **sizes: Any
) -> dict[str, Any]:
    return {
        "kind": kind,
        "finish": finish,
        "mat_xy_mm": list(at),
        "footprint_mm": square(at, half_mm),
        **sizes,
    }


def truth(*items: dict[str, Any]) -> Truth:
    numbered = [{"id": number, **item} for number, item in enumerate(items)]
    return read_truth(json.dumps({"image": "drawn.jpg", "items": numbered}))


BOLT: dict[str, Any] = {
    "thread": "3/8-16 UNC", "major_mm": 9.525, "pitch_mm": 1.5875, "length_mm": 25.4,
    "under_head_length_mm": 25.4, "head_across_flats_mm": 14.2875, "fully_threaded": False,
}  # fmt: skip


def seen(kind: Kind, at: Spot, *args: Any, half_mm: float = 8.0, **sizes: Any) -> PhotoItem:
    outline = tuple((x, y) for x, y in square(at, half_mm))
    return replace(piece(kind, *args, **sizes), mat_xy_mm=at, outline_mm=outline)


def scored(items: list[PhotoItem], *pieces: dict[str, Any]) -> Score:
    return score([(photo(items), truth(*pieces))])


def bolt(at: Spot = (50, 50), **changes: Any) -> PhotoItem:
    sizes: dict[str, Any] = {
        "length": 25.5, "major": 9.4, "pitch": 1.59, "head_across_flats": 14.0, "look": Look.YELLOW,
    } | changes  # fmt: skip
    return seen(Kind.HEX_BOLT, at, {"3/8-16 UNC": 0.6, "3/8-16 BSW": 0.35}, **sizes)


def test_one_bolt_measured_well() -> None:
    found = scored([bolt()], true("hex_bolt", (51, 50), **BOLT))
    assert found.exact == Share(1, 1)
    row = found.all
    assert row.found == row.measured == row.kind == row.look == Share(1, 1)
    assert row.length.median_mm == pytest.approx(0.1)
    assert row.major.median_mm == pytest.approx(0.125)
    assert row.major.bias_mm == pytest.approx(-0.125)
    assert row.head_across_flats.p95_mm == pytest.approx(0.2875)
    assert row.pitch == row.thread == row.thread_or_twin == row.thread_among_three == Share(1, 1)
    assert row.length_covered == row.diameter_covered == Share(1, 1)
    assert row.outside.of == row.nut_thread_or_twin.of == 0
    assert row.outside.median_mm is None
    assert list(found.by_kind) == ["hex_bolt"]
    assert list(found.by_finish) == ["yellow"]
    assert found.by_kind["hex_bolt"] == found.by_finish["yellow"] == row


def test_a_twin_is_told_apart_from_the_thread_itself() -> None:
    found = scored([bolt()], true("hex_bolt", (50, 50), **(BOLT | {"thread": "3/8-16 BSW"})))
    assert (found.all.thread, found.all.thread_or_twin) == (Share(0, 1), Share(1, 1))
    of_one = next(one for one in found.reliability if one.right.of)
    of_twins = next(one for one in found.reliability_of_twins if one.right.of)
    assert (of_one.low, of_one.mean, of_one.right) == (0.5, 0.6, Share(0, 1))
    assert (of_twins.low, of_twins.right) == (0.9, Share(1, 1))
    assert of_twins.mean == pytest.approx(0.95)


def test_a_thread_that_was_not_named_and_a_pitch_that_is_off_are_not_right() -> None:
    item = replace(bolt(pitch=1.63), threads=())
    row = scored([item], true("hex_bolt", (50, 50), **BOLT)).all
    assert row.pitch == row.thread == row.thread_or_twin == row.thread_among_three == Share(0, 1)


def test_a_thread_of_no_standard_has_a_pitch_but_no_name() -> None:
    odd = true("hex_bolt", (50, 50), **(BOLT | {"thread": None, "pitch_mm": 1.6}))
    row = scored([bolt()], odd).all
    assert (row.pitch, row.major.count) == (Share(1, 1), 1)
    assert row.thread.of == row.thread_or_twin.of == 0


def test_either_thread_of_a_stud_is_right() -> None:
    stud: dict[str, Any] = {
        "thread": "1/4-20 UNC",
        "thread2": "1/4-28 UNF",
        "pitch_mm": 1.27,
        "pitch2_mm": 0.9071,
    }
    item = seen(Kind.STUD, (50, 50), {"1/4-28 UNF": 0.9}, pitch=0.9071, u_mm=0.01)
    row = scored([item], true("stud", (50, 50), length_mm=30, major_mm=6.35, **stud)).all
    assert row.thread == row.pitch == Share(1, 1)
    assert (row.length.count, row.length.of, row.length.median_mm) == (0, 1, None)


def test_a_bolt_threaded_to_its_head_may_be_a_setscrew_and_no_other_may() -> None:
    item = replace(bolt(), kind=Kind.SETSCREW)
    for threaded, right in ((True, 1), (False, 0)):
        row = scored([item], true("hex_bolt", (50, 50), **(BOLT | {"fully_threaded": threaded}))).all
        assert row.kind == Share(right, 1)


@pytest.mark.parametrize(("drawn_as", "kind"), [
    ("hex_nut", Kind.NUT), ("acorn_nut", Kind.DOMED_NUT), ("flat_washer", Kind.PLAIN_WASHER),
    ("lock_washer", Kind.SPRING_WASHER), ("spacer", Kind.SPACER), ("set_screw_grub", Kind.GRUB_SCREW),
    ("pan_head_screw", Kind.SLOTTED_SCREW), ("cheese_head_screw", Kind.SLOTTED_SCREW), ("stud", Kind.STUD),
])  # fmt: skip
def test_each_kind_of_the_truth_has_its_own(drawn_as: str, kind: Kind) -> None:
    assert scored([seen(kind, (50, 50))], true(drawn_as, (50, 50))).all.kind == Share(1, 1)
    assert scored([seen(Kind.CLIP, (50, 50))], true(drawn_as, (50, 50))).all.kind == Share(0, 1)


def test_crests_as_drawn_count_where_the_truth_says_them() -> None:
    row = scored([bolt()], true("hex_bolt", (50, 50), **(BOLT | {"major_actual_mm": 9.35}))).all
    assert row.major.median_mm == pytest.approx(0.05)
    assert row.nominal_major.median_mm == pytest.approx(0.125)


def test_washers_and_nuts_have_their_own_sizes() -> None:
    washer = seen(Kind.PLAIN_WASHER, (20, 20), outside=19.5, inside=10.0, thickness=1.9)
    nut = seen(Kind.NUT, (80, 20), {"3/8-16 BSW": 0.5}, head_across_flats=14.2, look=Look.BLACK)
    found = scored(
        [washer, nut],
        true("flat_washer", (20, 20), od_mm=19.0, id_mm=10.1, thickness_mm=1.5),
        true("hex_nut", (80, 20), finish="black", thread="3/8-16 UNC", head_across_flats_mm=14.29),
    )
    row = found.all
    assert row.outside.bias_mm == pytest.approx(0.5)
    assert row.inside.bias_mm == pytest.approx(-0.1)
    assert row.thickness.bias_mm == pytest.approx(0.4)
    assert row.diameter_covered == Share(0, 1)
    assert (row.thread.of, row.nut_thread_or_twin) == (0, Share(1, 1))
    assert row.look == Share(1, 2)
    assert set(found.by_finish) == {"yellow", "black"}


def test_as_many_pieces_as_can_be_are_found_each_by_its_nearest() -> None:
    items = [bolt((50, 50)), bolt((62, 50)), bolt((74, 50))]
    found = scored(items, *(true("hex_bolt", (x, 51), **BOLT) for x in (74, 50, 62)))
    assert found.all.found == Share(3, 3)
    # The middle one is nearer to both, but each has one of its own.
    near = scored([bolt((55, 50), half_mm=3)], *(true("hex_bolt", (x, 50), **BOLT) for x in (51, 58)))
    assert near.photos[0].missed == (0,)


def test_too_far_is_not_found_and_a_large_piece_has_more_room() -> None:
    far = true("hex_bolt", (59, 50), half_mm=8, **BOLT)
    small = scored([bolt(half_mm=2)], far).photos[0]
    assert (small.missed, small.extra, small.exact) == ((0,), (1,), False)
    assert (small.split, small.merged) == ((), ())
    large = scored([bolt(half_mm=2)], true("hex_bolt", (59, 50), half_mm=20, **BOLT))
    assert large.photos[0].exact


def test_the_leaning_outline_of_a_standing_piece_is_its_own() -> None:
    item = replace(bolt((60, 50)), outline_mm=((45, 45), (75, 45), (75, 55), (45, 55)))
    assert scored([item], true("hex_bolt", (48, 50), half_mm=5, **BOLT)).photos[0].exact


def test_a_piece_in_two_outlines_is_split_and_two_in_one_are_merged() -> None:
    split = scored([bolt((50, 50)), bolt((46, 50))], true("hex_bolt", (50, 50), **BOLT)).photos[0]
    assert (split.extra, split.split, split.merged) == ((2,), (0,), ())
    both = (true("hex_bolt", (50, 50), **BOLT), true("stud", (56, 50), **BOLT))
    merged = scored([bolt((51, 50))], *both).photos[0]
    assert (merged.missed, merged.merged, merged.split) == ((1,), (1,), ())


def test_a_refused_piece_is_found_but_not_measured() -> None:
    row = scored(
        [seen(Kind.OTHER, (50, 50), fault=Fault.PIECES_TOUCH)], true("hex_bolt", (50, 50), **BOLT)
    ).all
    assert (row.found, row.measured, row.kind) == (Share(1, 1), Share(0, 1), Share(0, 1))


def test_of_a_refused_photo_every_piece_is_missed_and_photos_are_pooled() -> None:
    refused = CouldNotMeasure(Fault.DARK, "It is dark.", "More light.")
    held = truth(true("hex_bolt", (50, 50), **BOLT))
    found = score([(refused, held), (photo([bolt()]), held)])
    assert [one.refused for one in found.photos] == ["dark", ""]
    assert found.exact == Share(1, 2)
    assert found.all.found == Share(1, 2)
    assert found.all.length.count == 1


def test_median_and_95th_percentile_of_many() -> None:
    spots = [(20.0 + 30 * at, 50.0) for at in range(20)]
    items = [bolt(spot, length=25.4 + 0.1 * (at + 1)) for at, spot in enumerate(spots)]
    row = scored(items, *(true("hex_bolt", spot, **BOLT) for spot in spots)).all
    assert row.length.median_mm == pytest.approx(1.05)
    assert row.length.p95_mm == pytest.approx(1.9)
    assert row.length_covered == Share(3, 20)


def test_nothing_on_the_mat() -> None:
    found = scored([])
    assert found.exact == Share(1, 1)
    assert found.all.found.share is None


@pytest.mark.parametrize(("item", "said"), [
    ({"kind": "nail"}, "kind of the truth's item 0 needs one of hex_bolt, .*; 'nail' came"),
    ({"finish": "chrome"}, "finish of the truth's item 0 needs one of yellow"),
    ({"mat_xy_mm": [1]}, "mat_xy_mm of the truth's item 0 needs two numbers"),
    ({"thread": "M99x7"}, "thread of the truth's item 0 needs the designation of one standard thread"),
    ({"length_mm": "long"}, "length_mm of the truth's item 0 needs a number above 0, or null; 'long' came"),
    ({"footprint_mm": [[1, None]]}, "footprint_mm of the truth's item 0 needs two numbers"),
    ({"id": "a"}, "id of the truth's item 0 needs a whole number"),
])  # fmt: skip
def test_a_truth_that_cannot_be_is_told(item: dict[str, Any], said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        read_truth(json.dumps({"items": [true("stud", (1, 2)) | item]}))


def test_a_file_that_is_no_truth_is_told() -> None:
    with pytest.raises(InvalidInput, match="truth needs JSON"):
        read_truth("{")
    with pytest.raises(InvalidInput, match="truth needs an object with a list of items"):
        read_truth("[]")
    with pytest.raises(InvalidInput, match="id of the truth's items needs each number once"):
        read_truth(json.dumps({"items": [true("stud", (1, 2)) | {"id": 1}] * 2}))


def test_threads_are_known_as_truths_write_them() -> None:
    names = ["#10-32 UNF", "2BA", "M8x1", "1/2-12 BSW", "1/4-26 BSF"]
    assert [one and one.designation for one in map(thread_named, names)] == [
        "10-32 UNF", "2BA", "M8x1", "1/2-12 BSW", "1/4-26 BSF",
    ]  # fmt: skip
    assert thread_named("nonsense") is None
    assert thread_named("1/4") is None


def test_a_measured_photo_is_needed_for_nothing_but_its_items() -> None:
    empty = MeasuredPhoto(1.0, 0.1, 1, 1, (), (), {})
    assert score([(empty, truth(true("stud", (1, 2))))]).photos[0].missed == (0,)
