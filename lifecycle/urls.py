"""Every address: one module for each subject in ``pages/routes``."""

import sys
from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

from lifecycle.pages.reading_room import room

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

urlpatterns: list[URLPattern | URLResolver] = []
for subject in SUBJECTS:  # TEMPORARY while helpers build: a broken route file blocks nobody else
    if find_spec(f"lifecycle.pages.routes.{subject}"):
        try:
            urlpatterns.append(path("", include(f"lifecycle.pages.routes.{subject}")))
        except (ImportError, AttributeError) as trouble:
            sys.stderr.write(f"routes/{subject}.py left out: {trouble}\n")
urlpatterns += [path("admin/", room.urls)]

handler400 = "lifecycle.pages.big_uploads.bad_request"
