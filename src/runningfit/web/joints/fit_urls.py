"""Addresses of fits: the list of a job, one fit, what is known of it."""

from django.urls import path

from runningfit.web.joints import fit_views

_FIT = "jobs/<int:job_id>/fits/<int:fit_id>"

urlpatterns = [
    path("jobs/<int:job_id>/fits", fit_views.fits, name="fits"),
    path("jobs/<int:job_id>/fits/new", fit_views.add_fit, name="add_fit"),
    path(_FIT, fit_views.fit, name="fit"),
    path(f"{_FIT}/change", fit_views.change_fit, name="change_fit"),
    path(f"{_FIT}/fitted", fit_views.say_fitted, name="fitted_shells"),
    path(f"{_FIT}/away", fit_views.take_off_fit, name="take_off_fit"),
]
