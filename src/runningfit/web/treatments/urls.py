"""Addresses of the treatments room."""

from django.urls import path

from runningfit.web.treatments import compare_views, machining_urls

urlpatterns = [
    *machining_urls.urlpatterns,
    path(
        "jobs/<int:job_id>/lots/<int:number>/treatments",
        compare_views.compare_treatments,
        name="compare_treatments",
    ),
]
