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
    INSERT INTO workshop_holding(lot_id, account, count) SELECT NEW.from_lot_id, NEW.from_account, 0
      WHERE NOT EXISTS (SELECT 1 FROM workshop_holding
                        WHERE lot_id = NEW.from_lot_id AND account = NEW.from_account);
    INSERT INTO workshop_holding(lot_id, account, count) SELECT NEW.to_lot_id, NEW.to_account, 0
      WHERE NOT EXISTS (SELECT 1 FROM workshop_holding
                        WHERE lot_id = NEW.to_lot_id AND account = NEW.to_account);
    UPDATE workshop_holding SET count = count - NEW.count
      WHERE lot_id = NEW.from_lot_id AND account = NEW.from_account;
    UPDATE workshop_holding SET count = count + NEW.count
      WHERE lot_id = NEW.to_lot_id AND account = NEW.to_account;
    END""",
    """CREATE TRIGGER ledger_movement_fixed BEFORE UPDATE ON workshop_movement BEGIN
    SELECT RAISE(ABORT, 'the ledger is append-only: a movement cannot be changed'); END""",
    """CREATE TRIGGER ledger_movement_kept BEFORE DELETE ON workshop_movement BEGIN
    SELECT RAISE(ABORT, 'the ledger is append-only: a movement cannot be deleted'); END""",
    """CREATE TRIGGER ledger_movement_new BEFORE INSERT ON workshop_movement
    WHEN EXISTS (SELECT 1 FROM workshop_movement WHERE id = NEW.id) BEGIN
    SELECT RAISE(ABORT, 'the ledger is append-only: a movement cannot be replaced'); END""",
    """CREATE TRIGGER ledger_holding_starts_empty BEFORE INSERT ON workshop_holding
    WHEN NEW.count <> 0
      OR EXISTS (SELECT 1 FROM workshop_holding
                 WHERE id = NEW.id OR (lot_id = NEW.lot_id AND account = NEW.account)) BEGIN
    SELECT RAISE(ABORT, 'a holding is written by movements only'); END""",
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
        "ledger_holding_starts_empty",
        "ledger_holding_follows",
        "ledger_holding_kept",
    )
]

# An UPDATE in the first statement would not wait for the other leg of a concurrent split in a fixed order, so
# both legs are locked by lot and account before either is written: no two writers can hold each other up.
# The trigger fires when a statement's rows are all there; each leg therefore becomes the sum of its
# movements, not one count more, so that many movements of one lot can come at once, as a restore brings them.
POSTGRESQL_INSTALL = [
    f"""CREATE FUNCTION ledger_apply() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
      INSERT INTO workshop_holding(lot_id, account, count)
        SELECT lot_id, account, 0 FROM (VALUES (NEW.from_lot_id, NEW.from_account),
                                               (NEW.to_lot_id, NEW.to_account)) AS leg(lot_id, account)
        ORDER BY lot_id, account ON CONFLICT (lot_id, account) DO NOTHING;
      PERFORM 1 FROM workshop_holding
        WHERE (lot_id = NEW.from_lot_id AND account = NEW.from_account)
           OR (lot_id = NEW.to_lot_id AND account = NEW.to_account)
        ORDER BY lot_id, account FOR UPDATE;
      UPDATE workshop_holding AS h SET count = ({SUM_OF_MOVEMENTS.replace("NEW.", "h.")})
        WHERE (lot_id = NEW.from_lot_id AND account = NEW.from_account)
           OR (lot_id = NEW.to_lot_id AND account = NEW.to_account);
      RETURN NULL;
    END $$""",  # noqa: S608  (joined of this module's own texts)  # noqa: S608  (joined of this module's own texts)
    """CREATE TRIGGER ledger_apply AFTER INSERT ON workshop_movement
    FOR EACH ROW EXECUTE FUNCTION ledger_apply()""",
    """CREATE FUNCTION ledger_movement_fixed() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION 'the ledger is append-only: a movement cannot be changed or deleted'
      USING ERRCODE = 'check_violation'; END $$""",
    """CREATE TRIGGER ledger_movement_fixed BEFORE UPDATE OR DELETE ON workshop_movement
    FOR EACH ROW EXECUTE FUNCTION ledger_movement_fixed()""",
    """CREATE TRIGGER ledger_movement_kept BEFORE TRUNCATE ON workshop_movement
    FOR EACH STATEMENT EXECUTE FUNCTION ledger_movement_fixed()""",
    """CREATE TRIGGER ledger_holding_kept BEFORE TRUNCATE ON workshop_holding
    FOR EACH STATEMENT EXECUTE FUNCTION ledger_movement_fixed()""",
    f"""CREATE FUNCTION ledger_holding_follows() RETURNS trigger LANGUAGE plpgsql AS $$
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
