"""The ledger's law inside the database: movements are append-only, and holdings follow from them alone.

For each movement the database itself takes the count from one account and adds it to the other, so found +
bought + received over always equals the sum over custody. A check constraint keeps every custody at zero or
more. A holding can hold no other value than the sum of its movements, whoever writes it, and neither a
REPLACE (which deletes without asking the triggers of deleting) nor a TRUNCATE comes past that.
"""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper

SUM_OF_MOVEMENTS = """
    COALESCE((SELECT SUM(m.count) FROM workshop_movement m
              WHERE m.to_lot_id = NEW.lot_id AND m.to_account = NEW.account), 0)
  - COALESCE((SELECT SUM(m.count) FROM workshop_movement m
              WHERE m.from_lot_id = NEW.lot_id AND m.from_account = NEW.account), 0)
"""

SQLITE_INSTALL = [
    """CREATE TRIGGER ledger_apply AFTER INSERT ON workshop_movement BEGIN
    UPDATE workshop_holding SET count = count - NEW.count
      WHERE lot_id = NEW.from_lot_id AND account = NEW.from_account;
    INSERT INTO workshop_holding(lot_id, account, count) SELECT NEW.from_lot_id, NEW.from_account, -NEW.count
      WHERE NOT EXISTS (SELECT 1 FROM workshop_holding
                        WHERE lot_id = NEW.from_lot_id AND account = NEW.from_account);
    UPDATE workshop_holding SET count = count + NEW.count
      WHERE lot_id = NEW.to_lot_id AND account = NEW.to_account;
    INSERT INTO workshop_holding(lot_id, account, count) SELECT NEW.to_lot_id, NEW.to_account, NEW.count
      WHERE NOT EXISTS (SELECT 1 FROM workshop_holding
                        WHERE lot_id = NEW.to_lot_id AND account = NEW.to_account);
    END""",
    """CREATE TRIGGER ledger_movement_fixed BEFORE UPDATE ON workshop_movement BEGIN
    SELECT RAISE(ABORT, 'the ledger is append-only: a movement cannot be changed'); END""",
    """CREATE TRIGGER ledger_movement_kept BEFORE DELETE ON workshop_movement BEGIN
    SELECT RAISE(ABORT, 'the ledger is append-only: a movement cannot be deleted'); END""",
    """CREATE TRIGGER ledger_movement_new BEFORE INSERT ON workshop_movement
    WHEN EXISTS (SELECT 1 FROM workshop_movement WHERE id = NEW.id) BEGIN
    SELECT RAISE(ABORT, 'the ledger is append-only: a movement cannot be replaced'); END""",
    f"""CREATE TRIGGER ledger_holding_begins BEFORE INSERT ON workshop_holding
    WHEN NEW.count <> ({SUM_OF_MOVEMENTS})
      OR EXISTS (SELECT 1 FROM workshop_holding WHERE id = NEW.id)
      OR EXISTS (SELECT 1 FROM workshop_holding WHERE lot_id = NEW.lot_id AND account = NEW.account) BEGIN
    SELECT RAISE(ABORT, 'a holding is written by movements only'); END""",  # noqa: S608  (joined of this module's own texts)
    f"""CREATE TRIGGER ledger_holding_follows BEFORE UPDATE ON workshop_holding
    WHEN NEW.lot_id <> OLD.lot_id OR NEW.account <> OLD.account OR NEW.count <> ({SUM_OF_MOVEMENTS}) BEGIN
    SELECT RAISE(ABORT, 'a holding is written by movements only'); END""",
    """CREATE TRIGGER ledger_holding_kept BEFORE DELETE ON workshop_holding BEGIN
    SELECT RAISE(ABORT, 'a holding cannot be deleted'); END""",
]
SQLITE_REMOVE = [
    f"DROP TRIGGER IF EXISTS {name}"
    for name in (
        "ledger_apply",
        "ledger_movement_fixed",
        "ledger_movement_kept",
        "ledger_movement_new",
        "ledger_holding_begins",
        "ledger_holding_follows",
        "ledger_holding_kept",
    )
]

# One statement may bring thousands of movements, as an import or a restore does: they are applied together,
# and each leg becomes the sum of its movements, not one count more.
# An UPDATE in the first statement would not wait for the other leg of a concurrent split in a fixed order, so
# all legs are locked by lot and account before any is written: no two writers can hold each other up.
# A plan is kept for as long as the connection: one made while the tables were small, or for thousands of
# movements, would read all of them for each single one later. So each leg is looked up by the index, always.
POSTGRESQL_INSTALL = [
    f"""CREATE FUNCTION ledger_apply() RETURNS trigger LANGUAGE plpgsql
    SET enable_seqscan = off SET enable_hashjoin = off SET enable_mergejoin = off AS $$
    BEGIN
      INSERT INTO workshop_holding(lot_id, account, count)
        SELECT lot_id, account, 0 FROM (SELECT from_lot_id, from_account FROM added
                                        UNION SELECT to_lot_id, to_account FROM added) AS leg(lot_id, account)
        ORDER BY lot_id, account ON CONFLICT (lot_id, account) DO NOTHING;
      PERFORM 1 FROM workshop_holding
        WHERE (lot_id, account) IN (SELECT from_lot_id, from_account FROM added
                                    UNION SELECT to_lot_id, to_account FROM added)
        ORDER BY lot_id, account FOR UPDATE;
      UPDATE workshop_holding AS h SET count = ({SUM_OF_MOVEMENTS.replace("NEW.", "h.")})
        WHERE (lot_id, account) IN (SELECT from_lot_id, from_account FROM added
                                    UNION SELECT to_lot_id, to_account FROM added);
      RETURN NULL;
    END $$""",  # noqa: S608  (joined of this module's own texts)
    """CREATE TRIGGER ledger_apply AFTER INSERT ON workshop_movement
    REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION ledger_apply()""",
    """CREATE FUNCTION ledger_movement_fixed() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION 'the ledger is append-only: a movement cannot be changed or deleted'
      USING ERRCODE = 'check_violation'; END $$""",
    """CREATE TRIGGER ledger_movement_fixed BEFORE UPDATE OR DELETE ON workshop_movement
    FOR EACH ROW EXECUTE FUNCTION ledger_movement_fixed()""",
    """CREATE TRIGGER ledger_movement_kept BEFORE TRUNCATE ON workshop_movement
    FOR EACH STATEMENT EXECUTE FUNCTION ledger_movement_fixed()""",
    """CREATE TRIGGER ledger_holding_kept BEFORE TRUNCATE ON workshop_holding
    FOR EACH STATEMENT EXECUTE FUNCTION ledger_movement_fixed()""",
    f"""CREATE FUNCTION ledger_holding_follows() RETURNS trigger
    LANGUAGE plpgsql SET enable_seqscan = off AS $$
    BEGIN
      IF TG_OP = 'DELETE' THEN
        RAISE EXCEPTION 'a holding cannot be deleted' USING ERRCODE = 'check_violation';
      END IF;
      IF (TG_OP = 'INSERT' AND NEW.count = 0) THEN RETURN NEW; END IF;
      IF TG_OP = 'INSERT' OR NEW.lot_id <> OLD.lot_id OR NEW.account <> OLD.account
         OR NEW.count <> ({SUM_OF_MOVEMENTS}) THEN
        RAISE EXCEPTION 'a holding is written by movements only' USING ERRCODE = 'check_violation';
      END IF;
      RETURN NEW;
    END $$""",
    """CREATE TRIGGER ledger_holding_follows BEFORE INSERT OR UPDATE OR DELETE ON workshop_holding
    FOR EACH ROW EXECUTE FUNCTION ledger_holding_follows()""",
]
POSTGRESQL_REMOVE = [
    "DROP TRIGGER IF EXISTS ledger_apply ON workshop_movement",
    "DROP TRIGGER IF EXISTS ledger_movement_fixed ON workshop_movement",
    "DROP TRIGGER IF EXISTS ledger_movement_kept ON workshop_movement",
    "DROP TRIGGER IF EXISTS ledger_holding_kept ON workshop_holding",
    "DROP TRIGGER IF EXISTS ledger_holding_follows ON workshop_holding",
    "DROP FUNCTION IF EXISTS ledger_apply()",
    "DROP FUNCTION IF EXISTS ledger_movement_fixed()",
    "DROP FUNCTION IF EXISTS ledger_holding_follows()",
]


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the ledger's law into the database."""
    _run(connection, SQLITE_INSTALL if connection.vendor == "sqlite" else POSTGRESQL_INSTALL)


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the ledger's law out of the database, as a migration backwards does."""
    _run(connection, SQLITE_REMOVE if connection.vendor == "sqlite" else POSTGRESQL_REMOVE)


def _run(connection: BaseDatabaseWrapper, statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)
