"""Addresses of machining."""

from django.urls import path

from runningfit.web.treatments import machining_views

_SET = "jobs/<int:job_id>/measure/sets/<int:set_id>/machining"

urlpatterns = [
    path("jobs/<int:job_id>/machining", machining_views.job_machining, name="job_machining"),
    path(
        "jobs/<int:job_id>/machining/<int:number>/sets/<int:set_id>",
        machining_views.machining_back,
        name="machining_back",
    ),
    path(_SET, machining_views.set_machining, name="set_machining"),
    path(f"{_SET}/said", machining_views.say_machining, name="say_machining"),
    path(f"{_SET}/decide", machining_views.decide_step, name="decide_step"),
    path(f"{_SET}/order", machining_views.order_machining, name="order_machining"),
    path("outside/<int:number>/machine-sheet.pdf", machining_views.machine_paper, name="machine_sheet"),
]
