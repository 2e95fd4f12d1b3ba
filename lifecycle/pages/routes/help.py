"""Address of the help page."""

from django.urls import path

from lifecycle.pages.help import help_page

urlpatterns = [path("help/", help_page, name="help")]
