"""Addresses of the reading sheet: its overview, its sets, the walk over one, limits."""

from django.urls import path

from runningfit.web.measurements import limit_views, sheet_views, walk_views

_SET = "jobs/<int:job_id>/measure/sets/<int:set_id>"

urlpatterns = [
    path("jobs/<int:job_id>/measure", sheet_views.measure, name="measure"),
    path("jobs/<int:job_id>/measure/new", sheet_views.add_set, name="add_feature_set"),
    path("jobs/<int:job_id>/measure/limits", limit_views.import_limits, name="import_limits"),
    path(_SET, walk_views.walk, name="feature_set"),
    path(f"{_SET}/readings", walk_views.readings, name="take_readings"),
    path(f"{_SET}/with", walk_views.choose_gauge, name="read_with"),
    path(f"{_SET}/change", sheet_views.change_set, name="change_feature_set"),
    path(f"{_SET}/away", sheet_views.take_off, name="take_off_set"),
    path(f"{_SET}/limits", limit_views.set_limits, name="feature_set_limits"),
]
