from django.apps import AppConfig


class BackgroundConfig(AppConfig):
    name = "buildlog.background"
    default_auto_field = "django.db.models.BigAutoField"
