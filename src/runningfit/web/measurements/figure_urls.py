"""Addresses of the engine figures."""

from django.urls import path

from runningfit.web.measurements import figure_views as views

_FIGURES = "jobs/<int:job_id>/engines/<int:engine_id>/figures"

urlpatterns = [
    path(_FIGURES, views.figures, name="engine_figures"),
    path(f"{_FIGURES}/sizes", views.sizes, name="figure_sizes"),
    path(f"{_FIGURES}/timing", views.timing, name="figure_timing"),
    path(f"{_FIGURES}/maker", views.makers, name="figure_makers"),
    path(f"{_FIGURES}/timing/<int:reading_id>/take-back", views.take_back_timing, name="take_back_timing"),
    path(f"{_FIGURES}/maker/<int:figure_id>/take-back", views.take_back_makers, name="take_back_makers"),
]
