"""Addresses of the outside_work room."""

from django.urls import path

from runningfit.web.outside_work import (
    bake_views,
    call_views,
    consignment_views,
    count_back_views,
    discrepancy_views,
    finish_views,
    send_views,
)

urlpatterns = [
    path("jobs/<int:job_id>/send", send_views.send, name="send"),
    path("jobs/<int:job_id>/send/treat", send_views.treat, name="treat"),
    path("jobs/<int:job_id>/send/done", send_views.done_here, name="done_here"),
    path("jobs/<int:job_id>/discrepancies", discrepancy_views.discrepancies, name="discrepancies"),
    path("outside", consignment_views.outside, name="outside"),
    path("outside/new", consignment_views.make_up, name="make_up"),
    path("outside/shops", call_views.shops, name="outside_shops"),
    path("outside/shops/<int:shop_id>", call_views.shop, name="outside_shop"),
    path("outside/discrepancies", discrepancy_views.all_discrepancies, name="all_discrepancies"),
    path(
        "outside/discrepancies/<int:discrepancy_id>",
        discrepancy_views.close_discrepancy,
        name="close_discrepancy",
    ),
    path("outside/<int:number>", consignment_views.consignment, name="consignment"),
    path("outside/<int:number>/add", consignment_views.add_to_consignment, name="add_to_consignment"),
    path(
        "outside/<int:number>/lines/<int:line_id>",
        consignment_views.consignment_line,
        name="consignment_line",
    ),
    path(
        "outside/<int:number>/lines/<int:line_id>/anyway", consignment_views.send_anyway, name="send_anyway"
    ),
    path("outside/<int:number>/lines/<int:line_id>/off", consignment_views.take_off, name="take_off"),
    path("outside/<int:number>/gone", consignment_views.send_consignment, name="send_consignment"),
    path("outside/<int:number>/said", consignment_views.change_consignment, name="change_consignment"),
    path("outside/<int:number>/note.pdf", consignment_views.note, name="consignment_note"),
    path("outside/<int:number>/call", call_views.call, name="call"),
    path("outside/<int:number>/count-back", count_back_views.count_back, name="count_back"),
    path("outside/<int:number>/bucket", count_back_views.bucket, name="bucket"),
    path("outside/<int:number>/bake", bake_views.consignment_bake, name="consignment_bake"),
    path("outside/<int:number>/finish", finish_views.consignment_finish, name="consignment_finish"),
    path("jobs/<int:job_id>/lots/<int:number>/finish", finish_views.lot_finish, name="lot_finish"),
]
