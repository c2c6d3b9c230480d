"""Addresses of the instrument cupboard."""

from django.urls import path

from runningfit.web.measurements import gauge_views as views

urlpatterns = [
    path("gauges", views.cupboard, name="gauges"),
    path("gauges/new", views.add_gauge, name="add_gauge"),
    path("gauges/<int:gauge_id>", views.gauge, name="gauge"),
    path("gauges/<int:gauge_id>/check", views.add_check, name="add_check"),
    path("gauges/<int:gauge_id>/scatter", views.scatter, name="gauge_scatter"),
    path("gauges/<int:gauge_id>/out-of-use", views.out_of_use, name="gauge_out_of_use"),
    path(
        "gauges/<int:gauge_id>/checks/<int:check_id>/take-back", views.take_back_check, name="take_back_check"
    ),
]
