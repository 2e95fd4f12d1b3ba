"""Addresses of places and reading points."""

from django.urls import path

from lifecycle.pages.places import lamps, openings, plans, views

urlpatterns = [
    path("places/", views.places, name="places"),
    path("places/new/", views.place_new, name="place-new"),
    path("places/<uuid:uid>/", views.place_page, name="place"),
    path("places/<uuid:uid>/change/", views.place_change, name="place-change"),
    path("places/<uuid:uid>/close/", views.place_close, name="place-close"),
    path("places/<uuid:uid>/lamps/", lamps.place_lamps, name="place-lamps"),
    path("places/<uuid:uid>/lamps/new/", lamps.lamp_new, name="lamp-new"),
    path("lamps/<uuid:uid>/", lamps.lamp_change, name="lamp-change"),
    path("lamps/<uuid:uid>/out/", lamps.lamp_out, name="lamp-out"),
    path("places/<uuid:uid>/opened/", openings.case_opened, name="case-opened"),
    path("places/<uuid:uid>/points/new/", views.point_new, name="point-new"),
    path("plans/<uuid:uid>/new/", plans.plan_new, name="plan-new"),
    path("plans/<uuid:uid>/points/", plans.plan_points, name="plan-points"),
    path("points/<uuid:uid>/photo/", views.point_photo, name="point-photo"),
    path("points/<uuid:uid>/retire/", views.point_retire, name="point-retire"),
]
