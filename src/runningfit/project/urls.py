"""Every address, room by room."""

from django.urls import include, path

ROOMS = (
    "records",
    "pieces",
    "photos",
    "measurements",
    "joints",
    "plan",
    "outside_work",
    "treatments",
    "build",
)

handler500 = "runningfit.web.middleware.broke"
urlpatterns = [path("", include(f"runningfit.web.{room}.urls")) for room in ROOMS]
