from django.apps import AppConfig


class JournalConfig(AppConfig):
    name = "buildlog.journal"
    default_auto_field = "django.db.models.BigAutoField"
