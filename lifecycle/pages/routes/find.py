"""Addresses of the search."""

from django.urls import path

from lifecycle.pages import find

urlpatterns = [path("find/", find.find_page, name="find")]
