"""Put the ledger's law into the database."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from runningfit.workshop.pieces import ledger_sql


def install(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Install the triggers."""
    ledger_sql.install(editor.connection)


def remove(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Remove the triggers."""
    ledger_sql.remove(editor.connection)


class Migration(migrations.Migration):
    dependencies = [("workshop", "0001_initial")]
    operations = [migrations.RunPython(install, remove)]
