"""Addresses of open packages."""

from django.urls import path

from lifecycle.pages import packages

urlpatterns = [
    path("steward/packages/", packages.package_list, name="packages"),
    path("steward/packages/<uuid:uid>/", packages.package, name="package"),
    path("steward/packages/<uuid:uid>/file/", packages.package_file, name="package-file"),
    path("steward/packages/<uuid:uid>/stop/", packages.package_stop, name="package-stop"),
]
