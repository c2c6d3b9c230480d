"""The one Django app of the workshop."""

from django.apps import AppConfig


class WorkshopConfig(AppConfig):
    """One app, so that there is one migration history."""

    name = "runningfit.workshop"
    label = "workshop"
    default_auto_field = "django.db.models.BigAutoField"
