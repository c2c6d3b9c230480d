"""Addresses of the records room."""

from django.urls import path

from runningfit.web.records import views

urlpatterns = [
    path("", views.jobs, name="jobs"),
    path("jobs/new", views.open_job, name="open_job"),
    path("jobs/<int:job_id>/donors/new", views.add_donor, name="add_donor"),
    path("who", views.who, name="who"),
    path("door", views.door, name="door"),
    path("shop", views.shop, name="shop"),
]
