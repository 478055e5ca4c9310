from django.apps import AppConfig


class ListsConfig(AppConfig):
    name = "buildlog.lists"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        pass  # registers the kind of job
