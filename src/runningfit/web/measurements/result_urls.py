"""Address of what a set of readings comes to."""

from django.urls import path

from runningfit.web.measurements import result_views

urlpatterns = [
    path("jobs/<int:job_id>/measure/sets/<int:set_id>/result", result_views.set_result, name="set_result"),
]
