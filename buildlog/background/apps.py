from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules


class BackgroundConfig(AppConfig):
    name = "buildlog.background"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        # Every process knows every kind of job, so that a mistyped one fails where it is queued.
        autodiscover_modules("jobs")
