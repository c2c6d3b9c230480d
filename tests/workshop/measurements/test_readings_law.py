"""The law inside the database: no statement changes, deletes or replaces a reading, whoever writes it."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, connection, transaction

from runningfit.workshop.measurements import readings_sql
from runningfit.workshop.measurements.taking import Taken, take_readings
from runningfit.workshop.models import FeatureSet, Reading
from runningfit.workshop.records.writing import Hand

pytestmark = pytest.mark.django_db
COLUMNS = "feature_id, point, kind, value, typed, unit, round, why, token, at, who"
PAST_THE_LAW = [
    "UPDATE workshop_reading SET value = 80",
    "UPDATE workshop_reading SET why = 'mended'",
    "DELETE FROM workshop_reading",
]
OF_ONE_DATABASE = {
    "sqlite": [
        f"REPLACE INTO workshop_reading(id, {COLUMNS}) SELECT id, {COLUMNS} FROM workshop_reading",
        f"INSERT OR REPLACE INTO workshop_reading({COLUMNS}) SELECT {COLUMNS} FROM workshop_reading",
    ],
    "postgresql": [
        "TRUNCATE workshop_reading CASCADE",
        "INSERT INTO workshop_reading SELECT * FROM workshop_reading "
        "ON CONFLICT (id) DO UPDATE SET value = 80",
    ],
}


@pytest.fixture
def read(bores: FeatureSet) -> Reading:
    feature = bores.features.order_by("position")[0]
    take_readings(
        feature_set=bores,
        readings=[Taken("t1", feature.pk, "10@0", "79.413")],
        hand=Hand(who="Ann"),
        unit="mm",
    )
    # Keys are looked at when a transaction ends: looked at now, so that nothing else stops a statement.
    connection.check_constraints()
    return Reading.objects.get()


@pytest.mark.parametrize("number", range(len(PAST_THE_LAW) + 2))
def test_no_statement_writes_past_the_law(read: Reading, number: int) -> None:
    statement = (PAST_THE_LAW + OF_ONE_DATABASE[connection.vendor])[number]
    with (
        pytest.raises(DatabaseError, match="append-only"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    read.refresh_from_db()
    assert (read.value, read.typed, Reading.objects.count()) == (79.413, "79.413", 1)


def test_the_law_can_be_lifted_by_a_migration_backwards_and_stands_again(read: Reading) -> None:
    readings_sql.remove(connection)
    Reading.objects.update(who="Ben")
    readings_sql.install(connection)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Reading.objects.update(who="Ann")
    read.refresh_from_db()
    assert read.who == "Ben"
