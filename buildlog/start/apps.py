from django.apps import AppConfig


class StartConfig(AppConfig):
    name = "buildlog.start"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from buildlog.start import checks, sqlite_like  # noqa: F401 (they register themselves)
