"""Addresses of the plan room."""

from django.urls import path

from runningfit.web.plan import buying_views, money_views, plan_views

urlpatterns = [
    path("jobs/<int:job_id>/plan", plan_views.plan, name="plan"),
    path("jobs/<int:job_id>/plan/places/<int:place_id>", plan_views.allot, name="allot"),
    path("jobs/<int:job_id>/plan/places/<int:place_id>/free", plan_views.free, name="unallot"),
    path(
        "jobs/<int:job_id>/plan/places/<int:place_id>/buy", buying_views.buy_for_place, name="buy_for_place"
    ),
    path("jobs/<int:job_id>/plan/suggest", plan_views.suggest, name="suggest_allotment"),
    path("jobs/<int:job_id>/plan/foreign", plan_views.foreign, name="foreign"),
    path("jobs/<int:job_id>/plan/to-buy", buying_views.to_buy, name="to_buy"),
    path("jobs/<int:job_id>/plan/to-buy/<int:row_id>", buying_views.bought, name="bought"),
    path("jobs/<int:job_id>/lots/<int:number>/buy-instead", buying_views.buy_instead, name="buy_instead"),
    path("jobs/<int:job_id>/how-much", money_views.how_much, name="how_much"),
]
