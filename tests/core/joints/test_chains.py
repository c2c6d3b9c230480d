"""Chains add up: the worst case is a corner, the spread a root of squares, and draws agree with both."""

from __future__ import annotations

from itertools import product
from math import sqrt

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.chains.chain import Chain, Contributor, Shape, Shim, solve_chain
from runningfit.core.joints.chains.draws import draw_chain
from runningfit.core.joints.chains.files import read_chain

HUNDREDTHS = st.integers(-5000, 5000).map(lambda number: number / 100)
CONTRIBUTORS = st.lists(
    st.builds(
        lambda middle, half, factor, shape: Contributor("x", middle - half, middle + half, factor, shape),
        HUNDREDTHS,
        st.integers(0, 50).map(lambda number: number / 100),
        st.sampled_from([1.0, -1.0, 0.5, -2.0]),
        st.sampled_from(Shape),
    ),
    min_size=1,
    max_size=6,
)


def chain_of(parts: list[Contributor], **more: object) -> Chain:
    named = [
        Contributor(f"part {number}", one.least_mm, one.most_mm, one.factor, one.shape, one.u_mm)
        for number, one in enumerate(parts)
    ]
    return Chain("gap", tuple(named), **more)  # type: ignore[arg-type]


@given(CONTRIBUTORS)
def test_the_worst_case_is_the_worst_of_all_corners(parts: list[Contributor]) -> None:
    corners = [
        sum(one.factor * size for one, size in zip(parts, sizes, strict=True))
        for sizes in product(*((one.least_mm, one.most_mm) for one in parts))
    ]
    answer = solve_chain(chain_of(parts))
    assert (answer.worst_low_mm, answer.worst_high_mm) == pytest.approx(
        (min(corners), max(corners)), abs=1e-9
    )


@given(CONTRIBUTORS)
def test_shares_add_up_to_one_and_do_not_hang_on_the_order(parts: list[Contributor]) -> None:
    answer = solve_chain(chain_of(parts))
    total = sum(share.of_variance for share in answer.shares)
    assert total == pytest.approx(1.0 if answer.sigma_mm else 0.0)
    assert solve_chain(chain_of(parts[::-1])).sigma_mm == pytest.approx(answer.sigma_mm)


def test_draws_agree_with_the_sums() -> None:
    parts = [Contributor("x", 9.9, 10.1, 1.0, shape) for shape in Shape] + [
        Contributor("x", 4.0, 4.0, -2.0, Shape.NORMAL, 0.02),
        Contributor("x", 1.0, 1.3, -1.0, Shape.TRIANGULAR),
        Contributor("x", 1.0, 1.3, 0.5, Shape.EVEN),
    ]
    chain = chain_of(parts, lower_mm=21.35, upper_mm=21.6)
    answer = solve_chain(chain)
    drawn = draw_chain(chain, answer)
    assert drawn.mean_mm == pytest.approx(answer.mean_mm, abs=5 * answer.sigma_mm / 1000)
    assert drawn.sigma_mm == pytest.approx(answer.sigma_mm, rel=0.004)
    assert drawn.probability_within == pytest.approx(answer.probability_within, abs=0.01)
    assert draw_chain(chain, answer) == drawn


def test_two_even_contributors_make_a_triangle_not_a_bell() -> None:
    # 95 % of a triangle of half-width 2 lies within 2 (1 - sqrt(0.05)) of its middle.
    chain = chain_of([Contributor("x", -1, 1, 1.0, Shape.EVEN)] * 2, lower_mm=-1.0, upper_mm=1.0)
    drawn = draw_chain(chain, solve_chain(chain))
    assert (drawn.low_mm, drawn.high_mm) == pytest.approx((-1.5528, 1.5528), abs=0.005)
    assert drawn.probability_within == pytest.approx(0.75, abs=5 * (drawn.u_probability or 0))


def test_a_normal_tolerance_is_three_deviations_and_a_reading_its_uncertainty() -> None:
    answer = solve_chain(
        chain_of(
            [Contributor("x", 9.7, 10.3, 1.0, Shape.NORMAL), Contributor("x", 5, 5, -1.0, Shape.NORMAL, 0.2)]
        )
    )
    assert answer.sigma_mm == pytest.approx(sqrt(0.1**2 + 0.2**2))
    assert (answer.worst_low_mm, answer.worst_high_mm) == pytest.approx((5 - 0.9, 5 + 0.9))
    assert answer.shares[0].of_variance == pytest.approx(0.8)


@given(st.integers(0, 400).map(lambda number: number / 100), st.sampled_from([0.0, 0.05, 0.1]))
def test_no_other_shim_brings_the_gap_nearer_to_its_middle(middle_mm: float, step_mm: float) -> None:
    parts = [Contributor("x", middle_mm - 0.1, middle_mm + 0.1, 1.0, Shape.EVEN)]
    shim = Shim("shim", -1.0, step_mm, 1.0, 2.0)
    answer = solve_chain(chain_of(parts, lower_mm=0.1, upper_mm=0.3, shim=shim))
    assert answer.shim is not None
    sizes = [1.0 + number * (step_mm or 0.001) for number in range(round(1 / (step_mm or 0.001)) + 1)]
    assert abs(answer.shim.gap_mm - 0.2) <= min(abs(middle_mm - size - 0.2) for size in sizes) + 1e-9
    assert answer.mean_mm == answer.shim.gap_mm
    assert answer.shim.exact_mm == pytest.approx(middle_mm - 0.2)


def of_one_gauge(first: float, second: float) -> Chain:
    """Two readings of one gauge, each with 2 µm of its own and 5 µm that both share."""
    return Chain(
        "gap",
        tuple(
            Contributor(name, 10.0, 10.0, factor, Shape.NORMAL, 0.002, "ring", 0.005)
            for name, factor in (("one", first), ("other", second))
        ),
        -0.01,
        0.01,
    )


@pytest.mark.parametrize(("first", "second"), [(1.0, -1.0), (1.0, 1.0), (1.0, -0.5)])
def test_what_a_gauge_errs_by_it_errs_by_in_all_it_measured(first: float, second: float) -> None:
    chain = of_one_gauge(first, second)
    answer = solve_chain(chain)
    generator = numpy.random.default_rng(6)
    shared = generator.normal(0, 0.005, 400_000)
    own = generator.normal(0, 0.002, (2, 400_000))
    gap = first * (10 + own[0] + shared) + second * (10 + own[1] + shared)
    assert answer.sigma_mm == pytest.approx(float(gap.std()), rel=0.01)
    assert draw_chain(chain, answer).sigma_mm == pytest.approx(float(gap.std()), rel=0.01)
    if first == -second:
        # The gauge's own error goes out of a difference altogether.
        assert answer.sigma_mm == pytest.approx(0.002 * sqrt(2))
    assert {share.name for share in answer.shares} == {"one", "other", "gauge ring"}
    assert sum(share.of_variance for share in answer.shares) == pytest.approx(1)


def test_a_gauge_without_its_uncertainty_is_refused() -> None:
    for gauge, u in (("ring", 0.0), ("", 0.005), ("ring", -0.001), ("ring", float("nan"))):
        with pytest.raises(InvalidInput, match="contributor a needs a gauge with an uncertainty that its"):
            Chain("gap", (Contributor("a", 1, 1, 1.0, Shape.NORMAL, 0.01, gauge, u),))


def test_what_is_to_be_minded_is_said() -> None:
    parts = (Contributor("a", 5.0, 5.0, 1.0, Shape.EVEN), Contributor("b", 1.9, 2.1, 1.0, Shape.EVEN))
    said = [
        one.text for one in solve_chain(Chain("gap", parts, 0.1, 0.3, Shim("shim", -1, 0, 4.0, 5.0))).cautions
    ]
    assert said == [
        "Taken without any doubt: a. Tell a tolerance, or u where it was measured.",
        "shim would have to be 6.800 mm to centre the gap, which lies beyond 4 to 5 mm.",
        "shim is taken as exactly 5 mm: measure it before it goes in.",
        "The middle of the gap lies outside its limits.",
    ]
    centred = solve_chain(Chain("gap", parts[1:], 1.95, 2.05))
    assert [one.text for one in centred.cautions] == [
        "At its worst the gap lies outside its limits: measure it when it is together."
    ]
    assert solve_chain(Chain("gap", parts[1:], 1.8, 2.2)).cautions == ()
    with pytest.raises(InvalidInput, match="shim needs finite numbers"):
        Chain("gap", parts, 0.1, 0.3, Shim("shim", float("nan"), 0, 4.0, 5.0))


def test_a_chain_without_spread_is_within_or_not() -> None:
    parts = [Contributor("x", 1.0, 1.0, 1.0, Shape.EVEN)]
    for lower, upper, probability in (
        (0.9, 1.1, 1.0),
        (1.05, 1.1, 0.0),
        (None, 0.9, 0.0),
        (None, None, None),
    ):
        answer = solve_chain(chain_of(parts, lower_mm=lower, upper_mm=upper))
        assert answer.probability_within == probability


CHAIN = """
name = "crank end float"
limits = [0.10, "10 thou"]
[[contributor]]
name = "crank"
nominal = 32.10
u = 0.005
[[contributor]]
name = "cap"
least = 26.93
most = 26.97
factor = -1
shape = "triangular"
[[contributor]]
name = "flange"
nominal = "1/8 in"
plus = 0.02
minus = 0
direction = -1
[shim]
name = "thrust washers"
step = 0.05
least = 1.5
most = 2.5
"""


def test_a_chain_is_read_as_it_is_written() -> None:
    chain = read_chain(CHAIN)
    assert chain.lower_mm == 0.10
    assert chain.upper_mm == pytest.approx(0.254)
    assert chain.contributors == (
        Contributor("crank", 32.10, 32.10, 1.0, Shape.NORMAL, 0.005),
        Contributor("cap", 26.93, 26.97, -1.0, Shape.TRIANGULAR),
        Contributor("flange", 3.175, 3.195, -1.0, Shape.EVEN),
    )
    assert chain.shim == Shim("thrust washers", -1.0, 0.05, 1.5, 2.5)
    inches = read_chain(
        'unit = "in"\n[gap]\nlower = -0.001\nupper = 0.002\n[[contributors]]\nvalue = 1\ntolerance = 0.001'
    )
    assert (inches.lower_mm, inches.upper_mm) == pytest.approx((-0.0254, 0.0508))
    assert inches.contributors[0].most_mm == pytest.approx(25.4254)


def test_keys_may_say_the_unit_that_holds() -> None:
    chain = read_chain(
        "[limits]\nmin_mm = 0.1\nmax_mm = 0.2\n[[contributors]]\nname = 'a'\nnominal_mm = "
        "5\nplus_minus_mm = 0.1\n"
        "sign = -1\ndistribution = 'uniform'"
    )
    assert (chain.lower_mm, chain.upper_mm) == (0.1, 0.2)
    assert chain.contributors == (Contributor("a", 4.9, 5.1, -1.0, Shape.EVEN),)


ONE = '[[contributor]]\nname = "a"\n'


@pytest.mark.parametrize(
    ("text", "match"),
    [
        ("name = ", "a TOML file"),
        ("name = 'gap'", r"at least one \[\[contributor\]\]"),
        ("colour = 1", "The chain needs only"),
        (ONE + "nominal = 1\ncolour = 2", "contributor a needs only"),
        (ONE, "a nominal with a tolerance"),
        (ONE + "nominal = 1\nleast = 0\nmost = 2", "a nominal with a tolerance"),
        (ONE + "least = 2\nmost = 1", "its least before its largest"),
        (ONE + "nominal = 1\nfactor = 0", "a factor but 0"),
        (ONE + "nominal = 1\nfactor = 'up'", "a factor that is a number"),
        (ONE + "nominal = 1\nshape = 'square'", "normal, even or triangular"),
        (ONE + "nominal = 1\nu = 0", "an uncertainty above 0"),
        (ONE + "nominal = 1\ntolerance = -0.1", "a tolerance of 0 or more"),
        (ONE + "nominal = nan", "a length such as"),
        (ONE + "nominal = 'wide'", "a length such as"),
        (ONE + "nominal = 1\n" + ONE + "nominal = 2", "each under its own name"),
        ("limits = [0.3, 0.1]\n" + ONE + "nominal = 1", "the lower below the upper"),
        ("limits = [0.3]\n" + ONE + "nominal = 1", "two lengths such as"),
        ("unit = 'in'\n" + ONE + "nominal_mm = 1", "mm where keys end in _mm"),
        ("unit = 'cubit'\n" + ONE + "nominal = 1", "unit needs mm or in"),
        (ONE + "nominal = 1\n[shim]\nstep = 0.1", "its thinnest and thickest"),
        (ONE + "nominal = 1\n[shim]\nleast = 1\nmost = 2", "both limits of the gap"),
        ("limits = [0.1, 0.2]\n" + ONE + "nominal = 1\n[shim]\nleast = 2\nmost = 1", "its thinnest before"),
        ("shim = 1\n" + ONE + "nominal = 1", "a table with step"),
    ],
)
def test_what_is_no_chain_is_refused(text: str, match: str) -> None:
    with pytest.raises(InvalidInput, match=match):
        read_chain(text)


@pytest.mark.parametrize("draws", [10, 10**9])
def test_so_many_draws_cannot_be_made(draws: int) -> None:
    chain = chain_of([Contributor("x", 0, 1, 1.0, Shape.EVEN)])
    with pytest.raises(InvalidInput, match="draws needs 1000"):
        draw_chain(chain, solve_chain(chain), draws)
