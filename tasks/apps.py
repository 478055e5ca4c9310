from importlib import import_module

from django.apps import AppConfig


class TasksConfig(AppConfig):
    name = "tasks"
    verbose_name = "The plan of work"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        import_module("tasks.signals")  # connects the receivers
