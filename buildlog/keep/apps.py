from django.apps import AppConfig


class KeepConfig(AppConfig):
    name = "buildlog.keep"
    default_auto_field = "django.db.models.BigAutoField"
