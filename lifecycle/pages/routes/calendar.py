"""Address of the calendar."""

from django.urls import path

from lifecycle.pages.calendar import calendar_page

urlpatterns = [path("calendar/", calendar_page, name="calendar")]
