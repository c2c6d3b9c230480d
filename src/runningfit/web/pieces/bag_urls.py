"""Addresses of bags and their labels."""

from django.urls import path

from runningfit.web.pieces import bag_views, label_views

urlpatterns = [
    path("jobs/<int:job_id>/bags", bag_views.bags, name="bags"),
    path("jobs/<int:job_id>/bags/<str:code>", bag_views.bag, name="bag"),
    path("jobs/<int:job_id>/bags/<str:code>/count", bag_views.count, name="count_bag"),
    path("jobs/<int:job_id>/bags/<str:code>/pack", bag_views.pack, name="pack"),
    path("jobs/<int:job_id>/bags/<str:code>/change", bag_views.change, name="change_bag"),
    path("jobs/<int:job_id>/labels", label_views.labels, name="labels"),
    path("jobs/<int:job_id>/labels/labels.pdf", label_views.labels_pdf, name="labels_pdf"),
    path("b/<int:job_id>/<str:code>", bag_views.bag_by_label, name="bag_by_label"),
]
