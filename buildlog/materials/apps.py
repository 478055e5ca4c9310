from django.apps import AppConfig


class MaterialsConfig(AppConfig):
    name = "buildlog.materials"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from buildlog.materials import signals  # noqa: F401
