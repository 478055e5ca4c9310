from django.apps import AppConfig


class SupportersConfig(AppConfig):
    name = "buildlog.supporters"
    default_auto_field = "django.db.models.BigAutoField"
