"""Address of a showing."""

from django.urls import path

from lifecycle.pages.showings import showing_page

urlpatterns = [path("showings/<uuid:uid>/", showing_page, name="showing")]
