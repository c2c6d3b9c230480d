"""Addresses of the build room."""

from django.urls import path

from runningfit.web.build import views

urlpatterns = [
    path("jobs/<int:job_id>/build", views.build, name="build"),
    path("jobs/<int:job_id>/build/<int:area_id>", views.kit, name="kit"),
    path("jobs/<int:job_id>/build/<int:area_id>/kit-list.pdf", views.kit_paper, name="kit_paper"),
]
