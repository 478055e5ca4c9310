from django.apps import AppConfig


class AheadConfig(AppConfig):
    name = "buildlog.ahead"
    default_auto_field = "django.db.models.BigAutoField"
