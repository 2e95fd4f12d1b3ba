"""Addresses of moves, waivers and holds."""

from django.urls import path

from lifecycle.pages.moves import beside, holds, make, setting_aside

urlpatterns = [
    path("showings/<uuid:uid>/move/<slug:name>/", make.move_page, name="move"),
    path("showings/<uuid:uid>/waive/", setting_aside.waive_page, name="waive"),
    path("showings/<uuid:uid>/position/", beside.plan_place_page, name="plan-place"),
    path("showings/<uuid:uid>/stand-alone/", beside.stand_alone_page, name="stand-alone"),
    path("moves/<uuid:uid>/strike/", setting_aside.strike_page, name="strike"),
    path("waivers/<uuid:uid>/end/", setting_aside.waiver_end_page, name="waiver-end"),
    path("objects/<uuid:uid>/hold/", holds.hold_new_page, name="hold-new"),
    path("holds/<uuid:uid>/", holds.hold_page, name="hold"),
]
