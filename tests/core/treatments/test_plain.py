"""The plain list of treatments: complete, careful, and judging nothing."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.pieces.finishes import FinishLook, FinishProcess
from runningfit.core.treatments import all_treatments, treatment


def test_every_treatment_has_its_own_key_and_label() -> None:
    assert len({one.key for one in all_treatments()}) == len(all_treatments())
    assert len({one.label for one in all_treatments()}) == len(all_treatments())
    assert all(treatment(one.key) is one for one in all_treatments())
    assert all(len(one.key) <= 30 for one in all_treatments())


@pytest.mark.parametrize(
    ("key", "look", "process"),
    [
        ("zinc_clear", FinishLook.CLEAR, FinishProcess.ZINC),
        ("zinc_yellow", FinishLook.YELLOW, FinishProcess.ZINC),
        ("cadmium", FinishLook.YELLOW, FinishProcess.CADMIUM),
        ("black_oxide", FinishLook.BLACK, FinishProcess.OXIDE),
        ("chrome", FinishLook.CHROME, FinishProcess.CHROMIUM),
        ("clean", None, None),
    ],
)
def test_a_treatment_says_which_finish_it_gives(
    key: str, look: FinishLook | None, process: FinishProcess | None
) -> None:
    assert (treatment(key).look, treatment(key).process) == (look, process)


def test_whatever_plates_warns_of_brittle_steel_and_of_cadmium() -> None:
    plating = {"zinc_clear", "zinc_yellow", "cadmium", "nickel", "chrome"}
    for key in plating:
        said = " ".join(caution.text for caution in treatment(key).cautions)
        assert "hydrogen embrittlement" in said
        assert "never with a torch" in said
        assert "Cadmium" in said
        assert any("baking" in rule for rule in treatment(key).must_not)


def test_what_goes_outside_says_what_must_not_be_done() -> None:
    assert all(one.must_not for one in all_treatments() if one.goes_outside)
    assert not treatment("leave").goes_outside
    assert not treatment("scrap").goes_outside


def test_derusting_warns_of_stainless_anodes_and_blasting_of_plated_pieces() -> None:
    assert any("stainless anode" in one.text for one in treatment("derust").cautions)
    assert any("plated with cadmium" in one.text for one in treatment("bead_blast").cautions)


def test_an_unknown_treatment_is_refused_with_the_list() -> None:
    with pytest.raises(InvalidInput, match=r"treatment needs one of leave, clean, .*; 'gild' came"):
        treatment("gild")
