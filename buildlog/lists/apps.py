from django.apps import AppConfig


class ListsConfig(AppConfig):
    name = "buildlog.lists"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from buildlog.lists import jobs  # noqa: F401: registers the kind of job
