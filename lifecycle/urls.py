"""Every address: one module for each subject in ``pages/routes``."""

from importlib.util import find_spec

from django.contrib import admin
from django.urls import URLPattern, URLResolver, include, path

SUBJECTS = [
    "today",
    "objects",
    "places",
    "people",
    "rules",
    "exhibition_edit",
    "exhibitions",
    "showings",
    "moves",
    "condition",
    "pictures",
    "treatment",
    "preparation",
    "display",
    "light",
    "movements",
    "loans",
    "incidents",
    "calendar",
    "papers",
    "find",
    "steward",
    "health",
    "account",
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include(f"lifecycle.pages.routes.{subject}"))
    for subject in SUBJECTS
    if find_spec(f"lifecycle.pages.routes.{subject}")
]
urlpatterns += [path("admin/", admin.site.urls)]

handler400 = "lifecycle.pages.big_uploads.bad_request"
