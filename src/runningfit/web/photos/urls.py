"""Addresses of the photos room."""

from django.urls import path

from runningfit.web.photos import inbox_views, snap_views, views

urlpatterns = [
    path("photos/<int:photo_id>/<slug:size>", views.photo_file, name="photo"),
    path("jobs/<int:job_id>/photos", views.photos, name="photos"),
    path("jobs/<int:job_id>/photos/<int:photo_id>", views.photo_page, name="photo_page"),
    path("jobs/<int:job_id>/photos/<int:photo_id>/away", views.put_away, name="put_photo_away"),
    path("jobs/<int:job_id>/snap", snap_views.snap, name="snap"),
    path("jobs/<int:job_id>/snap/one", snap_views.snap_one, name="snap_one"),
    path("jobs/<int:job_id>/inbox", inbox_views.inbox, name="inbox"),
    path("jobs/<int:job_id>/inbox/<int:photo_id>", inbox_views.describe, name="describe_photo"),
    path("jobs/<int:job_id>/inbox/<int:photo_id>/attach", inbox_views.attach, name="attach_photo"),
    path("jobs/<int:job_id>/inbox/<int:photo_id>/nothing", inbox_views.nothing, name="nothing_to_keep"),
]
