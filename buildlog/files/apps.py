from django.apps import AppConfig
from django.db.models.signals import post_delete


class FilesConfig(AppConfig):
    name = "buildlog.files"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from buildlog.files.models import StoredFile
        from buildlog.files.store import bytes_follow_row

        post_delete.connect(bytes_follow_row, sender=StoredFile, dispatch_uid="bytes-follow-row")
