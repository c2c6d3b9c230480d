"""A measured photo written as JSON and read back; each value that cannot be is named."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from photos_of_bags import photo, piece
from runningfit.core.errors import InvalidInput
from runningfit.core.photos.answers import CouldNotMeasure, Fault
from runningfit.core.photos.items import Look, MeasuredPhoto
from runningfit.core.photos.measured_files import photo_text, read_photo
from runningfit.core.pieces.kinds import Kind


def measured() -> MeasuredPhoto:
    bolt = piece(
        Kind.HEX_BOLT,
        {"3/8-16 UNC": 0.9, "3/8-16 BSW": 0.08},
        look=Look.YELLOW,
        length=25.4,
        major=9.4321,
        pitch=1.5875,
        head_across_flats=14.2,
    )
    bolt = replace(
        bolt,
        kinds={Kind.HEX_BOLT: 0.9, Kind.SETSCREW: 0.1},
        outline_px=((10.0, 20.5), (30.0, 20.5), (30.0, 40.0)),
        outline_mm=((1.0, 2.05), (3.0, 2.05), (3.0, 4.0)),
        ask="Hold a 16 tpi leaf against it.",
    )
    washer = piece(Kind.PLAIN_WASHER, outside=19.0, inside=10.0, thickness=1.5)
    refused = piece(Kind.OTHER, fault=Fault.PIECES_TOUCH)
    return replace(
        photo([bolt, washer, refused]), cautions=("Hold a rule against it.",), steps_s={"finding": 0.25}
    )


def record() -> dict[str, Any]:
    read: dict[str, Any] = json.loads(photo_text(measured(), print_scale=1.0, time_s=1.234))
    return read


def test_what_is_written_is_read_back() -> None:
    assert read_photo(photo_text(measured(), print_scale=1.0, time_s=1.0)) == measured()


def test_the_file_says_what_other_programs_look_for() -> None:
    told = record()
    assert (told["print_scale"], told["gsd_mm_per_px"], told["seconds"]) == (1.0, 0.1, 1.23)
    bolt, washer, refused = told["items"]
    assert bolt["kind"] == "hex_bolt"
    assert bolt["mat_xy_mm"] == [50.0, 50.0]
    assert (bolt["length_mm"], bolt["u_length_mm"], bolt["under_head_length_mm"]) == (25.4, 0.2, 25.4)
    assert (bolt["major_mm"], bolt["pitch_mm"], bolt["head_across_flats_mm"]) == (9.4321, 1.5875, 14.2)
    assert bolt["threads"][0] == {"designation": "3/8-16 UNC", "probability": 0.9}
    assert bolt["finish_look"] == {"yellow": 1.0}
    assert bolt["outline_px"][0] == [10.0, 20.5]
    assert bolt["could_not"] is None
    assert (washer["length_mm"], washer["u_length_mm"], washer["under_head_length_mm"]) == (None, None, None)
    assert (washer["outside_diameter_mm"], washer["inside_diameter_mm"]) == (19.0, 10.0)
    assert refused["could_not"]["fault"] == "pieces_touch"


def test_a_photo_that_was_refused_is_read_back() -> None:
    refused = CouldNotMeasure(Fault.NO_MAT, "No mat can be seen.", "Lay the pieces on one.")
    text = photo_text(refused, print_scale=0.985, time_s=0.5)
    assert json.loads(text)["items"] == []
    assert json.loads(text)["print_scale"] == 0.985
    assert read_photo(text) == refused


def test_the_least_that_another_program_writes_is_read() -> None:
    text = json.dumps(
        {"print_scale": 1, "gsd_mm_per_px": 0.1, "items": [{"kind": "stud", "mat_xy_mm": [3, 4]}]}
    )
    found = read_photo(text)
    assert isinstance(found, MeasuredPhoto)
    (stud,) = found.items
    assert (stud.number, stud.kind, stud.kinds, stud.mat_xy_mm) == (
        1,
        Kind.STUD,
        {Kind.STUD: 1.0},
        (3.0, 4.0),
    )
    assert stud.sizes.length is None


@pytest.mark.parametrize(("key", "value", "said"), [
    ("kind", "bolt", "kind of item 1 needs one of hex_bolt, .*; 'bolt' came"),
    ("kind", None, "kind of item 1 needs one of"),
    ("kinds", {"hex_bolt": 1.5}, "kinds of item 1 needs probabilities that come to 1 or less"),
    ("kinds", {"nail": 0.5}, "kinds of item 1 needs one of hex_bolt"),
    ("mat_xy_mm", [1], "mat_xy_mm of item 1 needs pairs of numbers"),
    ("mat_xy_mm", [1, "2"], "mat_xy_mm of item 1 needs pairs of numbers"),
    ("length_mm", "25.4", "length_mm of item 1 needs a number; '25.4' came"),
    ("length_mm", -1, "length_mm of item 1 needs a number above 0; '-1' came"),
    ("length_mm", True, "length_mm of item 1 needs a number"),
    ("u_length_mm", None, "u_length_mm of item 1 needs a number; 'nothing' came"),
    ("u_pitch_mm", 0, "u_pitch_mm of item 1 needs a number above 0"),
    ("under_head_length_mm", 24.0, "under_head_length_mm of item 1 needs null, or for a piece with a head"),
    ("threads", "M6x1", "threads of item 1 needs a list"),
    ("threads", [{"designation": "M6x1", "probability": 1.2}], "probability of thread 1 of item 1 needs"),
    ("threads", [{"probability": 0.2}], "designation of thread 1 of item 1 needs a text"),
    ("threads", [{"designation": "A", "probability": 0.7}] * 2, "threads of item 1 needs probabilities"),
    ("finish_look", {"chrome": 1.0}, "finish_look of item 1 needs one of yellow"),
    ("finish_look", {"yellow": -0.1}, "yellow of finish_look of item 1 needs a number of 0 or more"),
    ("outline_px", [[1, 2], [3]], "outline_px of item 1 needs pairs of numbers"),
    ("could_not", {"fault": "lost", "reason": "", "remedy": ""}, "fault of could_not of item 1 needs one of"),
    ("could_not", "blurred", "could_not of item 1 needs null or a fault"),
    ("number", 2, "items needs each number once"),
    ("lenght_mm", 25.4, "the names of values of item 1 needs names among .*; 'lenght_mm' came"),
])  # fmt: skip
def test_a_value_of_a_piece_that_cannot_be_is_named(key: str, value: object, said: str) -> None:
    wrong = record()
    wrong["items"][0][key] = value
    with pytest.raises(InvalidInput, match=said):
        read_photo(json.dumps(wrong))


@pytest.mark.parametrize(("text", "said"), [
    ("no json", "photo needs JSON; 'text that is none' came. Give a file as `runningfit photo measure"),
    ("[1]", "photo needs an object with items"),
    ("{}", "items needs a list; 'nothing' came"),
    ('{"items": [], "print_scale": "1", "gsd_mm_per_px": 0.1}', "print_scale needs a number; '1' came"),
    ('{"items": [], "print_scale": 1, "gsd_mm_per_px": 0}', "gsd_mm_per_px needs a number above 0"),
    ('{"items": [], "print_scale": 1, "gsd_mm_per_px": 1, "cautions": [1]}', "cautions needs a list"),
    ('{"items": [3], "print_scale": 1, "gsd_mm_per_px": 1}', "item 1 needs an object"),
    ('{"items": [], "print_scale": NaN, "gsd_mm_per_px": 1}', "print_scale needs a number"),
])  # fmt: skip
def test_a_file_that_cannot_be_is_told(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        read_photo(text)
