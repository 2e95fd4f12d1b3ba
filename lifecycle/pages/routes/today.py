"""Addresses of the first page."""

from django.urls import path

from lifecycle.pages.today import bring_back_page, put_by_page, today_page

urlpatterns = [
    path("", today_page, name="today"),
    path("today/put-by/", put_by_page, name="put-by"),
    path("today/bring-back/", bring_back_page, name="bring-back"),
]
