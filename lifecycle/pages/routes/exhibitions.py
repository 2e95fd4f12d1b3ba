"""Addresses of exhibitions and their readiness."""

from django.urls import path

from lifecycle.pages import exhibitions, object_list

urlpatterns = [
    path("exhibitions/", exhibitions.exhibitions_page, name="exhibitions"),
    path("exhibitions/<uuid:uid>/", exhibitions.exhibition_page, name="exhibition"),
    path(
        "exhibitions/<uuid:uid>/objects.<str:kind>",
        object_list.object_list_table,
        name="object-list-table",
    ),
]
