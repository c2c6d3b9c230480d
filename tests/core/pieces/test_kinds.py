"""People's words for pieces are read into the one vocabulary of kinds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.pieces.kind_details import kind_doubt
from runningfit.core.pieces.kinds import Kind, KindUnknown, LengthBasis, is_pressed_plug, label, read_kind

SAID = {
    Kind.HEX_BOLT: [
        "hex bolt", "Hexagon bolts", "bolt", "hex. bolts", "rod bolt", "main cap bolts", "cap screw",
        "hex bolt, long", "HEX BOLTS (long)", "boltt", "hexagn bolt",
    ],
    Kind.SETSCREW: [
        "hex setscrew", "hex set screw", "hexagon set-screws", "setscrews", "hexagon screw",
        "bolt, fully threaded", "bolt threaded to the head",
    ],
    Kind.STUD: ["stud", "studs", "stud bolt", "threaded rod"],
    Kind.NUT: ["hex nut", "nuts", "castle nut", "lock nuts", "ring nut", "stud nut", "wing nuts"],
    Kind.DOMED_NUT: ["domed nut", "dome nuts", "acorn nut", "cap nut", "nut, domed"],
    Kind.PLAIN_WASHER: [
        "plain washer", "flat washers", "washer", "hardened washer", "washer for head bolt",
        "head bolt washer", "copper washer", "wahser",
    ],
    Kind.SPRING_WASHER: ["spring washers", "lock washer", "lockwashers", "washers, spring", "sprng washer"],
    Kind.TAB_WASHER: ["tab washer", "lock tab washer", "lock tabs", "tabs", "locking plate"],
    Kind.FIBRE_WASHER: ["fibre washer", "fiber washers", "red fibre washer"],
    Kind.SLOTTED_SCREW: ["slotted screw", "screw", "cheese head screws", "csk screw", "machine screw"],
    Kind.GRUB_SCREW: ["grub screw", "grubscrews", "socket set screw", "cup point set screws"],
    Kind.PLUG: ["plug", "core plugs", "cup plug", "drain plug", "taper plug", "throw plug"],
    Kind.UNION: ["union", "union nut", "adaptor"],
    Kind.PIN: ["pivot pin", "split pins", "dowel", "cotter pin", "ring dowel"],
    Kind.SPACER: ["spacer", "distance piece", "distance tube", "shims"],
    Kind.CLIP: ["clip", "circlips", "hose clip", "worm drive clip", "snap ring", "hose clamp"],
    Kind.OTHER: ["banjo bolt", "spark plug", "socket cap screw", "cap-head bolt", "eye bolt", "other"],
}  # fmt: skip


@pytest.mark.parametrize(("said", "kind"), [(said, kind) for kind, many in SAID.items() for said in many])
def test_a_kind_is_read_as_people_say_it(said: str, kind: Kind) -> None:
    assert read_kind(said) is kind


@pytest.mark.parametrize("kind", Kind)
def test_every_kind_is_read_from_its_own_names(kind: Kind) -> None:
    assert read_kind(kind.value) is kind
    if kind is not Kind.OTHER:
        assert read_kind(label(kind, 1)) is kind
        assert read_kind(label(kind, 9)) is kind


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("", "no kind was said"),
        ("  ?", "no kind was said"),
        ("mixed bolts", "the lot is mixed: sort it first"),
        ("assorted", "the lot is mixed: sort it first"),
        ("nuts and bolts", "more than one kind was said"),
        ("bolt with nut", "more than one kind was said"),
        ("bolt, nut", "more than one kind was said"),
        ("nut & washer", "more than one kind was said"),
        ("frobnicator", "'frobnicator' names no kind"),
        ("hex", "'hex' names no kind"),
        ("wahser " * 100, "too long for a kind"),
    ],
)
def test_what_names_no_one_kind_says_why(said: str, reason: str) -> None:
    unknown = read_kind(said)
    assert isinstance(unknown, KindUnknown)
    assert unknown.text == said
    assert reason in unknown.reason


def test_a_count_is_written_with_its_kind() -> None:
    assert label(Kind.HEX_BOLT, 9) == "9 hex bolts"
    assert label(Kind.STUD, 1) == "1 stud"
    assert label(Kind.FIBRE_WASHER, 0) == "0 fibre washers"
    assert label(Kind.OTHER, 1) == "1 other piece"
    assert label(Kind.OTHER, 3) == "3 other pieces"


def test_each_kind_knows_its_thread_and_its_length() -> None:
    assert {kind for kind in Kind if not kind.has_thread} == {
        Kind.PLAIN_WASHER,
        Kind.SPRING_WASHER,
        Kind.TAB_WASHER,
        Kind.FIBRE_WASHER,
        Kind.PIN,
        Kind.SPACER,
        Kind.CLIP,
    }
    assert Kind.STUD.is_externally_threaded
    assert not Kind.NUT.is_externally_threaded
    assert Kind.HEX_BOLT.length_basis is LengthBasis.UNDER_HEAD
    assert Kind.STUD.length_basis is LengthBasis.OVERALL
    assert Kind.NUT.length_basis is None
    assert all(kind.has_thread for kind in Kind if kind.is_externally_threaded)


def test_a_pressed_plug_is_told_from_a_screwed_one() -> None:
    assert is_pressed_plug("cup plug")
    assert is_pressed_plug("Core plugs")
    assert not is_pressed_plug("drain plug")
    assert not is_pressed_plug("cup washer")


@given(st.text(max_size=60))
def test_any_text_is_a_kind_or_says_why_not(text: str) -> None:
    answer = read_kind(text)
    assert isinstance(answer, Kind) or answer.reason


@pytest.mark.parametrize("said", ["set screw", "Set screws", "set-screws", "brass set screws"])
def test_a_bare_set_screw_is_asked_about(said: str) -> None:
    reading = read_kind(said)
    assert isinstance(reading, KindUnknown)
    assert reading.readings == (Kind.SETSCREW, Kind.GRUB_SCREW)
    assert "choose the kind" in reading.reason


def test_a_bare_cap_screw_is_a_hex_bolt_to_be_looked_at() -> None:
    assert "with a socket it is a socket cap screw" in kind_doubt("cap screws")
    for clear in ("hex cap screw", "hexagon head capscrews", "socket cap screw", "bolts", "set screw"):
        assert kind_doubt(clear) == ""
