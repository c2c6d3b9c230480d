"""Put the law of readings into the database."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from runningfit.workshop.measurements import readings_sql


def install(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Install the triggers."""
    readings_sql.install(editor.connection)


def remove(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Remove the triggers."""
    readings_sql.remove(editor.connection)


class Migration(migrations.Migration):
    dependencies = [("workshop", "0002_ledger_law")]
    operations = [migrations.RunPython(install, remove)]
