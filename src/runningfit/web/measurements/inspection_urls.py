"""Addresses of inspections."""

from django.urls import path

from runningfit.web.measurements import inspection_views as views

urlpatterns = [
    path("jobs/<int:job_id>/inspections", views.inspections, name="inspections"),
    path("jobs/<int:job_id>/inspections/new", views.want_inspection, name="want_inspection"),
    path("jobs/<int:job_id>/inspections/<int:inspection_id>", views.inspection, name="inspection"),
    path(
        "jobs/<int:job_id>/inspections/<int:inspection_id>/change",
        views.change_inspection,
        name="change_inspection",
    ),
    path(
        "jobs/<int:job_id>/inspections/<int:inspection_id>/take-back",
        views.withdraw_inspection,
        name="withdraw_inspection",
    ),
]
