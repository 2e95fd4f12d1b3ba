"""Every address: one module for each subject in ``pages/routes``."""

from django.urls import URLPattern, URLResolver, include, path

from lifecycle.pages.reading_room import room

SUBJECTS = (
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
    "colour",
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
    "help",
    "steward",
    "packages",
    "health",
    "account",
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include(f"lifecycle.pages.routes.{subject}")) for subject in SUBJECTS
]
urlpatterns += [path("admin/", room.urls)]

handler400 = "lifecycle.pages.big_uploads.bad_request"
