"""Addresses of movements."""

from django.urls import path

from lifecycle.pages.movements import views

urlpatterns = [
    path("movements/", views.movements, name="movements"),
    path("movements/new/", views.movement_new, name="movement-new"),
    path("movements/<uuid:uid>/", views.movement_page, name="movement"),
    path("movements/<uuid:uid>/authorise/", views.movement_authorise, name="movement-authorise"),
    path("movements/<uuid:uid>/hand-over/", views.movement_hand_over, name="movement-hand-over"),
    path("movements/<uuid:uid>/receive/", views.movement_receive, name="movement-receive"),
    path("movements/<uuid:uid>/confirm/", views.movement_confirm, name="movement-confirm"),
    path("movements/<uuid:uid>/call-off/", views.movement_cancel, name="movement-cancel"),
]
