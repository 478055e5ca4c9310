from django.apps import AppConfig
from django.db.models.signals import post_delete


class JournalConfig(AppConfig):
    name = "buildlog.journal"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from buildlog.journal import jobs  # registers its kinds of work
        from buildlog.journal.models import Rendition

        post_delete.connect(jobs.bytes_follow_row, sender=Rendition, dispatch_uid="rendition-bytes")
