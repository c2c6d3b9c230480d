"""Addresses of the Strip step: the job's first page, lots, areas and places, findings, find."""

from django.urls import path

from runningfit.web.pieces import (
    area_views,
    find_views,
    finding_views,
    lot_act_views,
    lot_views,
    place_views,
    strip_views,
)

urlpatterns = [
    path("find", find_views.find, name="find"),
    path("jobs/<int:job_id>", strip_views.job, name="job"),
    path("jobs/<int:job_id>/strip", strip_views.strip, name="strip"),
    path("jobs/<int:job_id>/strip/look", strip_views.quick_look, name="quick_look"),
    path("jobs/<int:job_id>/strip/keep", strip_views.quick_line, name="quick_line"),
    path("jobs/<int:job_id>/lots/new", lot_views.add_lot, name="add_lot"),
    path("jobs/<int:job_id>/lots/<int:number>", lot_views.lot, name="lot"),
    path("jobs/<int:job_id>/lots/<int:number>/change", lot_views.edit_lot, name="edit_lot"),
    path("jobs/<int:job_id>/lots/<int:number>/split", lot_act_views.split_lot, name="split_lot"),
    path("jobs/<int:job_id>/lots/<int:number>/join", lot_act_views.join_lot, name="join_lot"),
    path("jobs/<int:job_id>/lots/<int:number>/recount", lot_act_views.recount_lot, name="recount_lot"),
    path("jobs/<int:job_id>/lots/<int:number>/move", lot_act_views.move_lot, name="move_lot"),
    path("jobs/<int:job_id>/lots/<int:number>/thread", lot_act_views.say_thread, name="say_thread"),
    path("jobs/<int:job_id>/lots/<int:number>/engine", lot_act_views.say_origin, name="say_origin"),
    path(
        "jobs/<int:job_id>/lots/<int:number>/which", lot_act_views.settle_lot_thread, name="settle_lot_thread"
    ),
    path(
        "jobs/<int:job_id>/lots/<int:number>/looked",
        lot_act_views.settle_lot_question,
        name="settle_lot_question",
    ),
    path("jobs/<int:job_id>/areas", area_views.areas, name="areas"),
    path("jobs/<int:job_id>/areas/new", area_views.add_area, name="add_area"),
    path("jobs/<int:job_id>/areas/<int:area_id>", area_views.area, name="area"),
    path("jobs/<int:job_id>/areas/<int:area_id>/change", area_views.change_area, name="change_area"),
    path("jobs/<int:job_id>/areas/<int:area_id>/places/new", place_views.add_place, name="add_place"),
    path("jobs/<int:job_id>/places/from-lots", place_views.places_from_lots, name="places_from_lots"),
    path("jobs/<int:job_id>/places/from-list", place_views.import_place_list, name="import_places"),
    path("jobs/<int:job_id>/places/<int:place_id>", place_views.place, name="place"),
    path("jobs/<int:job_id>/places/<int:place_id>/change", place_views.change_place, name="change_place"),
    path("jobs/<int:job_id>/places/<int:place_id>/known", place_views.confirm_basis, name="confirm_basis"),
    path("jobs/<int:job_id>/places/<int:place_id>/prove", place_views.prove_place, name="prove_place"),
    path(
        "jobs/<int:job_id>/places/<int:place_id>/withdraw", place_views.withdraw_place, name="withdraw_place"
    ),
    path("jobs/<int:job_id>/findings", finding_views.findings, name="findings"),
    path("jobs/<int:job_id>/findings/new", finding_views.add_finding, name="add_finding"),
    path("jobs/<int:job_id>/findings/<int:finding_id>", finding_views.settle_finding, name="settle_finding"),
]
