"""Addresses of the judge room: the joints of a job, one of them, what is known, what is decided."""

from django.urls import path

from runningfit.web.joints import fit_urls, joint_views, judge_views, known_views, match_urls, torque_views

urlpatterns = [
    *fit_urls.urlpatterns,
    path("jobs/<int:job_id>/judge", judge_views.judge, name="judge"),
    path("jobs/<int:job_id>/judge/next", joint_views.next_joint, name="next_joint"),
    path("jobs/<int:job_id>/lots/<int:number>/joint", joint_views.lot_joint, name="lot_joint"),
    path("jobs/<int:job_id>/places/<int:place_id>/joint", joint_views.place_joint, name="place_joint"),
    path("jobs/<int:job_id>/lots/<int:number>/joint/decide", joint_views.decide_joint, name="decide_joint"),
    path("jobs/<int:job_id>/lots/<int:number>/joint/known", known_views.say_lot, name="say_lot"),
    path("jobs/<int:job_id>/lots/<int:number>/joint/looked-at", known_views.looked_at, name="looked_at"),
    path("jobs/<int:job_id>/places/<int:place_id>/joint/known", known_views.say_place, name="say_place"),
    path("jobs/<int:job_id>/areas/<int:area_id>/torques", torque_views.torques, name="torques"),
    path("jobs/<int:job_id>/areas/<int:area_id>/torques.pdf", torque_views.torque_paper, name="torque_paper"),
    *match_urls.urlpatterns,
]
