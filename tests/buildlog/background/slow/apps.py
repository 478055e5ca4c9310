from django.apps import AppConfig


class SlowConfig(AppConfig):
    name = "tests.buildlog.background.slow"
