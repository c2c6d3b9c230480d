"""Rates of springs as makers give them."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.units import read_rate


@pytest.mark.parametrize(
    ("typed", "rate_n_per_mm"),
    [
        ("9.5 N/mm", 9.5),
        ("9,5N/mm", 9.5),
        # 1 lbf = 4.4482216 N and 1 in = 25.4 mm: NIST SP 811:2008, appendix B.8, gives 175.1268 N/m.
        ("100 lbf/in", 17.51268),
        ("100 lb per inch", 17.51268),
        ("100 lbs / in.", 17.51268),
        ("2 kg/mm", 19.6133),
        ("950 N/m", 0.95),
    ],
)
def test_a_rate_is_read_with_its_unit(typed: str, rate_n_per_mm: float) -> None:
    assert read_rate(typed).rate_n_per_mm == pytest.approx(rate_n_per_mm, rel=1e-6)
    assert read_rate(typed).typed == typed


@pytest.mark.parametrize("typed", ["9.5", "9.5 N", "9.5 mm/N", "", "N/mm", "9.5 lbf in"])
def test_what_is_no_rate_is_refused_with_the_units_there_are(typed: str) -> None:
    with pytest.raises(InvalidInput, match=r"rate needs a number with its unit.*lbf/in"):
        read_rate(typed)


def test_no_spring_has_no_rate() -> None:
    with pytest.raises(InvalidInput, match="rate needs more than nothing"):
        read_rate("0 N/mm")
