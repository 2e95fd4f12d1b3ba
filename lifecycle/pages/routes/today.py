"""Address of the first page."""

from django.urls import path

from lifecycle.pages.today import today_page

urlpatterns = [path("", today_page, name="today")]
