"""Addresses of places and reading points."""

from django.urls import path

from lifecycle.pages.places import openings, plans, views

urlpatterns = [
    path("places/", views.places, name="places"),
    path("places/new/", views.place_new, name="place-new"),
    path("places/<uuid:uid>/", views.place_page, name="place"),
    path("places/<uuid:uid>/change/", views.place_change, name="place-change"),
    path("places/<uuid:uid>/close/", views.place_close, name="place-close"),
    path("places/<uuid:uid>/opened/", openings.case_opened, name="case-opened"),
    path("places/<uuid:uid>/points/new/", views.point_new, name="point-new"),
    path("plans/<uuid:uid>/new/", plans.plan_new, name="plan-new"),
    path("plans/<uuid:uid>/points/", plans.plan_points, name="plan-points"),
    path("points/<uuid:uid>/photo/", views.point_photo, name="point-photo"),
    path("points/<uuid:uid>/retire/", views.point_retire, name="point-retire"),
]
