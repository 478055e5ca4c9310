from django.apps import AppConfig


class AlongConfig(AppConfig):
    name = "buildlog.along"
    default_auto_field = "django.db.models.BigAutoField"
