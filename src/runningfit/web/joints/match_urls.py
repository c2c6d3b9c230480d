"""Addresses of what goes with what, and of the drawer of shims."""

from django.urls import path

from runningfit.web.joints import drawer_views, match_views

_MATCHING = "jobs/<int:job_id>/matching"

urlpatterns = [
    path(_MATCHING, match_views.matching, name="matching"),
    path(f"{_MATCHING}/pistons", match_views.pistons, name="match_pistons"),
    path(f"{_MATCHING}/weights", match_views.weights, name="match_weights"),
    path(f"{_MATCHING}/shims", match_views.shims, name="match_shims"),
    path(f"{_MATCHING}/shims/valves", match_views.valves, name="match_valves"),
    path(f"{_MATCHING}/shims/buy", match_views.buy, name="buy_shims"),
    path(f"{_MATCHING}/<slug:kind>/keep", match_views.keep, name="keep_match"),
    path(f"{_MATCHING}/kept/<int:decision_id>/take-back", match_views.take_back, name="take_back_match"),
    path("drawer", drawer_views.drawer, name="drawer"),
    path("drawer/sheet", drawer_views.import_drawer, name="import_drawer"),
    path("drawer/<int:shim_id>", drawer_views.drawer_shim, name="drawer_shim"),
]
