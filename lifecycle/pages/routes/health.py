"""Address of the health page."""

from django.urls import path

from lifecycle.pages import health

urlpatterns = [path("health/", health.health_page, name="health")]
