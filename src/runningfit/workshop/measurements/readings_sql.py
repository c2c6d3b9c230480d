"""The law of readings inside the database: a reading is never changed, deleted or replaced, whoever writes.

A REPLACE deletes without asking the triggers of deleting, so a second row of the same key or token is refused
before it is inserted; PostgreSQL has no such statement, but a TRUNCATE.
"""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper

SQLITE_INSTALL = [
    """CREATE TRIGGER reading_fixed BEFORE UPDATE ON workshop_reading BEGIN
    SELECT RAISE(ABORT, 'readings are append-only: a reading cannot be changed'); END""",
    """CREATE TRIGGER reading_kept BEFORE DELETE ON workshop_reading BEGIN
    SELECT RAISE(ABORT, 'readings are append-only: a reading cannot be deleted'); END""",
    """CREATE TRIGGER reading_new BEFORE INSERT ON workshop_reading
    WHEN EXISTS (SELECT 1 FROM workshop_reading WHERE id = NEW.id)
      OR EXISTS (SELECT 1 FROM workshop_reading WHERE token = NEW.token) BEGIN
    SELECT RAISE(ABORT, 'readings are append-only: a reading cannot be replaced'); END""",
]
SQLITE_REMOVE = [
    f"DROP TRIGGER IF EXISTS {name}" for name in ("reading_fixed", "reading_kept", "reading_new")
]

POSTGRESQL_INSTALL = [
    """CREATE FUNCTION reading_fixed() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION 'readings are append-only: a reading cannot be changed or deleted'
      USING ERRCODE = 'check_violation'; END $$""",
    """CREATE TRIGGER reading_fixed BEFORE UPDATE OR DELETE ON workshop_reading
    FOR EACH ROW EXECUTE FUNCTION reading_fixed()""",
    """CREATE TRIGGER reading_kept BEFORE TRUNCATE ON workshop_reading
    FOR EACH STATEMENT EXECUTE FUNCTION reading_fixed()""",
]
POSTGRESQL_REMOVE = [
    "DROP TRIGGER IF EXISTS reading_fixed ON workshop_reading",
    "DROP TRIGGER IF EXISTS reading_kept ON workshop_reading",
    "DROP FUNCTION IF EXISTS reading_fixed()",
]


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the law of readings into the database."""
    _run(connection, SQLITE_INSTALL if connection.vendor == "sqlite" else POSTGRESQL_INSTALL)


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the law of readings out of the database, as a migration backwards does."""
    _run(connection, SQLITE_REMOVE if connection.vendor == "sqlite" else POSTGRESQL_REMOVE)


def _run(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
