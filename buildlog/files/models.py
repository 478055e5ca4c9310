from __future__ import annotations

from django.db import models

from tasks.models import Build


def content_path(sha256: str) -> str:
    """Where content of that hash lies in the storage."""
    return f"originals/{sha256[:2]}/{sha256}"


class StoredFile(models.Model):
    """An original, kept as it came, stored by its content. Its bytes are never changed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="files")
    sha256 = models.CharField(max_length=64)
    size = models.PositiveBigIntegerField("bytes")
    mime = models.CharField(max_length=80)
    name = models.CharField("name it came with", max_length=200)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["build", "sha256"], name="file_once_a_build"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def path(self) -> str:
        return content_path(self.sha256)
