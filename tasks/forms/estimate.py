from __future__ import annotations

from tasks.forms.fields import HoursField, TwoTabsForm
from tasks.models import Task


class EstimateForm(TwoTabsForm):
    """The guesses of a task and nothing else, for where only they are asked for."""

    low_minutes = HoursField(label="Low", help_text="If all goes well, e.g. 6 or 6 h 30.")
    likely_minutes = HoursField(label="Likely", help_text="Hours of all people together.")
    high_minutes = HoursField(label="High", help_text="If it goes badly.")

    class Meta:
        model = Task
        fields = ["low_minutes", "likely_minutes", "high_minutes"]
