"""Which sizes a gauge spans: it is offered and taken for those only, and says why not for others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind, Pattern
from runningfit.workshop.measurements.gauge_spans import gauges_for
from runningfit.workshop.measurements.gauges import SaidOfGauge, add_instrument, change_instrument
from runningfit.workshop.measurements.sets import SaidOfSet, add_set, change_set, use_gauge
from runningfit.workshop.measurements.typed import TypedNumber
from runningfit.workshop.models import Instrument, Job
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
ANN = Hand(who="Ann")


def mm(value: float) -> TypedNumber:
    return TypedNumber(value, f"{value:g} mm")


def micrometer(least: float | None, most: float | None, unit: str = "mm") -> Instrument:
    said = SaidOfGauge(
        f"micrometer {least or 0:g}", "micrometer", unit, mm(0.001),
        span_least=mm(least) if least is not None else None, span_most=mm(most) if most is not None else None,
    )  # fmt: skip
    return add_instrument(said=said, hand=ANN)


def journals(nominal: float | None) -> SaidOfSet:
    return SaidOfSet(
        "main journals", FeatureKind.SHAFT, ("1", "2"), Pattern((5.0,), (0.0,)),
        nominal=mm(nominal) if nominal else None,
    )  # fmt: skip


def test_a_gauge_is_offered_for_what_it_spans_and_says_why_not_for_others(job: Job) -> None:
    small, right, any_size = micrometer(25, 50), micrometer(50, 75), micrometer(None, None)
    balance = add_instrument(said=SaidOfGauge("balance", "balance", "g", TypedNumber(1.0, "1 g")), hand=ANN)
    one = add_set(job=job, engine=None, said=journals(63.5), hand=ANN)
    found = gauges_for(one)
    assert set(found.can) == {right, any_size}
    assert found.cannot == ("micrometer 25 spans 25 mm to 50 mm, and this is 63.500 mm",)
    assert balance not in found.can
    assert small not in found.can
    # Nobody said the size: nothing can be left out.
    one = add_set(job=job, engine=None, said=journals(None), hand=ANN)
    assert set(gauges_for(one).can) == {small, right, any_size}


def test_a_size_a_little_beside_the_span_is_still_offered(job: Job) -> None:
    one = micrometer(50, 75)
    assert gauges_for(add_set(job=job, engine=None, said=journals(75.5), hand=ANN)).can == (one,)
    assert gauges_for(add_set(job=job, engine=None, said=journals(76.5), hand=ANN)).can == ()


def test_a_gauge_that_cannot_span_the_size_is_refused_and_the_one_in_use_stays(job: Job) -> None:
    small, right = micrometer(25, 50), micrometer(50, 75)
    said = "needs a gauge that spans the size; .micrometer 25 spans 25 mm to 50 mm, and this is 63.500 mm"
    with pytest.raises(InvalidInput, match=said):
        add_set(job=job, engine=None, said=replace(journals(63.5), instrument=small), hand=ANN)
    one = add_set(job=job, engine=None, said=replace(journals(63.5), instrument=right), hand=ANN)
    with pytest.raises(InvalidInput, match=said):
        use_gauge(feature_set=one, instrument=small, set_at=None, hand=ANN)
    # What it spans is typed later, and wrongly: the set can still be changed, and reads on with it.
    change_instrument(
        instrument=right,
        said=SaidOfGauge("micrometer 50", "micrometer", "mm", mm(0.001), span_least=mm(5), span_most=mm(7)),
        hand=ANN,
    )
    right.refresh_from_db()
    assert right in gauges_for(one).can
    change_set(feature_set=one, said=replace(journals(63.5), name="mains", instrument=right), hand=ANN)
    with pytest.raises(InvalidInput, match="spans the size"):
        change_set(feature_set=one, said=replace(journals(64.0), instrument=right), hand=ANN)


@pytest.mark.parametrize(
    ("least", "most", "unit", "said"),
    [
        (75.0, 50.0, "mm", "span most needs more than the smallest, 75 mm; '50 mm' came"),
        (-1.0, 50.0, "mm", "span least needs a size, 0 or more; '-1 mm' came"),
        (0.0, 100.0, "ml", "span least needs nothing: only gauges of lengths span sizes; 'ml' came"),
    ],
)
def test_a_span_that_is_none_is_refused(least: float, most: float, unit: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        micrometer(least, most, unit)
