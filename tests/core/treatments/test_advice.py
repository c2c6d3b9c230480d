"""Advice by treatment and material: each says what, why and what to do instead."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.treatments import all_treatments
from runningfit.core.treatments.advice import Material, advice_for, all_advice

KEYS = {one.key for one in all_treatments()}


def texts(key: str, *materials: Material) -> str:
    return " ".join(one.caution.text for one in advice_for(key, materials))


def test_every_advice_is_whole_and_about_treatments_that_there_are() -> None:
    for one in all_advice():
        assert all(part.endswith(".") for part in (one.what, one.why, one.instead))
        assert one.source
        assert one.treatments <= KEYS
        assert "data sheet" in one.caution.text


def test_every_material_has_advice() -> None:
    assert set().union(*(one.materials for one in all_advice())) == set(Material)


@pytest.mark.parametrize(
    ("key", "material", "said"),
    [
        ("bead_blast", Material.CADMIUM_OR_CHROMATE, "Never weld, torch, grind"),
        ("zinc_yellow", Material.SPRING_STEEL, "Do not electroplate springs"),
        ("cadmium", Material.HARDENED_STEEL, "without the bake"),
        ("derust", Material.STEEL, "never stainless"),
        ("derust", Material.STAINLESS, "Never use a stainless anode"),
        ("derust", Material.HARDENED_STEEL, "mind converters"),
        ("derust", Material.ALUMINIUM, "They dissolve"),
        ("black_oxide", Material.COPPER_ALLOY, "blackening bath"),
        ("phosphate", Material.HARDENED_STEEL, "not free of hydrogen"),
        ("zinc_flake", Material.SPRING_STEEL, "no acid"),
        ("thread_insert", Material.ALUMINIUM, "wall and depth"),
        ("paint", Material.STEEL, "isocyanates"),
        ("paint", Material.OLD_PAINT, "lead or chromate"),
        ("clean", Material.OLD_GASKET, "asbestos"),
        ("bead_blast", Material.WHITE_METAL, "melts"),
    ],
)
def test_a_treatment_of_a_material_has_its_advice(key: str, material: Material, said: str) -> None:
    assert said in texts(key, material)


def test_what_is_not_done_is_not_warned_of() -> None:
    assert advice_for("leave", list(Material)) == ()
    assert "electroplate" not in texts("paint", Material.SPRING_STEEL)


def test_the_unknown_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"material needs one of steel, hardened_steel.*'cheese' came"):
        advice_for("derust", ["cheese"])
    with pytest.raises(InvalidInput, match=r"treatment needs one of leave"):
        advice_for("gild", [Material.STEEL])
