"""Addresses of the threads: naming one, a whole sheet, those of a job, cards, and checks against limits."""

from django.urls import path

from runningfit.web.pieces import card_views, gauging_views, job_thread_views, naming_views, sheet_views

urlpatterns = [
    path("name-a-thread", naming_views.name_a_thread, name="name_a_thread"),
    path("name-a-thread/sheet", sheet_views.name_sheet, name="name_sheet"),
    path("threads", card_views.threads, name="threads"),
    path("threads/<path:designation>", card_views.thread_card, name="thread_card"),
    path("check-a-thread", gauging_views.check_a_thread, name="check_a_thread"),
    path("jobs/<int:job_id>/threads/sheet", sheet_views.name_job_sheet, name="name_job_sheet"),
    path("jobs/<int:job_id>/threads", job_thread_views.job_threads, name="job_threads"),
    path("jobs/<int:job_id>/lots/<int:number>/name", naming_views.name_lot_thread, name="name_lot_thread"),
    path(
        "jobs/<int:job_id>/lots/<int:number>/name/keep", naming_views.keep_lot_thread, name="keep_lot_thread"
    ),
    path(
        "jobs/<int:job_id>/lots/<int:number>/check", gauging_views.check_lot_thread, name="check_lot_thread"
    ),
    path(
        "jobs/<int:job_id>/lots/<int:number>/check/keep",
        gauging_views.keep_lot_check,
        name="keep_lot_check",
    ),
]
