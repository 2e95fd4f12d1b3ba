"""Addresses of exhibitions and their readiness."""

from django.urls import path

from lifecycle.pages import exhibitions

urlpatterns = [
    path("exhibitions/", exhibitions.exhibitions_page, name="exhibitions"),
    path("exhibitions/<uuid:uid>/", exhibitions.exhibition_page, name="exhibition"),
]
