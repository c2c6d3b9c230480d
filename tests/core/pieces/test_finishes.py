"""The look of a finish is read apart from the process that nobody can see."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.pieces.finishes import FinishLook, FinishProcess, read_finish

L, P = FinishLook, FinishProcess


@pytest.mark.parametrize(
    ("said", "look", "process", "note"),
    [
        ("clear plated", L.CLEAR, None, ""),
        ("clear", L.CLEAR, None, ""),
        ("bright zinc plated", L.CLEAR, P.ZINC, ""),
        ("BZP", L.CLEAR, P.ZINC, ""),
        ("clear cad", L.CLEAR, P.CADMIUM, ""),
        ("yellow", L.YELLOW, None, ""),
        ("yellow zinc", L.YELLOW, P.ZINC, ""),
        ("clear zinc flake", L.CLEAR, P.ZINC_FLAKE, ""),
        ("clear mechanically plated zinc", L.CLEAR, P.MECHANICAL_ZINC, ""),
        ("gold passivate", L.YELLOW, None, ""),
        ("black", L.BLACK, None, ""),
        ("Black oxide", L.BLACK, P.OXIDE, ""),
        ("black phosphate", L.BLACK, P.PHOSPHATE, ""),
        ("brass", L.BRASS, None, ""),
        ("bronze", L.BRONZE, None, ""),
        ("gunmetal", L.BRONZE, None, ""),
        ("copper", L.COPPER, None, ""),
        ("chrome on brass", L.CHROME, None, "on brass"),
        ("chrome plated", L.CHROME, P.CHROMIUM, ""),
        ("nickel", L.NICKEL, None, ""),
        ("nickel plated", L.NICKEL, P.NICKEL, ""),
        ("green paint", L.PAINT, P.PAINT, ""),
        ("painted black", L.PAINT, P.PAINT, "black was said"),
        ("none", L.NONE, None, ""),
        ("self-colour", L.NONE, None, ""),
        ("not plated", L.NONE, None, ""),
        ("stainless", L.NONE, None, "stainless was said: a material"),
        ("zinc", L.UNKNOWN, P.ZINC, "zinc was said, not how it looks"),
        ("cadmium plated", L.UNKNOWN, P.CADMIUM, "cadmium was said, not how it looks"),
        ("zinc nickel", L.UNKNOWN, P.ZINC, "zinc was said, not how it looks"),
        ("tinned", L.UNKNOWN, P.TIN, "tin was said, not how it looks"),
        ("plated", L.UNKNOWN, None, "plating was said, not how it looks"),
        ("dark", L.UNKNOWN, None, "'dark' tells no look"),
        ("mixed", L.UNKNOWN, None, "the lot is mixed: one finish cannot be told"),
        ("clear or yellow", L.UNKNOWN, None, "two looks were said: clear and yellow"),
        ("clear zinc and tin", L.CLEAR, None, "two processes were said: zinc and tin"),
        ("", L.UNKNOWN, None, ""),
        ("-", L.UNKNOWN, None, "'-' was written"),
    ],
)
def test_a_finish_is_read(said: str, look: FinishLook, process: FinishProcess | None, note: str) -> None:
    reading = read_finish(said)
    assert (reading.look, reading.process, reading.note) == (look, process, note)
    assert not reading.doubt


@pytest.mark.parametrize("said", ["black?", "probably black", "black, I think"])
def test_doubt_is_kept(said: str) -> None:
    reading = read_finish(said)
    assert reading.look is L.BLACK
    assert reading.doubt


@pytest.mark.parametrize("look", [look for look in L if look is not L.UNKNOWN])
def test_every_look_is_read_from_its_own_name(look: FinishLook) -> None:
    assert read_finish(look.value).look is look


@given(st.text(max_size=60))
def test_any_text_is_read_and_an_unknown_look_says_why(text: str) -> None:
    reading = read_finish(text)
    assert reading.look is not L.UNKNOWN or reading.note or not "".join(text.split()).strip(".,;:_")
