from django.apps import AppConfig


class PagesConfig(AppConfig):
    name = "lifecycle.pages"
    label = "pages"
