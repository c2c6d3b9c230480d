"""Addresses of the tally sheet."""

from django.urls import path

from runningfit.web.pieces import tally_views

urlpatterns = [
    path("jobs/<int:job_id>/tally", tally_views.sheets, name="tally"),
    path("jobs/<int:job_id>/tally/<int:sheet_id>", tally_views.sheet, name="tally_sheet"),
    path("jobs/<int:job_id>/tally/<int:sheet_id>/presses", tally_views.presses, name="tally_presses"),
    path("jobs/<int:job_id>/tally/<int:sheet_id>/answer", tally_views.answer, name="tally_answer"),
    path("jobs/<int:job_id>/tally/<int:sheet_id>/close", tally_views.close, name="close_tally"),
    path("jobs/<int:job_id>/tally/<int:sheet_id>/away", tally_views.throw_away, name="throw_away_tally"),
]
