"""Addresses of kept pictures and scans."""

from django.urls import path, re_path

from lifecycle.pages import looking_into, pictures

_SHA256 = r"(?P<sha256>[0-9a-f]{64})"

urlpatterns = [
    path("pictures/<uuid:uid>/", pictures.picture, name="picture"),
    path("pictures/<uuid:uid>/look/", looking_into.picture_look, name="picture-look"),
    path(
        "pictures/<uuid:uid>/match/<uuid:over>/", looking_into.picture_match, name="picture-match"
    ),
    path(
        "pictures/<uuid:uid>/levels/<int:level>/<int:column>-<int:row>/",
        pictures.picture_part,
        name="picture-part",
    ),
    path("pictures/<uuid:uid>/<slug:size>/", pictures.picture, name="picture"),
    re_path(
        rf"^pictures/content/{_SHA256}/(?P<size>[a-z]+)/$",
        pictures.picture_by_content,
        name="picture",
    ),
    path("documents/<uuid:uid>/", pictures.document, name="document"),
    re_path(rf"^documents/content/{_SHA256}/$", pictures.document_by_content, name="document"),
]
