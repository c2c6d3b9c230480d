"""Addresses of bench lists."""

from django.urls import path

from runningfit.web.pieces import list_views

_LIST = "jobs/<int:job_id>/lists/<int:list_id>"

urlpatterns = [
    path("jobs/<int:job_id>/lists", list_views.import_list, name="import_list"),
    path(_LIST, list_views.bench_list, name="bench_list"),
    path(f"{_LIST}/columns", list_views.remap_list, name="remap_list"),
    path(f"{_LIST}/accept", list_views.accept_list, name="accept_list"),
    path(f"{_LIST}/aside", list_views.put_list_aside, name="put_list_aside"),
    path(f"{_LIST}/rows/<int:row>", list_views.bench_row, name="bench_row"),
    path(f"{_LIST}/changes", list_views.list_changes, name="bench_list_changes"),
    path(f"{_LIST}/another", list_views.another_list, name="another_list"),
]
