"""Addresses of the records room."""

from django.urls import path

from runningfit.web.records import engine_views, history_views, job_views, shop_views, views

urlpatterns = [
    path("", views.jobs, name="jobs"),
    path("jobs/new", views.open_job, name="open_job"),
    path("jobs/<int:job_id>/about", job_views.about_job, name="about_job"),
    path("jobs/<int:job_id>/close", job_views.close_job, name="close_job"),
    path("jobs/<int:job_id>/donors/new", views.add_donor, name="add_donor"),
    path("jobs/<int:job_id>/engines/<int:engine_id>", engine_views.engine, name="engine"),
    path("jobs/<int:job_id>/history", history_views.job_history, name="job_history"),
    path("history", history_views.shop_history, name="shop_history"),
    path("history/<int:record_id>", history_views.record, name="record"),
    path("export", history_views.export_all, name="export_all"),
    path("who", views.who, name="who"),
    path("door", views.door, name="door"),
    path("shop", shop_views.shop, name="shop"),
]
