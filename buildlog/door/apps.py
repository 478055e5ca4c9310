from django.apps import AppConfig


class DoorConfig(AppConfig):
    name = "buildlog.door"
    default_auto_field = "django.db.models.BigAutoField"
