from django.apps import AppConfig


class RunningConfig(AppConfig):
    name = "lifecycle.running"
    label = "running"
