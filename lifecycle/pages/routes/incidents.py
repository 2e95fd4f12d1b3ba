"""Addresses of incidents."""

from django.urls import path

from lifecycle.pages.incidents import views

urlpatterns = [
    path("incidents/", views.incidents, name="incidents"),
    path("incidents/new/", views.incident_new, name="incident-new"),
    path("incidents/<uuid:uid>/", views.incident, name="incident"),
    path("incidents/<uuid:uid>/complete/", views.incident_complete, name="incident-complete"),
    path("incidents/<uuid:uid>/told/", views.incident_tell, name="incident-told"),
    path("incidents/<uuid:uid>/statement/", views.incident_statement, name="incident-statement"),
    path("incidents/<uuid:uid>/close/", views.incident_close, name="incident-close"),
]
