"""Addresses of the photos room."""

from django.urls import path

from runningfit.web.photos import (
    hardware_compare_views,
    hardware_piece_views,
    hardware_views,
    inbox_views,
    mat_views,
    snap_views,
    views,
)

_RUN = "jobs/<int:job_id>/hardware/<int:run_id>"

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
    path("jobs/<int:job_id>/hardware", hardware_views.hardware, name="hardware"),
    path("jobs/<int:job_id>/hardware/shot", hardware_views.hardware_shot, name="hardware_shot"),
    path(
        "jobs/<int:job_id>/hardware/compare", hardware_compare_views.hardware_compare, name="hardware_compare"
    ),
    path(_RUN, hardware_views.hardware_run, name="hardware_run"),
    path(f"{_RUN}/state", hardware_views.hardware_state, name="hardware_state"),
    path(f"{_RUN}/again", hardware_views.hardware_again, name="hardware_again"),
    path(f"{_RUN}/away", hardware_views.hardware_away, name="hardware_away"),
    path(f"{_RUN}/so", hardware_views.hardware_so, name="hardware_so"),
    path(f"{_RUN}/pieces/<int:piece>", hardware_piece_views.hardware_piece, name="hardware_piece"),
    path(
        f"{_RUN}/pieces/<int:piece>/fate",
        hardware_piece_views.hardware_piece_fate,
        name="hardware_piece_fate",
    ),
    path("mats", mat_views.photo_mats, name="photo_mats"),
    path("mats/<int:mat_id>", mat_views.photo_mat, name="photo_mat"),
    path("mats/<int:mat_id>/usual", mat_views.usual_mat, name="usual_mat"),
    path("mats/<int:mat_id>/away", mat_views.put_mat_away, name="put_mat_away"),
    path("mats/<slug:paper>.pdf", mat_views.mat_pdf, name="mat_pdf"),
    path("corrections", hardware_compare_views.photo_corrections, name="photo_corrections"),
    path("corrections.zip", hardware_compare_views.photo_corrections_zip, name="photo_corrections_zip"),
]
