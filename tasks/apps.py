from django.apps import AppConfig


class TasksConfig(AppConfig):
    name = "tasks"
    verbose_name = "The plan of work"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        pass  # noqa: F401: connects the receivers
