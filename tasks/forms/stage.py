from __future__ import annotations

from typing import Any

from tasks.changes import last_place
from tasks.forms.fields import TwoTabsForm
from tasks.models import Build, Stage


class StageForm(TwoTabsForm):
    """A stage of a build; a new one comes last."""

    class Meta:
        model = Stage
        fields = ["name", "work_kind"]
        help_texts = {"work_kind": "What its tasks mostly are; a task may say otherwise."}

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        instance = kwargs.pop("instance", None) or Stage(build=build)
        super().__init__(*args, instance=instance, **kwargs)
        self.fields["work_kind"].required = False

    def clean_work_kind(self) -> str:
        return self.cleaned_data["work_kind"] or self.instance.work_kind

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())

    def save(self, commit: bool = True) -> Stage:
        if not self.instance.pk:
            self.instance.order = last_place(Stage.objects.filter(build=self.instance.build))
        return super().save(commit)
