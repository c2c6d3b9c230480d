"""Print scales as people write them."""

from __future__ import annotations

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.photos.print_scales import read_print_scale

RULERS_MM = (200.0, 120.0)


@pytest.mark.parametrize(
    ("text", "value", "understood_as"),
    [
        ("0.985", 0.985, "a factor of 0.985"),
        ("0,985", 0.985, "a factor of 0.985"),
        (".985", 0.985, "a factor of 0.985"),
        ("1", 1.0, "a factor of 1"),
        ("98.5", 0.985, "98.5 per cent"),
        ("98,5 %", 0.985, "98.5 per cent"),
        ("100", 1.0, "100 per cent"),
        ("194/200", 0.97, "194 measured of 200"),
        ("194 mm of 200 mm", 0.97, "194 measured of 200"),
        ("118,8 : 120", 0.99, "118.8 measured of 120"),
        ("197", 0.985, "197 mm measured on the ruler of 200 mm"),
        ("119.4 mm", 0.995, "119.4 mm measured on the ruler of 120 mm"),
        ("7 3/4 in", 0.98425, "196.8 mm measured on the ruler of 200 mm"),
        ('7.68"', 0.97536, "195.1 mm measured on the ruler of 200 mm"),
    ],
)
def test_a_scale_is_read_however_it_is_written(text: str, value: float, understood_as: str) -> None:
    read = read_print_scale(text, rulers_mm=RULERS_MM)
    assert read.value == pytest.approx(value, abs=1e-5)
    assert read.understood_as == understood_as


@pytest.mark.parametrize("text", ["", "as it came", "0.5", "150/200", "1/0", "17 mm", "0"])
def test_what_is_no_scale_is_refused_with_what_to_do(text: str) -> None:
    with pytest.raises(
        InvalidInput, match=r"print scale needs .*200 mm or 120 mm.* Hold a steel rule"
    ) as refused:
        read_print_scale(text, rulers_mm=RULERS_MM)
    assert text.strip() in str(refused.value)


def test_a_length_on_a_mat_without_rulers_is_refused() -> None:
    with pytest.raises(InvalidInput, match="the length printed beside it"):
        read_print_scale("197 mm", rulers_mm=())
