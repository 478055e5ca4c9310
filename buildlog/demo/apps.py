from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "buildlog.demo"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from buildlog.demo import owner  # noqa: F401
