from django.apps import AppConfig


class FilesConfig(AppConfig):
    name = "buildlog.files"
    default_auto_field = "django.db.models.BigAutoField"
