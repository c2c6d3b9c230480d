"""Budgets as people write them: what they tell, and what is refused with its place and remedy."""

from __future__ import annotations

from math import inf, sqrt

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.budget_file import read_budget
from runningfit.core.measurements.uncertainty.inputs import Shape
from runningfit.core.measurements.uncertainty.propagation import propagate

WHOLE = """
model = "a + b - c * d"
unit = "mm"
coverage = 0.9545
together = [["a", "b"]]

[inputs]
c = 2

[inputs.a]
readings = [1.0, 2.0, 3.0]

[inputs.b]
readings = [2.0, 4.0, 6.0]

[inputs.d]
value = 5
parts = [
  { resolution = 0.01, from = "digital step" },
  { expanded = 0.004, k = 2, dof = 50 },
  { half_width = 0.006, shape = "trapezoidal", top = 0.5 },
  { u = 0.003, doubt = 0.25 },
]
"""


@pytest.mark.parametrize("name", ["\u00b5", "\u03bc"])
def test_both_signs_for_a_micro_are_one_name(name: str) -> None:
    told = read_budget(f'model = "2 * \u00b5"\n[inputs."{name}"]\nvalue = 3\nu = 1\n')
    assert propagate(told).measured.value == 6


def test_a_whole_budget_is_read() -> None:
    told = read_budget(WHOLE)
    assert (told.model, told.unit, told.coverage) == ("a + b - c * d", "mm", 0.9545)
    a, b, c, d = (next(one for one in told.inputs if one.name == name) for name in "abcd")
    assert (a.value, b.value, c.value, d.value) == (2.0, 4.0, 2.0, 5.0)
    assert [one.u for one in a.parts] == pytest.approx([1 / sqrt(3)])
    assert [one.dof for one in a.parts] == [2]
    assert not c.parts
    assert [one.u for one in d.parts] == pytest.approx(
        [0.005 / sqrt(3), 0.002, 0.006 * sqrt(1.25 / 6), 0.003]
    )
    assert [(one.dof, one.shape, one.top) for one in d.parts] == [
        (inf, Shape.RECTANGULAR, 0.0),
        (50, Shape.NORMAL, 0.0),
        (inf, Shape.TRAPEZOIDAL, 0.5),
        (8, Shape.NORMAL, 0.0),
    ]
    (together,) = told.correlations
    assert (together.first, together.second) == ("a", "b")
    assert together.coefficient == pytest.approx(1.0)


def test_readings_and_the_gauge_stand_side_by_side() -> None:
    told = read_budget('model = "a"\n[inputs.a]\nreadings = [5, 5, 5]\nresolution = 0.02\n')
    assert told.inputs[0].measured.u == pytest.approx(0.01 / sqrt(3))


def one(line: str) -> str:
    return f'model = "a"\n[inputs.a]\nvalue = 1\n{line}\n'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("model = ", "budget needs TOML"),
        ("x = 1", "budget needs only .*model.*; 'x' came. Check the spelling"),
        ("unit = 'mm'", "budget needs the line model = .*; nothing came"),
        ("model = 'a'", r"budget needs 1 to 100 tables \[inputs.NAME\]; 'none' came"),
        (
            "model = 'a'\ncoverage = 'wide'\n[inputs]\na = 1",
            "budget needs a number for coverage; 'wide' came",
        ),
        ("model = 'a'\nunit = 5\n[inputs]\na = 1", "budget needs the unit as text; '5' came"),
        ("model = 'a'\n[inputs]\na = 'x'", "input a needs a number, or a table"),
        ("model = 'a'\n[inputs.a]\nu = 1", "input a needs a number for value; nothing came"),
        (one("uncertainty = 1"), "input a needs only .*; 'uncertainty' came. Check the spelling"),
        (one("u = 0"), "input a needs u of more than nothing; '0' came. Nothing is known exactly"),
        (one("u = -1"), "input a needs u of more than nothing; '-1' came"),
        (one("u = nan"), "input a needs a number for u; 'nan' came"),
        (one("u = true"), "input a needs a number for u; 'True' came"),
        (one("u = 1\nresolution = 1"), "'u and resolution' came. Write several as parts"),
        (one("k = 2"), "input a needs one of u, .* beside k; 'none of them' came"),
        (one("u = 1\nk = 2"), "input a needs k only beside expanded"),
        (one("expanded = 1"), "input a needs a number for k; nothing came"),
        (one("expanded = 1\nk = 0"), "input a needs k of more than nothing"),
        (one("half_width = 1"), "input a needs a shape beside half_width; nothing came"),
        (one("half_width = 1\nshape = 'square'"), "input a needs a shape: normal, .*; 'square' came"),
        (one("half_width = 1\nshape = 'rectangular'\ntop = 0.5"), "top only with a trapezoidal shape"),
        (one("u = 1\ndof = 3\ndoubt = 0.1"), "either dof or doubt; 'both' came"),
        (one("readings = [1, 2]"), "either value or readings; 'both' came"),
        (one("parts = 3"), "input a needs parts = "),
        (one("parts = [{ k = 2 }]"), "input a, part 1 needs one of u"),
        (one("parts = [{ u = 1, value = 2 }]"), "input a, part 1 needs only"),
        ("model = 'a'\n[inputs.a]\nreadings = 5", r"input a needs readings = \[ … \]"),
        ("model = 'a'\n[inputs.a]\nreadings = [5]", "readings needs at least two of the same thing"),
        ("model = 'a'\n[inputs.a]\nreadings = [5, 5]", "'2 readings that are all equal' came.*resolution"),
        ("model = 'a'\ncorrelations = 5\n[inputs]\na = 1", r"budget needs \[\[correlations\]\]"),
        ("model = 'a'\n[[correlations]]\nr = 1\n[inputs]\na = 1", "between = .* in each of correlations"),
        ("model = 'a'\ntogether = 5\n[inputs]\na = 1", "budget needs together = "),
        ("model = 'a'\ntogether = [['a', 'b']]\n[inputs]\na = 1", "together only of inputs with readings"),
        ("#" * 200_001, "at most 200 000 characters"),
    ],
)
def test_what_is_no_budget_is_refused(text: str, told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        read_budget(text)


def test_a_further_part_cannot_hide_among_readings_taken_together() -> None:
    text = WHOLE.replace("readings = [2.0, 4.0, 6.0]", "readings = [2.0, 4.0, 6.0]\nresolution = 0.1")
    with pytest.raises(InvalidInput, match="no further part in inputs taken together; 'b' came"):
        read_budget(text)
