"""Addresses of the forms that keep an exhibition."""

from django.urls import path

from lifecycle.pages.exhibition_edit import gates, views

urlpatterns = [
    path("exhibitions/new/", views.exhibition_new, name="exhibition-new"),
    path("exhibitions/<uuid:uid>/change/", views.exhibition_change, name="exhibition-change"),
    path("exhibitions/<uuid:uid>/dates/", views.exhibition_dates, name="exhibition-dates"),
    path("exhibitions/<uuid:uid>/state/", views.exhibition_state, name="exhibition-state"),
    path("exhibitions/<uuid:uid>/gates/", gates.exhibition_gates, name="exhibition-gates"),
]
